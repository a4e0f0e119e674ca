package seat

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

// exactCase is a face whose rigid seat is known in exact fractions (computed
// with rational arithmetic, and the same by the HiGHS linear-programming
// solver): z = ((11x^2+3y^3+7xy+2) mod 23) - floor((x-8)^2/4) -
// floor((y-6)^2/3) on x 0..15, y 0..11.
func exactCase() *surface.Map {
	m := surface.NewMap(surface.Grid{NX: 16, NY: 12, DX: 1, DY: 1})
	for y := 0; y < 12; y++ {
		for x := 0; x < 16; x++ {
			m.Z[y*16+x] = float64((11*x*x+3*y*y*y+7*x*y+2)%23 - (x-8)*(x-8)/4 - (y-6)*(y-6)/3)
		}
	}
	return m
}

func TestRestExactCase(t *testing.T) {
	m := exactCase()
	check := func(r Rigid, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		if want := [][2]float64{{6, 4}, {10, 7}, {8, 8}}; !reflect.DeepEqual(r.Contacts, want) {
			t.Fatalf("contacts %v, want %v", r.Contacts, want)
		}
		near(t, "plane a", r.Plane.A, 93.0/5, 1e-12)
		near(t, "plane b", r.Plane.B, 1.0/10, 1e-12)
		near(t, "plane c", r.Plane.C, 1.0/5, 1e-12)
		for k, want := range []float64{11.0 / 20, 3.0 / 10, 3.0 / 20} {
			near(t, "reaction", r.Reactions[k], want, 1e-12)
		}
		near(t, "max gap", r.MaxGap, 223.0/5, 1e-12)
		near(t, "mean gap", r.MeanGap, 187.0/10, 1e-12)
	}
	check(Rest(m, 7.5, 5.5))
	var x, y []float64
	for k := range m.Z {
		x, y = append(x, m.X(k%16)), append(y, m.Y(k/16))
	}
	check(RestPoints(x, y, m.Z, 7.5, 5.5))

	r, _ := Rest(m, 7.5, 5.5)
	for _, c := range []struct {
		film  float64
		cells int
	}{{0, 3}, {2, 5}, {5, 12}, {10, 33}} {
		n := 0
		for k, z := range m.Z {
			if r.Plane.At(m.X(k%16), m.Y(k/16))-z <= c.film+ContactGap {
				n++
			}
		}
		if n != c.cells {
			t.Errorf("film %g: %d cells, want %d", c.film, n, c.cells)
		}
	}
}

// Statics: moments about the feet (0,0), (300,0), (150,200) under 100 N at
// (140,70) mm.
func TestThreePointSupportReactions(t *testing.T) {
	r, err := RestPoints([]float64{0, 300, 150}, []float64{0, 0, 200}, []float64{3, 1, 2}, 140, 70)
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range []float64{35.8333, 29.1667, 35} {
		near(t, "reaction, N", 100*r.Reactions[k], want, 5e-5)
	}
}

// A flat face touches everywhere, so its reactions are not decided; the same
// where two feet carry a load that lies on the line between them.
func TestRestOfIndeterminateSeats(t *testing.T) {
	m := surface.NewMap(surface.Grid{NX: 7, NY: 5, DX: 0.5, DY: 0.25})
	for k := range m.Z {
		m.Z[k] = 3 + m.X(k%7) - 2*m.Y(k/7)
	}
	r, err := Rest(m, 1.5, 0.5)
	if err != nil || len(r.Contacts) != 35 || r.Reactions != nil {
		t.Errorf("flat face: %d contacts, reactions %v, err %v", len(r.Contacts), r.Reactions, err)
	}
	near(t, "flat face gap", r.MaxGap, 0, 1e-12)

	// A ridge along x with the load over it: height 0 along y = 0.5.
	for k := range m.Z {
		m.Z[k] = -math.Abs(m.Y(k/7) - 0.5)
	}
	r, err = Rest(m, 1.5, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "height at the load over a ridge", r.Plane.At(1.5, 0.5), 0, 1e-12)
	if len(r.Contacts) < 7 {
		t.Errorf("ridge: contacts %v", r.Contacts)
	}
}

