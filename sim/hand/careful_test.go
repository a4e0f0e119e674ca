package hand_test

import (
	"testing"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/surface"
)

// A careful hand breaks a machined skin over the whole face before it believes a print;
// of a worn face, which has none, it takes the blue alone from the first print on
// (common practice).
func TestCarefulBreaksNoSkinThatIsNotThere(t *testing.T) {
	l, err := lessons.Load("coupon")
	if err != nil {
		t.Fatal(err)
	}
	for finish, whole := range map[string]bool{surface.Milled: true, surface.Worn: false} {
		setup := l.Setup
		recipe := *setup.Part.Recipe
		recipe.LengthMM, recipe.WidthMM, recipe.Finish = 60, 45, finish
		setup.Part.Recipe = &recipe
		r, err := run.New(setup, "", 1, 1, "", "test")
		if err != nil {
			t.Fatal(err)
		}
		if err := (hand.Careful{}).Work(r, 3, nil); err != nil {
			t.Fatal(err)
		}
		printed := false
		for _, e := range r.Entries() {
			printed = printed || e.Out.Print != nil
			if e.Act.Cut == nil {
				continue
			}
			if !printed {
				t.Errorf("%s: the first cut goes by no print", finish)
			}
			if share := e.Act.Cut.Area.Region.AreaMM2() / (60 * 45); share > .95 != whole {
				t.Errorf("%s: the first cut takes %.0f %% of the face", finish, 100*share)
			}
			break
		}
	}
}
