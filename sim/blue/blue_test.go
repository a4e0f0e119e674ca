package blue

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

func grid(nx, ny int, pitch float64) surface.Grid {
	return surface.Grid{NX: nx, NY: ny, DX: pitch, DY: pitch, X0: pitch / 2, Y0: pitch / 2}
}

// dome is a spherical cap of radius r mm whose top, 0 um high, is in the middle.
func dome(side, pitch, r float64) *surface.Map {
	n := int(side / pitch)
	m := surface.NewMap(grid(n, n, pitch))
	for k := range m.Z {
		dx, dy := m.X(k%n)-side/2, m.Y(k/n)-side/2
		m.Z[k] = -(dx*dx + dy*dy) / (2 * r) * 1000
	}
	return m
}

// A film of thickness t on a cap of radius R prints a spot of diameter
// sqrt(8 R t) (geometry): R 60 mm, t 1 um: .692820323 mm.
func TestSpotOfAFilmOnACap(t *testing.T) {
	const pitch = .005
	m := dome(2, pitch, 60)
	for _, film := range []float64{1, 2, 5} {
		r := Print(m, surface.Plane{}, film, Rub{})
		_, n := r.Marks(nil)
		want := math.Sqrt(8 * 60 * film / 1000)
		if film == 1 && math.Abs(want-.692820323) > 1e-9 {
			t.Fatalf("closed form %.9f", want)
		}
		if got := math.Sqrt(4 * float64(n) * pitch * pitch / math.Pi); math.Abs(got-want) > pitch {
			t.Errorf("film %g um: spot of %.4f mm, want %.4f", film, got, want)
		}
	}
}

// Pressed, colour is strongest at the top; rubbed, the summit is pale, its rim
// the darkest, and the pale summit still counts as coloured (Trainees' handbook
// on scraping plane surfaces: lightly coloured is highest, strongly coloured
// middle, uncoloured lowest).
func TestRubbingPalesTheSummitAndDarkensTheRim(t *testing.T) {
	m := dome(4, .02, 200)
	n := m.NX
	middle := n/2*n + n/2
	gapAt := func(k int) float64 { return -m.Z[k] }

	pressed := Print(m, surface.Plane{}, 5, Rub{})
	rubbed := Print(m, surface.Plane{}, 5, Rub{LengthMM: 300, ReachX: 20, ReachY: 20})
	if pressed.Colour[middle] < 250 || pressed.Shine[middle] != 0 {
		t.Errorf("pressed summit: colour %d, shine %d", pressed.Colour[middle], pressed.Shine[middle])
	}
	var darkest, at int
	for k := n / 2 * n; k < n/2*n+n; k++ {
		if gapAt(k) <= 5 && int(rubbed.Colour[k]) > darkest {
			darkest, at = int(rubbed.Colour[k]), k
		}
	}
	if g := gapAt(at) / 5; g < HardShare/2 || g > RimShare {
		t.Errorf("the darkest place of a rubbed spot lies at %.2f of the film", g)
	}
	if c, s := rubbed.Colour[middle], rubbed.Shine[middle]; int(c) > darkest/2 || s < PaleAt || !rubbed.Coloured(middle) {
		t.Errorf("rubbed summit: colour %d of %d, shine %d, coloured %v", c, darkest, s, rubbed.Coloured(middle))
	}
	for k := range pressed.Colour {
		if pressed.Coloured(k) && !rubbed.Coloured(k) {
			t.Fatal("rubbing uncoloured a cell within the film")
		}
	}
}

// A long rub smears colour to where the film does not reach, and a short one
// hardly.
func TestLongRubsSmear(t *testing.T) {
	m := surface.NewMap(grid(400, 400, .1))
	for k := range m.Z {
		x, y := m.X(k%400), m.Y(k/400)
		m.Z[k] = -4 + 4*math.Cos(2*math.Pi*x/5)*math.Cos(2*math.Pi*y/5)
	}
	count := func(rub Rub) int {
		_, n := Print(m, surface.Plane{}, 2.5, rub).Marks(nil)
		return n
	}
	none := count(Rub{})
	short := count(Rub{LengthMM: 60, ReachX: 10, ReachY: 10})
	long := count(Rub{LengthMM: 1200, ReachX: 40, ReachY: 40})
	if !(none <= short && short < long) {
		t.Errorf("coloured cells: %d pressed, %d rubbed, %d rubbed long", none, short, long)
	}
	if float64(short) > 1.1*float64(none) || float64(long) < 1.1*float64(none) {
		t.Errorf("coloured cells: %d pressed, %d rubbed, %d rubbed long", none, short, long)
	}
}

// Colour comes where the gap is within the film and nowhere else: rolled richer
// it only spreads. Missing cells take none.
func TestRicherFilmOnlySpreads(t *testing.T) {
	m := dome(6, .05, 100)
	m.Z[0] = math.NaN()
	last := make([]bool, len(m.Z))
	for _, film := range []float64{.5, 1, 2.5, 5, 12} {
		r := Print(m, surface.Plane{}, film, Rub{})
		for k := range last {
			within := -m.Z[k] <= film
			if r.Coloured(k) != within {
				t.Fatalf("film %g: cell %d with a gap of %.4f um is coloured: %v", film, k, -m.Z[k], r.Coloured(k))
			}
			if last[k] && !r.Coloured(k) {
				t.Fatalf("film %g: a cell coloured by a leaner film is bare", film)
			}
			last[k] = r.Coloured(k)
		}
	}
}
