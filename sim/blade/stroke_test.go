package blade

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

var scraper = Blade{RadiusMM: 90, WidthMM: 20, Handle: math.Pi / 6}

func flat(length, width, pitch float64) *surface.Face {
	return surface.NewFace(surface.Grid{
		NX: int(math.Round(length / pitch)), NY: int(math.Round(width / pitch)),
		DX: pitch, DY: pitch, X0: pitch / 2, Y0: pitch / 2,
	})
}

// wavy is a face with form, waviness and roughness.
func wavy(length, width, pitch float64, seed uint64) *surface.Face {
	f := flat(length, width, pitch)
	r := rand.New(rand.NewPCG(seed, 0))
	a, b := 3+r.Float64(), 2+r.Float64()
	for k := range f.H {
		x, y := f.X(k%f.NX), f.Y(k/f.NX)
		f.H[k] = surface.ToSteps(4*math.Sin(x/a) + 3*math.Cos(y/b) + r.Float64())
	}
	return f
}

// Width of a mark: the chord of a circular segment, 2 sqrt(h (2r - h)), as
// Machinery's Handbook, 31st ed., p. 79 tabulates it (r 60, h 8: 59.86; r
// 12.1875, h 6: 21), of which sqrt(8 r d) is the flat limit.
func TestMarkWidthIsTheChordOfAFlatSegment(t *testing.T) {
	chord := func(r, h float64) float64 { return 2 * math.Sqrt(h*(2*r-h)) }
	for _, c := range []struct{ r, h, printed, rounding float64 }{{60, 8, 59.86, .01}, {12.1875, 6, 21, .005}} {
		if got := chord(c.r, c.h); math.Abs(got-c.printed) > c.rounding {
			t.Errorf("chord of r %g, h %g is %.4f, printed %g", c.r, c.h, got, c.printed)
		}
	}
	upright := func(r float64) Blade { return Blade{RadiusMM: r, WidthMM: 20, Handle: math.Pi / 2} }
	for _, c := range []struct{ r, d, want float64 }{
		{60, 5, 1.54916}, {60, 10, 2.19080}, {90, 10, 2.68321}, {120, 10, 3.09832},
	} {
		got := upright(c.r).MarkWidth(c.d)
		if math.Abs(got-c.want) > 1e-4 {
			t.Errorf("r %g, d %g um: width %.5f, want %.5f", c.r, c.d, got, c.want)
		}
		if exact := chord(c.r, c.d/1000); math.Abs(got/exact-1) > c.d/1000/c.r {
			t.Errorf("r %g, d %g um: width %.6f, chord %.6f", c.r, c.d, got, exact)
		}
	}
	// Held at 30 degrees the arc is twice as flat: sqrt 2 as wide.
	if got, want := scraper.MarkWidth(10), upright(90).MarkWidth(10)*math.Sqrt2; math.Abs(got-want) > 1e-9 {
		t.Errorf("at 30 degrees the width is %.5f, want %.5f", got, want)
	}
}

// Cut into an even face, a mark has that width and the cross-section of a
// parabola, 2/3 w d.
func TestMarkInAnEvenFace(t *testing.T) {
	const pitch = .05
	for _, d := range []float64{2, 5, 10, 20} {
		f := flat(24, 12, pitch)
		c := NewCutter(f)
		chip := c.Cut(scraper, Stroke{X0: 400, Y0: 600, X1: 2000, Y1: 600, DepthUM: d})
		i := 1050 / 5 // 40 % of the way, between the ramps
		cells, area := 0, 0.0
		for j := 0; j < f.NY; j++ {
			if h := f.H[j*f.NX+i]; h < 0 {
				cells++
				area -= surface.FromSteps(h) * pitch
			}
		}
		w := scraper.MarkWidth(d)
		if got := float64(cells) * pitch; math.Abs(got-w) > 1.5*pitch {
			t.Errorf("d %g: mark is %.3f mm wide, want %.3f", d, got, w)
		}
		if want := 2. / 3 * w * d; math.Abs(area/want-1) > .02 {
			t.Errorf("d %g: cross-section %.4f um mm, want 2/3 w d = %.4f", d, area, want)
		}
		if math.Abs(chip.DeepestUM/d-1) > .01 {
			t.Errorf("d %g: deepest cut %.3f um", d, chip.DeepestUM)
		}
	}
}