func TestRestRefusesLoadOutside(t *testing.T) {
	m := exactCase()
	for k := range m.Z { // metal left only where x >= y: a triangle
		if k%16 < k/16 {
			m.Z[k] = math.NaN()
		}
	}
	for _, at := range [][2]float64{{2, 5}, {-0.01, 0}, {15.001, 3}, {5, 12}} {
		if _, err := Rest(m, at[0], at[1]); !errors.Is(err, ErrLoadOutside) {
			t.Errorf("load at %v: error %v", at, err)
		}
	}
	for _, at := range [][2]float64{{5, 5}, {0, 0}, {15, 7}, {7.5, 0}} {
		if _, err := Rest(m, at[0], at[1]); err != nil {
			t.Errorf("load on the edge at %v: %v", at, err)
		}
	}
	if _, err := RestPoints([]float64{0, 1, 2}, []float64{0, 1, 2}, []float64{5, 1, 5}, 1, 1); err == nil {
		t.Error("three points on one line span no plane, yet no error")
	}
}

// The seat is that of a linear programme: the plane lies nowhere below a cell
// and its height at the load is balanced by cells that it touches, whose hull
// therefore holds the load. Small integer heights bring many ties.
func TestRestIsFeasibleAndBalanced(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for trial := 0; trial < 400; trial++ {
		nx, ny := 2+rng.IntN(12), 2+rng.IntN(12)
		m := surface.NewMap(surface.Grid{NX: nx, NY: ny, DX: 0.2, DY: 0.3, X0: -4, Y0: 7})
		steps := 1 + rng.IntN(6)
		for k := range m.Z {
			m.Z[k] = float64(rng.IntN(steps)) * 0.25
		}
		lx := m.X(0) + rng.Float64()*(m.X(nx-1)-m.X(0))
		ly := m.Y(0) + rng.Float64()*(m.Y(ny-1)-m.Y(0))
		if trial%4 == 0 {
			lx, ly = m.X(rng.IntN(nx)), m.Y(rng.IntN(ny))
		}
		r, err := Rest(m, lx, ly)
		if err != nil {
			t.Fatal(err)
		}
		for k, z := range m.Z {
			if gap := r.Plane.At(m.X(k%nx), m.Y(k/nx)) - z; gap < -1e-11 {
				t.Fatalf("trial %d: plane %g um below cell %d", trial, -gap, k)
			}
		}
		touch := surface.NewMap(m.Grid)
		for k := range touch.Z {
			touch.Z[k] = math.NaN()
		}
		for _, c := range r.Contacts {
			i, j, _ := m.Nearest(c[0], c[1])
			touch.Z[j*nx+i] = 0
		}
		// Balance: no direction in which every contact leans away from the load.
		for a := 0.0; a < 2*math.Pi; a += 0.01 {
			reach := math.Inf(-1)
			for _, c := range r.Contacts {
				reach = max(reach, (c[0]-lx)*math.Cos(a)+(c[1]-ly)*math.Sin(a))
			}
			if reach < -1e-9 {
				t.Fatalf("trial %d: load (%g, %g) tips about %v", trial, lx, ly, r.Contacts)
			}
		}
	}
}

// Tilting the heights tilts the seat and nothing else.
func TestRestFollowsTilt(t *testing.T) {
	m := exactCase()
	r, _ := Rest(m, 7.5, 5.5)
	for k := range m.Z {
		m.Z[k] += 100 + 30*m.X(k%16) - 17*m.Y(k/16)
	}
	q, err := Rest(m, 7.5, 5.5)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(q.Contacts, r.Contacts) {
		t.Errorf("contacts %v, want %v", q.Contacts, r.Contacts)
	}
	near(t, "a", q.Plane.A-r.Plane.A, 100, 1e-10)
	near(t, "b", q.Plane.B-r.Plane.B, 30, 1e-10)
	near(t, "c", q.Plane.C-r.Plane.C, -17, 1e-10)
}

func BenchmarkRest4M(b *testing.B) {
	m := surface.NewMap(surface.Grid{NX: 2000, NY: 2000, DX: 0.1, DY: 0.1})
	rng := rand.New(rand.NewPCG(3, 4))
	for k := range m.Z {
		x, y := m.X(k%2000)-100, m.Y(k/2000)-100
		m.Z[k] = 20 - 0.001*(x*x+y*y) + rng.NormFloat64()
	}
	for b.Loop() {
		if _, err := Rest(m, 90, 110); err != nil {
			b.Fatal(err)
		}
	}
}
