package ownpart

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

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
