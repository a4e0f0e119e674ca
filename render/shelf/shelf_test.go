package shelf

import (
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/scene/trial"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// shown is the shelf of a desk once its runs are read.
func shown(t *testing.T, desk *scene.Desk) *drive.Hand {
	t.Helper()
	s := New(desk, NewFront(), "")
	h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
	if err := h.Until(func() bool { return h.Node("resume") != nil && h.Node("reading") == nil }); err != nil {
		t.Fatal(err)
	}
	return h
}

// A fork stands below the run that it is another way on from, and says no more than that.
// Where that run is not on the shelf, or stands elsewhere to be gone on with, the fork says
// what it is a fork of.
func TestAForkIsNamed(t *testing.T) {
	const other, of = "Another way from print 1", "Practice coupon, surface 1"
	desk, first := trial.Desk(), trial.Coupon(t, 1, trial.Print()...)
	log := &run.Log{Header: first.Header(), Entries: first.Entries()}
	fork := func() string {
		t.Helper()
		name, err := work.WriteFork(desk.Store, "first", log, len(log.Entries))
		if err != nil {
			t.Fatal(err)
		}
		return name
	}
	parent := func() {
		t.Helper()
		_, lines, err := desk.Store.Begin("parent")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := run.NewWriter(lines, log.Header); err != nil {
			t.Fatal(err)
		}
	}
	fork()
	fork()
	h := shown(t, desk)
	for _, id := range []string{"resume", "runs.0"} {
		if n := h.Node(id); n == nil || !strings.Contains(n.Label, other) || !strings.Contains(n.Label, of) {
			t.Errorf("a fork whose run is gone is called %+v at %q", n, id)
		}
	}
	parent()
	h = shown(t, desk)
	if n := h.Node("resume"); strings.Contains(n.Label, other) {
		t.Fatalf("the newest run is not to be gone on with, but %q", n.Label)
	}
	for _, id := range []string{"runs.0", "runs.1"} {
		if n := h.Node(id); n == nil || !strings.Contains(n.Label, of) {
			t.Errorf("a fork whose run stands at the left is called %+v at %q", n, id)
		}
	}
	fork()
	h = shown(t, desk)
	if n := h.Node("runs.0"); n == nil || n.Label != of {
		t.Errorf("the run itself is called %+v", n)
	}
	for _, id := range []string{"runs.1", "runs.2"} {
		if n := h.Node(id); n == nil || n.Label != "→ "+other {
			t.Errorf("a fork below its run is called %+v at %q", n, id)
		}
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
