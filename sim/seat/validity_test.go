package seat

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// wavy is a face of eight crests, amplitude 1 um, along x.
func wavy(wave float64) *surface.Map {
	const crests, cells = 8, 200
	m := surface.NewMap(surface.Grid{NX: crests * cells, NY: 16, DX: wave / cells, DY: wave / cells})
	for k := range m.Z {
		m.Z[k] = math.Cos(2 * math.Pi * (float64(k%m.NX) + .5 - cells/2) / cells)
	}
	return m
}

// touching is the share of a wavy face that a bed says touches at a mean
// pressure, N/mm^2, and how far the crests sink in, um.
func touching(t *testing.T, wave, pressure float64) (share, sunk float64) {
	t.Helper()
	m := wavy(wave)
	area := float64(m.Cells()) * m.CellArea()
	x0, y0, x1, y1 := m.Edges()
	s, err := OnBed(m, Load{X: (x0 + x1) / 2, Y: (y0 + y1) / 2, N: pressure * area}, Stiffness)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for k := range m.Z {
		if s.Overlap(m, k%m.NX, k/m.NX) > 0 {
			n++
		}
	}
	return float64(n) / float64(len(m.Z)), 1 - s.Plane.At((x0+x1)/2, (y0+y1)/2)
}

// Where the bed stops being valid. Westergaard (1939; Johnson, Contact
// Mechanics, 13.2): an elastic wave D cos(2 pi x/l) is pressed flat at
// p* = pi E* D/l and touches over the share (2/pi) asin sqrt(p/p*): 1/3, 1/2 and
// 2/3 at p/p* = .25, .5, .75. A bed is pressed flat at k D whatever the length,
// so that the two agree on flattening at l = pi E*/k alone, 9.2 mm for two irons
// (E 110 GPa, nu .25: assumed). sim/PHYSICS.md holds these figures.
func TestWhereTheBedStopsBeingValid(t *testing.T) {
	const eStar = 110e3 / (1 - .25*.25) / 2 // N/mm^2
	match := math.Pi * eStar * 1e-3 / Stiffness
	if math.Abs(match-9.2) > .05 {
		t.Errorf("bed and wave are flattened alike at %.2f mm, want 9.2", match)
	}
	elastic := func(r float64) float64 { return 2 / math.Pi * math.Asin(math.Sqrt(min(1, r))) }
	for _, c := range []struct{ ratio, westergaard float64 }{{.25, 1. / 3}, {.5, .5}, {.75, 2. / 3}} {
		if got := elastic(c.ratio); math.Abs(got-c.westergaard) > 1e-12 {
			t.Errorf("p/p* %g: %.4f, published %.4f", c.ratio, got, c.westergaard)
		}
	}
	// A bed under a wave: p/kD = (sin pi f - pi f cos pi f)/pi at the share f
	// (pressure k (D cos - c) summed over the crest).
	bed := func(r float64) float64 {
		lo, hi := 0.0, 1.0
		for range 60 {
			mid := (lo + hi) / 2
			if (math.Sin(math.Pi*mid)-math.Pi*mid*math.Cos(math.Pi*mid))/math.Pi < r {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	}
	for _, wave := range []float64{3, 9.2, 50, 200} {
		for _, ratio := range []float64{.25, .5, .75} {
			pressure := ratio * math.Pi * eStar * 1e-3 / wave
			got, _ := touching(t, wave, pressure)
			want := bed(pressure / Stiffness)
			t.Logf("wave %5.1f mm, p/p* %.2f: bed %.3f, elastic %.3f, %+.0f %%", wave, ratio, want, elastic(ratio), 100*(want/elastic(ratio)-1))
			if math.Abs(got-want) > .011 { // one cell of 200 at each side
				t.Errorf("wave %g mm, p/p* %g: the bed gives %.3f, its closed form %.3f", wave, ratio, got, want)
			}
		}
	}
	// At the wave on which they agree the bed touches by no more than 36 % too much
	// from a quarter of the flattening pressure on.
	for _, ratio := range []float64{.25, .5, .75, 1} {
		if over := bed(ratio)/elastic(ratio) - 1; over < -1e-6 || over > .37 {
			t.Errorf("p/p* %g: the bed is %.0f %% over", ratio, 100*over)
		}
	}
	// Under own weight both hardly give: the bed's contact is several times too
	// wide, and the crests sink by nanometres, which no film can show.
	for _, wave := range []float64{3, 9.2, 50} {
		share, sunk := touching(t, wave, WeightPerArea)
		t.Logf("own weight, wave %g mm: bed %.4f, elastic %.4f, crests sink %.4f um", wave, share, elastic(WeightPerArea/(math.Pi*eStar*1e-3/wave)), sunk)
		if sunk > .02 {
			t.Errorf("wave %g mm: crests sink %.3f um under own weight", wave, sunk)
		}
	}
}
