package par_test

import (
	"reflect"
	"testing"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/par"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

func pad() run.Setup {
	return run.Setup{
		Part:   run.Part{Recipe: &surface.Recipe{LengthMM: 44, WidthMM: 36, PitchMM: .4, RangeUM: 15, Finish: surface.Milled}},
		Master: seat.Master{Grade: seat.True},
		Blade:  run.Change{Radius: 9000, Width: 2000, Handle: 524},
		Hand:   lay.Skilled,
		Target: run.Target{FilmUM: 2.5, PointsPerIn2: 20, FrameMin: 12, AreaPct: [2]float64{30, 50}, BridgedUM: 5, BareUM: [2]float64{3, 8}},
	}
}

func work(t *testing.T, h hand.Hand, cycles int) *run.Log {
	t.Helper()
	r, err := run.New(pad(), "", 5, 5, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	if err := h.Work(r, cycles, nil); err != nil {
		t.Fatal(err)
	}
	return &run.Log{Header: r.Header(), Entries: r.Entries()}
}

// Each way of departing from the careful hand is found where it begins, and the
// careful hand does not part from itself.
func TestWhereTheyParted(t *testing.T) {
	own := work(t, hand.Careful{}, 20)
	careful, err := par.Work(own.Header, 20, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(own.Entries, careful.Entries) {
		t.Error("the careful hand's own run is not par")
	}
	if p, ok := par.Part(own, careful); ok {
		t.Errorf("the careful hand parts from itself: %+v", p)
	}
	for _, c := range []struct {
		kind  string
		cycle int
		hand  hand.Hand
	}{
		{"depth", 1, hand.Careful{Depth: 2.5}},
		{"press", 1, hand.Careful{PressN: 30}},
		{"place", 1, hand.Careful{Dots: true}},
		{"place", 2, hand.Careful{Aim: hand.AtBare}},
		{"stop", 1, hand.Idle{}},
	} {
		p, ok := par.Part(work(t, c.hand, 20), careful)
		if !ok || p.Kind != c.kind || p.Cycle != c.cycle || p.Own == "" || p.Own == p.Par {
			t.Errorf("%+v parted: %v %+v, want %s in cycle %d", c.hand, ok, p, c.kind, c.cycle)
		}
	}
	short := work(t, hand.Careful{StopMean: true}, 20)
	if p, ok := par.Part(short, careful); !ok || p.Kind != "stop" {
		t.Errorf("stopping early: %v %+v", ok, p)
	}
}

// The two runs stand side by side print by print, and neither is below the bounds.
func TestSideBySideAndBounds(t *testing.T) {
	own := work(t, hand.Careful{StopMean: true}, 20)
	careful, err := par.Work(own.Header, 20, nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := score.Mark(own, nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := score.Mark(careful, nil)
	if err != nil {
		t.Fatal(err)
	}
	sides := par.SideBySide(a, b)
	if len(sides) != max(a.Cycles, b.Cycles) || sides[0].Own == nil || sides[0].Par == nil || sides[len(sides)-1].Par == nil {
		t.Fatalf("%d sides of %d and %d prints", len(sides), a.Cycles, b.Cycles)
	}
	if *sides[0].Own.AreaPct != *sides[0].Par.AreaPct {
		t.Error("one part, and the first prints differ")
	}
	if b.Least.Cycles > b.Cycles || b.Least.Cycles < 1 || b.Least.MetalMM3 < 0 {
		t.Errorf("bounds %+v, and the careful hand took %d prints", b.Least, b.Cycles)
	}
}
