package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/before-iron/beforeiron/sim/run"
)

// Any effect can be switched on for a free practice, on a lesson's part or on
// somebody's own; such a run counts as no attempt at that lesson and replays.
func TestPractiseWithEffects(t *testing.T) {
	own := write(t, "part.csv", readings)
	for _, on := range [][]string{{"--lesson", "crowned-pad"}, {"--part", own}} {
		file := filepath.Join(t.TempDir(), "a.run")
		if r := call(t, append([]string{"practise", "--effects", "all", "--cycles", "2", "-o", file}, on...)...); r.code != 1 {
			t.Fatalf("%v: exit %d: %s", on, r.code, r.err)
		}
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		l, err := run.Read(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range run.EffectList() {
			if !l.Header.Setup.Effects.On(e.Name) {
				t.Errorf("%v: %s is off", on, e.Name)
			}
		}
		if l.Header.Lesson != "" {
			t.Errorf("%v: the run counts as an attempt at %s", on, l.Header.Lesson)
		}
		good(t, "replay", file)
	}
	out := filepath.Join(t.TempDir(), "b.run")
	refused(t, 2, "--effects: no effect is called \"rain\": take all, or some of film,", "practise", "--lesson", "coupon", "--effects", "grit,rain", "-o", out)
}
