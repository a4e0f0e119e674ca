package hand

import (
	"math"
	"sort"

	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/lay"
)

// eyeMM is the side of the tiles in which a hand looks at a face and paints it.
const eyeMM = 1.0

// eye is a reading as a hand takes it in: the share of each tile that is
// coloured.
type eye struct {
	nx, ny int
	x0, y0 float64 // mm, corner of the first tile; whole tiles from the origin
	share  []float64
	metal  []bool
	bald   float64 // share of 12 mm squares with next to no colour
}

// look takes a reading in.
func look(r *blue.Reading) eye {
	ex0, ey0, ex1, ey1 := r.Edges()
	i0, j0 := int(math.Floor(ex0/eyeMM+1e-9)), int(math.Floor(ey0/eyeMM+1e-9))
	e := eye{
		x0: float64(i0), y0: float64(j0),
		nx: int(math.Ceil(ex1/eyeMM-1e-9)) - i0, ny: int(math.Ceil(ey1/eyeMM-1e-9)) - j0,
	}
	n := make([]int, e.nx*e.ny)
	e.share, e.metal = make([]float64, len(n)), make([]bool, len(n))
	for j := 0; j < r.NY; j++ {
		tj := int(math.Floor(r.Y(j)/eyeMM)) - j0
		for i := 0; i < r.NX; i++ {
			k := j*r.NX + i
			if r.Mask != nil && !r.Mask[k] {
				continue
			}
			t := tj*e.nx + int(math.Floor(r.X(i)/eyeMM)) - i0
			n[t]++
			if r.Coloured(k) {
				e.share[t]++
			}
		}
	}
	for t := range n {
		if n[t] > 0 {
			e.share[t] /= float64(n[t])
			e.metal[t] = true
		}
	}
	e.bald = e.baldShare(12)
	return e
}

// baldShare is the share of squares of side tiles that hold next to no colour.
func (e eye) baldShare(side int) float64 {
	all, bald := 0, 0
	for j := 0; j < e.ny; j += side {
		for i := 0; i < e.nx; i += side {
			sum, n := 0.0, 0
			for y := j; y < min(j+side, e.ny); y++ {
				for x := i; x < min(i+side, e.nx); x++ {
					if e.metal[y*e.nx+x] {
						sum += e.share[y*e.nx+x]
						n++
					}
				}
			}
			if n > side*side/4 {
				all++
				if sum < .03*float64(n) {
					bald++
				}
			}
		}
	}
	return float64(bald) / float64(max(1, all))
}

// near paints the metal within reach tiles of tiles with at least share of
// colour.
func (e eye) near(share float64, reach int) lay.Region {
	on := make([]bool, len(e.share))
	for j := 0; j < e.ny; j++ {
		for i := 0; i < e.nx; i++ {
			if e.share[j*e.nx+i] < share {
				continue
			}
			for y := max(0, j-reach); y <= min(e.ny-1, j+reach); y++ {
				for x := max(0, i-reach); x <= min(e.nx-1, i+reach); x++ {
					on[y*e.nx+x] = true
				}
			}
		}
	}
	return e.paint(func(t int) bool { return on[t] && e.metal[t] })
}

// bare paints the metal with next to no colour.
func (e eye) bare() lay.Region {
	return e.paint(func(t int) bool { return e.metal[t] && e.share[t] < .05 })
}

// rims paints the metal along the rims of the blue, and of the face where blue is
// near: tiles beside both enough colour and too little of it.
func (e eye) rims(share float64) lay.Region {
	return e.paint(func(t int) bool {
		if !e.metal[t] {
			return false
		}
		i, j := t%e.nx, t/e.nx
		blue, other := false, false
		for y := j - 1; y <= j+1; y++ {
			for x := i - 1; x <= i+1; x++ {
				off := x < 0 || y < 0 || x >= e.nx || y >= e.ny
				if !off && e.share[y*e.nx+x] >= share {
					blue = true
				} else {
					other = true
				}
			}
		}
		return blue && other
	})
}

// along paints the metal over the places x, mm, along the face that are asked for.
func (e eye) along(on func(x float64) bool) lay.Region {
	column := make([]bool, e.nx)
	for i := range column {
		column[i] = on(e.x0 + (float64(i)+.5)*eyeMM)
	}
	return e.paint(func(t int) bool { return e.metal[t] && column[t%e.nx] })
}

// all paints the whole face.
func (e eye) all() lay.Region { return e.paint(func(t int) bool { return e.metal[t] }) }

func (e eye) paint(on func(tile int) bool) lay.Region {
	r := lay.Paint(int(100*eyeMM), e.nx, e.ny, func(i, j int) bool { return on(j*e.nx + i) })
	for n := range r.Runs {
		r.Runs[n][0] += int(e.y0)
		r.Runs[n][1] += int(e.x0)
		r.Runs[n][2] += int(e.x0)
	}
	return r
}

// spareRim takes tiles within mm of the edge of the face out of a region.
func (e eye) spareRim(r lay.Region, mm float64) lay.Region {
	if mm == 0 {
		return r
	}
	// Tiles are a millimetre: a part of one counts as the whole.
	rim := int(math.Ceil(mm / eyeMM))
	inside := func(i, j int) bool {
		for y := j - rim; y <= j+rim; y++ {
			for x := i - rim; x <= i+rim; x++ {
				if x < 0 || y < 0 || x >= e.nx || y >= e.ny || !e.metal[y*e.nx+x] {
					return false
				}
			}
		}
		return true
	}
	return e.paint(func(t int) bool {
		i, j := t%e.nx, t/e.nx
		return inside(i, j) && r.Contains(e.x0+(float64(i)+.5)*eyeMM, e.y0+(float64(j)+.5)*eyeMM)
	})
}

// choose points at spots: of those that are there, by strength, the strongest,
// the middle one and one at the last fifth are to be cut, the faintest is to be
// spared. A greedy eye cuts what is like the strongest and spares what is like
// the one at the first third. ok is false when nothing is coloured.
func choose(spots []lay.Spot, greedy bool) (e lay.Example, ok bool) {
	if len(spots) == 0 {
		return e, false
	}
	strength := func(s lay.Spot) float64 { return s.Colour + 255*s.Pale }
	sort.SliceStable(spots, func(a, b int) bool { return strength(spots[a]) > strength(spots[b]) })
	at := func(n int) [2]int {
		return [2]int{int(math.Round(spots[n].X * 100)), int(math.Round(spots[n].Y * 100))}
	}
	last := len(spots) - 1
	if greedy {
		e.Cut = [][2]int{at(0)}
		if p := at(last / 3); p != e.Cut[0] {
			e.Spare = &p
		}
		return e, true
	}
	for _, n := range []int{0, last / 2, last * 4 / 5} {
		if p := at(n); len(e.Cut) == 0 || p != e.Cut[len(e.Cut)-1] {
			e.Cut = append(e.Cut, p)
		}
	}
	if last >= 5 {
		p := at(last)
		e.Spare = &p
	}
	return e, true
}
