package debrief

import (
	"math"
	"slices"
	"testing"

	"github.com/before-iron/beforeiron/render/scene/trial"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// What is shown of a cut lies where the cut was, and tells metal that carried
// colour from metal that carried none: above zero, and below.
func TestShowsWhereItWasCut(t *testing.T) {
	corner := lay.Paint(100, 100, 75, func(i, j int) bool { return i < 20 && j < 15 })
	middle := lay.Paint(100, 100, 75, func(i, j int) bool { return i > 35 && i < 60 && j > 25 && j < 45 })
	cut := func(region lay.Region) run.Act {
		return run.Act{Cut: &run.Cut{Depth: 600, Area: &run.Area{Region: region, Dir: 785, Length: 1200, Spacing: 800}}}
	}
	acts := append(trial.Print(), cut(corner), cut(middle), run.Act{Wipe: &run.Wipe{What: "part"}})
	r := trial.Coupon(t, 19, append(acts, trial.Print()...)...)
	log := &run.Log{Header: r.Header(), Entries: r.Entries()}
	v, err := review.Of(log, score.Standard(), nil)
	if err != nil {
		t.Fatal(err)
	}
	f := cutOf(&v.Cycles[0])
	at := func(x, y float64) float32 { return f.V[int(y/75*float64(f.H))*f.W+int(x/100*float64(f.W))] }
	if z := at(80, 60); z == z {
		t.Errorf("far from the cuts it shows %g um cut", z)
	}
	above, below := 0, 0
	for _, p := range v.Cycles[0].Removed.V {
		if p > .2 {
			above++
		}
	}
	for _, z := range f.V {
		if z == z {
			above--
		}
		if z < 0 {
			below++
		}
	}
	if above != 0 || below == 0 {
		t.Errorf("%d elements were cut and are not shown; %d are shown as cut where there was no colour, want some: the middle of this face carries none", above, below)
	}
	cycles := cyclesOf(log.Entries)
	if len(cycles) != 2 || cycles[0].acts != 4 || cycles[0].film != 8 || cycles[1].acts != len(log.Entries) {
		t.Errorf("the log has the cycles %+v", cycles)
	}
}

// A field spread over the cells of a face keeps a slope, and leaves out what it
// has no value for.
func TestSpreadOver(t *testing.T) {
	f := &review.Field{W: 4, H: 2, V: []float32{0, 1, 2, 3, 0, 1, 2, 3}}
	for i, v := range spreadOver(f, 16, 4)[:16] {
		want := max(0, min(3, (float64(i)+.5)/4-.5))
		if math.Abs(float64(v)-want) > 1e-6 {
			t.Errorf("cell %d of a slope is %g, want %g", i, v, want)
		}
	}
	f.V[0] = nan
	out := spreadOver(f, 16, 4)
	if out[0] == out[0] {
		t.Errorf("where there is no value stands %g", out[0])
	}
	if out[6] != out[6] {
		t.Error("where there is a value stands none")
	}
}

// The window lists losses by their cost alone, and none that would be written as 0.0;
// what to try next is still said of what could have been done otherwise.
func TestLossesByCost(t *testing.T) {
	r := &score.Report{Losses: []score.Loss{{Rule: "new-low", Cost: 3}, {Rule: "stopped-late", Cost: .04}, {Rule: "target-missed", Cost: 15}, {Rule: "blunt", Cost: .05}}}
	var got []string
	for _, l := range listed(r) {
		got = append(got, l.Rule)
	}
	if want := []string{"target-missed", "new-low", "blunt"}; !slices.Equal(got, want) {
		t.Errorf("listed as %v, want %v", got, want)
	}
	if first := r.Dearest()[0].Rule; first != "new-low" {
		t.Errorf("what to try next is said of %s", first)
	}
}
