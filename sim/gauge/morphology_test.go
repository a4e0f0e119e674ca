package gauge

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// A ball of radius R over a groove of width w sags R - sqrt(R^2 - w^2/4): for
// R 5, w 2 mm .101020514 mm. Depth, pitch and missing metal below do not matter.
func TestBallOverGroove(t *testing.T) {
	for _, ny := range []int{1, 41} { // a disc over a profile, a ball over a face
		m := surface.NewMap(surface.Grid{NX: 121, NY: ny, DX: 0.1, DY: 0.1})
		for k := range m.Z {
			if i := k % 121; i > 50 && i < 70 { // shoulders at 5 and 7 mm
				m.Z[k] = -400
			}
		}
		c := BallClosing(m, 5)
		near(t, "sag", c.At(60, ny/2), -101.020514, 1e-6)
		near(t, "shoulder", c.At(50, ny/2), 0, 1e-9)
		// Upside down, a ridge that the ball cannot enter from below.
		for k := range m.Z {
			m.Z[k] = -m.Z[k]
		}
		near(t, "ridge", BallOpening(m, 5).At(60, ny/2), 101.020514, 1e-6)
	}
}

// A sinusoid of amplitude A and length l is followed exactly while R is below
// l^2/(4 pi^2 A): the ball then reaches the bottom of the trough.
func TestBallOnSinusoid(t *testing.T) {
	const a, l = 0.01, 4.0 // mm
	limit := l * l / (4 * math.Pi * math.Pi * a)
	m := surface.NewMap(surface.Grid{NX: 801, NY: 1, DX: 0.01, DY: 0.01})
	for k := range m.Z {
		m.Z[k] = 1000 * a * math.Cos(2*math.Pi*float64(k)*0.01/l)
	}
	near(t, "below the limit", BallClosing(m, 0.97*limit).Z[200], m.Z[200], 1e-9)
	if up := BallClosing(m, 1.1*limit).Z[200] - m.Z[200]; up < 0.01 {
		t.Errorf("above the limit the ball must miss the bottom: %g um", up)
	}
}

// Closing lies nowhere below, opening nowhere above; once is as good as twice;
// a larger ball bridges more; a rising face is no obstacle.
func TestMorphologicalLaws(t *testing.T) {
	m := wavy(60, 50, 0.2)
	for k := range m.Z {
		if k%97 == 0 {
			m.Z[k] = math.NaN()
		}
	}
	small, large, open := BallClosing(m, 2), BallClosing(m, 20), BallOpening(m, 2)
	again := BallClosing(small, 2)
	for k, z := range m.Z {
		if z != z {
			if small.Z[k] == small.Z[k] {
				t.Fatal("a missing cell came to life")
			}
			continue
		}
		if small.Z[k] < z-1e-9 || open.Z[k] > z+1e-9 || large.Z[k] < small.Z[k]-1e-9 {
			t.Fatalf("cell %d: height %g, closed %g and %g, opened %g", k, z, small.Z[k], large.Z[k], open.Z[k])
		}
		near(t, "closed again", again.Z[k], small.Z[k], 1e-9)
	}
}

func BenchmarkBallClosing(b *testing.B) {
	m := wavy(1000, 750, 0.2)
	for k := range m.Z { // without its form, some 15 um high
		x, y := m.X(k%1000), m.Y(k/1000)
		m.Z[k] -= 0.01*(x-50)*(x-50) - 0.02*x*y + 5*x
	}
	for b.Loop() {
		BallClosing(m, 25)
	}
}
