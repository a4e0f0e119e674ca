package lay

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/surface"
)

func tool(h Hand, depth float64) Tool {
	return Tool{
		Blade:   blade.Blade{RadiusMM: 90, WidthMM: 20, Handle: math.Pi / 6},
		DepthUM: depth, Hand: h, Random: rand.New(rand.NewPCG(1, 2)),
	}
}

func TestRegion(t *testing.T) {
	r := Paint(100, 30, 20, func(i, j int) bool { return i >= 5 && i < 12 && j >= 3 && j < 8 || i == 20 && j == 5 })
	if err := r.Check(); err != nil {
		t.Fatal(err)
	}
	if got := r.AreaMM2(); got != 36 {
		t.Errorf("area %g mm^2, want 36", got)
	}
	for _, c := range []struct {
		x, y float64
		in   bool
	}{{5, 3, true}, {4.99, 3, false}, {11.99, 7.99, true}, {12, 5, false}, {8, 8, false}, {20.5, 5.5, true}, {20.5, 6.5, false}} {
		if r.Contains(c.x, c.y) != c.in {
			t.Errorf("(%g, %g) painted: %v", c.x, c.y, !c.in)
		}
	}
	if got := r.Within(8, 4, 9.5, 6).AreaMM2(); got != 4 {
		t.Errorf("%g mm^2 within, want 4", got)
	}
	for _, bad := range []struct {
		r    Region
		want string
	}{
		{Region{Tile: 100}, "nothing is painted"},
		{Region{Tile: 1, Runs: [][3]int{{0, 0, 1}}}, "tile"},
		{Region{Tile: 100, Runs: [][3]int{{0, 3, 3}}}, "run 1"},
		{Region{Tile: 100, Runs: [][3]int{{0, 0, 3}, {0, 3, 5}}}, "run 2"},
		{Region{Tile: 100, Runs: [][3]int{{1, 0, 3}, {0, 3, 5}}}, "run 2"},
	} {
		if err := bad.r.Check(); err == nil || !strings.Contains(err.Error(), bad.want) {
			t.Errorf("%v: %v", bad.r, err)
		}
	}
}

// Rows of an exact hand over a flat face take it down everywhere inside the
// region: rows 0.8 of a mark apart leave ridges of (0.8)^2 of the depth at the
// most, and between the ramps of a chain no less than half is cut. Outside,
// beyond a stroke's lead, nothing is touched.
func TestRowsTakeTheWholeRegion(t *testing.T) {
	f := surface.NewFace(surface.Grid{NX: 600, NY: 400, DX: .1, DY: .1, X0: .05, Y0: .05})
	region := Paint(100, 60, 40, func(i, j int) bool { return i >= 20 && i < 45 && j >= 12 && j < 30 })
	for _, dir := range []int{0, 785, -785, 1571} {
		face := f.Clone()
		c := blade.NewCutter(face)
		tl := tool(Hand{}, 8)
		for _, s := range Rows(tl, region, Style{Dir: dir, LengthMM: 10, Spacing: .8}) {
			c.Cut(tl.Blade, s)
		}
		whole, cut, outside := 0, 0, 0
		for k, h := range face.H {
			x, y := face.X(k%face.NX), face.Y(k/face.NX)
			switch {
			case x > 22 && x < 43 && y > 14 && y < 28:
				whole++
				if h < 0 {
					cut++
				}
			case (x < 14 || x > 51 || y < 6 || y > 36) && h < 0:
				outside++
			}
		}
		if share := float64(cut) / float64(whole); share < .97 || outside > 0 {
			t.Errorf("dir %d mrad: %.3f of the region cut, %d cells far outside", dir, share, outside)
		}
	}
}

// bumps are spots of three kinds in a row: broad and strong, small and strong,
// small and faint.
func bumps() *blue.Reading {
	g := surface.Grid{NX: 400, NY: 200, DX: .1, DY: .1, X0: .05, Y0: .05}
	r := &blue.Reading{Grid: g, Film: 2.5, Colour: make([]uint8, g.Cells()), Shine: make([]uint8, g.Cells())}
	dot := func(x, y, radius float64, colour uint8) {
		for k := range r.Colour {
			if math.Hypot(g.X(k%g.NX)-x, g.Y(k/g.NX)-y) <= radius {
				r.Colour[k] = colour
			}
		}
	}
	for n := range 8 {
		x := 3 + 4.5*float64(n)
		dot(x, 4, 1.6, 220)
		dot(x, 10, .8, 210)
		dot(x, 16, .8, 70)
	}
	return r
}

