package advice

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

func pad(form surface.Form, finish string) run.Setup {
	return run.Setup{
		Part:   run.Part{Recipe: &surface.Recipe{LengthMM: 60, WidthMM: 45, PitchMM: .5, Form: form, Finish: finish}},
		Master: seat.Master{Grade: seat.DIN8760, LengthMM: 200, WidthMM: 160},
		Blade:  run.Change{Radius: 9000, Width: 2000, Handle: 524},
		Hand:   lay.Skilled,
		Target: run.Target{FilmUM: 2.5, PointsPerIn2: 20, FrameMin: 12, AreaPct: [2]float64{30, 50}, BridgedUM: 5, BareUM: [2]float64{3, 8}},
	}
}

// coached follows a run and collects what the coach notices and what it says.
type coached struct {
	*Coach
	t    *testing.T
	run  *run.Run
	said []Advice
}

func follow(t *testing.T, s run.Setup) *coached {
	t.Helper()
	r, err := run.New(s, "", 3, 3, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	c := &coached{Coach: NewCoach(), t: t, run: r}
	r.Record = func(e run.Entry) error {
		c.said = append(c.said, c.See(r, &e)...)
		return nil
	}
	return c
}

func (c *coached) do(acts ...run.Act) {
	c.t.Helper()
	for _, a := range acts {
		if _, err := c.run.Do(a); err != nil {
			c.t.Fatalf("%s: %v", a.Kind(), err)
		}
	}
}

func (c *coached) noticed(id string) bool {
	for _, a := range c.all {
		if a.ID == id {
			return true
		}
	}
	return false
}

var short = [][2]int{{800, 0}, {0, 400}, {0, 0}}

func printed(film, press, x int, path [][2]int) []run.Act {
	return []run.Act{{Wipe: &run.Wipe{What: "part"}}, {Wipe: &run.Wipe{What: "master"}}, {Roll: &run.Roll{Film: film}}, {Place: &run.Place{X: x}},
		{Rub: &run.Rub{Path: path, Press: press, Load: [2]int{3000, 2250}}}, {Lift: &run.Lift{}}}
}

func rows(on func(i, j int) bool, dir, depth int) run.Act {
	return run.Act{Cut: &run.Cut{Depth: depth, Area: &run.Area{Region: lay.Paint(100, 60, 45, on), Dir: dir, Length: 800, Spacing: 800}}}
}

func all(i, j int) bool { return true }

var stone = run.Act{Stone: &run.Stone{Passes: 1}}

// Each thing that can be watched is noticed where it is done, and not where the
// same work is done without it.
func TestEachCheck(t *testing.T) {
	flat := surface.Form{}
	bow := surface.Form{BowUM: 20}
	seen := map[string]bool{}
	check := func(id string, want bool, c *coached) {
		t.Helper()
		if c.noticed(id) != want {
			t.Errorf("%s noticed: %v", id, !want)
		}
		if want {
			seen[id] = true
		}
	}
	scene := func(form surface.Form, finish string, acts ...run.Act) *coached {
		t.Helper()
		c := follow(t, pad(form, finish))
		c.do(acts...)
		return c
	}
	with := func(some []run.Act, more ...run.Act) []run.Act { return append(append([]run.Act{}, some...), more...) }

	left, right := func(i, j int) bool { return i < 20 }, func(i, j int) bool { return i >= 40 }
	middle := func(i, j int) bool { return i >= 22 && i < 38 }
	rich := printed(800, 0, 0, short)

	check("skin-first", true, scene(flat, surface.Milled, with(rich, rows(left, 785, 500))...))
	for finish, why := range map[string]string{surface.Milled: "ridges", surface.Ground: "wring"} {
		for _, said := range scene(flat, finish, with(rich, rows(left, 785, 500))...).said {
			if said.ID == "skin-first" && !strings.Contains(said.Happened, why) {
				t.Errorf("of a %s skin it is said: %s", finish, said.Happened)
			}
		}
	}
	check("skin-first", false, scene(flat, surface.Milled, with(rich, rows(all, 785, 500), rows(all, -785, 500), rows(left, 785, 500))...))
	check("skin-first", false, scene(flat, surface.Worn, with(rich, rows(left, 785, 500))...))
	check("hollow-middle", true, scene(surface.Form{BowUM: -20}, "", with(rich, rows(middle, 785, 500))...))
	check("hollow-middle", false, scene(surface.Form{BowUM: -20}, "", with(rich, rows(left, 785, 500))...))
	lean := printed(250, 0, 0, short)
	check("crown-ends", true, scene(bow, "", with(lean, rows(left, 785, 500))...))
	check("crown-ends", false, scene(bow, "", with(lean, rows(middle, 785, 500))...))
	twist := surface.Form{TwistUM: 40}
	check("twist-corners", true, func() *coached {
		c := scene(twist, "", rich...)
		z := c.prints[0].zones
		i := 0
		if z[0][2] > z[0][0] {
			i = 40
		}
		c.do(rows(func(x, y int) bool { return x >= i && x < i+20 && y < 15 }, 785, 500))
		return c
	}())
	// A ridge along one edge carries the part there alone only when it is heavy on
	// that side: two humps and a hand do it.
	edge := follow(t, pad(surface.Form{Humps: []surface.Hump{{XMM: 10, YMM: 5, RadiusMM: 8, HeightUM: 40}, {XMM: 50, YMM: 5, RadiusMM: 8, HeightUM: 40}, {XMM: 30, YMM: 5, RadiusMM: 8, HeightUM: 40}}}, ""))
	edge.prints = []print{{zones: [3][3]float64{{.3, .3, .3}, {}, {}}, nx: 30, ny: 23, tiles: make([]float64, 690)}}
	edge.do(rows(func(i, j int) bool { return j >= 32 }, 785, 500))
	check("edge-only", true, edge)

	check("rows-first", true, scene(bow, "", with(rich, run.Act{Cut: &run.Cut{Depth: 500, Stroke: &run.Line{From: [2]int{3000, 2000}, To: [2]int{3500, 2000}}}})...))
	check("cross", true, scene(bow, "", with(rich, rows(middle, 785, 500), rows(left, 800, 500))...))
	check("cross", false, scene(bow, "", with(rich, rows(middle, 785, 500), rows(left, -785, 500))...))
	check("ripple", true, scene(bow, "", with(rich, rows(middle, 785, 500), rows(left, 785, 500), rows(right, 785, 500))...))
	check("same-groove", true, scene(bow, "", with(rich, rows(middle, 785, 500), rows(middle, 785, 500))...))
	check("same-groove", false, scene(bow, "", with(rich, rows(middle, 785, 500), rows(middle, -785, 500))...))
	check("more-passes", true, scene(bow, "", with(rich, rows(left, 785, 1000), rows(right, -785, 300))...))
	check("more-passes", false, scene(bow, "", with(rich, rows(left, 785, 500), rows(right, -785, 500))...))
	check("stone", true, scene(bow, "", with(with(rich, rows(middle, 785, 500)), rich...)...))
	check("stone", false, scene(bow, "", with(with(rich, rows(middle, 785, 500), stone), rich...)...))
	check("press", true, scene(bow, "", printed(800, 30, 0, short)...))
	check("press", false, scene(bow, "", rich...))
	check("off-plate", true, scene(bow, "", printed(800, 0, 9000, short)[:4]...))
	check("off-plate", false, scene(bow, "", printed(800, 0, 3000, short)[:4]...))
	check("old-film", true, scene(bow, "", with(rich, run.Act{Place: &run.Place{}}, run.Act{Rub: &run.Rub{Path: short}}, run.Act{Lift: &run.Lift{}})...))
	var long [][2]int
	for range 10 {
		long = append(long, [2]int{2000, 0}, [2]int{0, 0})
	}
	check("long-rub", true, scene(bow, "", printed(250, 0, 0, long)...))
	check("long-rub", false, scene(bow, "", printed(250, 0, 0, short)...))
	check("blue-all-over", true, scene(surface.Form{BowUM: 3}, "", printed(1000, 0, 0, short)...))
	check("bare", true, scene(bow, "", with(printed(250, 0, 0, short), rows(left, 785, 300))...))
	check("spare-faint", true, scene(bow, "", with(printed(250, 0, 0, short), rows(middle, 785, 300))...))
	check("broad-bearing", true, scene(surface.Form{BowUM: 1}, "", printed(250, 0, 0, short)...))
	check("low-third", true, scene(bow, "", with(with(rich, rows(middle, 785, 500), stone), with(rich, rows(left, -785, 500))...)...))
	check("rim", true, scene(surface.Form{BowUM: 1}, "", with(printed(800, 0, 0, short), rows(func(i, j int) bool { return i > 3 && i < 56 && j > 3 && j < 41 }, 785, 300))...))
	blunt := []run.Act{}
	for n := range 60 {
		blunt = append(blunt, rows(all, 785*(1-2*(n%2)), 30))
	}
	check("blunt", true, scene(flat, "", blunt...))
	check("blunt", false, scene(flat, "", run.Act{Cut: &run.Cut{Depth: 30, Stroke: &run.Line{From: [2]int{3000, 2000}, To: [2]int{3500, 2000}}}}))

	// Swung before it is taken off: from one end, or from both.
	swung := func(film int, ends ...int) []run.Act {
		acts := printed(film, 0, 0, short)
		out := append([]run.Act{}, acts[:len(acts)-1]...)
		for _, x := range ends {
			out = append(out, run.Act{Push: &run.Push{At: [2]int{x, 2250}, Dir: 1571}})
		}
		return append(out, acts[len(acts)-1])
	}
	check("hinge-form", true, scene(surface.Form{BowUM: -20}, "", with(swung(800, 50), rows(middle, 785, 500))...))
	check("hinge-form", false, scene(surface.Form{BowUM: -20}, "", with(swung(800, 50), rows(left, 785, 500))...))
	check("hinge-form", true, scene(bow, "", with(swung(800, 50), rows(left, 785, 500))...))
	check("hinge-form", false, scene(bow, "", with(rich, rows(left, 785, 500))...))
	truly := pad(flat, "")
	truly.Master.Grade = seat.True
	check("hinge-even", true, working(t, truly, with(swung(800, 50, 5950), rows(middle, 785, 500))...))
	check("hinge-even", false, scene(flat, "", with(swung(800, 50), rows(middle, 785, 500))...))
	check("hinge-even", false, scene(bow, "", with(swung(800, 50, 5950), rows(middle, 785, 500))...))

	warm := pad(bow, "")
	warm.Effects.Heat, warm.Part.Stock.WarmK = true, 5
	check("warm", true, working(t, warm, rich...))
	check("warm", false, working(t, warm, with(with(rich[:4], run.Act{Soak: &run.Soak{MS: 2 * 3600 * 1000}}), rich[4:]...)...))
	gritty := pad(bow, "")
	gritty.Effects.Grit = true
	cutDown := []run.Act{rows(middle, 785, 500), stone}
	check("wipe", true, working(t, gritty, with(cutDown, rich[1:]...)...))
	check("wipe", false, working(t, gritty, with(cutDown, rich...)...))
	stoning := run.Act{Stone: &run.Stone{Passes: 3}}
	check("stoned-long", true, scene(bow, "", with(rich, rows(middle, 785, 500), stoning, stoning)...))
	check("stoned-long", false, scene(bow, "", with(rich, rows(middle, 785, 500), stoning, rows(middle, -785, 500), stoning)...))
	check("wipe", false, scene(bow, "", with(cutDown, rich[1:]...)...))

	// A bar twelve thicknesses long, on supports.
	bar := pad(flat, "")
	bar.Part.Recipe.LengthMM, bar.Master.LengthMM, bar.Effects.Bending = 300, 400, true
	on := func(clamp bool, x ...int) *coached {
		s := &run.Support{Clamp: clamp}
		for _, v := range x {
			s.Points = append(s.Points, [2]int{v, 2250})
		}
		return working(t, bar, run.Act{Support: s}, run.Act{Indicate: &run.Indicate{}})
	}
	check("supports", true, on(false, 500, 29500))
	check("supports", false, on(false, 6600, 23400))
	check("clamped", true, on(true, 6600, 23400))
	check("clamped", false, on(false, 6600, 23400))
	bar.Target.PointsPerIn2, bar.Target.AreaPct = .01, [2]float64{1, 100}
	check("thin", true, working(t, bar, printed(250, 0, 0, short)...))
	check("thin", false, working(t, bar, with([]run.Act{{Indicate: &run.Indicate{}}}, printed(250, 0, 0, short)...)...))
	pockets := run.Act{Flake: &run.Flake{Pattern: blade.HalfMoon, Depth: 1500, Region: lay.Paint(100, 60, 45, all)}}
	check("flake-early", true, scene(bow, "", with(rich, pockets)...))
	easy := pad(flat, "")
	easy.Target = run.Target{FilmUM: 8, PointsPerIn2: .1, FrameMin: 0, AreaPct: [2]float64{1, 100}, BridgedUM: 50, BareUM: [2]float64{0, 50}}
	check("flake-early", false, working(t, easy, with(rich, pockets)...))

	// Things that hang on a face being nearly done: read from prints set as they
	// would be.
	done := run.Print{N: 4, Permille: 400, PerIn2: 2500, FrameMin: 14, FrameMax: 40, Points: 100}
	tiles := make([]float64, 30*23)
	for k := range tiles {
		tiles[k] = .4
	}
	set := func(p run.Print, film float64, before ...print) *coached {
		c := follow(t, pad(flat, ""))
		c.do(printed(250, 0, 0, short)...)
		c.skin = 2
		c.prints = append(before, print{Print: p, film: film, tiles: tiles, nx: 30, ny: 23})
		return c
	}
	c := set(done, 2.5)
	c.do(rows(all, 785, 200))
	check("stop", true, c)
	check("dense-frames", true, c)
	c = set(done, 2.5)
	c.do(run.Act{Cut: &run.Cut{Depth: 200, Area: &run.Area{Region: lay.Paint(100, 60, 45, all), Length: 500, Spacing: 9000,
		Example: &lay.Example{Cut: [][2]int{{3000, 2200}}}}}})
	check("split", true, func() *coached {
		broad := done
		broad.PerIn2 = 800
		c := set(broad, 2.5)
		c.do(run.Act{Cut: &run.Cut{Depth: 200, Area: &run.Area{Region: lay.Paint(100, 60, 45, all), Length: 500, Spacing: 9000,
			Example: &lay.Example{Cut: [][2]int{{3000, 2200}}}}}})
		return c
	}())
	check("split", false, c)
	hilly := follow(t, pad(surface.Form{BowUM: 30}, ""))
	hilly.do(printed(250, 0, 0, short)...)
	hilly.prints = []print{{Print: done, film: 2.5}}
	hilly.do(run.Act{Bridge: &run.Bridge{}})
	check("geometry", true, hilly)

	for _, q := range []struct {
		id     string
		before []print
		now    []run.Act
		cut    bool
	}{
		{"fell", []print{{Print: run.Print{PerIn2: 9000}, film: 2.5, tiles: tiles}}, printed(250, 0, 0, short), true},
		{"stall", []print{{Print: run.Print{PerIn2: 100}, film: 2.5, tiles: tiles}, {Print: run.Print{PerIn2: 1}, film: 2.5, tiles: tiles}}, printed(250, 0, 0, short), true},
		{"rate", []print{{Print: run.Print{Permille: 1000}, film: 8, tiles: tiles}, {film: 8, tiles: tiles}, {film: 8, tiles: tiles}}, printed(800, 0, 0, short), true},
		{"disagree", []print{{film: 8, turned: true, tiles: make([]float64, 690)}}, printed(800, 0, 0, short), false},
	} {
		c := follow(t, pad(bow, ""))
		c.prints, c.cutSince = q.before, q.cut
		c.do(q.now...)
		check(q.id, true, c)
	}
	low := pad(twist, "")
	low.Target.PointsPerIn2, low.Target.AreaPct = .1, [2]float64{40, 50}
	check("thin-bearing", true, working(t, low, printed(250, 0, 0, short)...))
	check("thin-bearing", false, scene(twist, "", printed(250, 0, 0, short)...))

	for _, rules := range [][]Rule{Rules, More} {
		for _, r := range rules {
			if r.ID != "" && !seen[r.ID] {
				t.Errorf("rule %d: nothing here brings %s up", r.N, r.ID)
			}
		}
	}
}

// Forty rules, numbered, each check named once.
func TestRules(t *testing.T) {
	if len(Rules) != 40 {
		t.Fatalf("%d rules", len(Rules))
	}
	ids := map[string]bool{}
	watched := 0
	for n, r := range Rules {
		if r.N != n+1 || r.Says == "" || r.ID != "" && ids[r.ID] {
			t.Errorf("%+v", r)
		}
		ids[r.ID] = true
		if r.ID != "" {
			watched++
		}
	}
	if watched != 38 || len(Unseen) != 2 {
		t.Errorf("%d rules are watched, and %d are said not to be seen", watched, len(Unseen))
	}
	doc, err := os.ReadFile("ADVICE.md")
	if err != nil {
		t.Fatal(err)
	}
	has := func(line string) {
		if !strings.Contains(string(doc), line) {
			t.Errorf("ADVICE.md lacks %q", line)
		}
	}
	has(fmt.Sprintf("Of these %d are watched", watched))
	for _, r := range Rules {
		id := "–"
		if r.ID != "" {
			id = "`" + r.ID + "`"
		}
		has(fmt.Sprintf("| %d | %s | %s |\n", r.N, id, r.Says))
	}
	for _, r := range More {
		has("`" + r.ID + "`: " + r.Says)
	}
	for n, why := range Unseen {
		has(fmt.Sprintf("- Rule %d: %s.\n", n, why))
		if Rules[n-1].ID != "" {
			t.Errorf("rule %d is watched and said not to be seen", n)
		}
	}
}

func working(t *testing.T, s run.Setup, acts ...run.Act) *coached {
	t.Helper()
	c := follow(t, s)
	c.do(acts...)
	return c
}

var sentence = regexp.MustCompile(`[.!?](\s|$)`)

// What is said has two sentences: what happened and why it matters, and what to try
// next. The careful hand hears little, the careless one of its mistakes.
func TestWhatIsSaid(t *testing.T) {
	heard := func(name string, scored bool) *coached {
		h, err := hand.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		s := pad(surface.Form{BowUM: 12}, surface.Milled)
		s.Scored = scored
		c := follow(t, s)
		if err := h.Work(c.run, 12, nil); err != nil {
			t.Fatal(err)
		}
		for _, a := range c.all {
			if len(sentence.FindAllString(a.Happened, -1)) != 1 || len(sentence.FindAllString(a.Try, -1)) != 1 || len(a.Text()) > 240 {
				t.Errorf("%s: %q", a.ID, a.Text())
			}
		}
		return c
	}
	careful, careless := heard("careful", false), heard("careless", false)
	if n := len(careful.all); n > 12 {
		t.Errorf("the careful hand is told %d things in 12 cycles: %+v", n, careful.all)
	}
	for _, id := range []string{"stone", "press", "skin-first"} {
		if careful.noticed(id) {
			t.Errorf("the careful hand is told of %s", id)
		}
		if !careless.noticed(id) {
			t.Errorf("the careless hand is not told of %s", id)
		}
	}
	// One thing at a time, and the same not again within three cycles; the end sums up.
	last := map[string]int{}
	for _, a := range careless.said[:len(careless.said)-3] {
		if was, ok := last[a.ID]; ok && a.Cycle < was+again {
			t.Errorf("%s is said in cycle %d and in %d", a.ID, was, a.Cycle)
		}
		last[a.ID] = a.Cycle
	}
	if end := careless.said[len(careless.said)-1]; !strings.Contains(end.Happened, " times, first in cycle ") {
		t.Errorf("the summary ends with %q", end.Text())
	}
	// Silent in a scored attempt until it is signed off.
	if said := heard("careless", true).said; len(said) != 3 {
		t.Errorf("%d things said in a scored attempt", len(said))
	}
}

// Advice fades: always until two predictions in a row are right, on every second
// cycle until four are, then not before the end; a wrong one begins anew.
func TestAdviceFades(t *testing.T) {
	c := follow(t, pad(surface.Form{BowUM: 20}, ""))
	good := run.Act{Predict: &run.Predict{Region: lay.Paint(100, 40, 45, func(i, j int) bool { return i >= 20 }), Sure: 2}}
	bad := run.Act{Predict: &run.Predict{Region: lay.Paint(100, 60, 45, func(i, j int) bool { return i < 10 || i >= 50 }), Sure: 2}}
	var spoke []int
	for n := range 9 {
		guess := good
		if n == 7 {
			guess = bad
		}
		before := len(c.said)
		c.given = map[string]int{}
		c.do(guess)
		c.do(printed(800, 30, 0, short)...)
		spoke = append(spoke, len(c.said)-before)
	}
	// The press is noticed before its print is held against the prediction; the
	// eighth print, whose prediction is wrong, may be spoken of already.
	want := []bool{true, true, true, false, false, false, false, spoke[7] > 0, true}
	for n, w := range want {
		if (spoke[n] > 0) != w {
			t.Fatalf("spoke %v, want %v", spoke, want)
		}
	}
}

// A straightedge is laid on the part: one that is narrower than the part and longer
// lies well in its middle, and is told of by its name where it does not.
func TestAStraightedgeLaidOff(t *testing.T) {
	s := pad(surface.Form{BowUM: 20}, "")
	s.Master = seat.Master{Grade: seat.DIN8760, Kind: seat.Straightedge, LengthMM: 72, WidthMM: 15}
	for x, want := range map[int]bool{0: false, 4000: true} {
		c := follow(t, s)
		c.do(printed(800, 0, x, short)[:4]...)
		if c.noticed("off-plate") != want {
			t.Errorf("laid %d mm off the middle, it is noticed: %v", x/100, !want)
		}
		for _, a := range c.all {
			if strings.Contains(a.Text(), "plate") {
				t.Errorf("it speaks of a plate: %s", a.Text())
			}
		}
	}
}
