package envelope

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// terraced heights bring every kind of tie: equal heights, points on lines,
// loads on edges and on supports.
func terraced(rng *rand.Rand) *surface.Map {
	nx, ny := 3+rng.IntN(20), 3+rng.IntN(20)
	m := surface.NewMap(surface.Grid{NX: nx, NY: ny, DX: 0.5, DY: 0.25, X0: 10, Y0: -3})
	steps, bow := 1+rng.IntN(5), rng.IntN(3)-1
	for k := range m.Z {
		i := k%nx - nx/2
		m.Z[k] = float64(rng.IntN(steps)) + 0.5*float64(bow*i*i)
		if rng.IntN(8) == 0 {
			m.Z[k] = math.NaN()
		}
	}
	return m
}

func asCloud(m *surface.Map) surface.Cloud {
	var c surface.Cloud
	for k, z := range m.Z {
		if z == z {
			c.X, c.Y, c.Z = append(c.X, m.X(k%m.NX)), append(c.Y, m.Y(k/m.NX)), append(c.Z, z)
		}
	}
	return c
}

// A map and the cloud of its cells give the same answers by different sweeps,
// every answer holds all points, and the zone is never wider than what the
// resting plane leaves below it.
func TestMapAndCloudAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for trial := 0; trial < 500; trial++ {
		m := terraced(rng)
		c := asCloud(m)
		a, b := OfMap(m), OfCloud(c)
		za, errA := a.MinimumZone()
		zb, errB := b.MinimumZone()
		if (errA == nil) != (errB == nil) {
			t.Fatalf("trial %d: errors %v and %v", trial, errA, errB)
		}
		if errA != nil {
			continue
		}
		if math.Abs(za.Width-zb.Width) > 1e-11 {
			t.Fatalf("trial %d: zones %.15g and %.15g", trial, za.Width, zb.Width)
		}
		na, err := a.MinimumZoneNormal()
		if err != nil || na.Width > za.Width*(1+1e-12) {
			t.Fatalf("trial %d: normal zone %g above vertical %g, error %v", trial, na.Width, za.Width, err)
		}
		x, y := m.X(rng.IntN(m.NX)), m.Y(rng.IntN(m.NY))
		pa, errA := a.Rest(x, y)
		pb, errB := b.Rest(x, y)
		if (errA == nil) != (errB == nil) || errA != nil && !errors.Is(errA, ErrOutside) {
			t.Fatalf("trial %d: errors %v and %v", trial, errA, errB)
		}
		if errA != nil {
			continue
		}
		if d := math.Abs(pa.At(x, y) - pb.At(x, y)); d > 1e-11 {
			t.Fatalf("trial %d: planes %g apart at the load", trial, d)
		}
		deepest := 0.0
		for k := range c.Z {
			gap := pa.At(c.X[k], c.Y[k]) - c.Z[k]
			if gap < -1e-11 {
				t.Fatalf("trial %d: a point stands %g um out of the plane it carries", trial, -gap)
			}
			deepest = max(deepest, gap)
			if off := math.Abs(c.Z[k] - za.Mid.At(c.X[k], c.Y[k])); off > za.Width/2+1e-11 {
				t.Fatalf("trial %d: a point lies %g um from the middle of a zone of %g", trial, off, za.Width)
			}
		}
		if za.Width > deepest+1e-11 {
			t.Fatalf("trial %d: zone %g wider than the gaps below the resting plane, %g", trial, za.Width, deepest)
		}
	}
}

// Points a millionth of their length off a slanting line: the zone is that of
// the same points spread out, for it does not change with the axes of x and y.
func TestNarrowSlantingCloud(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for trial := 0; trial < 200; trial++ {
		var wide, narrow surface.Cloud
		for range 12 {
			x, y, z := 100*rng.Float64(), 100*rng.Float64(), rng.NormFloat64()
			wide.X, wide.Y, wide.Z = append(wide.X, x), append(wide.Y, y), append(wide.Z, z)
			narrow.X, narrow.Y, narrow.Z = append(narrow.X, x), append(narrow.Y, 0.7*x+1e-6*y), append(narrow.Z, z)
		}
		a, err := OfCloud(wide).MinimumZone()
		if err != nil {
			t.Fatal(err)
		}
		b, err := OfCloud(narrow).MinimumZone()
		if err != nil {
			t.Fatal(err)
		}
		// Rounding of y, 1e-14 mm, is 1e-10 of the width.
		if math.Abs(a.Width-b.Width) > 1e-7*a.Width {
			t.Fatalf("trial %d: zone %.12g, narrow %.12g", trial, a.Width, b.Width)
		}
	}
}

func TestTooFewPoints(t *testing.T) {
	for _, c := range []surface.Cloud{
		{},
		{X: []float64{1}, Y: []float64{1}, Z: []float64{1}},
		{X: []float64{1, 2}, Y: []float64{1, 3}, Z: []float64{1, 2}},
		{X: []float64{1, 2, 3, 4}, Y: []float64{1, 3, 5, 7}, Z: []float64{1, 2, 9, 4}},
	} {
		// Off the axes and far from the origin too, where rounding has a say.
		for k := range c.X {
			c.X[k], c.Y[k] = 1000+0.3*c.X[k], 77+0.1*c.Y[k]
		}
		s := OfCloud(c)
		if _, err := s.MinimumZone(); !errors.Is(err, ErrOnOneLine) {
			t.Errorf("%d points: zone error %v", len(c.Z), err)
		}
		if _, err := s.Rest(1, 1); !errors.Is(err, ErrOnOneLine) {
			t.Errorf("%d points: rest error %v", len(c.Z), err)
		}
	}
}
