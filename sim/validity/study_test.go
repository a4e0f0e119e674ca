package validity

import (
	"reflect"
	"testing"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/score"
)

// On a part of each family the careful hand is far above those with a gross flaw,
// doing nothing is worth nothing, ruining a part is worth less, and the same trial
// comes out the same.
func TestGrossFlawsLose(t *testing.T) {
	for seed := uint64(1); seed <= uint64(len(Families)); seed++ {
		part, err := Begin(score.Standard(), seed)
		if err != nil {
			t.Fatal(err)
		}
		do := func(name string) Row {
			row, err := Trial{Hand: name, Seed: seed}.Do(part)
			if err != nil {
				t.Fatal(err)
			}
			return row
		}
		careful := do(Careful)
		if seed == 1 && !reflect.DeepEqual(careful, do(Careful)) {
			t.Error("the same trial comes out otherwise")
		}
		if idle := do("idle"); idle.Total != 0 || idle.Passed {
			t.Errorf("seed %d: doing nothing is marked %+v", seed, idle)
		}
		for _, name := range []string{"random", "hollow-chaser", "over-cutter", "rim-sparer"} {
			if row := do(name); row.Total >= 0 || row.Passed || row.Total > careful.Total-40 {
				t.Errorf("seed %d: %s has %.1f, careful %.1f", seed, name, row.Total, careful.Total)
			}
		}
	}
}

// A study of made-up rows says what was put in.
func TestStudyOfMadeUpRows(t *testing.T) {
	const seeds = 8
	level := map[string]float64{"careful": 90, "careful-10": 70, "careful-20": 50, "careful-40": 30, "careful-70": 10}
	var rows []Row
	for _, trial := range Plan(seeds) {
		total, ok := level[trial.Hand]
		if !ok {
			total = -float64(len(trial.Hand))
		}
		total += float64(trial.Seed%3) + .5*float64(trial.Repeat)
		rows = append(rows, Row{Trial: trial, Total: total, Passed: total > 60, Cycles: 10, Lost: map[string]float64{"frame-poor": 100 - total}})
	}
	s, err := Make(seeds, rows, []Chain{{N: 1, Hand: "idle", Tried: 50, BestFailing: 12, Passing: []Passing{{Change: 3, Total: 70}, {Change: 4, Total: 71, Lacks: "block"}}}})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Hands) != len(Hands()) || !s.Falls || s.Weights.LeastTau != 1 {
		t.Errorf("%d hands, falls %v, weights %+v", len(s.Hands), s.Falls, s.Weights)
	}
	if s.Retest.Value < .99 || s.Parts.Seed > .01 || s.Parts.Hand < .99 || s.HalvesTau < .9 {
		t.Errorf("retest %+v, components %+v, halves %g", s.Retest, s.Parts, s.HalvesTau)
	}
	if e := s.Exploits; e.Tried != 50 || e.BestFailing != 12 || e.From != "idle" || e.Passing != 2 || e.BestPassing != 71 || e.Lacking != 1 || e.Above != 0 {
		t.Errorf("%+v", s.Exploits)
	}
	for _, h := range s.Hands {
		if h.Name != Careful && h.AUC.Value != 1 {
			t.Errorf("careful over %s: %+v", h.Name, h.AUC)
		}
	}
	if s.Text() == "" {
		t.Error("no text")
	}
	if _, err := Make(seeds, rows[1:], nil); err == nil {
		t.Error("a row that is missing was not missed")
	}
}

// Random changes to a run are tried to the full number, and none is an exploit.
func TestHunt(t *testing.T) {
	c, err := Hunt(1, score.Standard())
	if err != nil {
		t.Fatal(err)
	}
	again, err := Hunt(1, score.Standard())
	if err != nil || !reflect.DeepEqual(c, again) {
		t.Errorf("the same chain comes out otherwise: %+v, %+v, %v", c, again, err)
	}
	if c.Tried != ChainLength || c.BestFailing > 80 {
		t.Errorf("%+v", c)
	}
}

// The search for a blind schedule comes out the same again, and no worse for
// searching longer.
func TestSearchSchedule(t *testing.T) {
	told := 0
	first, marks, err := SearchSchedule(2, score.Standard(), func(int, hand.Schedule, float64) { told++ })
	if err != nil {
		t.Fatal(err)
	}
	again, same, err := SearchSchedule(2, score.Standard(), nil)
	if err != nil || first != again || marks != same || told == 0 {
		t.Errorf("%+v %g, then %+v %g, %v", first, marks, again, same, err)
	}
}
