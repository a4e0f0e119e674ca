package work_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// begun is a run in a folder on the disk, printed once.
func begun(t *testing.T) (store.Store, *work.Work) {
	t.Helper()
	s, err := store.At(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	l, err := lessons.Load("worn-coupon")
	if err != nil {
		t.Fatal(err)
	}
	w, err := work.BeginLesson(s, l, 1, 1)
	if err != nil {
		t.Fatal(err)
	}
	done(w, bench.FirstPrint(8)...)
	if err := w.Err(); err != nil {
		t.Fatal(err)
	}
	return s, w
}

func done(w *work.Work, acts ...run.Act) {
	w.Do(acts...)
	for w.Busy() {
		w.Step(time.Second, 0)
	}
}

// reopened is a second work on the run of another.
func reopened(t *testing.T, s store.Store, name string) *work.Work {
	t.Helper()
	o, err := work.Open(s, name)
	if err != nil {
		t.Fatal(err)
	}
	w, err := o.Step(time.Hour)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// A data folder that is deleted while a run is worked comes back with the next act,
// and with all acts before it.
func TestAFileThatHasGoneIsWrittenAnew(t *testing.T) {
	s, w := begun(t)
	for _, acts := range [][]run.Act{{{Wipe: &run.Wipe{What: "part"}}, {Stone: &run.Stone{Passes: 1}}}, {{SignOff: &run.SignOff{}}}} {
		if err := os.RemoveAll(s.Where()); err != nil {
			t.Fatal(err)
		}
		done(w, acts...)
		if err := w.Err(); err != nil {
			t.Fatal(err)
		}
		if l, err := s.Open(w.Name); err != nil || len(l.Entries) != len(w.Run.Entries()) {
			t.Fatalf("the file has %v, %v, want %d acts", l, err, len(w.Run.Entries()))
		}
	}
	signed := w.Signed()
	if err := os.Remove(filepath.Join(s.Where(), "runs", w.Name+".run")); err != nil {
		t.Fatal(err)
	}
	if err := signed.Seal(nil); err != nil {
		t.Fatal(err)
	}
	if l, err := s.Open(w.Name); err != nil || l.Seal == nil || l.Seal.Digest != w.Run.Digest() {
		t.Errorf("the file is %+v, %v, and should be sealed", l, err)
	}
}

// Two windows on one run: whoever comes second is told, and the file stays that of
// the first.
func TestTwoOnOneRun(t *testing.T) {
	s, w := begun(t)
	other := reopened(t, s, w.Name)
	wipe := run.Act{Wipe: &run.Wipe{What: "part"}}
	done(w, wipe)
	done(other, wipe)
	if err := other.Err(); !errors.Is(err, store.ErrChanged) {
		t.Errorf("the second to write is told %v", err)
	}
	if l, err := s.Open(w.Name); err != nil || len(l.Entries) != len(w.Run.Entries()) {
		t.Errorf("the file is %v, %v, and should be that of the first", l, err)
	}
}
