package gauge

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// symmetric spreads heights over a map in mirrored pairs, so that its
// least-squares plane is level: the parameters of the heights alone remain.
func symmetric(t *testing.T, z []float64) *surface.Map {
	t.Helper()
	n := len(z)
	rng := rand.New(rand.NewPCG(21, 22))
	rng.Shuffle(n, func(a, b int) { z[a], z[b] = z[b], z[a] })
	m := surface.NewMap(surface.Grid{NX: 2 * n, NY: 2, DX: 0.2, DY: 0.2})
	for k, v := range z {
		for _, at := range [4]int{k, 2*n - 1 - k, 2*n + k, 4*n - 1 - k} {
			m.Z[at] = v
		}
	}
	return m
}

// spread samples a distribution by its quantiles: n heights of equal share.
func spread(n int, quantile func(p float64) float64) []float64 {
	z := make([]float64, n)
	for k := range z {
		z[k] = quantile((float64(k) + 0.5) / float64(n))
	}
	return z
}

func phi(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }

// Height parameters of ISO 25178-2 in closed form, and material ratios.
func TestTextureClosedForms(t *testing.T) {
	const A, H, s = 3.0, 2.0, 1.5
	const p = 0.3
	type ratio struct{ c, want float64 }
	ridge := surface.NewMap(surface.Grid{NX: 20000, NY: 2, DX: 0.01, DY: 0.01})
	for k := range ridge.Z {
		ridge.Z[k] = A * math.Cos(2*math.Pi*(float64(k%20000)+0.5)/2000)
	}
	egg := surface.NewMap(surface.Grid{NX: 2000, NY: 1000, DX: 0.01, DY: 0.01})
	for k := range egg.Z {
		x, y := float64(k%2000)+0.5, float64(k/2000)+0.5
		egg.Z[k] = A * math.Cos(2*math.Pi*x/1000) * math.Cos(2*math.Pi*y/1000)
	}
	for _, c := range []struct {
		name             string
		m                *surface.Map
		sa, sq, ssk, sku float64
		tol              float64
		mean             float64 // what the heights below are above the plane
		ratios           []ratio
	}{
		{"ridge A cos", ridge, 2 * A / math.Pi, A / math.Sqrt2, 0, 3.0 / 2, 1e-5, 0,
			[]ratio{{0.5 * A, 1.0 / 3}}},
		{"A cos cos", egg, 4 * A / (math.Pi * math.Pi), A / 2, 0, 9.0 / 4, 1e-5, 0,
			[]ratio{{.1 * A, .404932}, {.5 * A, .184782}, {.9 * A, .0326618}}},
		{"uniform 0..H", symmetric(t, spread(20000, func(p float64) float64 { return H * p })),
			H / 4, H / math.Sqrt(12), 0, 9.0 / 5, 1e-7, H / 2,
			[]ratio{{0.25 * H, 0.75}, {0.9 * H, 0.1}}},
		{"Gaussian", symmetric(t, spread(1e6, func(p float64) float64 { return s * math.Sqrt2 * math.Erfinv(2*p-1) })),
			.797884561 * s, s, 0, 3, 1e-4, 0,
			[]ratio{{s, math.Erfc(1/math.Sqrt2) / 2}, {-0.5 * s, math.Erfc(-0.5/math.Sqrt2) / 2}}},
		{"two levels", symmetric(t, spread(10000, func(q float64) float64 {
			if q > 1-p {
				return H
			}
			return 0
		})), 2 * p * (1 - p) * H, math.Sqrt(p*(1-p)) * H, (1 - 2*p) / math.Sqrt(p*(1-p)), 1/(p*(1-p)) - 3, 1e-9, p * H,
			[]ratio{{0.5 * H, p}}},
		// A plateau with parabolic pockets on .3 of the area, depth 1.
		{"pockets", symmetric(t, spread(100000, func(q float64) float64 {
			if q > .3 {
				return 0
			}
			// Of a paraboloid pocket the share down to depth t is 1-t.
			return -(1 - q/.3)
		})), .21675, .278388218, -1.70335351, 4.49219563, 1e-6, -.15,
			[]ratio{{-0.5, .7 + .3*0.5}}},
	} {
		f, err := Texture(c.m)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+" Sa", f.Sa, c.sa, c.tol)
		near(t, c.name+" Sq", f.Sq, c.sq, c.tol)
		near(t, c.name+" Ssk", *f.Ssk, c.ssk, 20*c.tol)
		near(t, c.name+" Sku", *f.Sku, c.sku, 20*c.tol)
		for _, r := range c.ratios {
			near(t, c.name+" ratio", f.Curve.Ratio(r.c-c.mean), r.want, 1e-3)
			near(t, c.name+" inverse", f.Curve.Ratio(f.Curve.Height(r.want)), r.want, 2e-3)
		}
	}
}

