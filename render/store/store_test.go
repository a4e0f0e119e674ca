//go:build !js

package store

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/run"
)

func folders(t *testing.T) map[string]Store {
	d, err := At(filepath.Join(t.TempDir(), "not", "there", "yet"))
	if err != nil {
		t.Fatal(err)
	}
	return map[string]Store{"disk": d, "memory": {NewMemory()}}
}

func TestFoldersAlike(t *testing.T) {
	for kind, s := range folders(t) {
		if _, err := s.Read("runs/a.run"); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: an absent file answers %v", kind, err)
		}
		if runs, err := s.RunFiles(); err != nil || len(runs) != 0 {
			t.Errorf("%s: an empty folder answers %v, %v", kind, runs, err)
		}
		for n, line := range []string{"one\n", "two\n"} {
			if err := s.Append("runs/a.run", int64(4*n), []byte(line)); err != nil {
				t.Fatal(kind, err)
			}
		}
		if err := s.Append("runs/a.run", 4, []byte("other\n")); !errors.Is(err, ErrChanged) {
			t.Errorf("%s: a file that was added to meanwhile answers %v", kind, err)
		}
		if err := s.Append("runs/gone.run", 4, []byte("two\n")); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: a file that has gone answers %v", kind, err)
		}
		b, err := s.Read("runs/a.run")
		if err != nil || string(b) != "one\ntwo\n" {
			t.Errorf("%s: read %q, %v", kind, b, err)
		}
		if err := s.Write("runs/a.run", []byte("new")); err != nil {
			t.Fatal(kind, err)
		}
		if b, _ = s.Read("runs/a.run"); string(b) != "new" {
			t.Errorf("%s: after writing anew: %q", kind, b)
		}
		files, err := s.List("runs")
		if err != nil || len(files) != 1 || files[0].Name != "a.run" {
			t.Errorf("%s: lists %v, %v", kind, files, err)
		}
		name, w, err := s.Begin("a")
		if err != nil || name != "a-2" {
			t.Errorf("%s: begins %q, %v, want a-2: a run must not be written over", kind, name, err)
		}
		if _, err := w.Write([]byte("x")); err != nil {
			t.Error(kind, err)
		}
		runs, err := s.RunFiles()
		if err != nil || len(runs) != 2 || s.Load(runs[0]).Err == nil {
			t.Errorf("%s: two files that are no runs: %v, %v", kind, runs, err)
		}
	}
}

func TestSettings(t *testing.T) {
	for kind, s := range folders(t) {
		set, err := s.Settings()
		if err != nil || set.TextScale != 1 {
			t.Errorf("%s: fresh settings %v, %v", kind, set, err)
		}
		set.TextScale, set.Mute = 1.5, true
		if err := s.Keep(set); err != nil {
			t.Fatal(kind, err)
		}
		if got, err := s.Settings(); err != nil || got.TextScale != 1.5 || !got.Mute {
			t.Errorf("%s: kept settings come back as %v, %v", kind, got, err)
		}
		if err := s.Write(settingsFile, []byte(`{"text_scale": 90, "units": "cubits"}`)); err != nil {
			t.Fatal(kind, err)
		}
		if got, err := s.Settings(); err != nil || got.TextScale != LargestText || got.Units != "metric" {
			t.Errorf("%s: wild settings come back as %v, %v", kind, got, err)
		}
		if err := s.Write(settingsFile, []byte(`{"text_sc`)); err != nil {
			t.Fatal(kind, err)
		}
		if got, err := s.Settings(); err == nil || strings.Contains(err.Error(), "\n") || got.TextScale != 1 {
			t.Errorf("%s: torn settings: %v, %v", kind, got, err)
		}
	}
}

func TestNowhereToKeep(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := At(filepath.Join(file, "under"))
	if err == nil || !strings.Contains(err.Error(), "--data DIR") || strings.Contains(err.Error(), "\n") {
		t.Errorf("a folder that cannot be made answers %v", err)
	}
}

func TestDataHome(t *testing.T) {
	home := t.TempDir()
	t.Setenv("XDG_DATA_HOME", home)
	s, err := At("")
	if err != nil || s.Where() != filepath.Join(home, "beforeiron") {
		t.Errorf("XDG_DATA_HOME gives %q, %v", s.Where(), err)
	}
	t.Setenv("XDG_DATA_HOME", "relative")
	t.Setenv("HOME", home)
	if s, err = At(""); err != nil || s.Where() != filepath.Join(home, ".local", "share", "beforeiron") {
		t.Errorf("a relative XDG_DATA_HOME is to be ignored: %q, %v", s.Where(), err)
	}
}

func TestNoLeftovers(t *testing.T) {
	dir := t.TempDir()
	s, err := At(dir)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if err := s.Write("settings.json", bytes.Repeat([]byte("x"), 1000)); err != nil {
			t.Fatal(err)
		}
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 2 {
		t.Errorf("the folder holds %v, %v, want runs and settings.json", entries, err)
	}
}

