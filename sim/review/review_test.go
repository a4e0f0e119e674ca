package review

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// pad is a job on a small ground pad.
func pad() run.Setup {
	return run.Setup{
		Part:   run.Part{Recipe: &surface.Recipe{LengthMM: 40, WidthMM: 32, PitchMM: .4, RangeUM: 12, Finish: surface.Ground}},
		Master: seat.Master{Grade: seat.DIN8760, LengthMM: 250, WidthMM: 200},
		Blade:  run.Change{Radius: 9000, Width: 2000, Handle: 524},
		Hand:   lay.Skilled,
		Target: run.Target{FilmUM: 2.5, PointsPerIn2: 12, FrameMin: 6, AreaPct: [2]float64{20, 60}, BridgedUM: 6, BareUM: [2]float64{1, 12}},
	}
}

// worked is the log of a hand's run.
func worked(t *testing.T, s run.Setup, h hand.Hand, scatter uint64, cycles int) *run.Log {
	t.Helper()
	r, err := run.New(s, "pad", 5, scatter, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	if err := h.Work(r, cycles, nil); err != nil {
		t.Fatal(err)
	}
	return &run.Log{Header: r.Header(), Entries: r.Entries()}
}

func reviewed(t *testing.T, l *run.Log) *Review {
	t.Helper()
	v, err := Of(l, score.Standard(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// one does jobs one after the other.
func one(jobs []func()) error {
	for _, j := range jobs {
		j()
	}
	return nil
}

func TestReviewAgreesWithReplay(t *testing.T) {
	l := worked(t, pad(), hand.Careless{}, 1, 4)
	v := reviewed(t, l)
	want, err := score.Mark(l, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(v.Report, want) {
		t.Errorf("the review is marked\n%+v\nand the run\n%+v", v.Report, want)
	}
	if len(v.Cycles) != 4 {
		t.Fatalf("%d cycles of 4", len(v.Cycles))
	}
	for n, c := range v.Cycles {
		if c.Print.N != n+1 || c.FilmUM != 10 || c.PressN != 25 {
			t.Errorf("cycle %d: %+v, film %g, pressed %d", n+1, c.Print, c.FilmUM, c.PressN)
		}
		if got := l.Entries[c.Acts-1].Out.Print; got == nil || got.N != n+1 {
			t.Errorf("cycle %d does not end at its print", n+1)
		}
		last := n == len(v.Cycles)-1
		if (c.Removed == nil) != last || (c.Did == nil) != last {
			t.Errorf("cycle %d: cut %t", n+1, c.Removed != nil)
		}
	}
	// What is gone from one print to the next is what was cut.
	c := v.Cycles[0]
	if c.Done.Strokes() == 0 || c.Done.Stoned != 0 || !strings.Contains(c.Done.Words(), "not stoned") {
		t.Errorf("after print 1: %+v", c.Done)
	}
	if low, high := c.Removed.Range(); low < 0 || high < 3 {
		t.Errorf("10 um strokes took %g to %g um", low, high)
	}
	cells := 0.0
	for k, d := range c.Removed.V {
		if d > .2 {
			cells++
		} else if d == 0 && c.Bare.V[k] > 0 {
			t.Fatal("metal that was not cut counts as cut bare")
		}
	}
	if cells == 0 {
		t.Error("nothing was cut")
	}
}

func TestReviewKeepsTheTruthLocked(t *testing.T) {
	s := pad()
	s.Scored = true
	l := worked(t, s, hand.Careless{}, 1, 2)
	reviewed(t, l)
	l.Entries = l.Entries[:len(l.Entries)-1]
	if _, err := Of(l, score.Standard(), nil); !errors.Is(err, run.ErrLocked) {
		t.Errorf("review of an open scored run: %v", err)
	}
}

// A face that is signed off far from its target, and a cut far too deep on bare
// metal, are found as the dearest decisions, and the search has one answer.
func TestDecisions(t *testing.T) {
	s := pad()
	r, err := run.New(s, "pad", 5, 2, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	do := func(acts ...run.Act) {
		t.Helper()
		for _, a := range acts {
			if _, err := r.Do(a); err != nil {
				t.Fatalf("%s: %v", a.Kind(), err)
			}
		}
	}
	printed := []run.Act{{Wipe: &run.Wipe{What: "part"}}, {Roll: &run.Roll{Film: 500}}, {Place: &run.Place{}}, {Rub: &run.Rub{Path: [][2]int{{1000, 0}, {0, 0}}}}, {Lift: &run.Lift{}}}
	everywhere := lay.Paint(100, 40, 32, func(int, int) bool { return true })
	rows := func(region lay.Region, dir, depth int) run.Act {
		return run.Act{Cut: &run.Cut{Depth: depth, Area: &run.Area{Region: region, Dir: dir, Length: 1000, Spacing: 800}}}
	}
	do(printed...)
	do(rows(everywhere, 785, 300), rows(everywhere, -785, 300), run.Act{Stone: &run.Stone{Passes: 1}})
	do(printed...)
	// A trench, whatever the print says.
	trench := lay.Paint(100, 40, 32, func(i, j int) bool { return i >= 15 && i < 25 && j >= 8 && j < 24 })
	do(rows(trench, 785, 3500), run.Act{Stone: &run.Stone{Passes: 1}})
	do(printed...)
	do(run.Act{SignOff: &run.SignOff{}})
	l := &run.Log{Header: r.Header(), Entries: r.Entries()}

	how := UsualSearch(score.Standard())
	how.Horizon = 12
	trials := 0
	found, whole, err := Decisions(l, how, func(jobs []func()) error { trials += len(jobs); return one(jobs) })
	if err != nil || !whole {
		t.Fatalf("whole %t: %v", whole, err)
	}
	if trials > Trials(l) {
		t.Errorf("%d trials where at most %d were announced", trials, Trials(l))
	}
	byCycle := map[int]Decision{}
	for n, d := range found {
		byCycle[d.Cycle] = d
		best := d.Tried[d.Best].Came.Marks
		if math.Abs(d.Lost-(best-d.Came.Marks)) > .011 || d.Lost < leastLoss {
			t.Errorf("after print %d: lost %g, best %g, came %g", d.Cycle, d.Lost, best, d.Came.Marks)
		}
		if n > 0 && d.Lost > found[n-1].Lost {
			t.Error("not the dearest first")
		}
		if len(d.Tried) != candidates {
			t.Errorf("%d candidates were tried", len(d.Tried))
		}
		for _, c := range d.Tried {
			if c.Came.Marks > best {
				t.Errorf("%q came to more than the best", c.What)
			}
		}
	}
	if d := byCycle[2]; d.Lost < 5 || !strings.Contains(d.Did, "35.0 um") {
		t.Errorf("the trench: %+v", d)
	}
	if d := byCycle[3]; d.Lost < 5 || d.Did != "Signed off." {
		t.Errorf("signing off: %+v", d)
	}

	// The same in another order.
	backwards := func(jobs []func()) error {
		for n := len(jobs) - 1; n >= 0; n-- {
			jobs[n]()
		}
		return nil
	}
	twice, _, err := Decisions(l, how, backwards)
	if err != nil || !reflect.DeepEqual(twice, found) {
		t.Errorf("jobs done in another order find\n%+v\nand not\n%+v (%v)", twice, found, err)
	}

	// Ended early, it says so.
	calls := 0
	some, whole, err := Decisions(l, how, func(jobs []func()) error {
		if calls++; calls > 2 {
			return ErrTime
		}
		return one(jobs)
	})
	if err != nil || whole || len(some) > 1 {
		t.Errorf("ended early: %d found, whole %t, %v", len(some), whole, err)
	}
}

func TestManyDecisionsAreLookedAtSparsely(t *testing.T) {
	l := worked(t, pad(), hand.Careless{}, 3, 40)
	if n := len(points(l)); n < 30 {
		t.Fatalf("%d decisions", n)
	}
	how := UsualSearch(score.Standard())
	how.Horizon = 2
	trials := 0
	_, whole, err := Decisions(l, how, func(jobs []func()) error { trials += len(jobs); return one(jobs) })
	if err != nil || !whole || trials > Trials(l) || Trials(l) > 100 {
		t.Errorf("%d trials of at most %d, whole %t: %v", trials, Trials(l), whole, err)
	}
}

func TestCandidatesKeepToTheBlue(t *testing.T) {
	s := pad()
	s.Part.Recipe.RangeUM = 40
	l := worked(t, s, hand.Careless{}, 1, 1)
	r, err := run.Replay(&run.Log{Header: l.Header, Entries: l.Entries[:4]}, nil)
	if err != nil {
		t.Fatal(err)
	}
	reading, _ := r.Reading()
	inked := tiles(reading, func(share float64) bool { return share > 0 })
	if a := inked.AreaMM2(); a == 0 || a > 40*32*.9 {
		t.Fatalf("%g mm^2 are coloured", a)
	}
	everywhere := lay.Paint(50, 80, 64, func(int, int) bool { return true })
	half := lay.Paint(50, 40, 64, func(int, int) bool { return true })
	if got := common(inked, everywhere); !reflect.DeepEqual(got, inked) {
		t.Error("what a region shares with everything is not itself")
	}
	shared := common(inked, half)
	if err := shared.Check(); err != nil {
		t.Error(err)
	}
	for y := .5; y < 32; y++ {
		for x := .5; x < 40; x++ {
			if want := inked.Contains(x, y) && x < 20; shared.Contains(x, y) != want {
				t.Fatalf("(%g, %g): shared %t", x, y, !want)
			}
		}
	}
	k := run.Cut{Depth: 900, Stroke: &run.Line{From: [2]int{0, 0}, To: [2]int{100, 0}}}
	if c := halfAsDeep([]run.Cut{k}); c.acts[0].Cut.Depth != 450 || k.Depth != 900 {
		t.Errorf("half of 9 um is %d", c.acts[0].Cut.Depth)
	}
}

func TestPar(t *testing.T) {
	s := pad()
	s.Scored = true
	l := worked(t, s, hand.Careless{}, 1, 1)
	prints := 0
	p, err := NewPar(l, score.Standard(), func(n int) { prints = n })
	if err != nil {
		t.Fatal(err)
	}
	own := worked(t, pad(), hand.Careful{}, 1, ParPrints)
	want, err := score.Mark(own, nil)
	if err != nil {
		t.Fatal(err)
	}
	if r := p.Report; r.Digest != want.Digest || !reflect.DeepEqual(r.Marks, want.Marks) || prints != r.Cycles || *r.Hand != "careful" {
		t.Errorf("par %+v after %d prints, the careful hand's own run %+v", r.Marks, prints, want.Marks)
	}
	if !p.Parted || p.Parting.Cycle != 1 || p.Parting.Kind != "press" {
		t.Errorf("the careless hand leans on the part, the careful one does not: they part %+v", p.Parting)
	}
}

func TestSheet(t *testing.T) {
	l := worked(t, pad(), hand.Careful{}, 1, 30)
	if v := reviewed(t, l); v.Sheet != nil {
		t.Error("a sheet that nobody filled in")
	}
	r, err := run.Begin(l.Header)
	if err != nil {
		t.Fatal(err)
	}
	end := len(l.Entries) - 1
	if err := r.Repeat(l.Entries[:end]); err != nil {
		t.Fatal(err)
	}
	before := reviewed(t, l)
	f := before.Report.Final
	film, block, warm, hinge := 250, int(math.Round(*f.BridgedUM*100))+300, 1000, 5000
	d := run.Declare{PointsPerIn2: new(int(math.Round(*f.PointsPerIn2))), FrameMin: new(*f.FrameMin + 30), AreaPct: new(int(*f.AreaPct)), Film: &film, Block: &block, Warmer: &warm, Hinge: &hinge, Class: "table"}
	for _, a := range []run.Act{{Declare: &d}, {SignOff: &run.SignOff{}}} {
		if _, err := r.Do(a); err != nil {
			t.Fatal(err)
		}
	}
	v := reviewed(t, &run.Log{Header: r.Header(), Entries: r.Entries()})
	near := map[string]bool{}
	for _, row := range v.Sheet.Rows {
		if row.Blank() {
			if row.Near {
				t.Errorf("%s was left blank and is near", row.ID)
			}
			continue
		}
		near[row.ID] = row.Near
		if row.Is != row.Is || row.What == "" {
			t.Errorf("no truth to hold against: %+v", row)
		}
	}
	if n := len(v.Sheet.Rows); n != len(run.Sheet) {
		t.Errorf("%d rows of %d", n, len(run.Sheet))
	}
	want := map[string]bool{
		"points_per_in2": true, "frame_min": false, "area_pct": true,
		"film": true, "block": false, "warmer": false, "hinge": false,
	}
	if !reflect.DeepEqual(near, want) {
		t.Errorf("near: %v, want %v", near, want)
	}
	if v.Sheet.Class == nil || len(v.Sheet.Findings) != 1 || v.Sheet.Findings[0].What != "points" {
		t.Errorf("class: %+v", v.Sheet)
	}
}

func TestPart(t *testing.T) {
	a := reviewed(t, worked(t, pad(), hand.Careless{}, 1, 3))
	same, err := Part(a, reviewed(t, worked(t, pad(), hand.Careless{}, 1, 3)))
	if err != nil || same.Parted {
		t.Errorf("a run and itself: %+v, %v", same, err)
	}
	if low, high := same.Difference.Range(); low != 0 || high != 0 {
		t.Errorf("a run differs from itself by %g to %g um", low, high)
	}
	luck, err := Part(a, reviewed(t, worked(t, pad(), hand.Careless{}, 2, 3)))
	if low, high := luck.Difference.Range(); err != nil || low > -.5 || high < .5 {
		t.Errorf("another scatter: %g to %g um, %v", low, high, err)
	}
	other, err := Part(a, reviewed(t, worked(t, pad(), hand.Careful{}, 1, 3)))
	if err != nil || !other.Parted || other.Parting.Cycle != 1 {
		t.Errorf("careless beside careful: %+v, %v", other, err)
	}
	s := pad()
	s.Part.Recipe.RangeUM = 20
	if _, err := Part(a, reviewed(t, worked(t, s, hand.Careless{}, 1, 2))); err == nil || !strings.Contains(err.Error(), "another part") {
		t.Errorf("two parts: %v", err)
	}
}
