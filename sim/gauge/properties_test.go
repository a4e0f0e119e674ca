package gauge

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// scraped is a face of rounded highs some 5 mm apart with finer waves on them,
// smooth enough to be the same face at any pitch.
func scraped(pitch float64) *surface.Map {
	return heights(76, 60, pitch, func(x, y float64) float64 {
		return 2*math.Sin(1.2*x+0.3*math.Sin(0.2*y))*math.Sin(1.3*y+0.4*math.Sin(0.13*x)) +
			0.8*math.Sin(0.31*x+0.47*y) + 0.3*math.Sin(3.1*x-2.2*y) - 2e-4*(x-38)*(x-38)
	})
}

// seated is the rigid seat under a load at a place that a mapping of the face
// takes along.
func seated(t *testing.T, m *surface.Map, x, y float64) surface.Plane {
	t.Helper()
	r, err := seat.Rest(m, x, y)
	if err != nil {
		t.Fatal(err)
	}
	return r.Plane
}

// Tilt, shift, mirror and quarter turn of a face change no count and no
// reading.
func TestCountsAreOfTheFaceNotOfItsPlace(t *testing.T) {
	m := scraped(0.2)
	g := m.Grid
	const lx, ly = 33.3, 27.7
	plane := seated(t, m, lx, ly)
	want, _ := Bearing(m, plane, 2.5, DefaultRule)
	if *want.Points < 40 || want.AreaPct < 10 {
		t.Fatalf("too bare a face to tell: %d points, %.1f %%", *want.Points, want.AreaPct)
	}

	moved := surface.NewMap(surface.Grid{NX: g.NX, NY: g.NY, DX: g.DX, DY: g.DY, X0: g.X0 + 40, Y0: g.Y0 - 13})
	mirrored, tilted := surface.NewMap(g), surface.NewMap(g)
	turned := surface.NewMap(surface.Grid{NX: g.NY, NY: g.NX, DX: g.DY, DY: g.DX, X0: g.Y0, Y0: g.X0})
	for k, z := range m.Z {
		i, j := k%g.NX, k/g.NX
		moved.Z[k] = z + 100
		tilted.Z[k] = z + 0.3*g.X(i) - 0.2*g.Y(j)
		mirrored.Z[j*g.NX+g.NX-1-i] = z
		turned.Z[i*g.NY+g.NY-1-j] = z
	}
	for _, c := range []struct {
		name  string
		m     *surface.Map
		plane surface.Plane
	}{
		{"moved", moved, seated(t, moved, lx+40, ly-13)},
		{"tilted", tilted, seated(t, tilted, lx, ly)},
		{"mirrored", mirrored, seated(t, mirrored, 76-lx, ly)},
		{"turned", turned, seated(t, turned, 60-ly, lx)},
	} {
		got, _ := Bearing(c.m, c.plane, 2.5, DefaultRule)
		if got.Cells != want.Cells || got.Spots != want.Spots || *got.Points != *want.Points {
			t.Errorf("%s: %d cells, %d spots, %d points; want %d, %d, %d", c.name,
				got.Cells, got.Spots, *got.Points, want.Cells, want.Spots, *want.Points)
		}
		near(t, c.name+" Clark-Evans", *got.ClarkEvans, *want.ClarkEvans, 1e-9)
		near(t, c.name+" variance to mean", *got.VMR3x3, *want.VMR3x3, 1e-9)
		if c.name == "moved" || c.name == "tilted" {
			if *got.FrameMin != *want.FrameMin || *got.FrameMax != *want.FrameMax {
				t.Errorf("%s: frames %d to %d, want %d to %d", c.name, *got.FrameMin, *got.FrameMax, *want.FrameMin, *want.FrameMax)
			}
			a, _ := BareTip(m, plane)
			b, _ := BareTip(c.m, c.plane)
			near(t, c.name+" bare tip", b, a, 1e-9)
			p, _ := BridgedBlock(m, plane)
			q, _ := BridgedBlock(c.m, c.plane)
			near(t, c.name+" bridged", q, p, 1e-9)
		}
	}
}

