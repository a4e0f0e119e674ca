package seat

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// A light part on a coarse lattice rests on three cells or so: it finds its rest
// on any heights, however few cells can touch at a time.
func TestRestOnFewCells(t *testing.T) {
	g := surface.Grid{NX: 60, NY: 45, DX: .4, DY: .4, X0: .2, Y0: .2}
	for seed := range uint64(300) {
		dice := rand.New(rand.NewPCG(seed, 1))
		m := surface.NewMap(g)
		for k := range m.Z {
			m.Z[k] = .5 * dice.Float64()
		}
		// A ridge of spikes through the middle, over which the part rolls.
		for n := range 3 {
			i := 2 + dice.IntN(g.NX-4)
			m.Z[(i*g.NY/g.NX)*g.NX+i] = 3 + .01*float64(n)
		}
		if seed%2 == 1 {
			// A face far out of flat: the residual ends in rounding.
			for k := range m.Z {
				m.Z[k] *= 100
			}
		}
		s, err := OnBed(m, Weight(m), Stiffness)
		if err != nil {
			t.Errorf("heights %d: %v", seed, err)
			continue
		}
		force := 0.0
		for k := range m.Z {
			force += Stiffness * m.CellArea() * s.Overlap(m, k%m.NX, k/m.NX)
		}
		if n := Weight(m).N; force < .999*n || force > 1.001*n {
			t.Errorf("heights %d: the bed carries %.4f N of %.4f N", seed, force, n)
		}
	}
}

// Whatever the height range, from a micrometre to a metre, and however many
// cells lie at one level, a part finds its rest.
func TestRestOnLevelsOfAnyHeight(t *testing.T) {
	for _, scale := range []float64{1, 100, 1e3, 1e4, 1e5, 1e6} {
		for seed := range uint64(300) {
			dice := rand.New(rand.NewPCG(seed, 3))
			m := surface.NewMap(surface.Grid{NX: 3 + dice.IntN(40), NY: 3 + dice.IntN(30), DX: 1, DY: 1})
			levels := 2 + dice.IntN(6)
			for k := range m.Z {
				m.Z[k] = float64(dice.IntN(levels)) * scale / float64(levels)
			}
			s, err := OnBed(m, Weight(m), Stiffness)
			if err != nil {
				t.Errorf("range %g um, heights %d: %v", scale, seed, err)
				continue
			}
			force := 0.0
			for k := range m.Z {
				force += Stiffness * m.CellArea() * s.Overlap(m, k%m.NX, k/m.NX)
			}
			// A double holds a height of a metre to 1e-10 um, and the overlap is
			// about 1e-4 um.
			if n := Weight(m).N; force < (1-1e-4)*n || force > (1+1e-4)*n {
				t.Errorf("range %g um, heights %d: the bed carries %.6f N of %.6f N", scale, seed, force, n)
			}
		}
	}
}

// A face of which thousands of cells lie in one tilted plane finds its rest, too:
// milled tops taken down again and again to just below where they touch. (These
// parts once found none.)
func TestRestOnManyCellsInOnePlane(t *testing.T) {
	for _, seed := range []uint64{2, 44, 50} {
		f, err := surface.Build(surface.Recipe{LengthMM: 90, WidthMM: 50, PitchMM: .25, RangeUM: 25, Finish: surface.Milled, Seed: seed})
		if err != nil {
			t.Fatal(err)
		}
		m := f.Tops(nil)
		for n := range 8 {
			s, err := OnBed(m, Weight(m), Stiffness)
			if err != nil {
				t.Fatalf("seed %d, after %d cuts: %v", seed, n, err)
			}
			force := 0.0
			for k := range m.Z {
				force += Stiffness * s.Overlap(m, k%m.NX, k/m.NX) * m.CellArea()
			}
			if w := Weight(m).N; math.Abs(force/w-1) > 1e-5 {
				t.Errorf("seed %d, after %d cuts: the bed bears %g N of %g N", seed, n, force, w)
			}
			for k, h := range m.Z {
				m.Z[k] = math.Min(h, s.Plane.At(m.X(k%m.NX), m.Y(k/m.NX))-2)
			}
		}
	}
}
