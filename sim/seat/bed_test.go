package seat

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// flat is an even face of length by width mm at the given pitch.
func flat(length, width, pitch float64) *surface.Map {
	return surface.NewMap(surface.Grid{
		NX: int(math.Round(length / pitch)), NY: int(math.Round(width / pitch)),
		DX: pitch, DY: pitch, X0: pitch / 2, Y0: pitch / 2,
	})
}

// A rigid block of 300 x 200 mm on a Winkler bed under 150 N: edge pressures
// from N/A (1 +- 6e/L) inside the middle third, and beyond it a contact length
// 3 (L/2 - e) with twice the mean pressure at the edge (statics; recomputed).
func TestRigidBlockOnWinklerBed(t *testing.T) {
	const k, pitch = 20.0, 0.5
	m := flat(300, 200, pitch)
	for _, c := range []struct{ e, near, far, length float64 }{
		{25, .00375, .00125, 300},
		{50, .005, 0, 300},
		{60, .0055555556, 0, 270},
	} {
		s, err := OnBed(m, Load{X: 150 + c.e, Y: 100, N: 150}, k)
		if err != nil {
			t.Fatal(err)
		}
		press := func(x float64) float64 { return k * -s.Plane.At(x, 100) }
		if got := press(300); math.Abs(got-c.near) > 1e-5 {
			t.Errorf("e = %g: pressure at the near edge %.7f MPa, want %.7f", c.e, got, c.near)
		}
		if got := math.Max(0, press(0)); math.Abs(got-c.far) > 1e-5 {
			t.Errorf("e = %g: pressure at the far edge %.7f MPa, want %.7f", c.e, got, c.far)
		}
		touching := 0
		for i := 0; i < m.NX; i++ {
			if s.Overlap(m, i, 200) > 0 {
				touching++
			}
		}
		if got := float64(touching) * pitch; math.Abs(got-c.length) > 2*pitch {
			t.Errorf("e = %g: contact length %.1f mm, want %.1f", c.e, got, c.length)
		}
	}
}

// The default stiffness has the order of the rigid circular punch F = 2 a E* d
// (Johnson, Contact Mechanics, 1985, eq. 3.36; from memory) on spots of 2 mm
// radius between two iron bodies, E = 110 GPa, nu = .25 (assumed): within a
// factor of two of the mean pressure per um.
func TestStiffnessHasTheOrderOfARigidPunch(t *testing.T) {
	const a, e, nu = 2.0, 110e3, .25
	eStar := e / (1 - nu*nu) / 2
	perUM := 2 * a * eStar * 1e-3 / (math.Pi * a * a)
	if r := Stiffness / perUM; r < .5 || r > 2 {
		t.Fatalf("k is %.2f of the punch's %.2f N/mm^2 per um", r, perUM)
	}
}

// Whatever the face, force and both moments balance, and hardening the bed only
// lets fewer cells carry.
func TestBedBalancesForceAndMoments(t *testing.T) {
	m := rough(160, 120, .5, 7)
	load := Weight(m).Plus(Load{X: 30, Y: 20, N: 12})
	loaded := m.Cells() + 1
	for _, k := range []float64{.02, .5, 20, 400} {
		s, err := OnBed(m, load, k)
		if err != nil {
			t.Fatal(err)
		}
		var f, mx, my float64
		n := 0
		for j := 0; j < m.NY; j++ {
			for i := 0; i < m.NX; i++ {
				if o := s.Overlap(m, i, j); o > 0 {
					p := k * o * m.CellArea()
					f += p
					mx += p * (m.X(i) - load.X)
					my += p * (m.Y(j) - load.Y)
					n++
				}
			}
		}
		if math.Abs(f/load.N-1) > 1e-6 || math.Abs(mx)/load.N > 1e-4 || math.Abs(my)/load.N > 1e-4 {
			t.Errorf("k %g: force %.9f of %.9f N, moments %.2g %.2g N mm", k, f, load.N, mx, my)
		}
		if n > loaded {
			t.Errorf("k %g: %d cells carry, more than the %d of the softer bed", k, n, loaded)
		}
		loaded = n
	}
}