// By example an exact hand cuts what looks like the spots pointed at and spares
// what looks like the one spared, inside the painted region alone.
func TestByExample(t *testing.T) {
	reading := bumps()
	if n := len(Spots(reading)); n != 24 {
		t.Fatalf("%d spots, want 24", n)
	}
	all := Paint(100, 40, 20, func(i, j int) bool { return true })
	left := Paint(100, 20, 20, func(i, j int) bool { return true })
	style := Style{Dir: 0, LengthMM: 5, Spacing: 1.3}
	rows := func(region Region, e Example, hand Hand) map[int]int {
		strokes, err := ByExample(tool(hand, 3), region, e, style, reading)
		if err != nil {
			t.Fatal(err)
		}
		hit := map[int]int{}
		for _, s := range strokes {
			y := float64(s.Y0+s.Y1) / 200
			hit[int(math.Round((y-4)/6))]++
		}
		return hit
	}
	strong := Example{Cut: [][2]int{{300, 400}, {300, 1000}}, Spare: &[2]int{300, 1600}}
	if hit := rows(all, strong, Hand{}); hit[0] < 8 || hit[1] != 8 || hit[2] != 0 {
		t.Errorf("strokes on broad, small and faint spots: %v", hit)
	}
	if hit := rows(left, strong, Hand{}); hit[1] != 4 {
		t.Errorf("%d small spots cut on the left half, want 4", hit[1])
	}
	small := Example{Cut: [][2]int{{300, 1000}}, Spare: &[2]int{300, 400}}
	if hit := rows(all, small, Hand{}); hit[0] != 0 || hit[1] != 8 {
		t.Errorf("small spots alone were to be cut: %v", hit)
	}
	// A hand that misreads half of the spots leaves some and takes others.
	if hit := rows(all, strong, Hand{Misread: .5}); hit[2] == 0 || hit[1] == 8 {
		t.Errorf("half misread: %v", hit)
	}
	// A broad spot gets more marks when they are to stand closer.
	style.Spacing = .4
	if hit := rows(all, strong, Hand{}); hit[0] < 16 {
		t.Errorf("%d marks on eight broad spots", hit[0])
	}
	if _, err := ByExample(tool(Hand{}, 3), all, Example{Cut: [][2]int{{3900, 1990}}}, style, &blue.Reading{Grid: reading.Grid, Colour: make([]uint8, len(reading.Colour)), Shine: make([]uint8, len(reading.Shine))}); err == nil {
		t.Error("an example on a bare face was taken")
	}
}

// Scatter has the spread that the hand states.
func TestScatterOfAHand(t *testing.T) {
	tl := tool(Hand{DepthSpread: .12, PlaceMM: .3}, 5)
	var depth, place, square float64
	const n = 4000
	for range n {
		s := Single(tl, [2]int{1000, 1000}, [2]int{1600, 1000})[0]
		depth += s.DepthUM / n
		square += (s.DepthUM - 5) * (s.DepthUM - 5) / n
		y := float64(s.Y0+s.Y1)/200 - 10
		place += y * y / n
	}
	if math.Abs(depth-5) > .05 || math.Abs(math.Sqrt(square)-.6) > .03 || math.Abs(math.Sqrt(place)-.3) > .02 {
		t.Errorf("depth %.3f +- %.3f um, place +- %.3f mm", depth, math.Sqrt(square), math.Sqrt(place))
	}
	exact := Single(tool(Hand{}, 5), [2]int{1000, 1000}, [2]int{1600, 1000})[0]
	if exact.X0 != 1000 || exact.X1 != 1600 || exact.Y0 != 1000 || exact.DepthUM != 5 {
		t.Errorf("an exact hand lays %+v", exact)
	}
}
