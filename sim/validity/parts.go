// Package validity asks whether the marks mean what they say: synthetic hands,
// good ones and ones with a known flaw, work many small parts, and statistics say
// whether the flawed lose. It proves the marking, not its meaning for people:
// sim/score/VALIDITY.md holds what came out.
package validity

import (
	"fmt"
	"math/rand/v2"

	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Families of parts, each with its own way of being wrong.
var Families = []string{"crown-or-hollow", "twist", "wedge-bad-edges", "nearly-flat"}

// Size of the study's parts, mm, their pitch, and the prints that a hand may
// take.
const (
	LengthMM  = 44.0
	WidthMM   = 36.0
	PitchMM   = 0.25
	Allowance = 45
)

// Part is the job of a family on the surface of a seed.
func Part(family string, seed uint64) (run.Setup, error) {
	const purpose = 0x706172 // "par"
	dice := rand.New(rand.NewPCG(seed, purpose))
	between := func(lo, hi float64) float64 { return lo + float64((hi-lo)*dice.Float64()) }
	sign := func() float64 { return float64(2*dice.IntN(2) - 1) }

	recipe := surface.Recipe{LengthMM: LengthMM, WidthMM: WidthMM, PitchMM: PitchMM, Finish: surface.Milled}
	master := seat.Master{Grade: seat.DIN8760, LengthMM: 250, WidthMM: 200}
	f := &recipe.Form
	switch family {
	case "crown-or-hollow":
		f.BowUM, f.DishUM = sign()*between(10, 18), sign()*between(0, 6)
	case "twist":
		f.TwistUM, f.BowUM = sign()*between(16, 26), sign()*between(0, 3)
	case "wedge-bad-edges":
		f.WedgeUM, f.BowUM = sign()*between(10, 20), sign()*between(2, 6)
		f.EdgeDropUM, f.EdgeDropMM = between(4, 9), between(1.5, 3)
	case "nearly-flat":
		recipe.Finish = surface.Ground
		f.BowUM, f.TwistUM = sign()*between(2, 5), sign()*between(0, 3)
		// A worse master, whose own error prints.
		master.Grade = seat.DIN8761
	default:
		return run.Setup{}, fmt.Errorf("no family of parts is called %q: take one of %v", family, Families)
	}
	return run.Setup{
		Part: run.Part{Recipe: &recipe}, Master: master,
		Blade: run.Change{Radius: 9000, Width: 2000, Handle: 524}, Hand: lay.Skilled,
		Target: run.Target{FilmUM: 2.5, PointsPerIn2: 20, FrameMin: 12, AreaPct: [2]float64{30, 50}, BridgedUM: 5, BareUM: [2]float64{3, 8}},
	}, nil
}
