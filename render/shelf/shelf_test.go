package shelf

import (
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/scene/trial"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// A run that goes another way on from one of the same name says so where it stands to
// go on with.
func TestAForkToGoOnWithIsNamed(t *testing.T) {
	desk := trial.Desk()
	l, err := lessons.Load("coupon")
	if err != nil {
		t.Fatal(err)
	}
	r, err := l.Begin(1, 1, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range []run.Act{{Roll: &run.Roll{Film: 800}}, {Place: &run.Place{}}, {Rub: &run.Rub{Path: [][2]int{{100, 0}}}}, {Lift: &run.Lift{}}} {
		if _, err := r.Do(a); err != nil {
			t.Fatal(err)
		}
	}
	log := &run.Log{Header: r.Header(), Entries: r.Entries()}
	if _, err := work.WriteFork(desk.Store, "first", log, len(log.Entries)); err != nil {
		t.Fatal(err)
	}
	s := New(desk, NewFront(), "")
	h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
	if err := h.Until(func() bool { return h.Node("resume") != nil && h.Node("reading") == nil }); err != nil {
		t.Fatal(err)
	}
	if n := h.Node("resume"); !strings.Contains(n.Label, "Another way from print 1") {
		t.Errorf("the fork to go on with is called %q", n.Label)
	}
}

// What is new stands side by side where there is room, and lessons are in sight without
// scrolling; the keys go along it in the order in which it is read.
func TestLessonsAreInSight(t *testing.T) {
	for _, scale := range []float64{1, 1.5} {
		s := New(trial.Desk(), NewFront(), "")
		h := drive.New(1280, 800, scale, func(u *kit.UI) { s.Tick(u) })
		h.Ticks(2)
		if n := h.Node("lessons.1"); n == nil || n.Visible().H < n.Rect.H {
			t.Errorf("at text %v the second lesson is not in sight", scale)
		}
		h.UI.FocusOn("today")
		h.Ticks(1)
		for _, id := range []string{"cards", "practice", "own", "class", "lessons.0"} {
			before := h.Node(h.UI.Focused()).Rect
			h.Key(kit.Tab)
			if now := h.Node(h.UI.Focused()); now.ID != id || now.Rect.Y < before.Y || now.Rect.Y == before.Y && now.Rect.X < before.X {
				t.Errorf("at text %v Tab goes to %q at %v from %v, want on to %q", scale, now.ID, now.Rect, before, id)
			}
		}
	}
}
