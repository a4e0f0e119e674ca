package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/run"
)

// pageOf calls report and gives the page.
func pageOf(t *testing.T, args ...string) []byte {
	t.Helper()
	out := filepath.Join(t.TempDir(), "page.html")
	if said := good(t, append(append([]string{"report"}, args...), "-o", out)...); said != "" {
		t.Errorf("report prints %q", said)
	}
	return content(t, out)
}

func TestReport(t *testing.T) {
	file := short(t, 1)
	first := pageOf(t, file)
	if !bytes.HasPrefix(first, []byte("<!DOCTYPE html>")) || !bytes.Contains(first, []byte("Own part: debrief")) || !bytes.HasSuffix(first, []byte("</html>\n")) {
		t.Errorf("the page begins %.80q", first)
	}
	if again := pageOf(t, file); !bytes.Equal(again, first) {
		t.Error("the same run gives another page")
	}
	out := write(t, "there.html", "old")
	refused(t, 2, "exists already", "report", file, "-o", out)
	if string(content(t, out)) != "old" {
		t.Error("a page was replaced without --force")
	}
	good(t, "report", file, "-o", out, "--force")
	if !bytes.Equal(content(t, out), first) {
		t.Error("another page when it replaces one")
	}
}

func TestReportBesideAnotherRun(t *testing.T) {
	folder := t.TempDir()
	a, b := filepath.Join(folder, "a.run"), filepath.Join(folder, "b.run")
	for file, hand := range map[string]string{a: "careful", b: "careless"} {
		if r := call(t, "practise", "--lesson", "crowned-pad", "--seed", "3", "--hand", hand, "--cycles", "2", "-o", file); r.code != 1 {
			t.Fatalf("exit %d: %s", r.code, r.err)
		}
	}
	html := string(pageOf(t, a, "--with", b))
	for _, want := range []string{"Beside another run of the same surface", "first parted", "The careful hand", "The decisions that cost most"} {
		if !strings.Contains(html, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	refused(t, 2, "another lesson", "report", a, "--with", short(t, 2), "-o", filepath.Join(folder, "x.html"))
}

func TestReportRefuses(t *testing.T) {
	out := filepath.Join(t.TempDir(), "x.html")
	file := short(t, 2)
	open := forge(t, log(t, file), func(l *run.Log) {
		l.Header.Setup.Scored = true
		l.Entries = l.Entries[:len(l.Entries)-1]
		l.Seal = nil
	})
	refused(t, 1, "truth is locked", "report", open, "-o", out)
	refused(t, 1, "truth is locked", "report", file, "--with", open, "-o", out)
	other := forge(t, log(t, file), func(l *run.Log) { l.Header.Physics++ })
	refused(t, 1, "not re-checked", "report", other, "-o", out)
	moved := forge(t, log(t, file), func(l *run.Log) {
		for n := range l.Entries {
			if p := l.Entries[n].Out.Print; p != nil {
				p.Spots++
			}
		}
	})
	refused(t, 1, "comes out otherwise", "report", moved, "-o", out)
	refused(t, 2, "", "report", write(t, "no.run", "{}"), "-o", out)
	refused(t, 2, "no such file", "report", "nothing.run", "-o", out)
	refused(t, 2, "", "report", file)
	if _, err := os.Stat(out); err == nil {
		t.Error("a refused run left a page")
	}
}
