package seat

import (
	"math"
	"testing"
)

// straightedge is a cast-iron bar of 1 m, 50 mm deep and 40 mm wide, rho 7200
// kg/m^3, E 110 GPa, g 9.80665 (material values assumed), with its weight in
// small pieces.
func straightedge() (*Beam, []Load, Section) {
	const length, pieces = 1000.0, 2000
	s := Section{ThicknessMM: 50, WidthMM: 40, YoungGPa: 110}
	var w []Load
	for k := range pieces {
		w = append(w, Load{X: (float64(k) + .5) * length / pieces, N: 7200 * 9.80665 * .05 * .04 * 1 / pieces})
	}
	return NewBeam(0, length, s.EI(), 25), w, s
}

// sag is the range of the beam's height on two supports a distance apart.
func sag(t *testing.T, apart float64) (rangeUM, slope float64) {
	t.Helper()
	b, w, _ := straightedge()
	shape, force, err := b.OnSupports(w, []Support{{X: 500 - apart/2}, {X: 500 + apart/2}}, false)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(force[0]-force[1]) > 1e-6 || math.Abs(force[0]+force[1]-total(w)) > 1e-6 {
		t.Errorf("reactions %g and %g N of %g N", force[0], force[1], total(w))
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for x := 0.0; x <= 1000; x++ {
		h := shape.At(x)
		lo, hi = min(lo, h), max(hi, h)
	}
	return hi - lo, shape.At(1000) - shape.At(999)
}

// On its ends 5/384 w L^4/EI = 40.118 um; at the Airy points 1.847 um; at the
// spacing of equal end and middle sag .831 um (recomputed from beam theory).
func TestStraightedgeOnTwoSupports(t *testing.T) {
	for _, c := range []struct {
		name            string
		apart, want, by float64
	}{
		{"ends", 1000, 40.118, .01}, {"Airy points", 1000 / math.Sqrt(3), 1.847, .003}, {"equal sag", 553.702, .831, .003},
	} {
		if got, _ := sag(t, c.apart); math.Abs(got-c.want) > c.by {
			t.Errorf("%s: %.4f um, want %.3f", c.name, got, c.want)
		}
	}
}

// The Airy points are where the ends are level (L/sqrt 3), the equal-sag
// spacing is where the range is least (.553702 L), the Bessel points (.559380 L)
// where the bar, measured along its bent middle, loses least of its length: the
// integral of slope squared is least. Each is found anew by search.
func TestSpacings(t *testing.T) {
	lo, hi := 500.0, 700.0
	for hi-lo > 1e-3 {
		mid := (lo + hi) / 2
		if _, slope := sag(t, mid); slope < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	if math.Abs(lo-577.350) > .1 {
		t.Errorf("ends are level %.3f mm apart, want 577.350", lo)
	}
	least := func(cost func(apart float64) float64) float64 {
		lo, hi := 500.0, 620.0
		for hi-lo > .05 {
			a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
			if cost(a) < cost(b) {
				hi = b
			} else {
				lo = a
			}
		}
		return (lo + hi) / 2
	}
	if got := least(func(a float64) float64 { r, _ := sag(t, a); return r }); math.Abs(got-553.702) > .3 {
		t.Errorf("least range %.3f mm apart, want 553.702", got)
	}
	shortening := func(apart float64) float64 {
		b, w, _ := straightedge()
		shape, _, err := b.OnSupports(w, []Support{{X: 500 - apart/2}, {X: 500 + apart/2}}, false)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for x := 0.0; x < 1000; x += 2 {
			d := shape.At(x+2) - shape.At(x)
			sum += d * d
		}
		return sum
	}
	if got := least(shortening); math.Abs(got-559.380) > .3 {
		t.Errorf("Bessel points %.3f mm apart, want 559.380", got)
	}
}

// A bow of 20 um in that bar is flattened by F = 48 E I d/L^3 = 44.0 N at the
// middle (recomputed); what is clamped so and cut flat springs back by all of
// it, for the shape that the clamp gives is the bow turned over.
func TestSpringback(t *testing.T) {
	b, _, s := straightedge()
	if f := 48 * s.EI() * .020 / 1e9; math.Abs(f-44.0) > .05 {
		t.Errorf("48 E I d/L^3 is %.2f N, want 44.0", f)
	}
	shape, force, err := b.OnSupports(nil, []Support{{X: 0}, {X: 500, H: -20}, {X: 1000}}, true)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(force[1]+44.0) > .05 || math.Abs(force[0]-22) > .05 {
		t.Errorf("the clamp pulls with %.2f N and the ends bear %.2f N, want 44.0 and 22.0", -force[1], force[0])
	}
	if d := shape.At(500) - (shape.At(0)+shape.At(1000))/2; math.Abs(d+20) > 1e-6 {
		t.Errorf("clamped, the middle is %.3f um down, want 20", -d)
	}
	// Unclamped and without weight it stands on the two ends alone.
	_, force, err = b.OnSupports([]Load{{X: 500, N: 1}}, []Support{{X: 0}, {X: 500, H: -20}, {X: 1000}}, false)
	if err != nil || force[1] != 0 {
		t.Errorf("a support 20 um under the bar carries %g N (%v)", force[1], err)
	}
}

func TestBadSupports(t *testing.T) {
	b, w, _ := straightedge()
	for _, s := range [][]Support{nil, {{X: 500}}, {{X: 100}, {X: 400}}, {{X: -5}, {X: 700}}, {{X: 300}, {X: 300}}} {
		if _, _, err := b.OnSupports(w, s, false); err == nil {
			t.Errorf("supports %v hold it", s)
		}
	}
}
