package work_test

import (
	"reflect"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// The coach of a run that is opened again knows what the coach knew that was there all
// the time: it does not fault the skin that two passes broke before, and does fault it
// where only one did.
func TestTheCoachOfAReopenedRunKnowsItsPast(t *testing.T) {
	all := func(i, j int) bool { return true }
	corner := func(i, j int) bool { return i < 10 && j < 10 }
	for _, passes := range []int{1, 2} {
		s := store.Store{Folder: store.NewMemory()}
		l, err := lessons.Load("coupon")
		if err != nil {
			t.Fatal(err)
		}
		w, err := work.BeginLesson(s, l, 1, 1)
		if err != nil {
			t.Fatal(err)
		}
		x0, y0, x1, y1 := w.Run.Grid().Edges()
		nx, ny := int((x1-x0)/2), int((y1-y0)/2)
		rows := func(on func(i, j int) bool, dir int) run.Act {
			return run.Act{Cut: &run.Cut{Depth: 400, Area: &run.Area{Region: lay.Paint(200, nx, ny, on), Dir: dir, Length: 1200, Spacing: 800}}}
		}
		do := func(w *work.Work, acts ...run.Act) (said []string) {
			t.Helper()
			w.Do(acts...)
			for w.Busy() {
				w.Step(time.Second, 0)
				for _, e := range w.Ended() {
					for _, a := range e.Said {
						said = append(said, a.ID)
					}
				}
			}
			if err := w.Err(); err != nil {
				t.Fatal(err)
			}
			return said
		}
		for i := range passes {
			do(w, rows(all, 785*(1-2*(i%2))))
		}
		do(w, bench.FirstPrint(8)...)
		again := reopened(t, s, w.Name)
		if !reflect.DeepEqual(w.Coach, again.Coach) {
			t.Errorf("after %d passes the coach knows %+v, not %+v", passes, again.Coach, w.Coach)
		}
		faulted := false
		for _, id := range do(again, rows(corner, 785)) {
			faulted = faulted || id == "skin-first"
		}
		if faulted != (passes < 2) {
			t.Errorf("after %d passes over the whole face, the skin is faulted: %v", passes, faulted)
		}
	}
}