// As the bed hardens it must tend to the exact rigid seat (Rest).
func TestHardBedTendsToRigidSeat(t *testing.T) {
	m := rough(80, 60, .5, 3)
	load := Weight(m)
	r, err := Rest(m, load.X, load.Y)
	if err != nil {
		t.Fatal(err)
	}
	s, err := OnBed(m, load, 1e6)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range [][2]float64{{0, 0}, {80, 0}, {0, 60}, {80, 60}} {
		if d := math.Abs(s.Plane.At(p[0], p[1]) - r.Plane.At(p[0], p[1])); d > .01 {
			t.Errorf("at %v the hard bed lies %.4f um off the rigid seat", p, d)
		}
	}
}

// A crowned part rocks: a hand on one side brings that side down and lifts the
// other.
func TestCrownedPartRocksUnderTheHand(t *testing.T) {
	m := flat(100, 75, .5)
	for j := 0; j < m.NY; j++ {
		for i := 0; i < m.NX; i++ {
			u := (m.X(i) - 50) / 50
			m.Z[j*m.NX+i] = -20 * u * u
		}
	}
	w := Weight(m)
	left, err := OnBed(m, w.Plus(Load{X: 10, Y: 37.5, N: 20}), Stiffness)
	if err != nil {
		t.Fatal(err)
	}
	right, err := OnBed(m, w.Plus(Load{X: 90, Y: 37.5, N: 20}), Stiffness)
	if err != nil {
		t.Fatal(err)
	}
	// The gap under a hand is smaller than the gap there when pressed elsewhere.
	gap := func(s Seat, x float64) float64 { return s.Plane.At(x, 37.5) + 20*((x-50)/50)*((x-50)/50) }
	if gap(left, 10) >= gap(right, 10) || gap(right, 90) >= gap(left, 90) {
		t.Error("pressing a side does not bring it down")
	}
}

func TestLoadOutsideTheHullIsRefused(t *testing.T) {
	m := flat(20, 10, .5)
	if _, err := OnBed(m, Load{X: 25, Y: 5, N: 1}, Stiffness); err != ErrLoadOutside {
		t.Fatalf("got %v", err)
	}
	// A corner cut off by the mask is outside; the middle of the cut is not.
	for j := 0; j < m.NY; j++ {
		for i := 0; i < m.NX; i++ {
			if i+j < 10 {
				m.Z[j*m.NX+i] = math.NaN()
			}
		}
	}
	if _, err := OnBed(m, Load{X: 1, Y: 1, N: 1}, Stiffness); err != ErrLoadOutside {
		t.Fatalf("got %v in the missing corner", err)
	}
	if _, err := OnBed(m, Load{X: 10, Y: 5, N: 1}, Stiffness); err != nil {
		t.Fatal(err)
	}
}

func rough(length, width, pitch float64, seed uint64) *surface.Map {
	m := flat(length, width, pitch)
	r := rand.New(rand.NewPCG(seed, 0))
	for j := 0; j < m.NY; j++ {
		for i := 0; i < m.NX; i++ {
			x, y := m.X(i)/length-.5, m.Y(j)/width-.5
			m.Z[j*m.NX+i] = 30*x*y - 20*x*x + 10*y + 2*r.NormFloat64()
		}
	}
	return m
}

func BenchmarkOnBed(b *testing.B) {
	m := rough(200, 150, .2, 1)
	load := Weight(m)
	b.Run("seat", func(b *testing.B) {
		for b.Loop() {
			if _, err := OnBed(m, load, Stiffness); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("copy", func(b *testing.B) {
		from, to := make([]int32, m.Cells()), make([]int32, m.Cells())
		for b.Loop() {
			copy(to, from)
		}
	})
}
