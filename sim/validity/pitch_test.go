package validity

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// The strokes by which the careful hand brings a part in, laid again exactly on the
// same part at half the pitch, come to the same outcome within two marks in the
// mean of a part of each family: the study's pitch is fine enough.
func TestHalvingThePitchMovesMarksLittle(t *testing.T) {
	sum := 0.0
	for seed := uint64(1); seed <= uint64(len(Families)); seed++ {
		acts := strokesOf(t, seed)
		coarse, fine := outcomeAt(t, seed, acts, PitchMM), outcomeAt(t, seed, acts, PitchMM/2)
		t.Logf("seed %d: outcome %.1f at %.1f mm, %.1f at %.1f mm", seed, coarse, PitchMM, fine, PitchMM/2)
		sum += fine - coarse
	}
	if moved := math.Abs(sum) / float64(len(Families)); moved >= 2 {
		t.Errorf("the mean outcome moves by %.2f marks", moved)
	}
}

func partAt(t *testing.T, seed uint64, pitch float64) run.Setup {
	t.Helper()
	s, err := Part(Trial{Seed: seed}.Family(), seed)
	if err != nil {
		t.Fatal(err)
	}
	s.Part.Recipe.PitchMM = pitch
	return s
}

// strokesOf is what the careful hand did to the metal, stroke by stroke as it was
// laid.
func strokesOf(t *testing.T, seed uint64) []run.Act {
	t.Helper()
	r, err := run.New(partAt(t, seed, PitchMM), "", seed, seed, "", "")
	if err != nil {
		t.Fatal(err)
	}
	if err := (hand.Careful{}).Work(r, Allowance, nil); err != nil {
		t.Fatal(err)
	}
	again, err := run.Begin(r.Header())
	if err != nil {
		t.Fatal(err)
	}
	var acts []run.Act
	for _, e := range r.Entries() {
		job, err := again.Apply(e.Act)
		if err != nil {
			t.Fatal(err)
		}
		for n := range job.Total() {
			if s, ok := job.Stroke(n); ok {
				acts = append(acts, run.Act{Cut: &run.Cut{
					Depth:  max(1, int(math.Round(s.DepthUM*100))),
					Stroke: &run.Line{From: [2]int{s.X0, s.Y0}, To: [2]int{s.X1, s.Y1}},
				}})
			}
		}
		if err := job.Finish(); err != nil {
			t.Fatal(err)
		}
		if e.Act.Stone != nil || e.Act.Change != nil || e.Act.Hone != nil {
			acts = append(acts, e.Act)
		}
	}
	return acts
}

// outcomeAt lays strokes with an exact hand and marks the face that is left.
func outcomeAt(t *testing.T, seed uint64, acts []run.Act, pitch float64) float64 {
	t.Helper()
	s := partAt(t, seed, pitch)
	s.Hand = lay.Hand{}
	r, err := run.New(s, "", seed, seed, "", "")
	if err != nil {
		t.Fatal(err)
	}
	w := score.NewWatch(s.Target)
	if err := w.See(r, nil); err != nil {
		t.Fatal(err)
	}
	seen := false
	for _, a := range acts {
		if _, err := r.Do(a); err != nil {
			t.Fatalf("%s: %v", a.Kind(), err)
		}
		// One cut is enough for the run not to count as idle; the heights are taken in
		// with the last stoning.
		if e := r.Entries()[len(r.Entries())-1]; e.Act.Cut != nil && !seen {
			seen = true
			if err := w.See(r, &e); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, err := r.Do(run.Act{Stone: &run.Stone{Passes: 1}}); err != nil {
		t.Fatal(err)
	}
	if err := w.See(r, &r.Entries()[len(r.Entries())-1]); err != nil {
		t.Fatal(err)
	}
	rep, err := w.Report(r)
	if err != nil {
		t.Fatal(err)
	}
	return rep.Marks.Outcome
}
