package gauge

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// heights is a map of a function of position.
func heights(length, across, pitch float64, z func(x, y float64) float64) *surface.Map {
	g := surface.Grid{NX: int(length/pitch + 0.5), NY: int(across/pitch + 0.5), DX: pitch, DY: pitch, X0: pitch / 2, Y0: pitch / 2}
	m := surface.NewMap(g)
	for k := range m.Z {
		m.Z[k] = z(g.X(k%g.NX), g.Y(k/g.NX))
	}
	return m
}

func TestBareTip(t *testing.T) {
	// From the seated plane: a tilted face is no wavier.
	plane := surface.Plane{A: 5, B: 0.3, C: -0.1}
	flat := heights(40, 3.1, 0.1, func(x, y float64) float64 { return plane.At(x, y) - 2 })
	r, trace := BareTip(flat, plane)
	near(t, "flat", r, 0, 1e-12)
	if !math.IsNaN(trace[19]) || math.IsNaN(trace[20]) || math.IsNaN(trace[379]) || !math.IsNaN(trace[380]) {
		t.Error("the tip must stay 2 mm in from the ends: 20 cells of 0.1 mm")
	}

	// A groove one cell wide, deeper than the ball reaches: the ball stands on
	// its shoulders, cell centres 0.2 mm apart, and sags R - sqrt(R^2 - w^2/4).
	groove := heights(40, 3.1, 0.1, func(x, y float64) float64 {
		if math.Abs(x-20.05) < 0.01 {
			return -50
		}
		return 0
	})
	r, _ = BareTip(groove, surface.Plane{})
	near(t, "groove", r, 1000*(0.75-math.Sqrt(0.75*0.75-0.2*0.2/4)), 1e-9)

	// A sinusoid is followed exactly where R < l^2 / (4 pi^2 A).
	const amp = 2e-3 // mm; wavelength 4 mm: R up to 202 mm
	wave := heights(40, 3.1, 0.1, func(x, y float64) float64 { return 1000 * amp * math.Sin(2*math.Pi*(x-0.05)/4) })
	r, _ = BareTip(wave, surface.Plane{})
	near(t, "wave", r, 2000*amp, 1e-9)

	// What the ends hide it does not see.
	spiky := heights(40, 3.1, 0.1, func(x, y float64) float64 {
		if x < 1.2 {
			return 30
		}
		return 0
	})
	r, _ = BareTip(spiky, surface.Plane{})
	near(t, "end", r, 0, 0)

	short := heights(3, 3, 0.1, func(x, y float64) float64 { return 0 })
	if r, _ := BareTip(short, surface.Plane{}); r == r {
		t.Error("a face of 3 mm has no place 2 mm in from both ends")
	}
	missing := heights(40, 3.1, 0.1, func(x, y float64) float64 { return math.NaN() })
	if r, _ := BareTip(missing, surface.Plane{}); r == r {
		t.Error("no metal, no reading")
	}
}

func TestBridgedBlock(t *testing.T) {
	// Crowned along x: the block balances on the crest of its stretch, so that
	// its middle stands at the height under it.
	crown := func(x float64) float64 { return -0.004 * (x - 50) * (x - 50) }
	r, ok := BridgedBlock(heights(100, 75, 0.2, func(x, y float64) float64 { return crown(x) }), surface.Plane{})
	// Middles at 4.5, 9.5 ... 94.5 mm. They do not lie on cell centres, and the
	// block stands on the two cells beside: half a pitch is 1e-4 um off.
	if !ok {
		t.Fatal("no block on a face of 100 x 75 mm")
	}
	near(t, "crown", r, crown(49.5)-crown(4.5), 2e-4)

	// Dished: it stands on its two ends, 8.8 mm apart between cell centres.
	r, _ = BridgedBlock(heights(100, 75, 0.2, func(x, y float64) float64 { return -crown(x) }), surface.Plane{})
	near(t, "dish", r, crown(49.5)-crown(4.5), 2e-4)

	// Waves shorter than the block vanish under it.
	wave := heights(100, 31, 0.2, func(x, y float64) float64 { return 4 * math.Cos(2*math.Pi*(x-0.1)/2) })
	r, _ = BridgedBlock(wave, surface.Plane{})
	bare, _ := BareTip(wave, surface.Plane{})
	near(t, "wave bridged", r, 0, 1e-9)
	near(t, "wave bare", bare, 8, 1e-9)

	plane := surface.Plane{A: -3, B: 0.2, C: 0.5}
	r, _ = BridgedBlock(heights(100, 75, 0.2, plane.At), plane)
	near(t, "from the seated plane", r, 0, 1e-9)

	if _, ok := BridgedBlock(heights(100, 29.8, 0.2, func(x, y float64) float64 { return 0 }), surface.Plane{}); ok {
		t.Error("a block on a face narrower than it")
	}
	hole := heights(100, 40, 0.2, func(x, y float64) float64 {
		if x < 80 {
			return math.NaN()
		}
		return 0
	})
	if h, ok := BridgedBlock(hole, surface.Plane{}); !ok || h != 0 {
		t.Error("the whole end of a face with a hole carries a block")
	}
	if stops := blockStops(0, 9); len(stops) != 1 {
		t.Errorf("a face as long as the block: %v", stops)
	}
}

func BenchmarkInstruments(b *testing.B) {
	m := wavy(500, 375, 0.2)
	b.Run("bare", func(b *testing.B) {
		for b.Loop() {
			BareTip(m, surface.Plane{})
		}
	})
	b.Run("bridged", func(b *testing.B) {
		for b.Loop() {
			BridgedBlock(m, surface.Plane{})
		}
	})
}
