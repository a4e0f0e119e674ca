package gauge

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// A random scatter in a rectangle: edges make the plain ratio read high;
// Donnelly's correction brings its mean back to one.
func TestEdgeCorrectionOfARandomScatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(25, 26))
	const n, trials, w, h = 25, 4000, 80.0, 40.0
	plain, corrected := 0.0, 0.0
	for range trials {
		x, y := make([]float64, n), make([]float64, n)
		for k := range x {
			x[k], y[k] = w*rng.Float64(), h*rng.Float64()
		}
		a, _ := ClarkEvans(x, y, w*h)
		b, _ := ClarkEvansDonnelly(x, y, w*h, 2*(w+h))
		plain, corrected = plain+a/trials, corrected+b/trials
	}
	// The spread of one ratio is about .26/sqrt(n): of the mean, 0.0008.
	near(t, "corrected", corrected, 1, 0.004)
	if plain < 1.08 {
		t.Errorf("plain ratio %g: edges should make it read some 10 %% high", plain)
	}
}

func TestSizes(t *testing.T) {
	s := newSizeDistribution([]float64{4, 1, 2, 5, 3})
	near(t, "mean", s.Mean(), 3, 1e-12)
	near(t, "variation", s.Variation(), math.Sqrt(2.5)/3, 1e-12)
	near(t, "median", s.Quantile(0.5), 3, 1e-12)
	near(t, "least", s.Quantile(0), 1, 0)
	near(t, "greatest", s.Quantile(1), 5, 0)
	near(t, "quantile", s.Quantile(0.9), 4.6, 1e-12)
	near(t, "of one", newSizeDistribution([]float64{7}).Quantile(0.3), 7, 0)

	// Two discs joined by a thin bar: one patch, two points that share it.
	g := surface.Grid{NX: 200, NY: 100, DX: 0.1, DY: 0.1}
	a, b := disc(5, 5, 4), disc(14, 5, 2)
	mask := draw(g, func(x, y float64) bool {
		return a(x, y) || b(x, y) || x > 5 && x < 14 && math.Abs(y-5) < 0.2
	})
	c := CountPoints(mask, nil, g, DefaultRule)
	patches, points := c.PatchSizes(), c.PointSizes()
	if patches.N() != 1 || points.N() != 2 {
		t.Fatalf("%d patches, %d points", patches.N(), points.N())
	}
	near(t, "all cells are shared out", points.Mean()*2, patches.Mean(), 1e-9)
	if points.Quantile(1) < math.Pi/4*16 || points.Quantile(0) < math.Pi/4*4 {
		t.Errorf("points of %g and %g mm^2", points.Quantile(0), points.Quantile(1))
	}
}

func TestClearanceAgainstAllPairs(t *testing.T) {
	rng := rand.New(rand.NewPCG(27, 28))
	for trial := 0; trial < 60; trial++ {
		g := surface.Grid{NX: 1 + rng.IntN(30), NY: 1 + rng.IntN(30), DX: 0.2, DY: []float64{0.2, 0.07, 0.31}[trial%3]}
		open := make([]bool, g.Cells())
		p := rng.Float64() * rng.Float64()
		for k := range open {
			open[k] = rng.Float64() > p
		}
		got := clearance(open, g)
		for k := range open {
			want := math.Inf(1)
			for j := -1; j <= g.NY; j++ {
				for i := -1; i <= g.NX; i++ {
					if i < 0 || j < 0 || i == g.NX || j == g.NY || !open[j*g.NX+i] {
						dx, dy := float64(i-k%g.NX)*g.DX, float64(j-k/g.NX)*g.DY
						want = min(want, dx*dx+dy*dy)
					}
				}
			}
			if math.Abs(got[k]-want) > 1e-12*(1+want) {
				t.Fatalf("trial %d cell %d: %g, want %g", trial, k, got[k], want)
			}
		}
	}
}

func TestLargestBald(t *testing.T) {
	g := surface.Grid{NX: 300, NY: 200, DX: 0.1, DY: 0.1, X0: 5, Y0: 6}
	bare := disc(5+12, 6+9, 11)
	c, ok := LargestBald(draw(g, func(x, y float64) bool { return !bare(x, y) }), nil, g)
	if !ok {
		t.Fatal("a bare disc was not found")
	}
	near(t, "x", c.X, 17, 0.051)
	near(t, "y", c.Y, 15, 0.051)
	near(t, "diameter", c.Diameter, 11, 0.3)
	// A face with no colour at all: what fits between its edges.
	c, _ = LargestBald(make([]bool, g.Cells()), nil, g)
	near(t, "bare face", c.Diameter, 20, 0.2)
	all := draw(g, func(x, y float64) bool { return true })
	if _, ok := LargestBald(all, nil, g); ok {
		t.Error("a face all blue has no bald place")
	}
}

// Flat-topped discs on a flat ground: the hollow is the step.
func TestHollows(t *testing.T) {
	g := surface.Grid{NX: 200, NY: 200, DX: 0.2, DY: 0.2}
	plane := surface.Plane{A: 3, B: 0.1, C: -0.2}
	m := surface.NewMap(g)
	for k := range m.Z {
		x, y := g.X(k%200), g.Y(k/200)
		deep := 6.0
		if x > 20 {
			deep = 9
		}
		m.Z[k] = plane.At(x, y) - deep
		if math.Hypot(math.Mod(x, 10)-5, math.Mod(y, 10)-5) < 2 {
			m.Z[k] = plane.At(x, y)
		}
	}
	_, c := Bearing(m, plane, 2.5, DefaultRule)
	f := c.Hollows(m, plane)
	if c.Points != 16 || f.N != 16 {
		t.Fatalf("%d points, %d hollows", c.Points, f.N)
	}
	near(t, "least", f.Least, 6, 1e-9)
	near(t, "greatest", f.Greatest, 9, 1e-9)
	near(t, "mean", f.Mean, 7.5, 1e-9)

	none := CountPoints(make([]bool, g.Cells()), nil, g, DefaultRule)
	if f := none.Hollows(m, plane); f.N != 0 || f.Mean == f.Mean {
		t.Error("no points, no hollows")
	}
}

// Points per 25 x 25 mm and frames of that side.
func TestFramesOf25mm(t *testing.T) {
	g := surface.Grid{NX: 250, NY: 250, DX: 0.2, DY: 0.2, X0: 0.1, Y0: 0.1}
	mask := draw(g, func(x, y float64) bool { return math.Hypot(math.Mod(x, 5)-2.5, math.Mod(y, 5)-2.5) < 1 })
	c := CountPoints(mask, nil, g, DefaultRule)
	near(t, "per 25 mm square", c.Per(625), 25, 1e-9)
	fewest, most, ok := c.Frames(25)
	if !ok || fewest.Points != 25 || most.Points != 25 {
		t.Errorf("frames of 25 mm over a lattice of 5 mm hold %v to %v, want 25", fewest, most)
	}
	if _, _, ok := c.Frames(51); ok {
		t.Error("a frame wider than the face")
	}
}
