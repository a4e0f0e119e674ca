package bench

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/lessons/free"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/advice"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// page opens a page of the set-up.
func (b *table) page(name string) {
	b.t.Helper()
	if b.bench.drawer != setupDrawer {
		b.must(b.Click("setup"))
	}
	if b.bench.set.open != name {
		b.bench.set.open = name // the row may have to be scrolled to
		b.Ticks(2)
	}
}

// lastAct is the last act of a kind; the test ends where there is none.
func (b *table) lastAct(kind string) run.Entry {
	b.t.Helper()
	b.rest()
	e := b.bench.work.Run.Entries()
	for i := len(e) - 1; i >= 0; i-- {
		if e[i].Act.Kind() == kind {
			return e[i]
		}
	}
	b.t.Fatalf("no %s in %v (%s)", kind, b.kinds(), b.bench.guide.trouble)
	return run.Entry{}
}

// Every check and cure that the run knows can be done in the window.
func TestChecksAndCures(t *testing.T) {
	b := newTable(t, 1280, 1400, 1)
	b.Type("r")
	b.rest()

	b.must(b.Click("checks"))
	b.must(b.Click("hinge.end.1"))
	if n := b.Node("hinge.way.1"); n.Label != "Push it up" {
		t.Errorf("the right end is pushed towards the upper side by %q", n.Label)
	}
	b.must(b.Click("hinge.way.1"))
	b.must(b.Click("push"))
	if p := b.lastAct("push"); p.Act.Push.At[0] < 9000 || p.Act.Push.Dir != mrad(270) || p.Out.Pivot.Far == 0 {
		t.Errorf("pushed %+v, which showed %+v", p.Act.Push, p.Out.Pivot)
	}
	if b.bench.work.OnMaster() || b.Node("hinge.told") == nil {
		t.Error("after the hinge test the part is still on the plate, or nothing is told")
	}
	// A narrow bar of even pressure turns at 1 - 1/sqrt 2 of its length: 29 %.
	if told := b.bench.hinge.told; !strings.Contains(told, "a face this wide") || !strings.Contains(told, "a narrow bar at 29 %") {
		t.Errorf("of the hinge it is told %q", told)
	}
	prints := b.bench.work.Run.Prints()
	b.must(b.Click("again"))
	b.rest()
	if b.bench.work.Run.Prints() != prints+1 || !b.bench.work.Run.Turned() {
		t.Error("printing again turned half round printed nothing, or did not turn")
	}
	b.must(b.Click("indicator"))
	b.lastAct("indicate")
	b.must(b.Click("block"))
	b.lastAct("bridge")
	b.must(b.Click("drawer.back"))
	if b.Node("depth") == nil {
		t.Error("the drawer's way back does not lead to the cut")
	}

	b.page("steps")
	for id, kind := range map[string]string{"one.stone": "stone", "one.wipe": "wipe", "one.plate": "wipe", "one.roll": "roll", "one.half": "turn"} {
		n := len(b.kinds())
		b.must(b.Click(id))
		b.rest()
		if got := b.kinds(); len(got) != n+1 || got[n] != kind {
			t.Errorf("%s did %v, want %s", id, got[n:], kind)
		}
	}
	b.page("rubbing")
	for _, id := range []string{"circles", "press", "off.along"} {
		b.UI.FocusOn(id)
		b.Ticks(1)
		b.Key(kit.Right)
	}
	b.Type("r")
	b.rest()
	if r := b.lastAct("rub").Act.Rub; len(r.Path) != 12 || r.Press != 5 || r.Load != [2]int{5000, 3750} {
		t.Errorf("rubbed %+v, want three circles pressed with 5 N in the middle", r)
	}
	if p := b.lastAct("place").Act.Place; p.X != 1000 || p.Y != 0 {
		t.Errorf("put down at %+v, want 10 mm off the middle", p)
	}
	b.page("bench")
	b.must(b.Click("supports.1"))
	b.must(b.Click("clamp"))
	if n := len(b.bench.Stage().Over.Supports); n != 2 {
		t.Errorf("%d supports are shown on the iron, want 2", n)
	}
	px, py := b.bench.view.Px(18, 40)
	qx, _ := b.bench.view.Px(15, 40)
	b.Drag([2]float64{px, py}, [2]float64{qx, py})
	b.must(b.Click("support"))
	if s := b.lastAct("support").Act.Support; len(s.Points) != 2 || !s.Clamp || s.Points[0][0] != 1500 || s.Points[1][0] != 7800 {
		t.Errorf("set down on %+v, want two supports, at 15 mm where it was dragged to and at 78, clamped", s)
	}
	b.must(b.Click("soak"))
	if s := b.lastAct("soak").Act.Soak; s.MS != 3_600_000 {
		t.Errorf("soaked %d ms, want an hour", s.MS)
	}
	b.page("edges")
	b.must(b.Click("chamfer"))
	if c := b.lastAct("chamfer").Act.Chamfer; c.Width != 50 {
		t.Errorf("chamfered %d, want 0.5 mm", c.Width)
	}
	b.page("cutting")
	b.must(b.Click("wet"))
	b.must(b.Click("setby.1"))
	b.must(b.Click("hone"))
	b.lastAct("hone")
	b.Type("k")
	b.Ticks(2)
	b.must(b.Click("drive.1"))
	b.must(b.Click("blade.take"))
	if c := b.lastAct("change").Act.Change; c.Drive != "power" || c.Width != 2000 {
		t.Errorf("took %+v, want a power scraper as broad as before", c)
	}
	b.Type("ac")
	if c := b.lastAct("cut").Act.Cut; c.Force == 0 || c.Depth != 0 || !c.Wet {
		t.Errorf("cut %+v, want a push, wet", c)
	}
	b.page("pockets")
	b.must(b.Click("pattern.2"))
	b.must(b.Click("flake"))
	if f := b.lastAct("flake").Act.Flake; f.Pattern != "checker" || f.Depth != 2500 {
		t.Errorf("flaked %s %d deep", f.Pattern, f.Depth)
	}
	b.page("colour")
	b.must(b.Click("contrast.2"))
	b.Type("r")
	if c := b.lastAct("contrast").Act.Contrast; c.Colour != "yellow" {
		t.Errorf("contrast is %q", c.Colour)
	}
	b.must(b.Click("on.1"))
	b.In.Held[kit.End] = true
	b.UI.FocusOn("passes")
	b.Ticks(2)
	b.In.Held[kit.End] = false
	b.Type("r")
	if r := b.lastAct("roll").Act.Roll; r.On != "part" || r.Passes != mostPasses {
		t.Errorf("rolled %+v, want on the part, in %d passes", r, mostPasses)
	}
	if err := b.bench.work.Err(); err != nil {
		t.Error(err)
	}
}