// The formula of force at its reference, in its exponents and backwards. That 178 N
// and 454 N (measured for fine and rough cuts: Fujii et al., c. 1990) come to about 10
// and 21 um follows from tying the first to 10 um; it is no agreement with depths of
// the trade, where a fine mark may be 2 um.
func TestForceFormula(t *testing.T) {
	ref := Blade{RadiusMM: 60, WidthMM: 20, Handle: math.Pi / 6}
	if d := ref.DepthFromForce(180); math.Abs(d-10) > 1e-6 {
		t.Errorf("180 N cuts %.7f um, want 10", d)
	}
	if got, want := ref.DepthFromForce(360)/ref.DepthFromForce(180), math.Pow(2, .82); math.Abs(got-want) > 1e-6 {
		t.Errorf("twice the force is %.6f of the depth, want %.6f", got, want)
	}
	w := func(n float64) float64 { return ref.MarkWidth(ref.DepthFromForce(n)) }
	if got, want := w(360)/w(180), math.Pow(2, .41); math.Abs(got-want) > 1e-6 {
		t.Errorf("twice the force is %.6f of the width, want %.6f", got, want)
	}
	flatter := Blade{RadiusMM: 120, WidthMM: 20, Handle: math.Pi / 6}
	if got, want := flatter.DepthFromForce(180)/10, math.Pow(2, -.41); math.Abs(got-want) > 1e-6 {
		t.Errorf("twice the radius is %.6f of the depth, want %.6f", got, want)
	}
	for _, d := range []float64{1, 4, 15} {
		if got := scraper.DepthFromForce(scraper.ForceFromDepth(d)); math.Abs(got-d) > 1e-5 {
			t.Errorf("force and back: %g um becomes %g", d, got)
		}
	}
	fine, rough := ref.DepthFromForce(178), ref.DepthFromForce(454)
	if fine < 8 || fine > 12 || rough < 17 || rough > 25 {
		t.Errorf("178 N and 454 N cut %.1f and %.1f um", fine, rough)
	}
}

// A stroke never raises metal; no stroke, no change.
func TestStrokesOnlyTakeMetal(t *testing.T) {
	f := wavy(40, 30, .2, 5)
	c := NewCutter(f)
	r := rand.New(rand.NewPCG(9, 9))
	for range 200 {
		before := f.Clone()
		s := Stroke{X0: r.IntN(4400) - 200, Y0: r.IntN(3400) - 200, DepthUM: .5 + 20*r.Float64(), BurrUM: 3 * r.Float64()}
		s.X1, s.Y1 = s.X0+r.IntN(3000)-1500, s.Y0+r.IntN(3000)-1500
		chip := c.Cut(scraper, s)
		var removed float64
		for k := range f.H {
			if f.H[k] > before.H[k] {
				t.Fatalf("stroke %+v raised cell %d", s, k)
			}
			removed += surface.FromSteps(before.H[k]-f.H[k]) / 1000 * f.CellArea()
		}
		if math.Abs(removed-chip.VolumeMM3) > 1e-9 {
			t.Fatalf("the chip is %.12f mm^3 and the face lost %.12f", chip.VolumeMM3, removed)
		}
	}
	before := f.Clone()
	c.Cut(scraper, Stroke{X0: 100, Y0: 100, X1: 100, Y1: 100, DepthUM: 5})
	c.Cut(scraper, Stroke{X0: 100, Y0: 100, X1: 900, Y1: 100})
	if !slices.Equal(f.H, before.H) || !slices.Equal(f.Burr, before.Burr) {
		t.Error("a stroke without length or depth changed the face")
	}
}

