package score

import (
	"math"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// rested is a face at rest on a true plane under its own weight.
type rested struct {
	heights *surface.Map
	plane   surface.Plane
	valid   []bool // nil when all cells are
	mask    []bool // cells within the film
	count   gauge.PointCount
}

func rest(m *surface.Map, film float64) (rested, error) {
	s, err := seat.OnBed(m, seat.Weight(m), seat.Stiffness)
	if err != nil {
		return rested{}, err
	}
	f := rested{heights: m, plane: s.Plane}
	f.mask, f.valid = gauge.BearingMask(m, s.Plane, film)
	f.count = gauge.CountPoints(f.mask, f.valid, m.Grid, gauge.DefaultRule)
	return f, nil
}

// gap of cell k below the plane, um.
func (f rested) gap(k int) float64 {
	m := f.heights
	return f.plane.At(m.X(k%m.NX), m.Y(k/m.NX)) - m.Z[k]
}

// figures are the geometry of the face, new lows left out.
func (f rested) figures(film float64) Figures {
	b := f.count.Bearing(film)
	out := f.measured(Figures{FilmUM: film, PointsPerIn2: b.PerIn2, FrameMin: b.FrameMin, FrameMax: b.FrameMax, AreaPct: &b.AreaPct})
	if flat, err := gauge.Flatness(f.heights); err == nil {
		out.MinimumZoneUM, out.LSTotalUM = &flat.MinimumZone, &flat.LSTotal
	}
	return out
}

// meets reports whether the face meets the target, by the cheap figures first: most
// faces miss by those.
func (f rested) meets(t target) bool {
	b := f.count.Bearing(t.FilmUM)
	counted := Figures{PointsPerIn2: b.PerIn2, FrameMin: b.FrameMin, AreaPct: &b.AreaPct}
	return counted.meets(t) && f.measured(counted).meets(t)
}

// measured adds to figures what the instruments show.
func (f rested) measured(out Figures) Figures {
	if r, _ := gauge.BareTip(f.heights, f.plane); r == r {
		out.BareRangeUM = &r
	}
	if r, ok := gauge.BridgedBlock(f.heights, f.plane); ok {
		out.BridgedUM = &r
	}
	return out
}

// meets reports whether a face meets the target.
func (f Figures) meets(t target) bool {
	return f.lack(t) == ""
}

// lack names the first thing in which a face misses the target; empty for none.
func (f Figures) lack(t target) string {
	switch {
	case f.PointsPerIn2 == nil || *f.PointsPerIn2 < t.PointsPerIn2:
		return "points"
	case f.FrameMin != nil && *f.FrameMin < t.FrameMin:
		return "frame"
	case f.AreaPct == nil || *f.AreaPct < t.AreaPct[0] || *f.AreaPct > t.AreaPct[1]:
		return "bearing"
	case f.BridgedUM != nil && *f.BridgedUM > t.BridgedUM:
		return "bridged"
	case f.BareRangeUM != nil && (*f.BareRangeUM < t.BareUM[0] || *f.BareRangeUM > t.BareUM[1]):
		return "bare"
	}
	return ""
}

// bearsNear is the share, per cent, of the inch frame about a place that lies within
// the film.
func (f rested) bearsNear(x, y float64) float64 {
	m := f.heights
	cells, bears := 0, 0
	for k := range f.mask {
		if f.valid != nil && !f.valid[k] || math.Abs(m.X(k%m.NX)-x) > frameMM/2 || math.Abs(m.Y(k/m.NX)-y) > frameMM/2 {
			continue
		}
		cells++
		if f.mask[k] {
			bears++
		}
	}
	return 100 * float64(bears) / math.Max(1, float64(cells))
}

// frameMM is the side of an inch frame.
const frameMM = 25.4

// worstFrame is the middle, mm, of the inch frame with the fewest points.
func (f rested) worstFrame() (x, y float64) {
	const side = frameMM
	m := f.heights
	x0, y0, x1, y1 := m.Edges()
	best := math.MaxInt
	x, y = (x0+x1)/2, (y0+y1)/2
	for fy := y0; fy+side <= y1+1e-9; fy++ {
		for fx := x0; fx+side <= x1+1e-9; fx++ {
			n := 0
			for _, p := range f.count.List {
				if p.X >= fx && p.X < fx+side && p.Y >= fy && p.Y < fy+side {
					n++
				}
			}
			if n < best {
				best, x, y = n, fx+side/2, fy+side/2
			}
		}
	}
	return x, y
}

// rimMM is the breadth of the rim that is looked at by itself.
const rimMM = 2.0

// rim marks the cells within rimMM of the edge of the metal.
func rim(g surface.Grid, metal func(k int) bool) []bool {
	// Steps to the nearest cell without metal, or off the face, along rows and
	// then along columns: enough to tell a rim.
	far := math.MaxInt32
	rx, ry := int(math.Round(rimMM/g.DX)), int(math.Round(rimMM/g.DY))
	out := make([]bool, g.Cells())
	mark := func(n, steps int, cell func(n int) int) {
		since := 0
		for _, backwards := range [2]bool{false, true} {
			since = 0
			for q := range n {
				p := q
				if backwards {
					p = n - 1 - q
				}
				k := cell(p)
				if !metal(k) {
					since = 0
					continue
				}
				if since < steps {
					out[k] = true
				}
				since = min(far, since+1)
			}
		}
	}
	for j := range g.NY {
		mark(g.NX, rx, func(i int) int { return j*g.NX + i })
	}
	for i := range g.NX {
		mark(g.NY, ry, func(j int) int { return j*g.NX + i })
	}
	return out
}

// parted is what the rim and the inside of a face are like.
type parted struct {
	rimBears, insideBears float64 // share within the film
	rimGap, insideGap     float64 // mean, um
}

func (f rested) parted(rim []bool) (p parted) {
	var rimCells, insideCells float64
	for k, z := range f.heights.Z {
		if z != z {
			continue
		}
		cells, bears, gap := &insideCells, &p.insideBears, &p.insideGap
		if rim[k] {
			cells, bears, gap = &rimCells, &p.rimBears, &p.rimGap
		}
		*cells++
		*gap += f.gap(k)
		if f.mask[k] {
			*bears++
		}
	}
	rimCells, insideCells = math.Max(1, rimCells), math.Max(1, insideCells)
	p.rimBears /= rimCells
	p.rimGap /= rimCells
	p.insideBears /= insideCells
	p.insideGap /= insideCells
	return p
}

// evenness of rim and inside: the smaller bearing over the larger, 1 when alike.
func (p parted) evenness() float64 {
	if lo, hi := math.Min(p.rimBears, p.insideBears), math.Max(p.rimBears, p.insideBears); hi > 0 {
		return lo / hi
	}
	return 0
}

// rimTells is the share that rim or inside bears from which it can be said which of
// them is the higher: assumed.
const rimTells = .05

// rimSays is why a rim that bears otherwise than the inside matters, and what is done
// about it: one that bears less is low, and a cut would lower it further.
func (p parted) rimSays() (why, next string) {
	switch {
	case math.Max(p.rimBears, p.insideBears) < rimTells:
		return "Where next to nothing bears, nobody can say whether the rim is high or low.",
			"Bring the whole face to bear first, and judge the rim then."
	case p.rimBears < p.insideBears:
		return "A rim that hangs lets dirt in, and the part stands on less than its breadth.",
			"Leave the rim alone, and bring the inside down to it."
	}
	return "A rim that stands high carries the whole part.",
		"Cut the blue of the rim with its neighbours, starting at the edge, until the inside bears as much."
}

// tiltUM is how far the seat rises over the length and over the width together
// against the frame of the part, whose plane the underside is taken for.
func (f rested) tiltUM() float64 {
	x0, y0, x1, y1 := f.heights.Edges()
	return math.Abs(f.plane.B)*(x1-x0) + math.Abs(f.plane.C)*(y1-y0)
}

// depthUM is the gap under the seat that 99 % of the face does not exceed: the
// deepest place, whatever one cell is like.
func (f rested) depthUM() float64 {
	gaps := make([]float64, 0, len(f.heights.Z))
	for k, z := range f.heights.Z {
		if z == z {
			gaps = append(gaps, f.gap(k))
		}
	}
	return math.Max(0, nth(gaps, len(gaps)*99/100))
}