// The drawers by keys alone, and by touch.
func TestDrawersByKeysAndTouch(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	b.Type("h")
	b.Ticks(1)
	b.UI.FocusOn("push")
	b.Ticks(1)
	b.Key(kit.Enter)
	b.lastAct("push")
	b.Key(kit.Escape)
	if b.bench.drawer != shut {
		t.Error("Escape does not shut the drawer")
	}
	b.Type("u")
	b.Ticks(1)
	b.must(b.Tap("setup.pages.3"))
	b.Ticks(1) // it comes to the top
	b.must(b.Tap("soak"))
	b.lastAct("soak")
	for _, key := range []string{"i", "b"} {
		b.Type(key)
		b.rest()
	}
	b.lastAct("indicate")
	b.lastAct("bridge")
}

// What no print shows is asked about once before it is signed off.
func TestSignOffOfAStalePrintIsAskedOnce(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	b.Type("ac")
	b.rest()
	b.must(b.Click("signoff"))
	if b.Node("printfirst") == nil {
		t.Fatal("signing off after a cut is not questioned")
	}
	b.must(b.Click("stale.no"))
	b.Ticks(2)
	b.must(b.Click("notyet"))
	b.must(b.Click("signoff"))
	if b.Node("printfirst") != nil || b.Node("sign") == nil {
		t.Error("it is asked twice")
	}
	b.must(b.Click("notyet"))
	b.Type("r")
	b.rest()
	b.Type("ac")
	b.rest()
	b.must(b.Click("signoff"))
	b.must(b.Click("printfirst"))
	b.rest()
	if n := b.bench.work.Run.Prints(); n != 3 {
		t.Errorf("%d prints, want the third that was asked for", n)
	}
	b.must(b.Click("signoff"))
	if b.Node("sign") == nil {
		t.Error("a fresh print is questioned")
	}
}

