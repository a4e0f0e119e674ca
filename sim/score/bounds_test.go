package score

import (
	"math"
	"slices"
	"testing"

	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Two heights: where half of a face lies 20 um below the other half, and every
// inch frame must hold points, all that stands more than a film above the low half
// must go: a closed form. Where the high half alone bears as asked, nothing must.
func TestLeastMetalOfAStep(t *testing.T) {
	g := surface.Grid{NX: 160, NY: 80, DX: .5, DY: .5, X0: .25, Y0: .25}
	step := func(high func(x, y float64) bool) *surface.Map {
		m := surface.NewMap(g)
		for k := range m.Z {
			if high(m.X(k%m.NX), m.Y(k/m.NX)) {
				m.Z[k] = 20
			}
		}
		return m
	}
	want := run.Target{FilmUM: 2.5, FrameMin: 12, PointsPerIn2: 20, AreaPct: [2]float64{30, 50}}
	// A raised disc in the middle: tilting the plane cannot bear on both sides of it.
	disc := step(func(x, y float64) bool { return math.Hypot(x-40, y-20) < 8 })
	l, err := LeastFor(disc, want)
	if err != nil {
		t.Fatal(err)
	}
	exact := 0.0
	for _, z := range disc.Z {
		if z > 0 {
			exact += (20 - 2.5) * g.CellArea() / 1000
		}
	}
	if l.MetalMM3 > exact*1.0001 || l.MetalMM3 < .85*exact {
		t.Errorf("a disc of 20 um: %.3f mm^3, level it is %.3f", l.MetalMM3, exact)
	}
	// 20 um in films of 12 um: two levellings, and the print that shows it.
	if l.Cycles != 3 {
		t.Errorf("a disc of 20 um takes %d prints", l.Cycles)
	}
	flat := step(func(x, y float64) bool { return true })
	if l, err := LeastFor(flat, want); err != nil || l.MetalMM3 != 0 || l.Cycles != 1 {
		t.Errorf("a flat face: %+v, %v", l, err)
	}
	// Stripes closer than a frame: the high half bears for all.
	if l, err := LeastFor(step(func(x, y float64) bool { return math.Mod(x, 8) < 4 }), want); err != nil || l.MetalMM3 > 1e-6 {
		t.Errorf("stripes: %+v, %v", l, err)
	}
}

// An inch frame holds the metal whose middle lies in it, row by row, wherever the
// lattice begins, and one that lies half off the metal is none.
func TestFramesHoldWhatLiesInThem(t *testing.T) {
	g := surface.Grid{NX: 131, NY: 67, DX: .7, DY: .6, X0: -3.3, Y0: 11}
	m := surface.NewMap(g)
	for k := range m.Z {
		if x, y := g.X(k%g.NX), g.Y(k/g.NX); (x-40)*(x-40)+(y-30)*(y-30) < 64 || x > 75 {
			m.Z[k] = math.NaN() // a bore, and an end that is cut away
		}
	}
	all := framesOf(m, target{FrameMin: 1, AreaPct: [2]float64{30, 50}})
	last := all[len(all)-1]
	x0, y0, x1, y1 := g.Edges()
	at := func(lo, hi float64, k, n int) float64 { return lo + (hi-lo-25.4)*float64(k)/float64(n-1) }
	const across, along = 7, 3 // half an inch apart at the most
	n := 0
	for j := range along {
		for i := range across {
			fx, fy := at(x0, x1, i, across), at(y0, y1, j, along)
			var want []int
			for k, z := range m.Z {
				if x, y := g.X(k%g.NX), g.Y(k/g.NX); z == z && x >= fx && x < fx+25.4 && y >= fy && y < fy+25.4 {
					want = append(want, k)
				}
			}
			if float64(len(want))*g.CellArea() <= 25.4*25.4/2 {
				continue
			}
			if n >= len(all)-1 {
				t.Fatalf("there are %d frames, and that at %g, %g is none of them", len(all)-1, fx, fy)
			}
			var got []int
			all[n].each(m, func(k int) { got = append(got, k) })
			if !slices.Equal(got, want) {
				t.Errorf("the frame at %g, %g holds %d cells, want %d", fx, fy, len(got), len(want))
			}
			n++
		}
	}
	if n != len(all)-1 || n == across*along {
		t.Errorf("%d frames lie on the metal, and %d are taken", n, len(all)-1)
	}
	metal := 0
	last.each(m, func(int) { metal++ })
	if want := int(.3 * float64(metal)); last.need != want {
		t.Errorf("of the whole face %d cells must bear, want %d", last.need, want)
	}
}

func TestNth(t *testing.T) {
	for n := range 7 {
		v := []float64{3, 1, 4, 1, 5, 9, 2}
		if got, want := nth(v, n), []float64{1, 1, 2, 3, 4, 5, 9}[n]; got != want {
			t.Errorf("at %d: %g, want %g", n, got, want)
		}
	}
}
