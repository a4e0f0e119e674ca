package stage

import (
	"slices"

	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// Over is what is drawn over a face, in its own mm.
type Over struct {
	Region *lay.Region // painted, another one whenever it changes; nil for none
	Guess  bool        // the region is where blue is expected, not what is to be cut
	Bare   bool        // its outline alone, so that the colour under it is seen

	Ghosts []iron.Mark // marks as they would be cut
	Cut    [][2]float64
	Spare  *[2]float64

	Frame   *[2]float64 // first corner of the inch frame in hand
	Counted *[2]float64 // and of the one that was counted

	Brush *[3]float64 // middle and radius of the brush
	Cross *[2]float64 // where the keys are

	Map  *Map // laid over the metal, another one whenever it changes; nil for none
	Pins []Pin

	Trace  run.Trace // of an instrument along the middle row; empty for none
	TraceY float64   // that row
	Block  bool      // it was the gauge block

	Supports [][2]float64 // on which the part would stand
	Push     *[4]float64  // place and direction of a push in the hinge test
	Pivot    *[2]float64  // and where the part turned
	Master   *iron.Master // a master that is laid on the part, or lies beside it
}

// Map is values, um, over the cells of a face, x fastest; no number where the
// metal is to be seen.
type Map struct {
	UM    []float32
	Scale iron.Scale
}

// Pin is a numbered pin in a place, mm; the one looked at is Lit.
type Pin struct {
	X, Y float64
	N    int
	Lit  bool
}

// Same reports whether two overlays look alike.
func (o *Over) Same(p *Over) bool {
	return o.Region == p.Region && o.Guess == p.Guess && o.Bare == p.Bare &&
		slices.Equal(o.Ghosts, p.Ghosts) && slices.Equal(o.Cut, p.Cut) &&
		same(o.Spare, p.Spare) && same(o.Frame, p.Frame) && same(o.Counted, p.Counted) &&
		same(o.Brush, p.Brush) && same(o.Cross, p.Cross) &&
		o.Map == p.Map && slices.Equal(o.Pins, p.Pins) &&
		slices.Equal(o.Trace.UM, p.Trace.UM) && o.Block == p.Block &&
		slices.Equal(o.Supports, p.Supports) && same(o.Push, p.Push) && same(o.Pivot, p.Pivot) && same(o.Master, p.Master)
}

func same[T comparable](a, b *T) bool {
	return a == b || a != nil && b != nil && *a == *b
}