// Pointing at a spot on blue all over is asked about, and can be taken back.
func TestPointingOutOnBlueAllOver(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	l := *b.bench.work.Lesson
	recipe := *l.Setup.Part.Recipe
	recipe.Finish, recipe.RangeUM = "ground", 8
	l.Setup.Part.Recipe = &recipe
	wk, err := work.BeginLesson(b.desk.Store, &l, 1, 1)
	b.must(err)
	b.bench = New(b.desk, wk)
	b.bench.routine.film = thickestFilm
	b.Ticks(2)
	b.Type("r")
	b.rest()
	if !blueAllOver(b.bench.work.Run) {
		t.Fatal("the print is not blue all over")
	}
	b.Type("2")
	b.Drag(b.faceMiddle())
	if b.Node("takeback") == nil {
		t.Fatal("it is not asked about")
	}
	b.must(b.Click("takeback"))
	if len(b.bench.spots.cut) != 0 {
		t.Error("it is not taken back")
	}
	b.Drag(b.faceMiddle())
	if b.Node("takeback") != nil || len(b.bench.spots.cut) != 1 {
		t.Error("asked twice of one print")
	}
}

// The sheet begins blank, stays blank where nothing is said, and takes what was
// measured on the face as it is.
func TestSheetBlankOrMeasured(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	b.must(b.Click("signoff"))
	b.must(b.Click("sign"))
	d := b.lastAct("declare").Act.Declare
	for _, e := range run.Sheet {
		if *e.Of(d) != nil {
			t.Errorf("%s was signed as %d without being set", e.ID, **e.Of(d))
		}
	}

	b = newTable(t, 1280, 800, 1)
	b.Type("i")
	b.rest()
	b.Type("a")
	b.Type("c")
	b.rest()
	b.Type("r")
	b.rest()
	b.Type("b")
	b.rest()
	b.Type("4")
	b.Drag(b.faceMiddle())
	b.rest()
	b.Type("h")
	b.Ticks(1)
	b.must(b.Click("push"))
	b.rest()
	b.Type("o")
	b.Ticks(1)
	b.must(b.Click("fill"))
	d = &b.bench.sheet
	if d.Bare != nil {
		t.Error("the indicator was read before the cut, and is filled in all the same")
	}
	if d.Film == nil || *d.Film != 800 || d.Block == nil || d.Hinge == nil || d.Warmer == nil || d.FrameMin == nil || *d.FrameMin != b.bench.frame.n || d.AreaPct != nil {
		t.Errorf("filled in is %+v", d)
	}
	b.UI.FocusOn("sheet.hinge")
	b.Ticks(1)
	b.Key(kit.Home)
	if d.Hinge != nil {
		t.Error("Home does not leave a field blank")
	}
	b.UI.FocusOn("sheet.class")
	b.Ticks(1)
	b.Key(kit.Right)
	b.must(b.Click("sign"))
	if got := b.lastAct("declare").Act.Declare; got.Class == "" {
		t.Error("no class was declared")
	}
}

// A push is told with what a fitter concludes from it, within a twentieth of the length of
// where even pressure turns the part; in a scored run that is the learner's to conclude.
func TestTheHingeIsConcludedFrom(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("rh")
	b.rest()
	for far, want := range map[int]string{110: "hollow", 228: "hollow", 240: "even bearing", 329: "even bearing", 331: "high", 490: "high"} {
		b.bench.swung(&run.Push{At: [2]int{400, 3750}, Dir: 1571}, run.Pivot{X: 5000, Y: 3750, Far: far, Even: 280})
		b.Ticks(1)
		if n := b.Node("hinge.says"); n == nil || !strings.Contains(n.Label, want) || n.Scrolled() && n.Visible() != n.Rect || b.Node("hinge.rough") == nil {
			t.Errorf("a pivot at %d where even pressure has it at 280 is told so: %+v, want %q", far, n, want)
		}
	}
	l := *b.bench.work.Lesson
	l.Setup.Scored = true
	wk, err := work.BeginLesson(b.desk.Store, &l, 1, 1)
	b.must(err)
	b.bench = New(b.desk, wk)
	b.Type("rh")
	b.rest()
	b.must(b.Click("push"))
	b.rest()
	if b.Node("hinge.told") == nil || b.Node("hinge.says") != nil {
		t.Error("a scored run has no pivot told, or what it means")
	}
}

