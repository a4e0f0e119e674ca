package review

import (
	"bytes"
	"encoding/json"
	"fmt"

	"github.com/before-iron/beforeiron/sim/par"
	"github.com/before-iron/beforeiron/sim/run"
)

// Apart is how two runs of one surface part.
type Apart struct {
	// Parting is the first decision in which they differ by more than two hands of
	// one mind would; Parted is false where there is none.
	Parting par.Parting
	Parted  bool
	// Difference is the heights of the first less those of the other, um, as they
	// ended, each from its mean plane.
	Difference *Field
}

// Part finds where two reviewed runs part. They must be of one surface: an error
// says in what they are not.
func Part(a, b *Review) (Apart, error) {
	if what := strangers(a.Log.Header, b.Log.Header); what != "" {
		return Apart{}, fmt.Errorf("the two runs have another %s: hold runs of one surface beside each other", what)
	}
	out := Apart{Difference: &Field{W: a.Ended.W, H: a.Ended.H}}
	for k, v := range a.Ended.V {
		out.Difference.V = append(out.Difference.V, v-b.Ended.V[k])
	}
	out.Parting, out.Parted = par.Part(a.Log, b.Log)
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
