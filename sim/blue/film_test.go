package blue

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// waves are rows of summits at 0 um and hollows at -depth, a wave every mm.
func waves(n int, pitch, mm, depth float64) *surface.Map {
	m := surface.NewMap(grid(n, n, pitch))
	for k := range m.Z {
		x, y := m.X(k%n), m.Y(k/n)
		m.Z[k] = depth / 4 * (math.Cos(2*math.Pi*x/mm)*math.Cos(2*math.Pi*y/mm)*2 - 2)
	}
	return m
}

var middle = seat.Pose{XMM: 100, YMM: 60}

// A coat rolled as evenly as can be prints as an even film does: the two ways of
// printing are one.
func TestAnEvenCoatPrintsAsAnEvenFilm(t *testing.T) {
	m := waves(300, .1, 6, 8)
	c := NewCoat(0, 0, 200, 120)
	for k := range c.film {
		c.film[k] = 2.5 * coatSteps
	}
	for _, rub := range []Rub{{}, {LengthMM: 100, Steps: [][2]float64{{0, 0}, {5, 5}}}} {
		even := Print(m, surface.Plane{}, 2.5, Rub{LengthMM: rub.LengthMM})
		layered := Marking{Film: 2.5, Rub: rub, Layer: c.Under(m.Grid, middle, rub)}.Print(m, surface.Plane{})
		differ := 0
		for k, z := range m.Z {
			// Smear is reckoned from other neighbourhoods; the film itself is not.
			if -z <= 2.5 && (even.Colour[k] != layered.Colour[k] || even.Shine[k] != layered.Shine[k]) {
				differ++
			}
		}
		if differ > len(m.Z)/1000 {
			t.Errorf("%d of %d cells differ", differ, len(m.Z))
		}
	}
}

// Rolled, a film has the thickness that was meant in the mean; the more passes,
// the evener; on a coat that was not wiped the old unevenness stays by its share.
func TestRollingEvens(t *testing.T) {
	spread := func(c *Coat) (mean, sd float64) {
		for _, f := range c.film {
			mean += float64(f) / coatSteps
		}
		mean /= float64(len(c.film))
		for _, f := range c.film {
			d := float64(f)/coatSteps - mean
			sd += d * d
		}
		return mean, math.Sqrt(sd / float64(len(c.film)))
	}
	last := math.Inf(1)
	for _, passes := range []int{1, 2, DefaultPasses, 6, 8} {
		var means, sds float64
		for seed := range uint64(20) {
			c := NewCoat(0, 0, 400, 250)
			c.Roll(4, passes, rand.New(rand.NewPCG(seed, 1)))
			mean, sd := spread(c)
			means, sds = means+mean/20, sds+sd/20
		}
		if math.Abs(means-4) > .15 {
			t.Errorf("%d passes: %.2f um in the mean, 4 meant", passes, means)
		}
		if sds >= last {
			t.Errorf("%d passes leave it no evener: %.3f um, fewer %.3f", passes, sds, last)
		}
		last = sds
		switch share := sds / 4; {
		case passes == 1 && share < .2, passes == DefaultPasses && share > .1:
			t.Errorf("%d passes leave %.0f %% of unevenness", passes, 100*share)
		}
	}
	c := NewCoat(0, 0, 400, 250)
	c.Roll(10, 8, rand.New(rand.NewPCG(1, 1)))
	c.Roll(2, 2, rand.New(rand.NewPCG(2, 1)))
	if mean, _ := spread(c); math.Abs(mean-(2+RollEvens*RollEvens*8)) > .2 {
		t.Errorf("2 um rolled over 10 with two passes leaves %.2f um", mean)
	}
	c.Wipe()
	if mean, _ := spread(c); mean != 0 {
		t.Errorf("wiped, %.2f um are left", mean)
	}
}

// A print takes colour where it lay and nowhere else, so much the less the more
// often; the next print shows less there.
func TestPrintsUseTheFilmUp(t *testing.T) {
	m := waves(200, .1, 6, 8)
	c := NewCoat(0, 0, 200, 120)
	for k := range c.film {
		c.film[k] = 3 * coatSteps
	}
	rub := Rub{LengthMM: 40, Steps: [][2]float64{{0, 0}, {4, 0}, {4, 4}, {0, 4}}}
	var counts []int
	for range 6 {
		r := Marking{Film: 3, Rub: rub, Layer: c.Under(m.Grid, middle, rub)}.Print(m, surface.Plane{})
		_, n := r.Marks(nil)
		counts = append(counts, n)
		c.Spend(r, middle, rub)
	}
	for n := 1; n < len(counts); n++ {
		if counts[n] >= counts[n-1] {
			t.Errorf("coloured cells from print to print: %d", counts)
			break
		}
	}
	if in, out := c.At(100, 60), c.At(130, 60); !(in < .8*3) || out != 3 {
		t.Errorf("after %d prints %.2f um are left under the part and %.2f beside it", len(counts), in, out)
	}
}

