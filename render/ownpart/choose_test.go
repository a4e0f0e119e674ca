package ownpart

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/scene/trial"
)

// A file far down in a folder of a folder is come to by keys alone, by typing the
// beginnings of their names.
func TestTypingANameGoesToIt(t *testing.T) {
	top := t.TempDir()
	deep := filepath.Join(top, "surveys")
	if err := os.MkdirAll(deep, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"a.csv", "b.csv", "plate.csv", "rail.csv", "way.csv", "zz.csv"} {
		for _, n := range []string{"", "1", "2", "3", "4", "5", "6"} {
			if err := os.WriteFile(filepath.Join(deep, n+name), nil, 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	t.Chdir(top)
	taken := ""
	read := func(name string, _ []byte, _ Ask) (*Part, error) {
		taken = name
		return nil, errors.New("it is empty")
	}
	s := New(trial.Desk(), read)
	h := drive.New(1280, 600, 1, func(u *kit.UI) { s.Tick(u) })
	h.Type("su")
	h.Key(kit.Enter)
	if f := h.UI.Focused(); f != "entries.0" {
		t.Errorf("in the other folder the keys are on %q", f)
	}
	h.Type("rail")
	h.Ticks(1)
	n := h.Node(h.UI.Focused())
	if n.Label != "rail.csv" || n.Visible() != n.Rect {
		t.Fatalf("the keys are on %q, seen %v of %v", n.Label, n.Visible(), n.Rect)
	}
	h.Key(kit.Enter)
	if taken != "rail.csv" {
		t.Errorf("%q is taken", taken)
	}
}

// Where the file says no unit, choosing one leaves the choices where they are,
// whatever is then remarked of it.
func TestChoosingAUnitKeepsThePlace(t *testing.T) {
	read := func(_ string, _ []byte, ask Ask) (*Part, error) {
		p := &Part{Points: 4, NX: 2, NY: 2, X: 10, Y: 10, High: 3, W: 2, H: 2, Z: []float64{0, 1, 2, 3}, Unit: ask.Unit, Unsaid: ask.Unit == ""}
		if ask.Unit == "in" {
			p.Notes = []string{"x and y are taken in mm"}
		}
		return p, nil
	}
	for _, width := range []float64{1280, 900} {
		s := Content(trial.Desk(), read, "plate.csv", nil)
		h := drive.New(width, 1000, 1, func(u *kit.UI) { s.Tick(u) })
		h.Ticks(2)
		want := h.Node("unit.0").Rect
		for _, id := range []string{"unit.0", "unit.2", "unit.4"} {
			if err := h.Press(id); err != nil {
				t.Fatal(err)
			}
			h.Ticks(2)
			if got := h.Node("unit.0").Rect; got != want {
				t.Errorf("%g broad, after %s the first choice is at %v and was at %v", width, id, got, want)
			}
		}
		if s.ask.Unit != "tenth" {
			t.Errorf("%g broad, the unit chosen is %q", width, s.ask.Unit)
		}
	}
}

// A long file is read beside the window, which says so and offers nothing of it to be
// worked until it is understood.
func TestALongFileIsReadBesideTheWindow(t *testing.T) {
	goOn := make(chan struct{})
	read := func(string, []byte, Ask) (*Part, error) {
		<-goOn
		return &Part{Points: 4, NX: 2, NY: 2, X: 10, Y: 10, High: 3, W: 2, H: 2, Z: []float64{0, 1, 2, 3}, Unit: "um"}, nil
	}
	s := Content(trial.Desk(), read, "plate.csv", make([]byte, mostAtOnce+1))
	h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
	h.Ticks(2)
	if n := h.Node("reading"); n == nil || h.Node("accept") != nil {
		t.Fatalf("while it is read the window says %v, and offers %v", n, h.Node("accept"))
	}
	close(goOn)
	if err := h.Until(func() bool { time.Sleep(time.Millisecond); return h.Node("reading") == nil }); err != nil {
		t.Fatal(err)
	}
	h.Ticks(1)
	if n := h.Node("accept"); n == nil || n.Disabled {
		t.Errorf("once it is read it offers %v", n)
	}
}
