package gauge

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Published worked example: user's guide of a laser measurement system, October
// 1987, section 21. x 0 to 0.45 m; slopes um/m.
func TestStraightnessPublishedExample(t *testing.T) {
	z := []float64{-0.5, -1.2, -2.5, -3.8, -4.0, -4.8, -5.9, -6.2, -7.4, -8.8}
	x := make([]float64, len(z))
	for k := range x {
		x[k] = 50 * float64(k)
	}
	f, err := Straightness(x, z)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "end-point slope", 1000*f.EndPoint.B, -18.44, 0.005)
	near(t, "least-squares slope", 1000*f.LeastSquares.B, -17.42, 0.005)
	near(t, "least-squares intercept", f.LeastSquares.A, -0.591, 0.0005)
	if f.MinimumZone.Width() > f.LeastSquares.Width() || f.MinimumZone.Width() > f.EndPoint.Width() {
		t.Errorf("minimum zone %g above %g or %g", f.MinimumZone.Width(), f.LeastSquares.Width(), f.EndPoint.Width())
	}
}

// Every line through two points is a candidate: the zone is the least width
// among those. Mirroring the heights swaps peak and valley.
func TestStraightnessMinimumZone(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 24))
	for trial := 0; trial < 200; trial++ {
		n := 2 + rng.IntN(25)
		x, z := make([]float64, n), make([]float64, n)
		for k := range x {
			x[k] = float64(rng.IntN(12))
			z[k] = float64(rng.IntN(9)) * 0.5
			if trial%2 == 0 {
				x[k], z[k] = rng.Float64()*30, rng.NormFloat64()
			}
		}
		f, err := Straightness(x, z)
		if err != nil {
			continue // all at one place
		}
		want := math.Inf(1)
		for a := range x {
			for b := range x {
				if x[a] == x[b] {
					continue
				}
				s := (z[a] - z[b]) / (x[a] - x[b])
				hi, lo := math.Inf(-1), math.Inf(1)
				for k := range x {
					hi, lo = max(hi, z[k]-s*x[k]), min(lo, z[k]-s*x[k])
				}
				want = min(want, hi-lo)
			}
		}
		if n == 2 {
			want = 0
		}
		near(t, "zone", f.MinimumZone.Width(), want, 1e-12)
		for k := range x {
			r := z[k] - f.MinimumZone.A - f.MinimumZone.B*x[k]
			if math.Abs(r) > f.MinimumZone.Peak+1e-12 {
				t.Fatalf("a point lies %g from the middle of a zone of half width %g", r, f.MinimumZone.Peak)
			}
		}
	}
	if _, err := Straightness([]float64{3, 3}, []float64{1, 2}); err == nil {
		t.Error("one position is no line")
	}
}

func TestParallelismAndTwist(t *testing.T) {
	datum := surface.Plane{A: 4, B: 0.2, C: -0.1}
	wedge := heights(100, 60, 0.5, func(x, y float64) float64 {
		return 20 + datum.At(x, y) + 0.08*x - 0.05*y
	})
	f, err := Parallelism(wedge, datum)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rise along", f.RiseX, 8, 1e-9)
	near(t, "rise across", f.RiseY, -3, 1e-9)
	// Between cell centres, half a pitch in from the edges.
	near(t, "zone", f.ZoneUM, 0.08*99.5+0.05*59.5, 1e-6)

	twisted := heights(100, 60, 0.5, func(x, y float64) float64 { return 3 - x + 2*y + 6*(x/100)*(y/60) })
	w, err := Twist(twisted)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "twist", w, 6, 1e-9)
	for k := range twisted.Z { // metal missing anywhere does not change it
		if k%7 == 0 || k < 3000 {
			twisted.Z[k] = math.NaN()
		}
	}
	w, err = Twist(twisted)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "twist with missing cells", w, 6, 1e-9)

	// Nine readings an inch apart: the corner readings decide, and not places half a
	// pitch beyond them. By hand: 2 - 3 - 2 + 1 at the corners.
	nine := surface.NewMap(surface.Grid{NX: 3, NY: 3, DX: 25.4, DY: 25.4})
	copy(nine.Z, []float64{2, 1, 3, 1, -1, 2, 2, 2, 1})
	if w, err = Twist(nine); err != nil {
		t.Fatal(err)
	}
	near(t, "twist of readings", w, -2, 1e-9)
	// Columns of mean 5/3, 2/3 and 2, rows of mean 2, 2/3 and 5/3: the plane climbs by
	// 1/3 along and falls by 1/3 across.
	if f, err = Parallelism(nine, surface.Plane{}); err != nil {
		t.Fatal(err)
	}
	near(t, "zone of readings", f.ZoneUM, 4, 1e-12)
	near(t, "rise of readings", f.RiseX, 1.0/3, 1e-9)
	near(t, "rise of readings", f.RiseY, -1.0/3, 1e-9)

	cross := heights(9, 9, 1, func(x, y float64) float64 {
		if math.Abs(x-4.5) > 0.1 && math.Abs(y-4.5) > 0.1 {
			return math.NaN()
		}
		return 0
	})
	if _, err := Twist(cross); err == nil {
		t.Error("two lines along the axes tell no twist")
	}
}
