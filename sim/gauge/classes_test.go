package gauge

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

func class(t *testing.T, id string) Class {
	t.Helper()
	for _, c := range Classes {
		if c.ID == id {
			return c
		}
	}
	t.Fatalf("no class %q", id)
	return Class{}
}

func TestClassesAreWholeAndDistinct(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range Classes {
		if seen[c.ID] {
			t.Errorf("class %q stands twice", c.ID)
		}
		seen[c.ID] = true
		if c.Use == "" || c.Source == "" || c.Standing == "" {
			t.Errorf("class %q lacks its use, source or standing", c.ID)
		}
		if (c.PointsMin > 0) != (c.AreaMM2 > 0) || (c.BearingMin > 0) != (c.FilmMaxUM > c.FilmMinUM) {
			t.Errorf("class %q: points want their area and a bearing its film", c.ID)
		}
		if c.PointsMin == 0 && c.BearingMin == 0 {
			t.Errorf("class %q asks for nothing", c.ID)
		}
	}
	// ISO 8512-1 clause 9, as AS 1004.1 prints it: 20, 15, 10, 10 %.
	for id, want := range map[string]float64{"plate-0": 20, "plate-1": 15, "plate-2": 10, "plate-3": 10} {
		near(t, id, class(t, id).BearingMin, want, 0)
	}
	// Trade pages on surface plates, spots in 25 x 25 mm: 25 for grades 0 and 1, 20
	// for 2, 12 for 3.
	for id, want := range map[string]float64{"plate-spots-0-1": 25, "plate-spots-2": 20, "plate-spots-3": 12} {
		near(t, id, class(t, id).PointsMin, want, 0)
		near(t, id, class(t, id).AreaMM2, 625, 0)
	}
}

// Discs of 2 mm on a lattice of 5 mm: 12.6 % bearing, 25 points in 25 x 25 mm.
func TestJudge(t *testing.T) {
	g := surface.Grid{NX: 250, NY: 250, DX: 0.2, DY: 0.2, X0: 0.1, Y0: 0.1}
	mask := draw(g, func(x, y float64) bool { return math.Hypot(math.Mod(x, 5)-2.5, math.Mod(y, 5)-2.5) < 1 })
	count := CountPoints(mask, nil, g, DefaultRule)
	for _, c := range []struct {
		id   string
		film float64
		want []Verdict
	}{
		{"plate-0", 1, []Verdict{Misses}},
		{"plate-2", 1, []Verdict{Meets}},
		{"plate-2", 2.5, []Verdict{NotComparable}},
		{"plate-spots-0-1", 2.5, []Verdict{Meets}},
		{"master", 2.5, []Verdict{Misses}},
		{"way-us", 2.5, []Verdict{Meets, Misses}},
		{"way-us", 8, []Verdict{NotComparable, NotComparable}},
	} {
		got := class(t, c.id).Judge(&count, c.film)
		if len(got) != len(c.want) {
			t.Fatalf("%s: %d findings, want %d", c.id, len(got), len(c.want))
		}
		for k := range got {
			if got[k].Verdict != c.want[k] {
				t.Errorf("%s at %g um: %s %s (%s), want %s", c.id, c.film, got[k].What, got[k].Verdict, got[k].Why, c.want[k])
			}
		}
	}
	small := g
	small.NX = 120 // 24 mm, an inch frame and one of 25 mm are wider
	part := CountPoints(draw(small, func(x, y float64) bool { return math.Hypot(math.Mod(x, 5)-2.5, math.Mod(y, 5)-2.5) < 1 }), nil, small, DefaultRule)
	for _, id := range []string{"plate-spots-0-1", "way"} {
		if f := class(t, id).Judge(&part, 2.5); f[0].Verdict != NotComparable || f[0].Got == 0 {
			t.Errorf("%s: a face narrower than the frame: %v", id, f[0])
		}
	}
	full := CountPoints(draw(g, func(x, y float64) bool { return true }), nil, g, DefaultRule)
	if f := class(t, "way-us").Judge(&full, 2.5); f[1].Verdict != Misses {
		t.Errorf("a face all blue wrings: %v", f[1])
	}
}
