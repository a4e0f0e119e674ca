package debrief

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// A plane has no truth to show: levelled, it is flat; and smoothing leaves what
// varies slowly as it is.
func TestLevelAndSmooth(t *testing.T) {
	p := &pictures{w: 60, h: 40}
	z := make([]float64, 60*40)
	for k := range z {
		z[k] = 3 + .2*float64(k%60) - .7*float64(k/60)
	}
	z[7] = math.NaN()
	p.level(z)
	for k, v := range z {
		if v == v && math.Abs(v) > 1e-9 {
			t.Fatalf("element %d of a levelled plane is %g", k, v)
		}
	}
	for k := range z {
		z[k] = 5
	}
	z[7] = math.NaN()
	for k, v := range p.smooth(z) {
		if math.Abs(v-5) > 1e-9 {
			t.Fatalf("element %d of a smoothed level is %g", k, v)
		}
	}
}

// What a review shows of a cut lies where the cut was, and tells metal that
// carried colour from metal that carried none.
func TestReviewShowsWhereItWasCut(t *testing.T) {
	l, err := lessons.Load("coupon")
	if err != nil {
		t.Fatal(err)
	}
	r, err := l.Begin(19, 1, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	print := []run.Act{{Roll: &run.Roll{Film: 800}}, {Place: &run.Place{}}, {Rub: &run.Rub{Path: [][2]int{{100, 0}}}}, {Lift: &run.Lift{}}}
	corner := lay.Paint(100, 100, 75, func(i, j int) bool { return i < 20 && j < 15 })
	acts := append(append([]run.Act(nil), print...),
		run.Act{Predict: &run.Predict{Region: corner, Sure: 3}},
		run.Act{Cut: &run.Cut{Depth: 1000, Area: &run.Area{Region: corner, Dir: 0, Length: 1000, Spacing: 800}}})
	for _, a := range append(acts, print...) {
		if _, err := r.Do(a); err != nil {
			t.Fatal(err)
		}
	}
	v := startReview(&run.Log{Header: r.Header(), Entries: r.Entries()}, "blue")
	for {
		if _, _, over, err := v.snapshot(); over {
			if err != nil {
				t.Fatal(err)
			}
			break
		}
	}
	cycles, _, _, _ := v.snapshot()
	if len(cycles) != 2 || cycles[0].cut == nil || cycles[1].cut != nil {
		t.Fatalf("%d cycles, want two, with a cut after the first alone", len(cycles))
	}
	if c := cycles[0].cuts; len(c) != 1 || c[0].strokes == 0 || !c[0].whole {
		t.Errorf("the cut is told as %+v", c)
	}
	if cycles[1].guess == nil || cycles[1].guess.Sure != 3 || cycles[1].met > .2 {
		t.Errorf("a guess of a bare corner is told as %+v, met %v", cycles[1].guess, cycles[1].met)
	}
	iron, _, _ := palette.Print("blue")
	m := cycles[0].cut
	inside, outside := 0, 0
	for k := range m.W * m.H {
		if m.Pix[4*k] == iron.R && m.Pix[4*k+1] == iron.G && m.Pix[4*k+2] == iron.B {
			continue
		}
		if x, y := float64(k%m.W)/float64(m.W)*100, float64(k/m.W)/float64(m.H)*75; x < 28 && y < 22 {
			inside++
		} else {
			outside++
		}
	}
	if inside == 0 || outside > 0 {
		t.Errorf("%d elements are shown cut in the corner that was, %d elsewhere", inside, outside)
	}
}