// A file that cannot be written is told of in one line that names it and what to do,
// and nothing half written is left beside it.
func TestUnwritableFile(t *testing.T) {
	s := folders(t)["disk"]
	page := filepath.Join(s.Where(), "pages", "a.html")
	if err := os.MkdirAll(filepath.Join(page, "in the way"), 0o755); err != nil {
		t.Fatal(err)
	}
	full := filepath.Join(s.Where(), "runs", "a.run")
	if err := os.Symlink("/dev/full", full); err != nil { // a device without room, full(4)
		t.Fatal(err)
	}
	_, given := s.Give("pages/a.html", []byte("page"))
	for file, err := range map[string]error{page: given, full: s.Append("runs/a.run", 0, []byte("act\n"))} {
		if err == nil || !strings.HasPrefix(err.Error(), file+" cannot be written (") || !strings.Contains(err.Error(), "make room") || strings.Contains(err.Error(), "\n") || strings.Contains(err.Error(), ".new") {
			t.Errorf("it is said: %v", err)
		}
	}
	if entries, err := os.ReadDir(filepath.Dir(page)); err != nil || len(entries) != 1 {
		t.Errorf("beside the page lie %v, %v", entries, err)
	}
}

// Whoever may read other new files may read a page that was written.
func TestPagesCanBeHandedOn(t *testing.T) {
	s := folders(t)["disk"]
	usual := filepath.Join(t.TempDir(), "usual")
	if err := os.WriteFile(usual, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	where, err := s.Give("pages/a.html", []byte("page"))
	if err != nil {
		t.Fatal(err)
	}
	want, err := os.Stat(usual)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := os.Stat(where); err != nil || got.Mode() != want.Mode() {
		t.Errorf("the page has the mode %v, %v, want %v", got.Mode(), err, want.Mode())
	}
}

// A run that lies elsewhere is worked there, beside those of the folder, and takes
// the name of none of them.
func TestARunElsewhereIsWorkedThere(t *testing.T) {
	s := folders(t)["disk"]
	if err := s.Append("runs/a.run", 0, []byte("own\n")); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "a.run")
	if err := os.WriteFile(file, []byte("one\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	with, name, err := s.With(file)
	if err != nil || name != "a-2" {
		t.Fatalf("it goes by %q, %v, want a-2", name, err)
	}
	if err := with.Append("runs/a-2.run", 4, []byte("two\n")); err != nil {
		t.Fatal(err)
	}
	if b, err := os.ReadFile(file); err != nil || string(b) != "one\ntwo\n" {
		t.Errorf("the file holds %q, %v", b, err)
	}
	if runs, err := with.RunFiles(); err != nil || len(runs) != 2 {
		t.Errorf("listed: %v, %v", runs, err)
	}
	if free, _, err := with.Begin("a"); err != nil || free != "a-3" {
		t.Errorf("another way on begins as %q, %v, want a-3", free, err)
	}
	if runs, err := s.RunFiles(); err != nil || len(runs) != 1 {
		t.Errorf("the folder itself holds %v, %v: nothing is copied into it", runs, err)
	}
	if _, name, err := s.With(filepath.Join(s.Where(), "runs", "a.run")); err != nil || name != "a" {
		t.Errorf("a run of the folder goes by %q, %v", name, err)
	}
	if _, _, err := s.With(file + "x"); err == nil || !strings.Contains(err.Error(), "a.runx") {
		t.Errorf("a file that is not there: %v", err)
	}
}

// Going on with a run keeps every whole line of its file: lines that were added
// since it was read are not cut away, and a torn one that was left out is.
func TestGoOnKeepsWholeLines(t *testing.T) {
	for kind, s := range folders(t) {
		l := &run.Log{Good: int64(len("one\ntwo\n"))}
		if err := s.Write("runs/a.run", []byte("one\ntwo\nthree\n")); err != nil {
			t.Fatal(kind, err)
		}
		if _, err := s.GoOn("a", l); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: going on with a file that grew answers %v", kind, err)
		}
		if b, _ := s.Read("runs/a.run"); string(b) != "one\ntwo\nthree\n" {
			t.Errorf("%s: it holds %q", kind, b)
		}
		if err := s.Write("runs/a.run", []byte("one\ntwo\nthr")); err != nil {
			t.Fatal(kind, err)
		}
		w, err := s.GoOn("a", l)
		if err != nil {
			t.Fatal(kind, err)
		}
		if _, err := w.Write([]byte("three\n")); err != nil {
			t.Fatal(kind, err)
		}
		if b, _ := s.Read("runs/a.run"); string(b) != "one\ntwo\nthree\n" {
			t.Errorf("%s: after a torn line it holds %q", kind, b)
		}
	}
}
