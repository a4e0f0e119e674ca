package seat

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

func whole(m *surface.Map) [4]int { return [4]int{0, 0, m.NX, m.NY} }

func settle(t *testing.T, m *surface.Map, c Case, k float64) *Lie {
	t.Helper()
	l, err := NewBed(m).Settle(c, k)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// A rigid part lies as OnBed says, on a large field and a small, whole and with
// cells missing.
func TestSettleAgreesWithOnBed(t *testing.T) {
	for _, size := range [][2]float64{{160, 120}, {31, 17}, {8.5, 9}} {
		m := rough(size[0], size[1], .5, 7)
		for _, hole := range []bool{false, true} {
			if hole {
				for k := range m.Z {
					if k%m.NX < 3 || k%7 == 0 {
						m.Z[k] = math.NaN()
					}
				}
			}
			load := Weight(m).Plus(Load{X: size[0] * .6, Y: size[1] * .4, N: 5})
			want, err := OnBed(m, load, Stiffness)
			if err != nil {
				t.Fatal(err)
			}
			l := settle(t, m, Case{Under: whole(m), Forces: []Load{load}}, Stiffness)
			over := Overlap(nil, l)
			for k, o := range over.Z {
				if z := m.Z[k]; z == z {
					if d := o - (z - want.Plane.At(m.X(k%m.NX), m.Y(k/m.NX))); math.Abs(d) > 1e-6 {
						t.Fatalf("%v, cell %d: overlap differs by %.2g um", size, k, d)
					}
				} else if o == o {
					t.Fatalf("missing cell %d has overlap %g", k, o)
				}
			}
			if sum := total(l.Pressed(Stiffness)); math.Abs(sum/load.N-1) > 1e-6 {
				t.Errorf("%v: %g N bear of %g", size, sum, load.N)
			}
		}
	}
}

// A bar so stiff that it does not bend lies as a rigid one does.
func TestStiffBeamIsRigid(t *testing.T) {
	m := rough(200, 40, .5, 3)
	load := Weight(m)
	rigid := Overlap(nil, settle(t, m, Case{Under: whole(m), Forces: []Load{load}}, Stiffness))
	bent := Overlap(nil, settle(t, m, Case{Under: whole(m), Forces: []Load{load}, Beam: NewBeam(0, 200, 1e12, 25)}, Stiffness))
	for k := range rigid.Z {
		if d := rigid.Z[k] - bent.Z[k]; math.Abs(d) > 3e-3 { // its own weight bends it by 1.5e-3
			t.Fatalf("cell %d: %.2g um apart", k, d)
		}
	}
}

// Boresi & Schmidt, Advanced Mechanics of Materials, example 10.1: a long beam,
// E 200 GPa, I 36.9e6 mm^4, on a Winkler bed of 14 N/mm^2, under 170 kN at its
// middle: 5.04 mm and 51.21 kN m under the load. Their bed also pulls; here a
// weight keeps the beam pressed on everywhere, and what it does alone is taken
// off, which is the same.
func TestBeamOnWinklerBed(t *testing.T) {
	const ei, perMM, p, length, width = 200e3 * 36.9e6, 14.0, 170e3, 16000.0, 200.0
	m := flat(length, width, 20)
	beam := NewBeam(0, length, ei, length/40)
	var weight []Load
	for i := range m.NX {
		weight = append(weight, Load{X: m.X(i), Y: width / 2, N: 5e6 / float64(m.NX)})
	}
	k := perMM / width / 1000
	alone := settle(t, m, Case{Under: whole(m), Forces: weight, Beam: beam}, k)
	under := settle(t, m, Case{Under: whole(m), Forces: append(weight, Load{X: length / 2, Y: width / 2, N: p}), Beam: beam}, k)
	sunk := func(x float64) float64 { // mm
		return ((&Shape{beam, alone.q}).At(x) - (&Shape{beam, under.q}).At(x)) / 1000
	}
	if y := sunk(length / 2); math.Abs(y-5.04) > .02 {
		t.Errorf("sinks %.3f mm, want 5.04", y)
	}
	// The moment under the load is that of the bed's pressure on one half.
	moment := 0.0
	for i := range m.NX {
		if lever := m.X(i) - length/2; lever > 0 {
			moment += perMM * sunk(m.X(i)) * m.DX * lever / 1e6
		}
	}
	moment = math.Abs(moment)
	if math.Abs(moment-51.21) > .3 {
		t.Errorf("bending moment %.2f kN m, want 51.21", moment)
	}
}

// A bar of 500 x 50 x 25 mm that is 8 um hollow along its length lies down on
// the plate under its own weight and touches in the middle; rigid it stands on
// its ends; one of 50 mm thickness hardly gives. On ends the iron bar sags 10 um
// at 25 mm and 2.5 um at 50 mm (5/384 w L^4/EI).
func TestThinHollowBarLiesDown(t *testing.T) {
	const length, width, hollow = 500.0, 50.0, 8.0
	m := flat(length, width, .5)
	for k := range m.Z {
		u := 2*m.X(k%m.NX)/length - 1
		m.Z[k] = -hollow * (1 - u*u)
	}
	middle := func(thick float64, bends bool) float64 {
		c := Case{Under: whole(m)}
		for i := range m.NX {
			c.Forces = append(c.Forces, Load{X: m.X(i), Y: width / 2, N: 7200 * 9.80665 * 1e-9 * thick * width * length / float64(m.NX)})
		}
		if bends {
			c.Beam = NewBeam(0, length, Section{ThicknessMM: thick, WidthMM: width, YoungGPa: 110}.EI(), thick)
		}
		over := Overlap(nil, settle(t, m, c, Stiffness))
		return -over.At(m.NX/2, m.NY/2)
	}
	if gap := middle(25, false); math.Abs(gap-hollow) > .1 {
		t.Errorf("rigid: the middle stands %.2f um off, want %g", gap, hollow)
	}
	if gap := middle(25, true); gap > .2 {
		t.Errorf("25 mm: the middle stands %.2f um off, want it down", gap)
	}
	if gap := middle(50, true); math.Abs(gap-(hollow-2.5)) > .3 {
		t.Errorf("50 mm: the middle stands %.2f um off, want about %.1f", gap, hollow-2.5)
	}
}
