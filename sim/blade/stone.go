package blade

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Parameters of the stone; the table in sim/PHYSICS.md gives ranges and sources.
const (
	// StoneReach is the half side, mm, of the flat stone that rides on the highs
	// around a place (assumed: a fine stone of 20 mm).
	StoneReach = 10.0
	// StoneTrace is what one pass takes off the highest tops, um: it must knock
	// burrs and not polish (common practice; the figure is assumed).
	StoneTrace = 0.05
	// BurrLeft is the share of a burr's height that a pass leaves (assumed).
	BurrLeft = 0.02
)

// Stone runs a flat fine stone over the whole face: burrs go down to a trace,
// and the tops that the stone rides on lose StoneTrace. It returns the volume of
// metal taken, burr aside, mm^3.
func Stone(f *surface.Face) float64 {
	highs := slidingMax(f, int(math.Round(StoneReach/f.DX)), int(math.Round(StoneReach/f.DY)))
	trace := surface.ToSteps(StoneTrace)
	var removed int64
	for k, h := range f.H {
		if b := f.Burr[k]; b > 0 {
			f.Burr[k] = uint16(float64(b) * BurrLeft)
		}
		if limit := highs[k] - trace; h > limit && f.Metal(k) {
			f.H[k] = limit
			removed += int64(h - limit)
		}
	}
	return float64(removed) / surface.StepsPerUM / 1000 * f.CellArea()
}

// slidingMax is the highest metal within rx columns and ry rows of each cell,
// in steps.
func slidingMax(f *surface.Face, rx, ry int) []int32 {
	out := make([]int32, len(f.H))
	for k, h := range f.H {
		out[k] = h
		if !f.Metal(k) {
			out[k] = math.MinInt32
		}
	}
	line := newMaxLine(max(f.NX, f.NY))
	for j := 0; j < f.NY; j++ {
		line.slide(out[j*f.NX:], 1, f.NX, rx)
	}
	for i := 0; i < f.NX; i++ {
		line.slide(out[i:], f.NX, f.NY, ry)
	}
	return out
}

// maxLine is the scratch space of a sliding maximum along a line of cells.
type maxLine struct {
	buf   []int32
	queue []int // indices with falling values, the maximum first
}

func newMaxLine(n int) maxLine { return maxLine{buf: make([]int32, n), queue: make([]int, n)} }

// slide replaces n values, stride apart, by the maximum within r of each.
func (l maxLine) slide(v []int32, stride, n, r int) {
	for i := 0; i < n; i++ {
		l.buf[i] = v[i*stride]
	}
	head, tail, next := 0, 0, 0
	for i := 0; i < n; i++ {
		for ; next < n && next <= i+r; next++ {
			for tail > head && l.buf[l.queue[tail-1]] <= l.buf[next] {
				tail--
			}
			l.queue[tail] = next
			tail++
		}
		for l.queue[head] < i-r {
			head++
		}
		v[i*stride] = l.buf[l.queue[head]]
	}
}