// Colour is pushed along the path that was rubbed: to and fro along x it smears
// along x, along y along y, whichever way round the part lies.
func TestSmearFollowsThePath(t *testing.T) {
	// One ridge in the middle of a face that else stands just beyond the film.
	n := 400
	m := surface.NewMap(grid(n, n, .1))
	for k := range m.Z {
		m.Z[k] = -2.8
		if dx, dy := m.X(k%n)-20, m.Y(k/n)-20; math.Abs(dx) < 3 && math.Abs(dy) < 3 {
			m.Z[k] = -.2
		}
	}
	c := NewCoat(0, 0, 200, 120)
	for k := range c.film {
		c.film[k] = 2.5 * coatSteps
	}
	reach := func(steps [][2]float64) (x, y float64) {
		rub := Rub{LengthMM: 600, Steps: steps}
		r := Marking{Film: 2.5, Rub: rub, Layer: c.Under(m.Grid, middle, rub)}.Print(m, surface.Plane{})
		for k, v := range r.Colour {
			if v > 0 {
				x, y = math.Max(x, math.Abs(m.X(k%n)-20)), math.Max(y, math.Abs(m.Y(k/n)-20))
			}
		}
		return
	}
	var along, across [][2]float64
	for i := range 16 {
		s := float64(i*7%16) / 2
		along, across = append(along, [2]float64{s, 0}), append(across, [2]float64{0, s})
	}
	ax, ay := reach(along)
	bx, by := reach(across)
	if ax < 6 || ay > 5 || by < 6 || bx > 5 {
		t.Errorf("rubbed along x colour reaches %.1f x %.1f mm from the ridge, along y %.1f x %.1f", ax, ay, bx, by)
	}
}

// Thick colour rubbed hard turns the reading over (a Japanese fitter's page on
// red and black marking: hard rubbing with thick red turns it into black
// marking, and the place to cut reverses): colour is strongest where the gap is
// wide and summits are bare. A lean film, or the part's own weight, does not.
func TestThickColourRubbedHardTurnsTheReadingOver(t *testing.T) {
	if v := Turnover(10, 300, 3); v < .7 {
		t.Errorf("10 um rubbed hard for 300 mm turn it over by %.2f", v)
	}
	for _, gentle := range [][3]float64{{2.5, 300, 3}, {5, 300, 3}, {10, 300, 1}, {10, 0, 3}} {
		if v := Turnover(gentle[0], gentle[1], gentle[2]); v != 0 {
			t.Errorf("%v turns it over by %.2f", gentle, v)
		}
	}
	m := waves(300, .1, 6, 20)
	mean := func(turned, low, high float64) (colour, shine float64) {
		r := Marking{Film: 10, Rub: Rub{LengthMM: 300, ReachX: 20, ReachY: 20}, Turned: turned}.Print(m, surface.Plane{})
		n := 0.0
		for k, z := range m.Z {
			if -z >= low && -z < high {
				n++
				colour, shine = colour+float64(r.Colour[k]), shine+float64(r.Shine[k])
			}
		}
		return colour / n, shine / n
	}
	summit, _ := mean(0, 1, 4)
	hollow, _ := mean(0, 8, 10)
	if summit < 1.5*hollow {
		t.Errorf("as it should be: colour %.0f on the highs, %.0f in the hollows", summit, hollow)
	}
	summit, bare := mean(1, 0, 3)
	hollow, _ = mean(1, 8, 10)
	beyond, _ := mean(1, 10, 14)
	if hollow < 2*summit || beyond < 2*summit || bare < PaleAt {
		t.Errorf("turned over: colour %.0f on the highs, %.0f in the hollows, %.0f beyond the film; highs shine %.0f", summit, hollow, beyond, bare)
	}
}

// Specks stand on the cells that they cover, as high as they are, at any pitch.
func TestGritRaisesWhatItLiesOn(t *testing.T) {
	for _, pitch := range []float64{.05, .1, .25, .5} {
		m := surface.NewMap(grid(int(20/pitch), int(10/pitch), pitch))
		specks := Strew(m.Grid, 400, rand.New(rand.NewPCG(1, 2)))
		if len(specks) != GritMost {
			t.Fatalf("%d specks from 400 strokes", len(specks))
		}
		Raise(m, specks)
		area, high := 0.0, 0.0
		for _, z := range m.Z {
			if z > 0 {
				area += pitch * pitch
				high = math.Max(high, z)
			}
		}
		least := math.Max(math.Pi*GritMM*GritMM/4, pitch*pitch) * GritMost
		if area > 1.5*least || area < .5*least || high < GritLow || high > 2*GritHigh {
			t.Errorf("pitch %g mm: specks cover %.3f mm^2 of about %.3f, %.1f um high", pitch, area, least, high)
		}
	}
	if s := Strew(grid(10, 10, .5), 0, rand.New(rand.NewPCG(1, 2))); s != nil {
		t.Error("a wiped face has grit")
	}
}