// Halving the pitch shows the same face: points within a tenth, and the other
// figures no further off than the finer cells can move them. The films are
// those at which the spots of this face stand apart: its saddles are all about
// as high, and at the film that floods them (3 um) the count hangs on necks a
// cell wide.
func TestRefinementMovesFiguresLittle(t *testing.T) {
	coarse, fine := scraped(0.2), scraped(0.1)
	pc, pf := seated(t, coarse, 38, 30), seated(t, fine, 38, 30)
	for _, film := range []float64{1, 1.5, 2, 2.5} {
		a, _ := Bearing(coarse, pc, film, DefaultRule)
		b, _ := Bearing(fine, pf, film, DefaultRule)
		if math.Abs(float64(*a.Points-*b.Points)) > 0.1*float64(*a.Points) {
			t.Errorf("film %g: %d points at 0.2 mm, %d at 0.1", film, *a.Points, *b.Points)
		}
		near(t, "area", b.AreaPct, a.AreaPct, 1)
	}
	fa, err := Flatness(coarse)
	if err != nil {
		t.Fatal(err)
	}
	fb, err := Flatness(fine)
	if err != nil {
		t.Fatal(err)
	}
	relative(t, "zone", fb.MinimumZone, fa.MinimumZone, 0.02)
	relative(t, "least squares", fb.LSTotal, fa.LSTotal, 0.02)
}

// Colour grows with the film, and the mask at one film holds that at a thinner.
func TestBearingGrowsWithTheFilm(t *testing.T) {
	m := scraped(0.2)
	plane := seated(t, m, 38, 30)
	last := -1
	for film := 0.0; film < 6; film += 0.25 {
		f, _ := Bearing(m, plane, film, DefaultRule)
		if f.Cells < last {
			t.Errorf("film %g: %d cells after %d", film, f.Cells, last)
		}
		last = f.Cells
	}
}

// Texture and both filters are of the face and not of its place: shift and tilt,
// mirror and quarter turn change no figure, and a filter of the moved face is the
// moved filter of the face.
func TestTextureAndFiltersAreOfTheFaceNotOfItsPlace(t *testing.T) {
	m := scraped(0.4)
	g := m.Grid
	for k := range m.Z { // some are missing
		if k%41 == 7 {
			m.Z[k] = math.NaN()
		}
	}
	turnedGrid := surface.Grid{NX: g.NY, NY: g.NX, DX: g.DY, DY: g.DX, X0: g.Y0, Y0: g.X0}
	for name, c := range map[string]struct {
		grid surface.Grid
		to   func(i, j int) int // where cell (i, j) comes to lie
		tilt float64
	}{
		"shifted":  {surface.Grid{NX: g.NX, NY: g.NY, DX: g.DX, DY: g.DY, X0: 40, Y0: -13}, func(i, j int) int { return j*g.NX + i }, 0},
		"tilted":   {g, func(i, j int) int { return j*g.NX + i }, .3},
		"mirrored": {g, func(i, j int) int { return j*g.NX + g.NX - 1 - i }, 0},
		"turned":   {turnedGrid, func(i, j int) int { return i*g.NY + g.NY - 1 - j }, 0},
	} {
		moved := surface.NewMap(c.grid)
		for k, z := range m.Z {
			i, j := k%g.NX, k/g.NX
			moved.Z[c.to(i, j)] = z + 50 + c.tilt*(g.X(i)-2*g.Y(j))
		}
		a, err := Texture(m)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Texture(moved)
		if err != nil {
			t.Fatal(err)
		}
		for what, pair := range map[string][2]float64{
			"Sa": {a.Sa, b.Sa}, "Sq": {a.Sq, b.Sq}, "Sz": {a.Sz, b.Sz}, "Sp": {a.Sp, b.Sp}, "Sv": {a.Sv, b.Sv}, "Ssk": {*a.Ssk, *b.Ssk}, "Sku": {*a.Sku, *b.Sku},
			"Sdq": {*a.Sdq, *b.Sdq}, "Sk": {a.Core.Sk, b.Core.Sk}, "Spk": {a.Core.Spk, b.Core.Spk}, "Svk": {a.Core.Svk, b.Core.Svk},
			"Smr1": {a.Core.Smr1, b.Core.Smr1}, "Smr2": {a.Core.Smr2, b.Core.Smr2},
		} {
			near(t, name+" "+what, pair[1], pair[0], 1e-9)
		}
		if c.tilt != 0 {
			continue // a filter bends what slopes at the edges, as it says
		}
		for what, filter := range map[string]func(*surface.Map) *surface.Map{
			"Gaussian of one comb":  func(m *surface.Map) *surface.Map { return GaussianFilter(m, 2.5) },
			"Gaussian of two combs": func(m *surface.Map) *surface.Map { return GaussianFilter(m, 20) },
			"closing":               func(m *surface.Map) *surface.Map { return BallClosing(m, 25) },
			"opening":               func(m *surface.Map) *surface.Map { return BallOpening(m, 25) },
		} {
			of, moved := filter(m), filter(moved)
			for k, z := range of.Z {
				if v := moved.Z[c.to(k%g.NX, k/g.NX)]; z == z && !(math.Abs(v-50-z) < 1e-9) || z != z && v == v {
					t.Fatalf("%s %s: cell %d is %g, want %g", name, what, k, v-50, z)
				}
			}
		}
	}
}
