package iron

import (
	"math"

	"github.com/before-iron/beforeiron/sim/run"
)

// layReach is the half side, in cells, of the square whose slopes tell the lay
// of a machined cell.
const layReach = 5

// evenReach is how far along its lay, in cells, the slopes of a machined cell are
// evened.
const evenReach = 4

// packer packs rows of an appearance. Cells that no stroke has crossed carry no
// lay; their feed marks or grinding lines do, and it is read from the slopes by
// their structure tensor: slopes point across the lines.
//
// Feed marks are hardly broader than a cell, so that cells cut them into a weave
// that no cutter leaves. What is drawn of them is therefore evened along the lay,
// and the shader draws fine lines along it in its place. This is drawing only: the
// run's heights, and the print, are what they are.
type packer struct {
	a *run.Appearance
	// Sums down the columns, over 2 layReach + 1 rows, of slope x squared, slope
	// y squared and their product, for the rows about next - 1.
	xx, yy, xy []int32
	next       int
	from, to   int // columns that are summed
}

// newPacker packs rows within columns i0 to i1 of a.
func newPacker(a *run.Appearance, i0, i1 int) *packer {
	n := a.NX
	return &packer{
		a: a, xx: make([]int32, n), yy: make([]int32, n), xy: make([]int32, n), next: -1,
		from: max(0, i0-layReach), to: min(n, i1+layReach),
	}
}

func (p *packer) addRow(j int, sign int32) {
	if j < 0 || j >= p.a.NY {
		return
	}
	row := j * p.a.NX
	for i := p.from; i < p.to; i++ {
		x, y := int32(p.a.SlopeX[row+i]), int32(p.a.SlopeY[row+i])
		p.xx[i] += sign * x * x
		p.yy[i] += sign * y * y
		p.xy[i] += sign * x * y
	}
}

// relief packs cells i0 to i1 of row j. Rows are asked for in rising order.
func (p *packer) relief(j, i0, i1 int, out []byte) {
	if p.next != j {
		clear(p.xx)
		clear(p.yy)
		clear(p.xy)
		for o := -layReach; o <= layReach; o++ {
			p.addRow(j+o, 1)
		}
	} else {
		p.addRow(j+layReach, 1)
		p.addRow(j-layReach-1, -1)
	}
	p.next = j + 1

	a := p.a
	row := j * a.NX
	var xx, yy, xy int32
	add := func(i int, sign int32) {
		if i >= 0 && i < a.NX {
			xx += sign * p.xx[i]
			yy += sign * p.yy[i]
			xy += sign * p.xy[i]
		}
	}
	for i := i0 - layReach; i < i0+layReach; i++ {
		add(i, 1)
	}
	for i := i0; i < i1; i++ {
		add(i+layReach, 1)
		k := row + i
		c, s := a.LayCos[k], a.LaySin[k]
		x, y := a.SlopeX[k], a.SlopeY[k]
		if c == 0 && s == 0 {
			d := directionOf(xx, yy, xy)
			c, s = d.cos, d.sin
			x, y = p.evened(i, j, d)
		}
		o := out[4*(i-i0):]
		o[0], o[1] = 128+byte(x), 128+byte(y)
		o[2], o[3] = 128+byte(c), 128+byte(s)
		add(i-layReach, -1)
	}
}

// evened is the mean slope of machined cells along a lay, about cell (i, j).
func (p *packer) evened(i, j int, d *direction) (x, y int8) {
	a := p.a
	k := j*a.NX + i
	sx, sy, n := int(a.SlopeX[k]), int(a.SlopeY[k]), 1
	for _, step := range d.along {
		u, v := i+step[0], j+step[1]
		if u < 0 || v < 0 || u >= a.NX || v >= a.NY {
			continue
		}
		if q := k + step[1]*a.NX + step[0]; a.LayCos[q] == 0 && a.LaySin[q] == 0 {
			sx, sy, n = sx+int(a.SlopeX[q]), sy+int(a.SlopeY[q]), n+1
		}
	}
	return int8(sx / n), int8(sy / n)
}

// direction is one of the directions that a machined lay is drawn in: cos 2a and
// sin 2a, times 127, and the cells along it. Few directions keep the fine lines
// straight, where one that turned from cell to cell would bend them into rings.
type direction struct {
	cos, sin int8
	along    [][2]int
}

// directions are 48 over half a turn, and none; pointing finds them by cos 2a and
// sin 2a, each in as many steps as pointing has along a side.
var (
	noDirection = &direction{}
	directions  [48]direction
	pointing    [128][128]*direction
)

func init() {
	for n := range directions {
		twice := 2 * math.Pi * float64(n) / float64(len(directions))
		d := &directions[n]
		d.cos, d.sin = int8(math.Round(127*math.Cos(twice))), int8(math.Round(127*math.Sin(twice)))
		for t := -evenReach; t <= evenReach; t += 2 {
			if t != 0 {
				d.along = append(d.along, [2]int{
					int(math.Round(float64(t) * math.Cos(twice/2))), int(math.Round(float64(t) * math.Sin(twice/2)))})
			}
		}
	}
	half := float64(len(pointing)-1) / 2
	for y := range pointing {
		for x := range pointing[y] {
			turns := math.Atan2(float64(y)-half, float64(x)-half) / (2 * math.Pi)
			n := int(math.Round(turns * float64(len(directions))))
			pointing[y][x] = &directions[(n+len(directions))%len(directions)]
		}
	}
}

// faintSlopes is the sum of squared slopes, in steps, under which a
// neighbourhood counts as lines of no direction.
const faintSlopes = 40

// leastAgreed is the share of the slopes of a neighbourhood that must agree on a
// direction for it to count as one.
const leastAgreed = .12

// directionOf is the direction of the lines whose slopes have these sums of
// squares.
func directionOf(xx, yy, xy int32) *direction {
	u, v := float64(yy-xx), float64(-2*xy)
	size := math.Sqrt(u*u + v*v)
	if size <= leastAgreed*(float64(xx+yy)+faintSlopes) {
		return noDirection
	}
	half := float64(len(pointing)-1) / 2
	return pointing[int(half*(v/size+1)+.5)][int(half*(u/size+1)+.5)]
}
