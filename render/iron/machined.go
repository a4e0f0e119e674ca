package iron

import (
	"math"

	"github.com/before-iron/beforeiron/sim/run"
)

// layReach is the half side, in cells, of the square whose slopes tell the lay
// of a machined cell.
const layReach = 2

// packer packs rows of an appearance. Cells that no stroke has crossed carry no
// lay; their feed marks or grinding lines do, and it is read from the slopes by
// their structure tensor: slopes point across the lines.
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
		if c == 0 && s == 0 {
			c, s = layOf(xx, yy, xy)
		}
		o := out[4*(i-i0):]
		o[0], o[1] = 128+byte(a.SlopeX[k]), 128+byte(a.SlopeY[k])
		o[2], o[3] = 128+byte(c), 128+byte(s)
		add(i-layReach, -1)
	}
}

// faintSlopes is the sum of squared slopes, in steps, under which a
// neighbourhood counts as lines of no direction.
const faintSlopes = 40

// layOf is cos 2a and sin 2a, times 127 and the share of the slopes that agree,
// of the lines whose slopes have these sums of squares.
func layOf(xx, yy, xy int32) (c, s int8) {
	u, v := float64(yy-xx), float64(-2*xy)
	size := math.Sqrt(u*u + v*v)
	if size == 0 {
		return 0, 0
	}
	agree := size / (float64(xx+yy) + faintSlopes)
	return int8(127 * agree * u / size), int8(127 * agree * v / size)
}
