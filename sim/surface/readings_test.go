package surface

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// inchGrid is a table of indicator readings at one inch, um.
const inchGrid = `# pitch_mm: 25.4
12,8,3,1,-2
9,7,4,0,-5
3,5,6,2,-4
-2,1,4,5,1
`

func part(t *testing.T, d *Data, finish string, pitch float64) *Face {
	t.Helper()
	f, err := FromReadings(d, Skin{Finish: finish}, pitch, 11)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestReadingsGiveTheForm(t *testing.T) {
	d := read(t, inchGrid)
	for _, finish := range append(Finishes(), "") {
		f := part(t, d, finish, 0)
		x0, y0, x1, y1 := f.Edges()
		if x0 != 0 || y0 != 0 || math.Abs(x1-101.6) > 0.1 || math.Abs(y1-76.2) > 0.1 || f.Mask != nil || f.DX != 0.2 {
			t.Errorf("%s: the face reaches (%g, %g) to (%g, %g) at %g mm", finish, x0, y0, x1, y1, f.DX)
		}
		// The mean of the texture about each reading is zero, but for the bend
		// of the correction that makes it so: within 0.8 um, a fifteenth of the
		// range of the roughest finish (a bound set after seeing 0.55).
		m := f.Heights(nil)
		bare := part(t, d, "", 0).Heights(nil)
		for k, want := range d.Map.Z {
			x, y := d.Map.X(k%d.Map.NX), d.Map.Y(k/d.Map.NX)
			got := localMean(m.Grid, m.Z, x, y, 12.7, 12.7) - localMean(bare.Grid, bare.Z, x, y, 12.7, 12.7)
			if math.Abs(got) > 0.8 {
				t.Errorf("%s: mean about the reading at (%g, %g) is %.2f um off", finish, x, y, got)
			}
			near := localMean(bare.Grid, bare.Z, x, y, 0.05, 0.05)
			if math.Abs(near-want) > 0.2 {
				t.Errorf("the bare form is %g um at (%g, %g), the reading %g", near, x, y, want)
			}
		}
	}
}

func TestTensorSplineIsExactAtReadings(t *testing.T) {
	m := read(t, inchGrid).Map
	for k, got := range tensorSpline(m.Grid, m.Z, m.Grid) {
		if math.Abs(got-m.Z[k]) > 1e-12 {
			t.Errorf("reading %d: %g, want %g", k, got, m.Z[k])
		}
	}
}

// Natural cubic spline through 0, 1, 0: m1 = -3, so 11/16 half way (by hand).
func TestNaturalSpline(t *testing.T) {
	s := newNaturalSpline(3)
	s.fit([]float64{0, 1, 0})
	for at, want := range map[float64]float64{0: 0, 0.5: 11. / 16, 1: 1, 1.5: 11. / 16, 2: 0} {
		if got := s.at(at); math.Abs(got-want) > 1e-15 {
			t.Errorf("at %g: %g, want %g", at, got, want)
		}
	}
}

// A plane bends nowhere: every way of interpolating must give it back.
func TestEveryInterpolationKeepsAPlane(t *testing.T) {
	z := func(x, y float64) float64 { return 3 + 0.2*x - 0.1*y }
	var grid, holes, scattered strings.Builder
	grid.WriteString("# pitch_mm: 10\n")
	holes.WriteString("# pitch_mm: 10\n")
	for j := range 5 {
		for i := range 6 {
			end := ","
			if i == 5 {
				end = "\n"
			}
			x, y := 10*float64(i), 10*float64(j)
			fmt.Fprintf(&grid, "%g%s", z(x, y), end)
			if i > 1 && i < 4 && j > 0 && j < 3 {
				holes.WriteString(end)
			} else {
				fmt.Fprintf(&holes, "%g%s", z(x, y), end)
			}
			x, y = x+2*math.Sin(float64(7*i+3*j)), y+2*math.Cos(float64(i*j))
			fmt.Fprintf(&scattered, "%g,%g,%.12g\n", x, y, z(x, y))
		}
	}
	for name, text := range map[string]string{"grid": grid.String(), "holes": holes.String(), "scattered": scattered.String()} {
		f := part(t, read(t, text), "", 0.5)
		for k, h := range f.H {
			x, y := f.X(k%f.NX), f.Y(k/f.NX)
			if f.Metal(k) && math.Abs(FromSteps(h)-z(x, y)) > 1e-3 {
				t.Errorf("%s: %g um at (%g, %g), plane %g", name, FromSteps(h), x, y, z(x, y))
				break
			}
		}
	}
}

func TestScatteredReadingsAreMet(t *testing.T) {
	c := &Cloud{
		X: []float64{0, 40, 81, 3, 44, 79, 1, 38, 80, 20},
		Y: []float64{0, 2, -1, 30, 28, 33, 61, 58, 60, 17},
		Z: []float64{5, -3, 8, 2, -9, 4, 0, 7, -2, 3},
	}
	s, err := fitRadial(c.X, c.Y, c.Z)
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range c.Z {
		if got := s.at(c.X[k], c.Y[k]); math.Abs(got-want) > 1e-9 {
			t.Errorf("reading %d: %g, want %g", k, got, want)
		}
	}
	f := part(t, &Data{Cloud: c}, Milled, 0.5)
	if f.Mask == nil {
		t.Fatal("the hull of these readings is no rectangle")
	}
	at := func(x, y float64) bool {
		i, j, ok := f.Nearest(x, y)
		return ok && f.Metal(j*f.NX+i)
	}
	if !at(40, 30) || at(30, -0.8) || at(0.3, 60) {
		t.Error("metal must lie within the hull of the readings and nowhere else")
	}
}

// Lines of readings round and across a plate leave no holes; an empty cell of
// a matrix does.
func TestHoles(t *testing.T) {
	var lines strings.Builder
	for j := range 9 {
		for i := range 9 {
			if i%4 == 0 || j%4 == 0 || i == j || i+j == 8 {
				fmt.Fprintf(&lines, "%d,%d,%g\n", 10*i, 10*j, float64((i*j)%5))
			}
		}
	}
	d := read(t, lines.String())
	if d.Map == nil || d.Map.Valid() == d.Map.Cells() {
		t.Fatalf("lines of readings are a part of a lattice: %+v", d.Map)
	}
	if f := part(t, d, Ground, 0); f.Mask != nil {
		t.Error("a plate read along lines has holes")
	}

	f := part(t, read(t, "# pitch_mm: 10\n1,2,3,4\n2,,1,4\n3,3,2,1\n"), Ground, 0.5)
	area := 0
	for k := range f.H {
		if !f.Metal(k) {
			area++
			if x, y := f.X(k%f.NX), f.Y(k/f.NX); math.Abs(x-10) > 5 || math.Abs(y-10) > 5 {
				t.Fatalf("a hole at (%g, %g)", x, y)
			}
		}
	}
	if area != 400 {
		t.Errorf("the hole has %d cells, want 20 x 20", area)
	}
}

func TestFineHeightsStayAsTheyAre(t *testing.T) {
	const text = "# pitch_mm: 0.25\n# origin_mm: 3,4\n1,2.5,-3\n4,,0.125\n1,1,2\n"
	f := part(t, read(t, text), "", 0.1)
	want := []float64{1, 2.5, -3, 4, nan, 0.125, 1, 1, 2}
	if m := f.Heights(nil); (m.Grid != Grid{NX: 3, NY: 3, DX: 0.25, DY: 0.25, X0: 3, Y0: 4}) || !sameHeights(m.Z, want) {
		t.Errorf("%+v", m)
	}
	rough := part(t, read(t, text), Milled, 0)
	if rough.Mask[4] || rough.H[0] == f.H[0] {
		t.Error("a named finish was not added, or filled the hole")
	}
}

func TestHeightsFarFromZeroAreLevelled(t *testing.T) {
	f := part(t, read(t, "# pitch_mm: 0.5\n# units mm\n10,10.001,10.002\n11,11.001,11.002\n12,12.001,12.0022\n"), "", 0)
	for k, h := range f.H {
		if math.Abs(FromSteps(h)) > 0.2 {
			t.Errorf("cell %d: %g um", k, FromSteps(h))
		}
	}
}

func TestFromReadingsErrors(t *testing.T) {
	good := read(t, inchGrid)
	for _, c := range []struct {
		d      *Data
		finish string
		pitch  float64
		want   string
	}{
		{good, "sanded", 0, "milled, ground, worn, fine"},
		{good, Milled, -1, "pitch -1"},
		{good, Milled, 60, "too few"},
		{good, Milled, 0.001, "more than"},
		{read(t, "# pitch_mm: 10\n# units mm\n1,2,8\n1,1,1\n2,1,2\n"), "", 0, "is the unit right?"},
		{read(t, "0,0,1\n1e-6,0,500\n30,20,3\n7,31,4\n"), "", 0, "smooth surface"},
		{&Data{Cloud: circle(1001)}, "", 0, "at most 1000"},
		{&Data{}, "", 0, "fewer than three"},
		{&Data{Cloud: &Cloud{X: []float64{1, 2, 3}, Y: []float64{1, 2, 3}, Z: []float64{0, 0, 1}}}, "", 0, "one line"},
		{&Data{Cloud: &Cloud{X: []float64{1, 2}, Y: []float64{1, 2, 3}, Z: []float64{0, 0, 1}}}, "", 0, "as many of each"},
		{&Data{Cloud: &Cloud{X: []float64{1, 2, 3}, Y: []float64{1, nan, 3}, Z: []float64{0, 0, 1}}}, "", 0, "point 2"},
		{&Data{Map: &Map{Grid: Grid{NX: 2, NY: 2, DX: 1, DY: 1}, Z: []float64{1}}}, "", 0, "1 heights for 2 x 2"},
		{&Data{Map: &Map{Grid: Grid{NX: 2, NY: 2, DX: 1, DY: 0}, Z: []float64{1, 2, 3, 4}}}, "", 0, "the pitch is 0"},
		{&Data{Map: &Map{Grid: Grid{NX: 2, NY: 2, DX: 1, DY: 1}, Z: []float64{1, 2, 3, 1e300}}}, "", 0, "beyond 1 km"},
	} {
		_, err := FromReadings(c.d, Skin{Finish: c.finish}, c.pitch, 1)
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("error %v, want one line with %q", err, c.want)
		}
	}
}

