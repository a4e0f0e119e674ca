package heat

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if math.Abs(got-want) > by {
		t.Errorf("%s is %.4g, want %.4g", what, got, want)
	}
}

// alpha L^2 dT/8t per kelvin, alpha 11e-6 (recomputed): iron 200 x 25 mm 2.2 um,
// 300 x 25 mm 4.95 um, 500 x 60 mm 5.7 um, 1000 x 100 mm 13.75 um.
func TestBowPerKelvin(t *testing.T) {
	for _, c := range []struct{ length, thick, want, by float64 }{
		{200, 25, 2.2, .005}, {300, 25, 4.95, .005}, {500, 60, 5.73, .005}, {1000, 100, 13.75, .005},
	} {
		near(t, "bow", NewPlate(c.length, 50, c.thick).BowUM(c.length, 1), c.want, c.by)
	}
}

// Two time constants (recomputed): a difference through the thickness dies with
// t^2/(pi^2 D), 4 s at 25 mm and 68 s at 100 mm; a block of 1.8 kg in still air
// cools with one near 40 min.
func TestTimeConstants(t *testing.T) {
	near(t, "25 mm", NewPlate(100, 100, 25).AcrossSeconds(), 4.2, .1)
	near(t, "100 mm", NewPlate(100, 100, 100).AcrossSeconds(), 67.5, .5)
	block := NewPlate(100, 100, 25)
	near(t, "its mass in kg", .1*.1*.025*Density, 1.8, .001)
	near(t, "body in air, min", block.BodySeconds(false)/60, 45, 6)
	// And a part does lose 63 % of each in that time.
	s := block.After(State{BodyK: 1, AcrossK: 1}, Flow{}, block.AcrossSeconds())
	near(t, "difference left", s.AcrossK, math.Exp(-1), 1e-6)
	s = block.After(State{BodyK: 1}, Flow{}, block.BodySeconds(false))
	near(t, "body left", s.BodyK, math.Exp(-1), 1e-6)
}

// Against the heat equation itself, solved through the thickness in thin layers:
// a flux into the face for half a minute, then rest, and a warm part laid on a
// cold plate. The curvature is that of the first moment of the temperature.
func TestAgainstTheHeatEquation(t *testing.T) {
	p := NewPlate(400, 200, 25)
	const n = 50
	thick := p.ThicknessMM / 1000
	dz := thick / n
	dt := .2 * dz * dz / Diffusivity
	layers := make([]float64, n) // from back to face
	run := func(face, film, seconds float64) {
		for range int(seconds / dt) {
			next := make([]float64, n)
			for k := range layers {
				left, right := layers[max(0, k-1)], layers[min(n-1, k+1)]
				next[k] = layers[k] + Diffusivity*dt/(dz*dz)*(left+right-2*layers[k])
			}
			next[n-1] += (face - film*layers[n-1]) * dt / (Density * Capacity * dz)
			layers = next
		}
	}
	across := func() float64 {
		moment := 0.0
		for k, v := range layers {
			moment += v * ((float64(k)+.5)*dz - thick/2) * dz
		}
		return 12 * moment / (thick * thick)
	}
	// Air on the other sides is left out of the layers: it hardly counts here.
	const flux = 500.0
	run(flux, 0, 30)
	s := p.After(State{}, Flow{Face: flux}, 30)
	near(t, "difference under flux", s.AcrossK, across(), .03*math.Abs(across()))
	run(0, 0, 4)
	s = p.After(s, Flow{}, 4)
	near(t, "difference 4 s later", s.AcrossK, across(), .12*math.Abs(across()))

	for k := range layers {
		layers[k] = 1
	}
	s = State{BodyK: 1}
	run(0, PlateFilm, 20)
	s = p.After(s, Flow{OnPlate: true}, 20)
	near(t, "difference on the plate", s.AcrossK, across(), .25*math.Abs(across()))
	if s.AcrossK > -.1 {
		t.Errorf("a warm part on a cold plate is %.3g K warmer on its face: it should be hollow", s.AcrossK)
	}
	run(0, PlateFilm, 300)
	s = p.After(s, Flow{OnPlate: true}, 300)
	if math.Abs(s.AcrossK) > .03 || math.Abs(across()) > .03 {
		t.Errorf("soaked on the plate it is still %.3g K (%.3g K) across", s.AcrossK, across())
	}
}

// In pieces or at once, the same flow comes to the same.
func TestAfterComposes(t *testing.T) {
	p := NewPlate(300, 60, 40)
	for _, f := range []Flow{{Face: 100, Back: 20, Sides: 15}, {OnPlate: true, Back: 50}, {}} {
		start := State{BodyK: 1.5, AcrossK: -.4}
		whole := p.After(start, f, 95)
		parts := p.After(p.After(p.After(start, f, 5), f, 60), f, 30)
		near(t, "body", parts.BodyK, whole.BodyK, 1e-5)
		near(t, "across", parts.AcrossK, whole.AcrossK, 1e-5)
	}
}
