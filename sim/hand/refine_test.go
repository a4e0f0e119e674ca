package hand_test

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// The strokes that bring a coupon to bearing at 0.2 mm pitch, laid again on the
// same coupon at 0.1 mm, come to the same points within a tenth: what a face bears
// is no matter of the grid.
func TestDoublingTheGridMovesPointsLittle(t *testing.T) {
	l, err := lessons.Load("coupon")
	if err != nil {
		t.Fatal(err)
	}
	for seed := uint64(1); seed <= 3; seed++ {
		worked, err := run.New(l.Setup, "coupon", seed, seed, "", "test")
		if err != nil {
			t.Fatal(err)
		}
		if err := (hand.Careful{}).Work(worked, allowance, nil); err != nil {
			t.Fatal(err)
		}
		coarse, fine := layAgain(t, worked, .2), layAgain(t, worked, .1)
		truth, err := worked.Truth()
		if err != nil {
			t.Fatal(err)
		}
		for k, z := range coarse.Heights(nil).Z {
			if z != truth.Z[k] {
				t.Fatalf("seed %d: strokes laid again at the same pitch end in other heights", seed)
			}
		}
		a, b := points(t, coarse.Heights(nil)), points(t, fine.Heights(nil))
		t.Logf("seed %d: %.1f points/in^2 at 0.2 mm, %.1f at 0.1 mm", seed, a, b)
		if math.Abs(b/a-1) >= .1 {
			t.Errorf("seed %d: %.1f points/in^2 at 0.2 mm become %.1f at 0.1 mm", seed, a, b)
		}
	}
}

// layAgain lays the very strokes of a run, with the stonings between them, on
// its part made anew at another pitch.
func layAgain(t *testing.T, worked *run.Run, pitch float64) *surface.Face {
	t.Helper()
	h := worked.Header()
	again, err := run.Begin(h)
	if err != nil {
		t.Fatal(err)
	}
	recipe := *h.Setup.Part.Recipe
	recipe.PitchMM, recipe.Seed = pitch, h.PartSeed
	face, err := surface.Build(recipe)
	if err != nil {
		t.Fatal(err)
	}
	cutter := blade.NewCutter(face)
	for _, e := range worked.Entries() {
		job, err := again.Apply(e.Act)
		if err != nil {
			t.Fatal(err)
		}
		for !job.Ended() {
			scraper := again.Blade()
			stroke, isStroke := job.Stroke(job.Done())
			if _, err := job.Step(1); err != nil {
				t.Fatal(err)
			}
			switch {
			case isStroke:
				cutter.Cut(scraper, stroke)
			case e.Act.Stone != nil:
				blade.Stone(face)
			}
		}
	}
	return face
}

func points(t *testing.T, m *surface.Map) float64 {
	t.Helper()
	s, err := seat.OnBed(m, seat.Weight(m), seat.Stiffness)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := gauge.Bearing(m, s.Plane, 2.5, gauge.DefaultRule)
	return *b.PerIn2
}
