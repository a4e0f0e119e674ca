package gauge

import (
	"bufio"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.15g, want %.15g", what, got, want)
	}
}

// columns reads a table of numbers under a header line, # lines being remarks.
func columns(t *testing.T, path string) [][]float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var cols [][]float64
	head := true
	for sc := bufio.NewScanner(f); sc.Scan(); {
		if strings.HasPrefix(sc.Text(), "#") {
			continue
		}
		fields := strings.Split(sc.Text(), ",")
		if head {
			cols, head = make([][]float64, len(fields)), false
			continue
		}
		for k, s := range fields {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			cols[k] = append(cols[k], v)
		}
	}
	return cols
}

// The exact rigid seating case (see seat.TestRestExactCase for its source):
// cells and spots at four films, 8- and 4-connected.
func TestSpotsOfTheExactSeat(t *testing.T) {
	m := surface.NewMap(surface.Grid{NX: 16, NY: 12, DX: 1, DY: 1})
	for y := 0; y < 12; y++ {
		for x := 0; x < 16; x++ {
			m.Z[y*16+x] = float64((11*x*x+3*y*y*y+7*x*y+2)%23 - (x-8)*(x-8)/4 - (y-6)*(y-6)/3)
		}
	}
	r, err := seat.Rest(m, 7.5, 5.5)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		film            float64
		cells, at8, at4 int
	}{{0, 3, 3, 3}, {2, 5, 4, 5}, {5, 12, 6, 9}, {10, 33, 6, 10}} {
		rule := DefaultRule
		f, _ := Bearing(m, r.Plane, c.film, rule)
		rule.Connect = 4
		f4, _ := Bearing(m, r.Plane, c.film, rule)
		if f.Cells != c.cells || f.Spots != c.at8 || f4.Spots != c.at4 {
			t.Errorf("film %g: %d cells, %d and %d spots; want %d, %d, %d",
				c.film, f.Cells, f.Spots, f4.Spots, c.cells, c.at8, c.at4)
		}
		if f.Points != nil || f.PerIn2 != nil || f.FrameMin != nil || f.ClarkEvans != nil || f.VMR3x3 != nil {
			t.Error("a pitch of 1 mm is above half the neck, yet points are counted")
		}
		near(t, "area", f.AreaPct, 100*float64(c.cells)/192, 1e-12)
	}
}

// draw sets the cells of g whose centres satisfy in.
func draw(g surface.Grid, in func(x, y float64) bool) []bool {
	return maskOf(g.NX, g.NY, func(i, j int) bool { return in(g.X(i), g.Y(j)) })
}

func disc(cx, cy, d float64) func(x, y float64) bool {
	return func(x, y float64) bool { return math.Hypot(x-cx, y-cy) <= d/2 }
}

func TestPatchSplitsAtItsNeck(t *testing.T) {
	g := surface.Grid{NX: 200, NY: 100, DX: 0.1, DY: 0.1, X0: 3, Y0: -2}
	a, b := disc(8, 3, 4), disc(13, 3, 4)
	for _, c := range []struct {
		neck   float64 // width of the bar between the discs, mm
		points int
	}{{0.5, 2}, {0.9, 2}, {1.3, 1}, {2, 1}} {
		mask := draw(g, func(x, y float64) bool {
			return a(x, y) || b(x, y) || x > 8 && x < 13 && math.Abs(y-3.04) < c.neck/2
		})
		n := CountPoints(mask, nil, g, DefaultRule)
		if n.Spots != 1 || n.Points != c.points {
			t.Errorf("neck %g: %d spots, %d points, want 1, %d", c.neck, n.Spots, n.Points, c.points)
		}
		if c.points == 2 {
			near(t, "left core", n.List[0].X, 8, 0.05)
			near(t, "right core", n.List[1].X, 13, 0.05)
			near(t, "y", n.List[1].Y, 3, 0.05)
			// A disc of 4 mm less half a millimetre all round.
			near(t, "core area", n.List[0].CoreAreaMM2, math.Pi/4*9, 0.4)
			if n.List[0].PatchAreaMM2 != n.Patches[0].AreaMM2 || n.Patches[0].Points != 2 {
				t.Error("points do not refer to their patch")
			}
		}
		whole := DefaultRule
		whole.NeckMM = 0
		if n := CountPoints(mask, nil, g, whole); n.Points != 1 {
			t.Errorf("neck 0 must not split: %d points", n.Points)
		}
	}
}

