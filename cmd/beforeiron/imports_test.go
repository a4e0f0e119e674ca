package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

const module = "github.com/before-iron/beforeiron/"

// level of each part of the program, by the start of its path: imports point
// down, to lower levels, or stay within a part.
var level = []struct {
	part  string
	level int
}{
	{"assets", 0}, {"sim/strict", 0}, {"sim/surface", 0}, {"sim/seat", 1}, {"sim/heat", 1}, {"sim/blade", 1}, {"sim/blue", 2}, {"sim/gauge", 2},
	{"sim/lay", 3}, {"sim/run", 4}, {"sim/hand", 5}, {"sim/score", 5}, {"sim/par", 6}, {"sim/advice", 6}, {"sim/validity", 6},
	{"sim/review", 7}, {"lessons", 8}, {"render", 9}, {"cmd", 10},
}

func partOf(t *testing.T, path string) (part string, n int) {
	for _, l := range level {
		if path == l.part || strings.HasPrefix(path, l.part+"/") {
			return l.part, l.level
		}
	}
	t.Errorf("%s belongs to no part of the program", path)
	return "", -1
}

// imports of every package of the module, tests left out.
func imports(t *testing.T) map[string][]string {
	t.Helper()
	out, err := exec.Command("go", "list", "-f", "{{if .GoFiles}}{{.ImportPath}} {{join .Imports \" \"}}{{end}}", module+"...").Output()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string][]string{}
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		words := strings.Fields(line)
		all[strings.TrimPrefix(words[0], module)] = words[1:]
	}
	return all
}

func TestImportsPointDown(t *testing.T) {
	all := imports(t)
	for _, must := range []string{"sim/run", "sim/hand", "lessons", "cmd/beforeiron"} {
		if all[must] == nil {
			t.Errorf("%s was not listed", must)
		}
	}
	for path, uses := range all {
		part, n := partOf(t, path)
		for _, use := range uses {
			use, own := strings.CutPrefix(use, module)
			if !own {
				continue
			}
			other, m := partOf(t, use)
			switch {
			case m >= n && other != part:
				t.Errorf("%s imports %s, which is not below it", path, use)
			case other == "sim/surface" && (part == "sim/hand" || part == "render"):
				t.Errorf("%s imports %s: hands and windows see readings and instruments, never a height", path, use)
			}
		}
	}
}

// The simulation has no clock, no files, no pixels and no random numbers that a
// seed does not decide.
func TestSimIsPure(t *testing.T) {
	banned := []string{"os", "io/fs", "path/filepath", "time", "net", "syscall", "runtime", "unsafe", "math/rand", "crypto/rand", "sync", "sync/atomic"}
	for path, uses := range imports(t) {
		if !strings.HasPrefix(path, "sim/") {
			continue
		}
		for _, use := range uses {
			if slices.Contains(banned, use) || strings.HasPrefix(use, "gonum.org/") {
				t.Errorf("%s imports %s", path, use)
			}
		}
	}
	out, err := exec.Command("go", "list", "-deps", module+"sim/...", module+"lessons").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, dep := range strings.Fields(string(out)) {
		if strings.Contains(dep, "ebiten") {
			t.Errorf("the simulation depends on %s", dep)
		}
	}
}