// Mirrored and quarter-turned strokes on a mirrored and quarter-turned face give
// the mirrored and quarter-turned face, step for step, burr too.
func TestStrokesAreBlindToMirrorAndTurn(t *testing.T) {
	const side = 40 // mm
	const units = side * UnitsPerMM
	f := wavy(side, side, .2, 11)
	n := f.NX
	moves := []struct {
		name  string
		cell  func(i, j int) (int, int)
		point func(x, y int) (int, int)
	}{
		{"mirror in x", func(i, j int) (int, int) { return n - 1 - i, j }, func(x, y int) (int, int) { return units - x, y }},
		{"mirror in y", func(i, j int) (int, int) { return i, n - 1 - j }, func(x, y int) (int, int) { return x, units - y }},
		{"quarter turn", func(i, j int) (int, int) { return n - 1 - j, i }, func(x, y int) (int, int) { return units - y, x }},
	}
	for _, m := range moves {
		a, b := f.Clone(), f.Clone()
		for j := 0; j < n; j++ {
			for i := 0; i < n; i++ {
				p, q := m.cell(i, j)
				b.H[q*n+p] = a.H[j*n+i]
			}
		}
		ca, cb := NewCutter(a), NewCutter(b)
		r := rand.New(rand.NewPCG(3, 4))
		for range 60 {
			s := Stroke{X0: r.IntN(units), Y0: r.IntN(units), DepthUM: 1 + 9*r.Float64(), BurrUM: 2}
			s.X1, s.Y1 = s.X0+r.IntN(2000)-1000, s.Y0+r.IntN(2000)-1000
			z := s
			z.X0, z.Y0 = m.point(s.X0, s.Y0)
			z.X1, z.Y1 = m.point(s.X1, s.Y1)
			ca.Cut(scraper, s)
			cb.Cut(scraper, z)
		}
		Stone(a)
		Stone(b)
		for j := 0; j < n; j++ {
			for i := 0; i < n; i++ {
				p, q := m.cell(i, j)
				if a.H[j*n+i] != b.H[q*n+p] || a.Burr[j*n+i] != b.Burr[q*n+p] {
					t.Fatalf("%s: cell (%d, %d) is %d/%d and its image %d/%d", m.name, i, j, a.H[j*n+i], a.Burr[j*n+i], b.H[q*n+p], b.Burr[q*n+p])
				}
			}
		}
	}
}

// The edge rides the highs under its width: a needle of one cell does not lift
// it, a broad land on one side does, and the floor between two lands stays.
func TestEdgeRidesTheHighs(t *testing.T) {
	stroke := Stroke{X0: 500, Y0: 600, X1: 2100, Y1: 600, DepthUM: 4}
	middle := func(f *surface.Face) float64 { return surface.FromSteps(f.H[(f.NY/2)*f.NX+f.NX*45/100]) }

	needle := flat(26, 12, .2)
	needle.H[(needle.NY/2+3)*needle.NX+needle.NX*45/100] = surface.ToSteps(20)
	NewCutter(needle).Cut(scraper, stroke)
	if got := middle(needle); got > -3 {
		t.Errorf("a needle lifts the edge: the cut beside it is %.2f um deep, not 4", -got)
	}

	// A groove half a mark wide and 10 um deep: its floor is out of reach.
	groove := flat(26, 12, .2)
	half := scraper.MarkWidth(4) / 4
	for k := range groove.H {
		if math.Abs(groove.Y(k/groove.NX)-6) < half {
			groove.H[k] = surface.ToSteps(-10)
		}
	}
	NewCutter(groove).Cut(scraper, stroke)
	if got := middle(groove); got != -10 {
		t.Errorf("the floor of a groove was cut to %.2f um", got)
	}
	cut := false
	for k := range groove.H {
		cut = cut || groove.H[k] < 0 && groove.H[k] > surface.ToSteps(-9)
	}
	if !cut {
		t.Error("the lands beside the groove were not cut")
	}
}

// A stroke lifts in over the first quarter and out over the last third or so:
// no ledge at either end (a rule of an old trainees' handbook on plane scraping).
func TestStrokeLiftsInAndOut(t *testing.T) {
	f := flat(26, 12, .1)
	NewCutter(f).Cut(scraper, Stroke{X0: 500, Y0: 600, X1: 2100, Y1: 600, DepthUM: 6})
	at := func(share float64) float64 {
		i := int((5 + 16*share) / .1)
		return -surface.FromSteps(f.H[(f.NY/2)*f.NX+i])
	}
	for _, c := range []struct{ t, low, high float64 }{
		{.01, 0, .1}, {EntryShare / 2, 2.6, 3.4}, {EntryShare, 5.9, 6.01}, {.5, 5.9, 6.01},
		{1 - ExitShare/2, 2.6, 3.4}, {.99, 0, .1},
	} {
		if got := at(c.t); got < c.low || got > c.high {
			t.Errorf("at %.3f of the stroke the cut is %.2f um deep, want %.2f to %.2f", c.t, got, c.low, c.high)
		}
	}
}