func TestThinAndSmallPatches(t *testing.T) {
	g := surface.Grid{NX: 100, NY: 60, DX: 0.2, DY: 0.2}
	mask := draw(g, func(x, y float64) bool {
		line := x > 1.9 && x < 8.1 && y > 3.9 && y < 4.3    // 6.2 x 0.4 mm: no core
		small := x > 11.9 && x < 12.5 && y > 3.9 && y < 4.5 // 0.36 mm^2: dropped
		fits := x > 14.9 && x < 15.9 && y > 3.9 && y < 4.5  // 5 x 3 cells = 0.6 mm^2
		return line || small || fits
	})
	n := CountPoints(mask, nil, g, DefaultRule)
	if n.Spots != 2 || n.Points != 2 {
		t.Fatalf("%d spots, %d points, want 2, 2", n.Spots, n.Points)
	}
	near(t, "thin patch x", n.List[0].X, 5, 1e-12)
	near(t, "thin patch y", n.List[0].Y, 4.1, 1e-12)
	if n.List[0].CoreAreaMM2 != 0 {
		t.Error("a thin patch has no core")
	}
	// Exactly the least area counts: 0.5 mm^2 is not below 0.5 mm^2.
	g = surface.Grid{NX: 30, NY: 30, DX: 0.1, DY: 0.1}
	mask = maskOf(30, 30, func(i, j int) bool { return i >= 5 && i < 15 && j >= 5 && j < 10 })
	if n := CountPoints(mask, nil, g, DefaultRule); n.Spots != 1 {
		t.Errorf("a patch of just 0.5 mm^2: %d spots", n.Spots)
	}
}

// plainCore is the rule of the core word for word.
func plainCore(mask []bool, g surface.Grid, reach float64) []bool {
	core := make([]bool, len(mask))
	di, dj := int(reach/g.DX)+2, int(reach/g.DY)+2
	for k, on := range mask {
		core[k] = on
		for b := -dj; b <= dj; b++ {
			for a := -di; a <= di; a++ {
				i, j := k%g.NX+a, k/g.NX+b
				set := i >= 0 && j >= 0 && i < g.NX && j < g.NY && mask[j*g.NX+i]
				if !set && math.Hypot(float64(a)*g.DX, float64(b)*g.DY) <= reach*(1+1e-9) {
					core[k] = false
				}
			}
		}
	}
	return core
}

func TestPointsAgainstTheRuleWordForWord(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	for trial := 0; trial < 60; trial++ {
		pitch := []float64{0.1, 0.2, 0.25, 0.5}[rng.IntN(4)]
		g := surface.Grid{NX: 40 + rng.IntN(120), NY: 30 + rng.IntN(60), DX: pitch, DY: pitch * []float64{1, 0.5, 0.8}[rng.IntN(3)]}
		mask := make([]bool, g.Cells())
		for s := 0; s < 40; s++ {
			on := disc(g.X(rng.IntN(g.NX)), g.Y(rng.IntN(g.NY)), rng.Float64()*20*pitch)
			for k := range mask {
				mask[k] = mask[k] || on(g.X(k%g.NX), g.Y(k/g.NX))
			}
		}
		var valid []bool
		if trial%2 == 1 {
			out := disc(g.X(rng.IntN(g.NX)), g.Y(rng.IntN(g.NY)), 15*pitch)
			valid = draw(g, func(x, y float64) bool { return !out(x, y) })
			for k := range mask {
				mask[k] = mask[k] && valid[k]
			}
		}
		rule := PointRule{MinSpotMM2: rng.Float64(), NeckMM: 2 * pitch * float64(1+rng.IntN(3)), Connect: 4 + 4*rng.IntN(2)}
		got := CountPoints(mask, valid, g, rule)

		core := plainCore(mask, g, rule.NeckMM/2)
		patches, cores := make([]int32, len(mask)), make([]int32, len(mask))
		np := flood(mask, g.NX, g.NY, rule.Connect, patches)
		flood(core, g.NX, g.NY, 8, cores)
		area := make([]float64, np+1)
		coresOf := make([]map[int32]bool, np+1)
		for k, p := range patches {
			if p == 0 {
				continue
			}
			area[p] += g.CellArea()
			if coresOf[p] == nil {
				coresOf[p] = map[int32]bool{}
			}
			if cores[k] > 0 {
				coresOf[p][cores[k]] = true
			}
		}
		spots, points := 0, 0
		for p := 1; p <= np; p++ {
			if area[p] >= rule.MinSpotMM2 {
				spots++
				points += max(1, len(coresOf[p]))
			}
		}
		if got.Spots != spots || got.Points != points {
			t.Fatalf("trial %d: %d spots, %d points; word for word %d, %d", trial, got.Spots, got.Points, spots, points)
		}
		checkFrames(t, got, valid, g)
		checkImages(t, got, patches, cores)
	}
}

