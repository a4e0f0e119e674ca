package hand

import (
	"math"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/run"
)

// care is what a careful hand does besides, because of what can go wrong on a job.
// The zero value is a job on which nothing can.
type care struct {
	passes  int         // of the roller over the master; 0 are the usual
	chamfer bool        // breaks the edges first
	slender bool        // proves the form on two supports before it trusts a print
	wet     bool        // cuts under a lubricant
	places  []run.Place // on the master, in turn; none: its middle
	hurried bool        // wipes nothing off the part and prints on what colour there is
}

// heedless is the care of a hand that knows of no bad day.
var heedless = care{passes: 1, hurried: true}

// Figures of a hand that takes care.
const (
	evenPasses = 6      // of the roller
	rubRoomMM  = 30     // that it leaves round a part on a plate, both sides together
	settleMS   = 10_000 // in which a hand that does not think of warmth squares the part up
	// slenderRatio is the length over the thickness from which a part is taken to
	// lie down on the master: 500 x 25 mm sags 10 um on its ends, 500 x 50 mm 2.5
	// (common practice, and the closed form 5/384 w L^4/EI).
	slenderRatio = 14
)

// careFor is the care that a job asks for.
func careFor(r *run.Run) (c care) {
	s := r.Header().Setup
	e := s.Effects
	if e.Film {
		c.passes = evenPasses
	}
	c.chamfer = e.Edges
	c.wet = s.Part.Metal == blade.Steel.Name
	x0, y0, x1, y1 := r.Grid().Edges()
	thickness := s.Part.Stock.ThicknessMM
	if thickness == 0 {
		thickness = run.ThicknessMM
	}
	c.slender = e.Bending && x1-x0 > slenderRatio*thickness
	// A plate is worn least where nobody prints, and used all over it stays true.
	m := s.Master
	if (e.Path || e.Wear) && !m.OnPart() {
		dx, dy := int(50*math.Max(0, m.LengthMM-(x1-x0)-rubRoomMM)), int(50*math.Max(0, m.WidthMM-(y1-y0)-rubRoomMM))
		if dx > 0 || dy > 0 {
			c.places = []run.Place{{X: -dx, Y: -dy}, {X: dx, Y: dy}, {X: -dx, Y: dy}, {X: dx, Y: -dy}}
		}
	}
	return c
}

// breakEdges chamfers the part where its edges came sharp.
func (w *careful) breakEdges() error {
	if !w.care.chamfer {
		return nil
	}
	_, err := w.Do(run.Act{Chamfer: &run.Chamfer{Width: 50}})
	return err
}

// Figures of proving a slender part.
const (
	// flattest are the supports, as a share of the length from either end, on which
	// a bar sags least (standard beam result).
	flattest  = 0.2232
	provenUM  = 1.5 // out of straight by the indicator, at which a form is let be
	provings  = 25
	windowMM  = 30.0 // over which the marks under the tip are evened out
	aboveUM   = 1.0  // over the lowest: what stands higher is cut
	provingUM = 5.0
)

// prove stands a slender part on two supports and takes down what the indicator
// shows to be high along it, until it is straight: on the master it lies down and
// hides that.
func (w *careful) prove() error {
	if !w.care.slender {
		return nil
	}
	x0, y0, x1, y1 := w.Grid().Edges()
	length, middle := x1-x0, int(50*(y0+y1))
	at := func(share float64) [2]int { return [2]int{int(100 * (x0 + share*length)), middle} }
	if _, err := w.Do(run.Act{Support: &run.Support{Points: [][2]int{at(flattest), at(1 - flattest)}}}); err != nil {
		return err
	}
	// It stops where a cut did no good: what is left is marks, and no form.
	before := math.Inf(1)
	for range provings {
		if _, err := w.Do(run.Act{Stone: &run.Stone{Passes: 1}}); err != nil {
			return err
		}
		if _, _, err := w.instrument(run.Act{Indicate: &run.Indicate{}}); err != nil {
			return err
		}
		high, out := highs(w.Trace(), windowMM)
		if out <= provenUM || out > before {
			break
		}
		before = out
		depth := math.Min(provingUM, math.Max(2, out/2))
		if err := w.rows(w.eye.along(high), depth, 10); err != nil {
			return err
		}
	}
	_, err := w.Do(run.Act{Support: &run.Support{}})
	return err
}

// highs tells where along a trace, mm, its evened line stands above the straight
// line through it by more than it has to be taken down, and how far out of
// straight that line is, um.
func highs(t run.Trace, window float64) (high func(x float64) bool, out float64) {
	n := len(t.XMM)
	even := make([]float64, n)
	lo, hi := 0, 0
	sum := 0.0
	for i, x := range t.XMM {
		for hi < n && t.XMM[hi] <= x+window/2 {
			sum += t.UM[hi]
			hi++
		}
		for t.XMM[lo] < x-window/2 {
			sum -= t.UM[lo]
			lo++
		}
		even[i] = sum / float64(hi-lo)
	}
	var mx, mz, sxx, sxz float64
	for i, x := range t.XMM {
		mx, mz = mx+x/float64(n), mz+even[i]/float64(n)
	}
	for i, x := range t.XMM {
		sxx += (x - mx) * (x - mx)
		sxz += (x - mx) * (even[i] - mz)
	}
	least, most := math.Inf(1), math.Inf(-1)
	for i, x := range t.XMM {
		even[i] -= mz + sxz/sxx*(x-mx)
		least, most = math.Min(least, even[i]), math.Max(most, even[i])
	}
	level := least + math.Max(aboveUM, (most-least)/2)
	return func(x float64) bool {
		k := 0
		for i := range t.XMM {
			if math.Abs(t.XMM[i]-x) < math.Abs(t.XMM[k]-x) {
				k = i
			}
		}
		return even[k] > level
	}, most - least
}