// The coach speaks in practice, of what was done, and not while a run is scored.
func TestCoachSpeaksInPracticeOnly(t *testing.T) {
	for _, scored := range []bool{false, true} {
		b := newTable(t, 1280, 800, 1)
		l := *b.bench.work.Lesson
		l.Setup.Scored = scored
		wk, err := work.BeginLesson(b.desk.Store, &l, 1, 1)
		b.must(err)
		b.bench = New(b.desk, wk)
		b.desk.Set.Guided = len(firstSteps)
		b.Ticks(2)
		b.Type("r")
		b.rest()
		for range 2 { // twice the same way
			b.Type("ac")
			b.rest()
		}
		if said := b.bench.guide.advised; (said != "") == scored {
			t.Errorf("scored %v: the coach says %q", scored, said)
		}
		if n := b.Node("guidance"); !scored && !strings.HasPrefix(n.Label, b.bench.guide.advised[:20]) {
			t.Errorf("it says %q, not what the coach has to say", n.Label)
		}
		b.desk.Set.Guided = 0
		b.Ticks(1)
		if scored && b.bench.at() != len(firstSteps) {
			t.Error("a scored run is guided")
		}
	}
}

// The coach speaks of the marking colour and in the units that are chosen.
func TestCoachSpeaksTheLearnersWords(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.desk.Set.Pigment, b.desk.Set.Units = "red", "tenths"
	said := advice.Advice{Happened: "At 12.7 um the face is blue nearly all over.", Try: "Blue that thick tells nothing."}
	b.bench.guide.took(b.bench, work.Ended{Entry: run.Entry{Act: run.Act{Lift: &run.Lift{}}}, Said: []advice.Advice{said}})
	if got, want := b.bench.guide.advised, "At 5.0 tenths the face is red nearly all over. Red that thick tells nothing."; got != want {
		t.Errorf("it says %q, want %q", got, want)
	}
}

// Who foresees prints is told less: the coach of the next run knows of it.
func TestTheCoachFadesFromRunToRun(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.desk.Set.Guided, b.desk.Set.Foresaw = len(firstSteps), 4
	b.bench = New(b.desk, b.bench.work)
	b.Ticks(2)
	b.Type("r")
	b.rest()
	for range 2 {
		b.Type("ac")
		b.rest()
	}
	if said := b.bench.guide.advised; said != "" {
		t.Errorf("after four prints foreseen in a row it says %q", said)
	}
	b.Type("r")
	b.rest()
	b.bench.routine.ticked["predict"] = true
	b.Type("r")
	b.rest()
	b.In.X, b.In.Y = 0, 0
	b.Key(kit.Left)
	b.Key(kit.Space) // a spot, far less than will come
	b.Key(kit.Space)
	b.Type("r")
	b.rest()
	if b.desk.Set.Foresaw != 0 {
		t.Errorf("after a print that was not foreseen, %d in a row are kept", b.desk.Set.Foresaw)
	}
}

// At 200 % text the whole cycle is in sight, nothing scrolled; at 250 % the two
// buttons that go on are.
func TestLargeTextKeepsTheCycleInSight(t *testing.T) {
	for _, size := range [][2]float64{{1280, 800}, {1366, 768}, {1920, 1080}} {
		for _, scale := range []float64{1, 1.25, 1.5, 1.75, 2, 2.25, 2.5} {
			b := newTable(t, size[0], size[1], scale)
			b.Ticks(2)
			ids := []string{"iron", "cut", "go", "guidance", "hours", "checks", "setup", "signoff"}
			if scale <= 2 && size[1] >= 800 {
				ids = append(ids, "depth", "rose", "length", "cross", "film", "step.stone", "step.wipe", "step.half", "step.predict", "step.roll", "step.rub", "step.over", "brush", "strip.all")
			}
			for _, id := range ids {
				n := b.Node(id)
				if n == nil || !n.Rect.Within(n.Visible()) {
					t.Errorf("%v, text %v: %s is not wholly in sight", size, scale, id)
				}
			}
		}
	}
}

// A cycle that is played out takes at most six gestures and twenty seconds of the
// window's time.
func TestACycleTakesSixGesturesAndTwentySeconds(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.desk.Set.SkipWaiting = false
	b.Type("r")
	b.rest()
	ticks := 0
	tick := b.Tick
	b.Tick = func(u *kit.UI) { ticks++; tick(u) }
	gestures := 0
	m := b.faceMiddle()
	for _, do := range []func(){
		func() { b.Drag([2]float64{m[0] - 120, m[1] - 60}, m, [2]float64{m[0] + 120, m[1] + 60}) },
		func() { b.must(b.Click("cross")) },
		func() { b.Type("c"); b.rest() },
		func() { b.Type("r"); b.rest() },
	} {
		do()
		gestures++
	}
	if b.bench.work.Run.Prints() != 2 {
		t.Fatalf("no second print: %v", b.kinds())
	}
	if ticks < rubTicks {
		t.Errorf("the cycle is over after %d ticks: its rub is not seen", ticks)
	}
	if gestures > 6 || ticks > 20*60 {
		t.Errorf("the cycle took %d gestures and %.1f s of ticks", gestures, float64(ticks)/60)
	}
}

