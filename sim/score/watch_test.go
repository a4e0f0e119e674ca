package score

import (
	"reflect"
	"testing"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
)

// A watch that goes on aside marks the end as one that saw all of it, and leaves
// the first as it was.
func TestWatchAside(t *testing.T) {
	r := begin(t, pad())
	w := NewWatch(r.Header().Setup.Target)
	if err := w.See(r, nil); err != nil {
		t.Fatal(err)
	}
	r.Record = func(e run.Entry) error { return w.See(r, &e) }
	if err := (hand.Careless{}).Work(r, 3, nil); err != nil {
		t.Fatal(err)
	}
	if got, want := mustReport(t, w, r), marked(t, r); !reflect.DeepEqual(got, want) {
		t.Errorf("followed as it is worked the run has\n%+v\nand made again\n%+v", got, want)
	}

	r = begin(t, pad())
	w = NewWatch(r.Header().Setup.Target)
	if err := w.See(r, nil); err != nil {
		t.Fatal(err)
	}
	r.Record = func(e run.Entry) error { return w.See(r, &e) }
	x := run.Act{Cut: &run.Cut{Depth: 900, Stroke: &run.Line{From: [2]int{1000, 1000}, To: [2]int{3000, 1000}}}}
	do(t, r, run.Act{Roll: &run.Roll{Film: 500}}, run.Act{Place: &run.Place{}}, run.Act{Rub: &run.Rub{Path: [][2]int{{500, 0}, {0, 0}}}}, run.Act{Lift: &run.Lift{}}, x)
	before := mustReport(t, w, r)
	a, err := r.Aside(9)
	if err != nil {
		t.Fatal(err)
	}
	v := w.Aside()
	a.Record = func(e run.Entry) error { return v.See(a, &e) }
	if err := (hand.Careful{Midway: true}).Work(a, 4, nil); err != nil {
		t.Fatal(err)
	}
	if after := mustReport(t, w, r); !reflect.DeepEqual(after, before) {
		t.Error("what was watched aside reached the first watch")
	}
	got, want := mustReport(t, v, a), before
	if got.Digest == want.Digest || got.Cycles < 2 || got.Marks == want.Marks {
		t.Errorf("aside came to %+v", got)
	}
	if f := got.PerCycle[got.Cycles-1]; f.PointsPerIn2 != nil {
		t.Error("figures of each print were reckoned aside")
	}
}

func mustReport(t *testing.T, w *Watch, r *run.Run) *Report {
	t.Helper()
	rep, err := w.Report(r)
	if err != nil {
		t.Fatal(err)
	}
	return rep
}