// checkFrames compares the frames with counting in each of them.
func checkFrames(t *testing.T, got PointCount, valid []bool, g surface.Grid) {
	t.Helper()
	const side = 5.0
	x0, y0, x1, y1 := g.Edges()
	if valid != nil {
		x0, y0, x1, y1 = x1, y1, x0, y0
		for k, ok := range valid {
			if ok {
				x, y := g.X(k%g.NX), g.Y(k/g.NX)
				x0, x1 = min(x0, x-g.DX/2), max(x1, x+g.DX/2)
				y0, y1 = min(y0, y-g.DY/2), max(y1, y+g.DY/2)
			}
		}
	}
	starts := func(lo, hi float64) []float64 {
		var at []float64
		for v := lo; v+side <= hi+1e-9; v++ {
			at = append(at, v)
		}
		if len(at) > 0 && at[len(at)-1]+side < hi-1e-9 {
			at = append(at, hi-side)
		}
		return at
	}
	var want []int
	for _, fy := range starts(y0, y1) {
	next:
		for _, fx := range starts(x0, x1) {
			for k := range valid {
				x, y := g.X(k%g.NX), g.Y(k/g.NX)
				if !valid[k] && x+g.DX/2 > fx+1e-9 && x-g.DX/2 < fx+side-1e-9 && y+g.DY/2 > fy+1e-9 && y-g.DY/2 < fy+side-1e-9 {
					continue next
				}
			}
			n := 0
			for _, p := range got.List {
				if p.X >= fx-1e-9 && p.X < fx+side-1e-9 && p.Y >= fy-1e-9 && p.Y < fy+side-1e-9 {
					n++
				}
			}
			want = append(want, n)
		}
	}
	frames := got.frames(side)
	if len(frames) != len(want) {
		t.Fatalf("%d frames, want %d", len(frames), len(want))
	}
	for k, f := range frames {
		if f.Points != want[k] {
			t.Fatalf("frame %d: %d points, want %d", k, f.Points, want[k])
		}
	}
}

// checkImages holds the labelled images against the lists.
func checkImages(t *testing.T, got PointCount, patches, cores []int32) {
	t.Helper()
	pi, qi := got.PatchImage(nil), got.PointImage(nil)
	seen := make([]int, got.Points+1)
	for k, p := range pi {
		if p > 0 && patches[k] == 0 || (p > 0) != (qi[k] > 0) {
			t.Fatalf("cell %d: patch %d, point %d, mask patch %d", k, p, qi[k], patches[k])
		}
		if p == 0 {
			continue
		}
		if got.List[qi[k]-1].Patch != int(p-1) {
			t.Fatalf("cell %d: its point lies in another patch", k)
		}
		seen[qi[k]]++
	}
	for q, n := range seen[1:] {
		if n == 0 {
			t.Fatalf("point %d has no cell", q)
		}
	}
}

