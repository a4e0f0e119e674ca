package score

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// pad is a job on a small milled pad that the careful hand ends soon.
func pad() run.Setup {
	return run.Setup{
		Part:   run.Part{Recipe: &surface.Recipe{LengthMM: 60, WidthMM: 45, PitchMM: .25, RangeUM: 20, Finish: surface.Milled}},
		Master: seat.Master{Grade: seat.DIN8760, LengthMM: 250, WidthMM: 200},
		Blade:  run.Change{Radius: 9000, Width: 2000, Handle: 524},
		Hand:   lay.Skilled,
		Target: run.Target{FilmUM: 2.5, PointsPerIn2: 20, FrameMin: 12, AreaPct: [2]float64{30, 50}, BridgedUM: 5, BareUM: [2]float64{3, 8}},
	}
}

func begin(t *testing.T, s run.Setup) *run.Run {
	t.Helper()
	r, err := run.New(s, "pad", 3, 3, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func do(t *testing.T, r *run.Run, acts ...run.Act) {
	t.Helper()
	for _, a := range acts {
		if _, err := r.Do(a); err != nil {
			t.Fatalf("%s: %v", a.Kind(), err)
		}
	}
}

func logOf(r *run.Run) *run.Log { return &run.Log{Header: r.Header(), Entries: r.Entries()} }

func marked(t *testing.T, r *run.Run) *Report {
	t.Helper()
	rep, err := Mark(logOf(r), nil)
	if err != nil {
		t.Fatal(err)
	}
	return rep
}

func worked(t *testing.T, h hand.Hand) *run.Run {
	t.Helper()
	r := begin(t, pad())
	if err := h.Work(r, 30, nil); err != nil {
		t.Fatal(err)
	}
	return r
}

func print(film int) []run.Act {
	return []run.Act{{Wipe: &run.Wipe{What: "part"}}, {Roll: &run.Roll{Film: film}}, {Place: &run.Place{}},
		{Rub: &run.Rub{Path: [][2]int{{800, 0}, {0, 400}, {0, 0}}}}, {Lift: &run.Lift{}}}
}

func whole() lay.Region { return lay.Paint(100, 60, 45, func(i, j int) bool { return true }) }

func area(region lay.Region, dir, depth int) run.Act {
	return run.Act{Cut: &run.Cut{Depth: depth, Area: &run.Area{Region: region, Dir: dir, Length: 800, Spacing: 800}}}
}

func rule(rep *Report, name string) []Loss {
	var out []Loss
	for _, l := range rep.Losses {
		if l.Rule == name {
			out = append(out, l)
		}
	}
	return out
}

// The total is a hundred less the costs of all losses, each family is its most
// less its own, and every loss says what, why and what next, in one line each.
func TestMarksAreAHundredLessTheLosses(t *testing.T) {
	for _, h := range []hand.Hand{hand.Careful{}, hand.Careless{}, hand.Careful{OneWay: true}} {
		rep := marked(t, worked(t, h))
		sum := 0.0
		for _, l := range rep.Losses {
			sum += l.Cost
			for _, words := range []string{l.Rule, l.What, l.Why, l.Next} {
				if words == "" || strings.Contains(words, "\n") {
					t.Errorf("%s: %q", l.Rule, words)
				}
			}
			if l.Cost <= 0 || l.Cycle < 0 || l.Cycle > rep.Cycles || l.XMM == nil || l.YMM == nil ||
				*l.XMM < 0 || *l.XMM > 60 || *l.YMM < 0 || *l.YMM > 45 {
				t.Errorf("%s: cost %g, cycle %d, place %v %v", l.Rule, l.Cost, l.Cycle, l.XMM, l.YMM)
			}
		}
		if want := math.Max(-100, 100-sum); math.Abs(rep.Marks.Total-want) > .02 {
			t.Errorf("total %.2f, a hundred less the losses is %.2f", rep.Marks.Total, want)
		}
		m := rep.Marks
		if m.Outcome < 0 || m.Outcome > 60 || m.Process < 0 || m.Process > 25 || m.Economy < 0 || m.Economy > 15 || m.Errors > 0 {
			t.Errorf("families out of bounds: %+v", m)
		}
	}
}

func TestCarefulPassesAndCarelessDoesNot(t *testing.T) {
	careful, careless := marked(t, worked(t, hand.Careful{})), marked(t, worked(t, hand.Careless{}))
	if !careful.Marks.Passed || careless.Marks.Passed || careful.Marks.Total < careless.Marks.Total+40 {
		t.Errorf("careful %+v, careless %+v", careful.Marks, careless.Marks)
	}
	if careless.Marks.Economy != 0 {
		t.Error("economy counts for a face that missed its target")
	}
	if len(careful.PerCycle) != careful.Cycles {
		t.Errorf("%d figures for %d prints", len(careful.PerCycle), careful.Cycles)
	}
}

// A stroke dug into bare metal before signing off never pays, and is charged as
// a new low where it lies and in its cycle.
func TestStrokeInAHollowCosts(t *testing.T) {
	clean := worked(t, hand.Careful{})
	entries := clean.Entries()
	if last := entries[len(entries)-1]; last.Act.SignOff == nil {
		t.Fatal("the careful hand did not sign off")
	}
	r, err := clean.Fork(len(entries) - 1)
	if err != nil {
		t.Fatal(err)
	}
	// A place with no colour within 3 mm.
	reading, _ := r.Reading()
	best, bx, by := -1.0, 0.0, 0.0
	for y := 8.0; y < 37; y++ {
		for x := 8.0; x < 52; x++ {
			near := math.Inf(1)
			for k := range reading.Colour {
				if reading.Coloured(k) {
					near = math.Min(near, math.Hypot(reading.X(k%reading.NX)-x, reading.Y(k/reading.NX)-y))
				}
			}
			if near > best {
				best, bx, by = near, x, y
			}
		}
	}
	do(t, r, run.Act{Cut: &run.Cut{Depth: 2500, Stroke: &run.Line{
		From: [2]int{int(100*bx) - 400, int(100 * by)}, To: [2]int{int(100*bx) + 400, int(100 * by)},
	}}}, run.Act{SignOff: &run.SignOff{}})
	before, after := marked(t, clean), marked(t, r)
	if after.Marks.Total >= before.Marks.Total {
		t.Errorf("a stroke in a hollow pays: %.2f before, %.2f after", before.Marks.Total, after.Marks.Total)
	}
	found := false
	for _, l := range rule(after, "new-low") {
		if math.Hypot(*l.XMM-bx, *l.YMM-by) < 3 && l.Cycle == after.Cycles {
			found = true
		}
	}
	if !found {
		t.Errorf("the low at (%.0f, %.0f) is not among the new lows %+v", bx, by, rule(after, "new-low"))
	}
}

// A low costs marks only where it is deeper than the target lets a face be between
// its points; the figure new_lows counts it either way. The careful hand, whose light
// last marks make pockets of all that lie between its points, loses next to nothing.
func TestLowsWithinTheTargetAreFree(t *testing.T) {
	l := logOf(worked(t, hand.Careful{}))
	cost := func(bare float64) (sum float64, lows int) {
		log := *l
		log.Header.Setup.Target.BareUM[1] = bare
		rep, err := Mark(&log, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range rule(rep, "new-low") {
			sum += l.Cost
		}
		return sum, rep.Final.NewLows
	}
	asked, n := cost(8)
	shallow, m := cost(3)
	deep, _ := cost(40)
	if n == 0 || n != m {
		t.Errorf("%d and %d new lows in one face", n, m)
	}
	if !(shallow > asked+2) || asked > 3 || deep != 0 {
		t.Errorf("new lows cost %g where 3 um are allowed, %g at 8, %g at 40", shallow, asked, deep)
	}
}

// The careful hand lets a part soak that came warm: no print of it is charged.
func TestCarefulHandSoaks(t *testing.T) {
	s := pad()
	s.Effects.Heat, s.Part.Stock.WarmK = true, 4
	r := begin(t, s)
	if err := (hand.Careful{}).Work(r, 4, nil); err != nil {
		t.Fatal(err)
	}
	if l := rule(marked(t, r), "warm-printed"); len(l) != 0 {
		t.Errorf("%+v", l)
	}
}

// A part that may bow is swung from both ends before it is signed off, is not printed
// warm, and no face is flaked before it is good.
func TestHingeWarmthAndFlaking(t *testing.T) {
	work := func(warm float64, flake bool, pushed ...int) *Report {
		s := pad()
		s.Effects.Heat = true
		s.Part.Stock.WarmK = warm
		r := begin(t, s)
		do(t, r, area(whole(), 785, 500), run.Act{Stone: &run.Stone{Passes: 1}}, run.Act{Wipe: &run.Wipe{What: "part"}})
		do(t, r, run.Act{Roll: &run.Roll{Film: 800}}, run.Act{Place: &run.Place{}})
		if warm == 0 {
			do(t, r, run.Act{Soak: &run.Soak{MS: 30 * 60 * 1000}}) // what hands gave it
		}
		for _, x := range pushed {
			do(t, r, run.Act{Push: &run.Push{At: [2]int{x, 2250}, Dir: 1571}})
		}
		do(t, r, run.Act{Rub: &run.Rub{Path: [][2]int{{800, 0}, {0, 0}}}}, run.Act{Lift: &run.Lift{}}, run.Act{Bridge: &run.Bridge{}})
		if flake {
			do(t, r, run.Act{Flake: &run.Flake{Pattern: blade.HalfMoon, Depth: 1500, Region: whole()}})
		}
		do(t, r, run.Act{SignOff: &run.SignOff{}})
		return marked(t, r)
	}
	cold, warm := work(0, false, 100, 5900), work(6, true, 5900)
	for name, n := range map[string]int{"warm-printed": 1, "flaked-early": 1, "check-left-out": 2} {
		if got := len(rule(warm, name)); got != n {
			t.Errorf("%s is charged %d times, want %d", name, got, n)
		}
	}
	for name, n := range map[string]int{"warm-printed": 0, "flaked-early": 0, "check-left-out": 1} { // not turned
		if got := len(rule(cold, name)); got != n {
			t.Errorf("%s is charged %d times where nothing of it was done, want %d", name, got, n)
		}
	}
}

// Each flaw is named by its rule, in its cycle; the same work without it is not.
func TestFlawsAreNamed(t *testing.T) {
	left := lay.Paint(100, 60, 45, func(i, j int) bool { return i < 30 })
	work := func(stone bool, second, depth int) *Report {
		r := begin(t, pad())
		do(t, r, print(800)...)
		do(t, r, area(left, 785, 500))
		if stone {
			do(t, r, run.Act{Stone: &run.Stone{Passes: 1}})
		}
		do(t, r, print(500)...)
		do(t, r, area(left, second, depth), run.Act{Stone: &run.Stone{Passes: 1}})
		return marked(t, r)
	}
	good := work(true, -785, 500)
	for _, c := range []struct {
		rule  string
		cycle int
		rep   *Report
	}{
		{"burr-printed", 2, work(false, -785, 500)},
		{"not-crossed", 2, work(true, 790, 500)},
		{"too-deep", 2, work(true, -785, 1200)},
	} {
		if l := rule(c.rep, c.rule); len(l) != 1 || l[0].Cycle != c.cycle {
			t.Errorf("%s: %+v", c.rule, l)
		}
		if l := rule(good, c.rule); len(l) != 0 {
			t.Errorf("%s found in good work: %+v", c.rule, l)
		}
	}
	if len(rule(good, "not-signed")) != 1 {
		t.Error("a run that was not signed off is not told so")
	}
	idle := begin(t, pad())
	do(t, idle, run.Act{SignOff: &run.SignOff{}})
	rep := marked(t, idle)
	if len(rule(rep, "nothing-cut")) != 1 || rep.Marks.Total > 40 || rep.Marks.Passed {
		t.Errorf("doing nothing is marked %+v", rep.Marks)
	}
}

// Breaking the machined skin with two crossed passes is the rule of the trade
// and costs nothing beside the highs.
func TestBreakingTheSkinIsFree(t *testing.T) {
	r := begin(t, pad())
	do(t, r, print(800)...)
	do(t, r, area(whole(), 785, 500), area(whole(), -785, 500))
	if l := rule(marked(t, r), "cut-beside-highs"); len(l) != 0 {
		t.Errorf("two crossed passes over the machined face: %+v", l)
	}
	do(t, r, area(whole(), 785, 500))
	if l := rule(marked(t, r), "cut-beside-highs"); len(l) != 1 {
		t.Errorf("a third: %+v", l)
	}
}

// Nothing of the truth comes out of a scored run before it is signed off.
func TestOpenScoredRunIsNotMarked(t *testing.T) {
	s := pad()
	s.Scored = true
	r := begin(t, s)
	do(t, r, print(800)...)
	do(t, r, area(whole(), 785, 500))
	if _, err := Mark(logOf(r), nil); !errors.Is(err, run.ErrLocked) {
		t.Errorf("open: %v", err)
	}
	do(t, r, run.Act{SignOff: &run.SignOff{}})
	if rep := marked(t, r); len(rep.PerCycle) != 1 {
		t.Errorf("signed off: %+v", rep)
	}
}

func BenchmarkMark(b *testing.B) {
	r, err := run.New(pad(), "pad", 3, 3, "careful", "test")
	if err != nil {
		b.Fatal(err)
	}
	if err := (hand.Careful{}).Work(r, 30, nil); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Mark(logOf(r), nil); err != nil {
			b.Fatal(err)
		}
	}
}

// What an inch frame bears is the share of its own cells alone: half of it on the edge
// of a face of which the left half is within the film.
func TestAFrameBearsByItself(t *testing.T) {
	g := surface.Grid{NX: 120, NY: 120, DX: .5, DY: .5, X0: .25, Y0: .25}
	f := rested{heights: &surface.Map{Grid: g, Z: make([]float64, g.Cells())}, mask: make([]bool, g.Cells())}
	for k := range f.mask {
		f.mask[k] = g.X(k%g.NX) < 30
	}
	for x, want := range map[float64]float64{14: 100, 30: 50, 46: 0} {
		if got := f.bearsNear(x, 30); math.Abs(got-want) > 1e-9 {
			t.Errorf("the frame about %g mm bears on %g %%, want %g", x, got, want)
		}
	}
}

// Whatever angle the model lets ripple grow at, with five degrees to spare for the
// scatter of a hand, is charged; a cross of 45 degrees is not.
func TestMarksChargeWhereRippleGrows(t *testing.T) {
	for a := range 1571 {
		if math.Cos(2*(float64(a)/1000-5*math.Pi/180)) > blade.AlignedLay && !alongside(0, a) {
			t.Errorf("%d mrad breeds ripple and is not charged", a)
		}
	}
	if alongside(0, 785) || alongside(785, -785) {
		t.Error("a crossed pass is charged")
	}
}

// A rim with less blue than the inside is low and is not to be cut (common practice);
// one with more stands high; and where nothing bears nothing is said of it.
func TestWhatARimCallsFor(t *testing.T) {
	for _, c := range []struct {
		rim, inside float64
		want        string
	}{{.05, .4, "Leave the rim alone"}, {0, .2, "Leave the rim alone"}, {.4, .05, "Cut the blue of the rim"}, {0, .01, "judge the rim then"}, {0, 0, "judge the rim then"}} {
		if _, next := (parted{rimBears: c.rim, insideBears: c.inside}).rimSays(); !strings.Contains(next, c.want) {
			t.Errorf("with %.2f of the rim and %.2f of the inside it says %q", c.rim, c.inside, next)
		}
	}
}

// A single stroke counts as a pass and reaches few of the spots of its print; the loss
// says that it was one, and does not tell of a pass that took the spots.
func TestASingleStrokeIsNamed(t *testing.T) {
	over := run.Act{Cut: &run.Cut{Depth: 500, Area: &run.Area{Region: lay.Paint(100, 60, 45, func(int, int) bool { return true }), Dir: 785, Length: 800, Spacing: 800}}}
	one := run.Act{Cut: &run.Cut{Depth: 500, Stroke: &run.Line{From: [2]int{3000, 2000}, To: [2]int{3500, 2000}}}}
	for want, first := range map[string]run.Act{"a single stroke, which counts as a pass, reached": one, "": over} {
		r := begin(t, pad())
		do(t, r, over, run.Act{Stone: &run.Stone{Passes: 1}}, over)
		do(t, r, run.Act{Stone: &run.Stone{Passes: 1}}, run.Act{Wipe: &run.Wipe{What: "part"}}, run.Act{Roll: &run.Roll{Film: 500}}, run.Act{Place: &run.Place{}},
			run.Act{Rub: &run.Rub{Path: [][2]int{{500, 0}, {0, 0}}}}, run.Act{Lift: &run.Lift{}}, first, over, run.Act{SignOff: &run.SignOff{}})
		missed := rule(marked(t, r), "spots-missed")
		switch {
		case want == "" && len(missed) > 0 && strings.Contains(missed[0].What, "single stroke"):
			t.Errorf("of passes alone it says %q", missed[0].What)
		case want != "" && (len(missed) != 1 || !strings.Contains(missed[0].What, want)):
			t.Errorf("of a stroke before a pass it says %+v", missed)
		}
	}
}