// Burr stands beside the mark and behind its exit, within its reach, on metal
// that was not cut; the stone takes it and leaves nearly all of the tops.
func TestBurrAndStone(t *testing.T) {
	f := flat(26, 12, .1)
	NewCutter(f).Cut(scraper, Stroke{X0: 500, Y0: 600, X1: 2100, Y1: 600, DepthUM: 8, BurrUM: 2})
	standing := 0
	for k, b := range f.Burr {
		if b == 0 {
			continue
		}
		standing++
		if f.H[k] != 0 {
			t.Fatalf("burr stands in the mark at cell %d", k)
		}
		if got := surface.FromSteps(int32(b)); got != 2 {
			t.Fatalf("burr of %.3f um, want 2", got)
		}
		if y := math.Abs(f.Y(k/f.NX) - 6); y > scraper.MarkWidth(8)/2+2*BurrReach {
			t.Fatalf("burr stands %.2f mm off the middle of the mark", y)
		}
	}
	if standing == 0 {
		t.Fatal("no burr")
	}
	before := f.Clone()
	Stone(f)
	for k := range f.H {
		if surface.FromSteps(int32(f.Burr[k])) > 2*BurrLeft+1e-3 {
			t.Fatalf("the stone leaves %.3f um of burr", surface.FromSteps(int32(f.Burr[k])))
		}
		if took := surface.FromSteps(before.H[k] - f.H[k]); took < 0 || took > StoneTrace+1e-3 {
			t.Fatalf("the stone took %.3f um off cell %d", took, k)
		}
	}
	if f.H[0] != before.H[0]-surface.ToSteps(StoneTrace) {
		t.Error("the stone takes no trace off the tops")
	}
}

// A blunt edge cuts less deep and throws more burr; honed, it does not.
func TestEdgeWears(t *testing.T) {
	deep := func(b Blade) (um float64, burr uint16) {
		f := flat(26, 12, .1)
		um = NewCutter(f).Cut(b, Stroke{X0: 500, Y0: 600, X1: 2100, Y1: 600, DepthUM: 8, BurrUM: 1}).DeepestUM
		return um, slices.Max(f.Burr)
	}
	sharp, low := deep(scraper)
	blunt := scraper
	blunt.CutMM = EdgeLife
	dull, high := deep(blunt)
	if got, want := dull/sharp, 1-BluntDepth; math.Abs(got-want) > .02 {
		t.Errorf("a blunt edge reaches %.3f of the depth, want %.3f", got, want)
	}
	if high != uint16(BluntBurr*float64(low)) {
		t.Errorf("burr %d sharp and %d blunt", low, high)
	}
}

// Strokes along earlier strokes amplify the ripple that they meet; on a face
// that has forgotten the earlier strokes they wear it down (common practice:
// rows at 45 degrees, direction swapped every pass).
func TestChatterGrowsAlongEarlierStrokes(t *testing.T) {
	ripple := func(remember bool) float64 {
		f := flat(40, 20, .2)
		for k := range f.H {
			f.H[k] = surface.ToSteps(math.Sin(2 * math.Pi * f.X(k%f.NX) / 4))
		}
		c := NewCutter(f)
		for range 6 {
			for row := 0; row <= 2000; row += 150 {
				c.Cut(scraper, Stroke{X0: -2000, Y0: row, X1: 6000, Y1: row, DepthUM: 4})
			}
			if !remember {
				clear(f.Ripple)
			}
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := f.NX / 4; i < f.NX*3/4; i++ { // along the middle of a row
			z := surface.FromSteps(f.H[(f.NY/2)*f.NX+i])
			lo, hi = math.Min(lo, z), math.Max(hi, z)
		}
		return hi - lo
	}
	if grown, worn := ripple(true), ripple(false); grown < 2*worn || grown < 4 {
		t.Errorf("a ripple of 2 um becomes %.2f um along earlier strokes, %.2f um where they are forgotten", grown, worn)
	}
}

func BenchmarkStroke1000x750(b *testing.B) {
	f := wavy(200, 150, .2, 1)
	b.Run("stroke", func(b *testing.B) {
		c := NewCutter(f)
		for n := 0; b.Loop(); n++ {
			y := 1000 + n*37%13000
			c.Cut(scraper, Stroke{X0: 9000, Y0: y, X1: 9900, Y1: y + 900, DepthUM: 8, BurrUM: 2})
		}
	})
	b.Run("copy", func(b *testing.B) {
		to := make([]int32, len(f.H))
		for b.Loop() {
			copy(to, f.H)
		}
	})
}
