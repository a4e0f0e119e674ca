package surface

import (
	"encoding/json"
	"hash/fnv"
	"math"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
)

// coupon is the free-practice part: 100 x 75 mm, milled, 46 um out of flat.
func coupon(seed uint64) Recipe {
	return Recipe{LengthMM: 100, WidthMM: 75, PitchMM: 0.2, Seed: seed, RangeUM: 46, Finish: Milled}
}

func build(t *testing.T, r Recipe) *Face {
	t.Helper()
	f, err := Build(r)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func outOfFlat(t *testing.T, f *Face) float64 {
	t.Helper()
	m := f.Heights(nil)
	r, err := residuals(m.Grid, m.Z)
	if err != nil {
		t.Fatal(err)
	}
	return spread(r)
}

func TestBuildGrid(t *testing.T) {
	f := build(t, coupon(1))
	if f.NX != 500 || f.NY != 375 || f.X0 != 0.1 || f.Y0 != 0.1 {
		t.Errorf("grid %+v", f.Grid)
	}
	x0, y0, x1, y1 := f.Edges()
	if x0 != 0 || y0 != 0 || math.Abs(x1-100) > 1e-9 || math.Abs(y1-75) > 1e-9 {
		t.Errorf("edges %g %g %g %g", x0, y0, x1, y1)
	}
}

func TestDrawnFormHasTheRangeAskedFor(t *testing.T) {
	seen := map[uint64]uint64{}
	for seed := range uint64(8) {
		f := build(t, coupon(seed))
		if got := outOfFlat(t, f); math.Abs(got-46) > 0.01 {
			t.Errorf("seed %d: %g um out of flat, want 46", seed, got)
		}
		if again := build(t, coupon(seed)); digest(again) != digest(f) {
			t.Errorf("seed %d: the same recipe gave two faces", seed)
		}
		if other, ok := seen[digest(f)]; ok {
			t.Errorf("seeds %d and %d give one face", seed, other)
		}
		seen[digest(f)] = seed
	}
}

func digest(f *Face) uint64 {
	h := fnv.New64a()
	for _, v := range f.H {
		h.Write([]byte{byte(v), byte(v >> 8), byte(v >> 16), byte(v >> 24)})
	}
	return h.Sum64()
}

// The figures were taken on amd64: the test is there to fail on a processor
// that builds another part from the same seed.
func TestBuildIsTheSameOnEveryProcessor(t *testing.T) {
	for _, c := range []struct {
		finish string
		want   uint64
	}{{Milled, 0xf92c5a2ae8fc5d0a}, {Ground, 0xe4e395bf145c02cc}, {Worn, 0x5f3215de58c737e}, {Fine, 0xeee4a3c2a1bb4328}} {
		r := Recipe{LengthMM: 60, WidthMM: 45, PitchMM: 0.2, Seed: 7, RangeUM: 46, Finish: c.finish}
		if got := digest(build(t, r)); got != c.want {
			t.Errorf("%s: digest %#x, want %#x", c.finish, got, c.want)
		}
	}
}

// Each term of the form against its definition at the corners, the edges and
// the middle of a part.
func TestFormTerms(t *testing.T) {
	size := extent{100, 60}
	g := Grid{NX: 3, NY: 3, DX: 50, DY: 30}
	for _, c := range []struct {
		name string
		form Form
		want [9]float64
	}{
		{"bow", Form{BowUM: 10}, [9]float64{0, 10, 0, 0, 10, 0, 0, 10, 0}},
		{"dish", Form{DishUM: 10}, [9]float64{10, 10, 10, 0, 0, 0, 10, 10, 10}},
		{"twist", Form{TwistUM: 10}, [9]float64{5, 0, -5, 0, 0, 0, -5, 0, 5}},
		{"wedge", Form{WedgeUM: 10}, [9]float64{0, 5, 10, 0, 5, 10, 0, 5, 10}},
		{"edge drop", Form{EdgeDropUM: 8, EdgeDropMM: 20}, [9]float64{-8, -8, -8, -8, 0, -8, -8, -8, -8}},
		{"hump", Form{Humps: []Hump{{50, 30, 60, 16}}}, [9]float64{16. / 324, 9, 16. / 324, 16. / 1296 * 121, 16, 16. / 1296 * 121, 16. / 324, 9, 16. / 324}},
	} {
		for k, z := range c.form.heights(g, size) {
			if math.Abs(z-c.want[k]) > 1e-9 {
				t.Errorf("%s at (%g, %g): %g um, want %g", c.name, g.X(k%3), g.Y(k/3), z, c.want[k])
			}
		}
	}
}

// Feed arcs: along the middle of a pass the ridge repeats every feed and stands
// scallop_um high, with everything else of the finish switched off.
func TestMilledFeedMarks(t *testing.T) {
	r := Recipe{LengthMM: 40, WidthMM: 30, PitchMM: 0.05, Seed: 3, Finish: Milled, Adjust: map[string]float64{
		"feed_mm": 0.5, "scallop_um": 4, "tram_um": 0, "step_um": 0, "droop_um": 0, "waviness_um": 0, "roughness_um": 0}}
	m := build(t, r).Heights(nil)
	row := m.Z[300*m.NX : 301*m.NX]
	for i := 0; i+10 < len(row); i++ {
		if math.Abs(row[i]-row[i+10]) > 2./StepsPerUM {
			t.Fatalf("column %d: %g um, one feed on %g um", i, row[i], row[i+10])
		}
	}
	if s := spread(row); s < 3 || s > 4 {
		t.Errorf("scallop %g um, want 4 less what sampling at a tenth of the feed misses", s)
	}
}

func TestFinishesDiffer(t *testing.T) {
	for _, finish := range Finishes() {
		f := build(t, Recipe{LengthMM: 100, WidthMM: 75, PitchMM: 0.25, Seed: 5, Finish: finish})
		out := outOfFlat(t, f)
		// Order of magnitude only, from common practice: milled faces come
		// tens of um out, ground and lapped ones a few.
		limits := map[string][2]float64{Milled: {8, 30}, Ground: {3, 12}, Worn: {10, 30}, Fine: {0.3, 2}}[finish]
		if out < limits[0] || out > limits[1] {
			t.Errorf("%s alone is %.2f um out of flat, want %v", finish, out, limits)
		}
	}
}

func TestWave(t *testing.T) {
	for x := -1.5; x < 1.5; x += 0.01 {
		if got, want := wave(x), math.Sin(2*math.Pi*x); math.Abs(got-want) > 1.1e-3 {
			t.Errorf("wave(%g) = %g, sine %g", x, got, want)
		}
	}
}

func TestRecipeErrors(t *testing.T) {
	ok := coupon(1)
	for _, c := range []struct {
		change func(*Recipe)
		want   string
	}{
		{func(r *Recipe) { r.PitchMM = 0 }, "pitch_mm"},
		{func(r *Recipe) { r.LengthMM = math.NaN() }, "length_mm"},
		{func(r *Recipe) { r.WidthMM = 1e9 }, "coarser pitch"},
		{func(r *Recipe) { r.PitchMM = 90 }, "too coarse"},
		{func(r *Recipe) { r.Finish = "polished" }, "milled, ground, worn, fine"},
		{func(r *Recipe) { r.RangeUM = 2 }, "finish alone"},
		{func(r *Recipe) { r.RangeUM = math.Inf(1) }, "range_um"},
		{func(r *Recipe) { r.Form.BowUM = 3 }, "not both"},
		{func(r *Recipe) { r.RangeUM, r.Form.BowUM = 0, 900 }, "beyond 500 um"},
		{func(r *Recipe) { r.RangeUM, r.Form.EdgeDropUM = 0, 3 }, "edge_drop_mm"},
		{func(r *Recipe) { r.RangeUM, r.Form.Humps = 0, []Hump{{HeightUM: 2}} }, "humps[0]"},
		{func(r *Recipe) { r.Adjust = map[string]float64{"lay_um": 1} }, "lay_um"},
		{func(r *Recipe) { r.Adjust = map[string]float64{"feed_mm": 0} }, "feed_mm"},
	} {
		r := ok
		c.change(&r)
		_, err := Build(r)
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("error %v, want one line with %q", err, c.want)
		}
	}
}