// A point on the common edge of two frames belongs to the one that begins
// there; the centroid of a patch that straddles a frame edge decides.
func TestFramesOnAnInchGrid(t *testing.T) {
	// 508 x 254 cells of 0.1 mm: two frames side by side, x edges 0, 25.4, 50.8.
	g := surface.Grid{NX: 508, NY: 254, DX: 0.1, DY: 0.1, X0: 0.05, Y0: 0.05}
	mask := draw(g, func(x, y float64) bool {
		// Centred exactly on x = 25.4.
		return math.Abs(x-25.4) < 1 && math.Abs(y-12.7) < 1
	})
	n := CountPoints(mask, nil, g, DefaultRule)
	if n.Points != 1 || !n.HasFrames {
		t.Fatalf("%d points, frames %v", n.Points, n.HasFrames)
	}
	near(t, "x", n.List[0].X, 25.4, 1e-9)
	frames := n.frames(25.4)
	// Starts 0, 1 ... 25 and 25.4 flush: only the first frame ends at 25.4.
	if len(frames) != 27 {
		t.Fatalf("%d frames, want 27", len(frames))
	}
	for k, f := range frames {
		if want := min(k, 1); f.Points != want || f.X != min(float64(k), 25.4) || f.Y != 0 {
			t.Errorf("frame %d at (%g, %g) holds %d, want %d", k, f.X, f.Y, f.Points, want)
		}
	}
	near(t, "per square inch", n.PerIn2, 0.5, 1e-12)
	// A face narrower than a frame has none.
	small := surface.Grid{NX: 100, NY: 254, DX: 0.1, DY: 0.1}
	if n := CountPoints(make([]bool, small.Cells()), nil, small, DefaultRule); n.HasFrames {
		t.Error("a frame on a face of 10 mm")
	}
}

// Published point patterns: Ripley 1977 (biological cells) and Numata 1961
// (Japanese pines), figures recomputed in testdata/points from the data files.
func TestSpreadOfPublishedPatterns(t *testing.T) {
	for _, c := range []struct {
		file         string
		n            int
		mean, r, vmr float64
	}{
		{"cells", 42, .128972874601516, 1.6716795148414, .535714285714},
		{"japanesepines", 65, .0659866062678814, 1.0640020553343, 1.89615384615},
	} {
		cols := columns(t, "../../testdata/points/"+c.file+".csv")
		x, y := cols[0], cols[1]
		if len(x) != c.n {
			t.Fatalf("%s: %d points", c.file, len(x))
		}
		near(t, c.file+" mean nearest", meanNearest(x, y), c.mean, 1e-14)
		r, _ := ClarkEvans(x, y, 1)
		near(t, c.file+" Clark-Evans", r, c.r, 1e-12)
		v, _ := QuadratVMR(x, y, 0, 0, 1, 1, 3, 3)
		near(t, c.file+" variance to mean", v, c.vmr, 1e-11)
	}
}

// Closed forms of Clark and Evans 1954: a square lattice has 2, a hexagonal one
// 2.1491; both over the area that belongs to their points.
func TestClarkEvansOfLattices(t *testing.T) {
	var x, y, hx, hy []float64
	for j := 0; j < 30; j++ {
		for i := 0; i < 30; i++ {
			x, y = append(x, float64(i)), append(y, float64(j))
			hx = append(hx, float64(i)+0.5*float64(j%2))
			hy = append(hy, float64(j)*math.Sqrt(3)/2)
		}
	}
	r, _ := ClarkEvans(x, y, 900)
	near(t, "square", r, 2, 1e-9)
	r, _ = ClarkEvans(hx, hy, 900*math.Sqrt(3)/2)
	near(t, "hexagonal", r, 2.1491, 5e-5)
	if _, ok := ClarkEvans(x[:1], y[:1], 900); ok {
		t.Error("one point has no neighbour")
	}
	if _, ok := QuadratVMR(nil, nil, 0, 0, 1, 1, 3, 3); ok {
		t.Error("no points have no spread")
	}
}

func TestNearestAgainstAllPairs(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for trial := 0; trial < 100; trial++ {
		n := 2 + rng.IntN(60)
		x, y := make([]float64, n), make([]float64, n)
		for k := range x {
			x[k], y[k] = rng.NormFloat64()*50, rng.ExpFloat64()*math.Pow(10, float64(trial%5-3))
			if trial%7 == 0 {
				y[k] = 4
			}
		}
		for k, d := range nearest(x, y) {
			want := math.Inf(1)
			for q := range x {
				if q != k {
					want = min(want, math.Hypot(x[q]-x[k], y[q]-y[k]))
				}
			}
			if math.Abs(d-want) > 1e-12*want {
				t.Fatalf("trial %d: nearest %g, want %g", trial, d, want)
			}
		}
	}
}

func BenchmarkCountPoints(b *testing.B) {
	const n = 1000
	mask := spotsMask(n)
	g := surface.Grid{NX: n, NY: n, DX: 0.1, DY: 0.1}
	for b.Loop() {
		CountPoints(mask, nil, g, DefaultRule)
	}
}