// The Sk family where it has a closed form: even heights, a plateau with
// pockets, and the normal distribution.
func TestCoreClosedForms(t *testing.T) {
	even := newMaterialCurve(spread(1000, func(p float64) float64 { return 5 * p })).Core()
	near(t, "even Sk", even.Sk, 5, 1e-9)
	near(t, "even Spk", even.Spk, 0, 1e-9)
	near(t, "even Svk", even.Svk, 0, 1e-9)
	near(t, "even Smr1", even.Smr1, 0, 1e-9)
	near(t, "even Smr2", even.Smr2, 100, 1e-9)

	// A plateau of .7 and even pockets to depth 4 below it: no core height; the
	// valleys are a triangle already.
	pockets := newMaterialCurve(spread(10000, func(p float64) float64 { return min(0, -4*(.3-p)/.3) })).Core()
	near(t, "pockets Sk", pockets.Sk, 0, 1e-9)
	near(t, "pockets Svk", pockets.Svk, 4, 1e-2)
	near(t, "pockets Smr1", pockets.Smr1, 0, 1e-9)
	near(t, "pockets Smr2", pockets.Smr2, 70, 2e-2)

	// Normal heights: the flattest 40 % lies in the middle, between quantiles
	// -a and a; the least-squares slope there is 12/.4^3 times the integral of
	// (p - 1/2) z(p), which is erf(a)/(2 sqrt pi) - .4 phi(a).
	const s = 1.7
	a := math.Sqrt2 * math.Erfinv(2*0.7-1)
	sk := s * 12 / (.4 * .4 * .4) * (math.Erf(a)/(2*math.Sqrt(math.Pi)) - .4*phi(a))
	h := sk / 2 / s
	tail := math.Erfc(h/math.Sqrt2) / 2
	peak := 2 * s * (phi(h) - h*tail) / tail
	g := newMaterialCurve(spread(200000, func(p float64) float64 { return s * math.Sqrt2 * math.Erfinv(2*p-1) })).Core()
	near(t, "normal Sk", g.Sk, sk, 1e-4)
	near(t, "normal Smr1", g.Smr1, 100*tail, 1e-2)
	near(t, "normal Smr2", g.Smr2, 100-100*tail, 1e-2)
	near(t, "normal Spk", g.Spk, peak, 1e-3)
	near(t, "normal Svk", g.Svk, peak, 1e-3)

	// Two equal plateaus: the first found is the upper one.
	two := newMaterialCurve(spread(1000, func(p float64) float64 { return math.Round(p) })).Core()
	near(t, "two plateaus Smr1", two.Smr1, 0, 1e-9)
	near(t, "two plateaus Smr2", two.Smr2, 50, 0.1)
}

// Root mean square slope of a wave A cos(kx): A k / sqrt 2.
func TestSlopeOfAWave(t *testing.T) {
	const A, wavelength = 4.0, 2.5
	m := surface.NewMap(surface.Grid{NX: 1006, NY: 9, DX: 0.1, DY: 0.1})
	for k := range m.Z {
		m.Z[k] = A * math.Cos(2*math.Pi*(m.X(k%1006)-m.X(3))/wavelength)
	}
	f, err := Texture(m)
	if err != nil {
		t.Fatal(err)
	}
	relative(t, "Sdq", *f.Sdq, A/1000*2*math.Pi/wavelength/math.Sqrt2, 1e-5)
}

func TestTextureOfFlatAndSmallFaces(t *testing.T) {
	m := surface.NewMap(surface.Grid{NX: 30, NY: 20, DX: 0.1, DY: 0.1})
	for k := range m.Z {
		m.Z[k] = 1000 + 7*m.X(k%30) - 3*m.Y(k/30)
	}
	f, err := Texture(m)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "flat Sq", f.Sq, 0, 1e-11)
	if f.Ssk != nil || f.Sku != nil {
		t.Error("a flat face has no skewness")
	}
	// Pyramid of 5 x 5 heights 2, 6, 10: the sample file that the MIT-licensed
	// package x3ptools carries.
	small := surface.NewMap(surface.Grid{NX: 5, NY: 5, DX: 1, DY: 1})
	for k := range small.Z {
		small.Z[k] = 2 + 4*float64(min(k%5, k/5, 4-k%5, 4-k/5))
	}
	f, err = Texture(small)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "pyramid Sq", f.Sq, 2.26274169980, 1e-11)
	near(t, "pyramid Sa", f.Sa, 2.048, 1e-12)
	near(t, "pyramid Ssk", *f.Ssk, 1.060660172, 1e-9)
	near(t, "pyramid Sku", *f.Sku, 3.125, 1e-12)
	near(t, "pyramid Sz", f.Sz, 8, 1e-12)
	near(t, "pyramid Sp", f.Sp, 6.4, 1e-12)
	near(t, "pyramid Sv", f.Sv, 1.6, 1e-12)
	if f.Sdq != nil {
		t.Error("five cells are too few for a slope of seven points")
	}
}

func BenchmarkTexture1M(b *testing.B) {
	m := wavy(1000, 1000, 0.1)
	for b.Loop() {
		if _, err := Texture(m); err != nil {
			b.Fatal(err)
		}
	}
}