// The print before the last can be held beside it, and anything that is done shows
// the face as it is again.
func TestThePrintBefore(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	if !b.Node("strip.before").Disabled {
		t.Error("after one print there is one before it")
	}
	first, _ := b.bench.work.Run.Reading()
	was := append([]uint8(nil), first.Colour...)
	b.Type("ac")
	b.rest()
	if n := b.Node("label"); n == nil || !strings.Contains(n.Label, "Old") {
		t.Errorf("the iron does not say that its print is old: %+v", n)
	}
	b.Type("r")
	b.rest()
	b.Type("v")
	b.Ticks(1)
	shown, _ := b.bench.Stage().Face.Reading()
	if !slices.Equal(shown.Colour, was) {
		t.Error("what is shown is not the print before")
	}
	if got := flat(b.Node("guidance").Label); !strings.Contains(got, "print before lies on the face") {
		t.Errorf("the line says %q", got)
	}
	if n := b.Node("label"); !strings.HasPrefix(n.Label, "Colour of print 1 on today's face") {
		t.Errorf("it is called %q", n.Label)
	}
	b.Type("ac")
	b.rest()
	now, _ := b.bench.work.Run.Reading()
	if shown, _ := b.bench.Stage().Face.Reading(); shown != now {
		t.Error("after a cut the face is not shown as it is")
	}
}

// At large text a page of the set-up that is opened comes to the top of the drawer, so
// that what is in it is seen.
func TestAnOpenedPageComesToTheTop(t *testing.T) {
	b := newTable(t, 1280, 800, 2)
	b.Type("u")
	b.Ticks(2)
	for i, page := range setupPages {
		b.must(b.Press(kit.ItemID("setup.pages", i)))
		b.Ticks(2)
		if b.bench.set.open != page {
			t.Fatalf("%q is open, want %q", b.bench.set.open, page)
		}
		option, seen := b.Node(kit.ItemID("setup.pages", i)), 0
		if option.Visible() != option.Rect {
			t.Errorf("%s: its name is cut off: %v of %v", page, option.Visible(), option.Rect)
		}
		for _, n := range b.UI.Nodes() {
			if n.Stop() && n.Scrolled() && n.Rect.Y > option.Rect.Y && n.Visible() == n.Rect {
				seen++
			}
		}
		if seen < 2 {
			t.Errorf("%s: %d controls after its name are seen whole", page, seen)
		}
	}
}

// newFree is a bench with a part of free practice, tall enough for every drawer.
func newFree(t *testing.T, c free.Choice) *table {
	t.Helper()
	setup, err := c.Setup()
	if err != nil {
		t.Fatal(err)
	}
	b := newTable(t, 1280, 1400, 1)
	wk, err := work.BeginPart(b.desk.Store, setup, "free", 3, 3)
	b.must(err)
	b.bench = New(b.desk, wk)
	return b
}

// A cycle with its checks goes through on every master, with all that can lie.
func TestACycleOnEveryMasterWithAllEffects(t *testing.T) {
	for _, master := range free.Masters {
		c := free.Usual()
		c.Size, c.Master = "pad", master
		for _, e := range run.EffectList() {
			if e.Name == "dial" && (master == "straightedge" || master == "prism") {
				continue
			}
			if err := c.Effects.Switch(e.Name, true); err != nil {
				t.Fatal(err)
			}
		}
		b := newFree(t, c)
		b.Ticks(2)
		for _, keys := range []string{"r", "ac", "r", "i", "b", "h"} {
			b.Type(keys)
			b.rest()
			if said := b.bench.guide.trouble; said != "" {
				t.Errorf("%s, after %q: %s", master, keys, said)
			}
		}
		b.must(b.Click("push"))
		b.rest()
		b.page("bench")
		b.must(b.Click("supports.1"))
		b.must(b.Click("support"))
		b.rest()
		b.must(b.Click("soak"))
		b.rest()
		if said := b.bench.guide.trouble; said != "" {
			t.Errorf("%s: %s", master, said)
		}
		if n := b.bench.work.Run.Prints(); n != 2 {
			t.Errorf("%s: %d prints: %v", master, n, b.kinds())
		}
	}
}

