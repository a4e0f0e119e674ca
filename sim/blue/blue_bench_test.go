package blue

import (
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// A whole print, seat and reading, of 1000 x 750 cells near bearing, to be held
// against a plain copy of that field of heights.
func BenchmarkPrint1000x750(b *testing.B) {
	f, err := surface.Build(surface.Recipe{LengthMM: 200, WidthMM: 150, PitchMM: .2, Finish: surface.Milled, Seed: 1})
	if err != nil {
		b.Fatal(err)
	}
	c, r := blade.NewCutter(f), rand.New(rand.NewPCG(1, 0))
	for range 12000 { // scraped all over, several times
		x, y, d := r.IntN(20000), r.IntN(15000), 350-700*r.IntN(2)
		c.Cut(blade.Blade{RadiusMM: 90, WidthMM: 20, Handle: .524}, blade.Stroke{X0: x, Y0: y, X1: x + 350, Y1: y + d, DepthUM: 2.5})
	}
	b.Run("print", func(b *testing.B) {
		var tops *surface.Map
		for b.Loop() {
			tops = f.Tops(tops)
			s, err := seat.OnBed(tops, seat.Weight(tops), seat.Stiffness)
			if err != nil {
				b.Fatal(err)
			}
			Print(tops, s.Plane, 2.5, Rub{LengthMM: 160, ReachX: 40, ReachY: 20})
		}
	})
	// The same with all that the film does and a face that might wring.
	b.Run("print, film as it is", func(b *testing.B) {
		coat, rng := NewCoat(0, 0, 400, 250), rand.New(rand.NewPCG(2, 0))
		pose := seat.Pose{XMM: 200, YMM: 125}
		rub := Rub{LengthMM: 160, ReachX: 40, ReachY: 20}
		for n := range 16 {
			rub.Steps = append(rub.Steps, [2]float64{float64(n * 7 % 41), float64(n * 5 % 21)})
		}
		coat.Roll(2.5, 2, rng)
		var tops *surface.Map
		for b.Loop() {
			tops = f.Tops(tops)
			s, err := seat.OnBed(tops, seat.Weight(tops), seat.Stiffness)
			if err != nil {
				b.Fatal(err)
			}
			Touching(tops, s.Plane, WringGap)
			r := Marking{Film: 2.5, Rub: rub, Layer: coat.Under(tops.Grid, pose, rub), Turned: .1}.Print(tops, s.Plane)
			coat.Spend(r, pose, rub)
		}
	})
	b.Run("copy", func(b *testing.B) {
		to := make([]int32, len(f.H))
		for b.Loop() {
			copy(to, f.H)
		}
	})
}
