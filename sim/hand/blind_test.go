package hand_test

import (
	"errors"
	"reflect"
	"testing"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Every hand works a part whose truth is locked, and does the very same there as
// on one whose truth is open: it sees readings and instruments, and no height.
// That the package imports none is held by the test of imports.
func TestHandsWorkWithTheTruthLocked(t *testing.T) {
	const cycles = 6
	for _, name := range hand.Names() {
		h, err := hand.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		acts := func(scored bool) []run.Entry {
			s := run.Setup{
				Part:   run.Part{Recipe: &surface.Recipe{LengthMM: 44, WidthMM: 36, PitchMM: .5, RangeUM: 15, Finish: surface.Milled}},
				Master: seat.Master{Grade: seat.True},
				Blade:  run.Change{Radius: 9000, Width: 2000, Handle: 524},
				Hand:   lay.Skilled, Scored: scored,
				Target: run.Target{FilmUM: 2.5, PointsPerIn2: 20, FrameMin: 12, AreaPct: [2]float64{30, 50}, BridgedUM: 5, BareUM: [2]float64{3, 8}},
			}
			r, err := run.New(s, "", 4, 4, name, "test")
			if err != nil {
				t.Fatal(err)
			}
			r.Record = func(e run.Entry) error {
				if _, err := r.Truth(); scored && e.Act.SignOff == nil && !errors.Is(err, run.ErrLocked) {
					t.Errorf("%s: the truth is open after act %d: %v", name, e.N, err)
				}
				return nil
			}
			if err := h.Work(r, cycles, nil); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if !r.Signed() || r.Prints() > cycles+1 {
				t.Errorf("%s: signed off %v after %d prints of %d", name, r.Signed(), r.Prints(), cycles)
			}
			return r.Entries()
		}
		if locked, open := acts(true), acts(false); !reflect.DeepEqual(locked, open) {
			t.Errorf("%s: does otherwise with the truth locked", name)
		}
	}
}
