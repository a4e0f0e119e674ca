package run

import (
	"errors"
	"testing"
)

// What is done aside comes out as it would on the run, and leaves the run as it
// was.
func TestAside(t *testing.T) {
	hard := small()
	hard.Effects = Effects{Film: true, Grit: true, Edges: true, Wringing: true, Path: true, Overhang: true, Wear: true, Bending: true, Heat: true, Dial: true, Torn: true}
	for _, s := range []Setup{small(), hard} {
		aside(t, s)
	}
}

func aside(t *testing.T, s Setup) {
	t.Helper()
	r := practice(t, s)
	before, entries := r.Digest(), len(r.Entries())
	middle := r.master.Middle()
	plate := r.master.HeightAt(middle.XMM, middle.YMM)
	a, err := r.Aside(r.Header().ScatterSeed)
	if err != nil {
		t.Fatal(err)
	}
	if a.Digest() != before {
		t.Fatal("aside begins with other heights")
	}
	further(t, a)
	if a.Digest() == before {
		t.Fatal("nothing was cut aside")
	}
	if r.Digest() != before || len(r.Entries()) != entries || r.master.HeightAt(middle.XMM, middle.YMM) != plate {
		t.Error("what was done aside reached the run")
	}
	if worn := a.master.HeightAt(middle.XMM, middle.YMM) < plate; worn != s.Effects.Wear {
		t.Errorf("the master aside is worn: %t", worn)
	}
	other, err := r.Aside(r.Header().ScatterSeed + 1)
	if err != nil {
		t.Fatal(err)
	}
	further(t, other)
	if other.Digest() == a.Digest() {
		t.Error("another scatter comes out the same")
	}
	further(t, r)
	if r.Digest() != a.Digest() {
		t.Error("the same acts aside and on the run end in other heights")
	}
	if f := a.Header().Fork; f == nil || f.Acts != entries || f.Of != r.Header().Sum() {
		t.Errorf("aside says that it forks at %+v", f)
	}
}

// practice is a run with colour on the part and a cut begun.
func practice(t *testing.T, s Setup) *Run {
	t.Helper()
	r := begin(t, s)
	do(t, r, printing(800)...)
	do(t, r, rows(785, 500))
	return r
}

// further cuts on, prints, and cuts by what it sees.
func further(t *testing.T, r *Run) {
	t.Helper()
	do(t, r, rows(-785, 300), Act{Stone: &Stone{Passes: 1}}, Act{Turn: &Turn{}})
	do(t, r, printing(500)...)
	do(t, r, Act{Cut: &Cut{Force: 150, Stroke: &Line{From: [2]int{500, 500}, To: [2]int{1500, 1500}}}})
}

func TestNothingIsTriedAsideWhileARunIsScored(t *testing.T) {
	s := small()
	s.Scored = true
	r := begin(t, s)
	if _, err := r.Aside(1); !errors.Is(err, ErrLocked) {
		t.Errorf("aside of a scored run that is open: %v", err)
	}
	do(t, r, Act{SignOff: &SignOff{}})
	if _, err := r.Aside(1); err != nil {
		t.Errorf("aside of a scored run that is signed off: %v", err)
	}
}
