package trial

import (
	"testing"
	"time"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// Print is one print with a film of 8 um, of a part that is clean.
func Print() []run.Act {
	return []run.Act{{Roll: &run.Roll{Film: 800}}, {Place: &run.Place{}}, {Rub: &run.Rub{Path: [][2]int{{100, 0}}}}, {Lift: &run.Lift{}}}
}

// Coupon is a run of the practice coupon in which so much was done.
func Coupon(t testing.TB, seed uint64, acts ...run.Act) *run.Run {
	t.Helper()
	l, err := lessons.Load("coupon")
	if err != nil {
		t.Fatal(err)
	}
	r, err := l.Begin(seed, seed, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range acts {
		if _, err := r.Do(a); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

// Do does acts of a run on the bench, to the end.
func Do(t testing.TB, w *work.Work, acts ...run.Act) {
	t.Helper()
	w.Do(acts...)
	for w.Busy() {
		w.Step(time.Second, 0)
	}
	if err := w.Err(); err != nil {
		t.Fatal(err)
	}
}