// A recipe travels in lesson files and in the header of a run.
func TestRecipeTravels(t *testing.T) {
	r := Recipe{LengthMM: 100, WidthMM: 75, PitchMM: 0.25, Seed: 1<<63 + 1, Finish: Ground,
		Form:   Form{BowUM: 12.25, Humps: []Hump{{10, 20, 30, -4}}},
		Adjust: map[string]float64{"lay_um": 0.4}}
	want := digest(build(t, r))
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var fromJSON, fromYAML Recipe
	if err := json.Unmarshal(b, &fromJSON); err != nil {
		t.Fatal(err)
	}
	if b, err = yaml.Marshal(r); err != nil {
		t.Fatal(err)
	}
	if err := yaml.Unmarshal(b, &fromYAML); err != nil {
		t.Fatal(err)
	}
	if digest(build(t, fromJSON)) != want || digest(build(t, fromYAML)) != want {
		t.Errorf("a recipe written and read back builds another face:\n%s", b)
	}
}

// Exact small grids: least-squares residuals of spikes (fractions worked by
// hand: a corner spike of 1 on 3 x 3 leaves 5/6, an edge or centre spike 1).
func TestLeastSquares(t *testing.T) {
	g := Grid{NX: 3, NY: 3, DX: 1, DY: 1, X0: 1000, Y0: -500}
	for _, c := range []struct {
		cell int
		want float64
	}{{0, 5. / 6}, {1, 1}, {4, 1}} {
		m := NewMap(g)
		m.Z[c.cell] = 1
		r, err := residuals(g, m.Z)
		if err != nil {
			t.Fatal(err)
		}
		if got := spread(r); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("spike at %d: peak to valley %.15g, want %.15g", c.cell, got, c.want)
		}
	}
	line := &Cloud{X: []float64{0, 1, 2}, Y: []float64{0, 2, 4}, Z: []float64{1, 2, 3}}
	if _, err := line.LeastSquares(); err == nil {
		t.Error("a plane through one line of points")
	}
}

func BenchmarkBuildCoupon(b *testing.B) {
	for range b.N {
		if _, err := Build(coupon(1)); err != nil {
			b.Fatal(err)
		}
	}
}