// What is said and shown of a straightedge or a prism calls it by its name, in every
// drawer and while it is rubbed; nothing speaks of a plate.
func TestWordsNameTheMasterThereIs(t *testing.T) {
	for _, master := range free.Masters {
		c := free.Usual()
		c.Size, c.Master = "pad", master
		b := newFree(t, c)
		b.desk.Set.Guided = len(firstSteps)
		onPart := b.bench.masterOnPart()
		named := 0
		read := func() {
			t.Helper()
			b.Ticks(1)
			for _, n := range b.UI.Nodes() {
				for _, text := range []string{n.Label, n.Value, n.Tip} {
					if strings.Contains(text, "{") {
						t.Errorf("%s: a blank is not filled in %q", master, text)
					}
					if onPart && strings.Contains(strings.ToLower(text), "plate") {
						t.Errorf("%s: %s says %q", master, n.ID, text)
					}
					if onPart && strings.Contains(text, master) {
						named++
					}
				}
			}
		}
		read()
		b.Type("5")
		read()
		b.Key(kit.Right)
		read()
		b.Type("1r")
		b.rest()
		read()
		b.Type("5")
		b.Key(kit.Right)
		b.Key(kit.Enter)
		b.rest()
		read()
		b.Type("1")
		b.rest()
		b.Type("h")
		read()
		b.Type("hu")
		b.Ticks(2)
		for _, page := range setupPages {
			b.page(page)
			read()
		}
		b.Type("uo")
		read()
		if onPart && named < 10 {
			t.Errorf("%s is named %d times", master, named)
		}
	}
}

// bareOfAll is a place of the face that is near to no spot of the last print.
func (b *table) bareOfAll() [2]float64 {
	reading, _ := b.bench.work.Run.Reading()
	all := lay.Spots(reading)
	x0, y0, x1, y1 := reading.Edges()
	for y := y0 + 1; y < y1; y += 2 {
	places:
		for x := x0 + 1; x < x1; x += 2 {
			for _, s := range all {
				if math.Hypot(s.X-x, s.Y-y) < 3+math.Sqrt(s.AreaMM2) {
					continue places
				}
			}
			return [2]float64{x, y}
		}
	}
	b.t.Fatal("there is colour all over")
	return [2]float64{}
}

// Where no cut can be planned from what was pointed out, that is said before
// anything is pressed.
func TestWhatCannotBeCutIsSaid(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.desk.Set.Guided = len(firstSteps)
	b.Type("r")
	b.rest()
	b.Type("ac")
	b.rest()
	b.bench.routine.film = 3
	b.Type("r")
	b.rest()
	b.Type("2")
	b.bench.spots.cut = [][2]float64{b.bareOfAll()}
	b.Ticks(2)
	if n := b.Node("cut"); !n.Disabled || b.Node("guidance").Tone != kit.Caution {
		t.Errorf("the button is to be pressed: %v, %q", !n.Disabled, b.Node("guidance").Label)
	}
	b.Type("z")
	b.Type("1")
	b.Type("a")
	b.Ticks(1)
	if b.Node("cut").Disabled {
		t.Error("painted anew, nothing can be cut")
	}
}

// Every control of the bench, its drawers and its dialogs is reached with Tab and the
// arrows; a capital letter does what the letter does.
func TestEveryControlByKeys(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("R")
	b.rest()
	if b.bench.work.Run.Prints() != 1 {
		t.Error("with the capitals locked R does nothing")
	}
	check := func(state string) {
		t.Helper()
		b.Ticks(3)
		reached := map[string]bool{}
		for range 60 {
			b.Key(kit.Tab)
			n := b.Node(b.UI.Focused())
			reached[n.ID] = true
			if n.Group == "" || n.Role == kit.RoleRadio {
				continue
			}
			for range 12 {
				b.Key(kit.Down)
				reached[b.UI.Focused()] = true
			}
		}
		top := 0
		for _, n := range b.UI.Nodes() {
			if n.Stop() {
				top = max(top, n.Layer())
			}
		}
		for _, n := range b.UI.Nodes() {
			if n.Stop() && n.Layer() == top && !reached[n.ID] && n.Role != kit.RoleRadio {
				t.Errorf("%s: %s %q is never reached", state, n.Role, n.ID)
			}
		}
	}
	check("the cut")
	b.Type("h")
	check("checks")
	b.Type("u")
	for _, page := range setupPages {
		b.bench.set.open = page
		check(page)
	}
	b.Key(kit.Escape)
	for _, d := range []dialog{sheetDialog, bladeDialog, staleDialog, blueDialog} {
		b.bench.dialog = d
		check("a dialog")
	}
}
