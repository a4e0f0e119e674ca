package blue

import (
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// A whole print, seat and reading, of 1000 x 750 cells near bearing, to be held
// against a plain copy of that field of heights.
func BenchmarkPrint1000x750(b *testing.B) {
	f := surface.NewFace(surface.Grid{NX: 1000, NY: 750, DX: .2, DY: .2, X0: .1, Y0: .1})
	r := rand.New(rand.NewPCG(1, 0))
	for k := range f.H {
		f.H[k] = surface.ToSteps(4 * r.Float64())
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
	b.Run("copy", func(b *testing.B) {
		to := make([]int32, len(f.H))
		for b.Loop() {
			copy(to, f.H)
		}
	})
}
