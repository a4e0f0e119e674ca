package review

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"github.com/before-iron/beforeiron/sim/run"
)

// Apart is how two runs of one surface part.
type Apart struct {
	Never bool // they do the same
	Cycle int  // after which print, 0 before the first
	// This and Other say what each did there. Luck is set when both decided the
	// same and only the scatter of the hand differs.
	This, Other string
	Luck        bool
	Difference  *Field // heights of the first less those of the other, um, as they ended
}

// Part finds where two reviewed runs part. They must be of one surface: an error
// says in what they are not.
func Part(a, b *Review) (Apart, error) {
	if what := strangers(a.Log.Header, b.Log.Header); what != "" {
		return Apart{}, fmt.Errorf("the two runs have another %s: hold runs of one surface beside each other", what)
	}
	out := Apart{Never: true, Difference: &Field{W: a.Ended.W, H: a.Ended.H}}
	for k, v := range a.Ended.V {
		out.Difference.V = append(out.Difference.V, v-b.Ended.V[k])
	}
	mine, theirs := decided(a.Log.Entries), decided(b.Log.Entries)
	luck := -1
	for n := range max(len(mine), len(theirs)) {
		switch {
		case n >= len(mine) || n >= len(theirs) || !same(mine[n].Act, theirs[n].Act):
			out.Never, out.Luck = false, false
		case luck < 0 && !same(mine[n].Out, theirs[n].Out):
			luck = n
			continue
		default:
			continue
		}
		if luck >= 0 {
			// What they saw was different already.
			n, out.Luck = luck, true
		}
		out.Cycle = cycleOf(mine, n)
		out.This, out.Other = a.did(out.Cycle), b.did(out.Cycle)
		return out, nil
	}
	if luck >= 0 {
		out = Apart{Luck: true, Cycle: cycleOf(mine, luck), Difference: out.Difference}
		out.This, out.Other = a.did(out.Cycle), b.did(out.Cycle)
	}
	return out, nil
}

// strangers names the first thing in which two runs are not of one surface.
func strangers(a, b run.Header) string {
	switch {
	case a.Lesson != b.Lesson:
		return fmt.Sprintf("lesson (%q and %q)", a.Lesson, b.Lesson)
	case a.PartSeed != b.PartSeed:
		return fmt.Sprintf("surface (%d and %d)", a.PartSeed, b.PartSeed)
	case !same(a.Setup.Part, b.Setup.Part):
		return "part"
	case !same(a.Setup.Target, b.Setup.Target):
		return "target"
	}
	return ""
}

// same reports whether two things are written down alike.
func same(a, b any) bool {
	x, err := json.Marshal(a)
	if err != nil {
		return false
	}
	y, err := json.Marshal(b)
	return err == nil && bytes.Equal(x, y)
}

// decided leaves out what does nothing to a part.
func decided(all []run.Entry) []run.Entry {
	var out []run.Entry
	for _, e := range all {
		a := e.Act
		if a.Predict == nil && a.Declare == nil && a.Frame == nil && a.Indicate == nil && a.Bridge == nil {
			out = append(out, e)
		}
	}
	return out
}

// cycleOf is how many prints were made before entry n.
func cycleOf(all []run.Entry, n int) int {
	prints := 0
	for _, e := range all[:min(n, len(all))] {
		if e.Out.Print != nil {
			prints = e.Out.Print.N
		}
	}
	return prints
}

// did says what was done after a print and how the next was made.
func (v *Review) did(cycle int) string {
	if cycle > len(v.Cycles) {
		return "Had ended."
	}
	var said []string
	if cycle > 0 {
		said = append(said, v.Cycles[cycle-1].Done.Words())
	}
	if cycle < len(v.Cycles) {
		next := &v.Cycles[cycle]
		text := fmt.Sprintf("Printed with a film of %.1f um", next.FilmUM)
		if next.PressN > 0 {
			text += fmt.Sprintf(", pressed with %d N", next.PressN)
		}
		said = append(said, text+".")
	} else if v.Log.SignedOff() {
		said = append(said, "Signed off.")
	}
	return strings.Join(said, " ")
}