// circle is n points on a circle of 100 mm diameter.
func circle(n int) *Cloud {
	c := &Cloud{}
	for k := range n {
		a := 2 * math.Pi * float64(k) / float64(n)
		c.X, c.Y, c.Z = append(c.X, 50*math.Cos(a)), append(c.Y, 50*math.Sin(a)), append(c.Z, float64(k%5))
	}
	return c
}

func BenchmarkFromScattered200(b *testing.B) {
	rng := stream(1, 1)
	c := &Cloud{}
	for range 200 {
		c.X, c.Y, c.Z = append(c.X, 100*rng.Float64()), append(c.Y, 75*rng.Float64()), append(c.Z, 10*rng.Float64())
	}
	for range b.N {
		if _, err := FromReadings(&Data{Cloud: c}, Skin{Finish: Milled}, 0.25, 1); err != nil {
			b.Fatal(err)
		}
	}
}

// What fill puts in bends least: moving any filled height by itself, up or
// down, costs energy, and no measured height has moved.
func TestFillBendsLeast(t *testing.T) {
	g := Grid{NX: 7, NY: 6, DX: 20, DY: 10}
	z := make([]float64, g.Cells())
	for k := range z {
		z[k] = float64(k * k % 11)
		if k%3 != 0 {
			z[k] = nan
		}
	}
	filled := append([]float64(nil), z...)
	fill(g, filled)
	force := make([]float64, len(z))
	newBending(g).apply(filled, force)
	for k := range z {
		if z[k] == z[k] && filled[k] != z[k] {
			t.Errorf("cell %d was measured as %g and became %g", k, z[k], filled[k])
		}
		if z[k] != z[k] && math.Abs(force[k]) > 1e-8 {
			t.Errorf("cell %d: the energy still falls at %g", k, force[k])
		}
	}
}

// Taken on amd64; see TestBuildIsTheSameOnEveryProcessor.
func TestReadingsAreTheSameOnEveryProcessor(t *testing.T) {
	rng := stream(5, 5)
	c := &Cloud{}
	for range 60 {
		c.X, c.Y, c.Z = append(c.X, 60*rng.Float64()), append(c.Y, 45*rng.Float64()), append(c.Z, 10*rng.Float64())
	}
	for _, q := range []struct {
		name string
		d    *Data
		want uint64
	}{
		{"grid", read(t, inchGrid), 0xfadde3f7d4c12d2f},
		{"holes", read(t, strings.Replace(inchGrid, ",5,6,", ",,6,", 1)), 0x4cad36b48b57d3d},
		{"scattered", &Data{Cloud: c}, 0x73f74d0aaafdb301},
	} {
		if got := digest(part(t, q.d, Ground, 0.4)); got != q.want {
			t.Errorf("%s: digest %#x, want %#x", q.name, got, q.want)
		}
	}
}
