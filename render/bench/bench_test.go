package bench

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/kit/inspect"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/scene/trial"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// table is a bench with a fresh coupon, driven by hand.
type table struct {
	*drive.Hand
	t     *testing.T
	bench *Bench
	desk  *scene.Desk
	next  scene.Next
}

func newTable(t *testing.T, w, h, textScale float64) *table {
	t.Helper()
	return newTableOf(t, w, h, textScale, "coupon")
}

// newTableOf is one with the part of another lesson: a newcomer opens on that of
// FirstLesson, and is told the first steps on it.
func newTableOf(t *testing.T, w, h, textScale float64, lesson string) *table {
	t.Helper()
	l, err := lessons.Load(lesson)
	if err != nil {
		t.Fatal(err)
	}
	desk := trial.Desk()
	desk.Set.SkipWaiting = true
	wk, err := work.BeginLesson(desk.Store, l, 1, 1)
	if err != nil {
		t.Fatal(err)
	}
	b := &table{t: t, desk: desk}
	b.bench = New(b.desk, wk)
	b.Hand = drive.New(w, h, textScale, func(u *kit.UI) {
		if n := b.bench.Tick(u); n.To != scene.Stay {
			b.next = n
		}
	})
	return b
}

func (b *table) rest() {
	b.t.Helper()
	b.Ticks(1)
	if err := b.Until(func() bool { return !b.bench.work.Busy() }); err != nil {
		b.t.Fatal(err)
	}
	b.Ticks(1)
}

func (b *table) must(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

func (b *table) kinds() []string {
	var out []string
	for _, e := range b.bench.work.Run.Entries() {
		out = append(out, e.Act.Kind())
	}
	return out
}

// wantCycle checks that the run holds a print, an area cut to depth, and another
// print.
func (b *table) wantCycle(depth int) {
	b.t.Helper()
	want := []string{"stone", "wipe", "wipe", "roll", "place", "rub", "lift", "cut", "stone", "wipe", "wipe", "roll", "place", "rub", "lift"}
	got := b.kinds()
	if len(got) != len(want) {
		b.t.Fatalf("the run holds %v, want %v", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			b.t.Fatalf("act %d is %s, want %s", i+1, got[i], want[i])
		}
	}
	cut := b.bench.work.Run.Entries()[7]
	if cut.Act.Cut.Depth != depth || cut.Out.Laid == 0 || cut.Out.Laid != cut.Out.Planned {
		b.t.Errorf("the cut was %+v, %d of %d strokes, want depth %d", cut.Act.Cut, cut.Out.Laid, cut.Out.Planned, depth)
	}
	if n := b.bench.work.Run.Prints(); n != 2 {
		b.t.Errorf("%d prints, want 2", n)
	}
	if _, fresh := b.bench.work.Run.Reading(); !fresh {
		b.t.Error("the last print is said to be stale")
	}
	l, err := b.desk.Store.Open(b.bench.work.Name)
	if err != nil || len(l.Entries) != len(want) {
		b.t.Errorf("the file holds %v, %v", l, err)
	}
}

func (b *table) faceMiddle() [2]float64 {
	r := b.Node("iron").Rect
	return [2]float64{r.X + r.W/2, r.Y + r.H/2}
}

func TestCycleByPointer(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.must(b.Click("go"))
	b.rest()
	m := b.faceMiddle()
	gestures := 0
	b.Drag([2]float64{m[0] - 120, m[1] - 60}, m, [2]float64{m[0] + 120, m[1] + 60})
	gestures++
	n := b.Node("depth")
	tr := n.Track()
	x := tr.X + tr.W*float64(depthAt(8))/float64(len(depths)-1)
	b.Drag([2]float64{x, tr.Y + tr.H/2}, [2]float64{x, tr.Y + tr.H/2})
	gestures++
	b.must(b.Click("cross"))
	gestures++
	b.must(b.Click("cut"))
	b.rest()
	gestures++
	b.must(b.Click("go"))
	b.rest()
	gestures++
	b.wantCycle(800)
	if gestures > 6 {
		t.Errorf("the cycle took %d gestures, want at most 6", gestures)
	}
	area := b.bench.work.Run.Entries()[7].Act.Cut.Area
	if area.Dir != mrad(135) {
		t.Errorf("the direction was %d mrad, want 135 degrees, crossed from 45", area.Dir)
	}
}

func TestCycleByKeys(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	if b.UI.Focused() != "iron" {
		t.Errorf("focus begins on %q, want the iron", b.UI.Focused())
	}
	b.Type("r")
	b.rest()
	b.Key(kit.Left)
	b.Key(kit.Space)
	for range 12 {
		b.Key(kit.Right)
	}
	b.Key(kit.Space)
	b.Type("]]]],")
	b.Key(kit.Enter)
	b.rest()
	b.Key(kit.Enter)
	b.rest()
	b.wantCycle(800)
}

func TestCycleByTouch(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.must(b.Tap("go"))
	b.rest()
	m := b.faceMiddle()
	b.Stroke([2]float64{m[0] - 90, m[1]}, m, [2]float64{m[0] + 90, m[1]})
	b.must(b.Tap("cut"))
	b.rest()
	b.must(b.Tap("go"))
	b.rest()
	b.wantCycle(600)
}

func TestTwoFingersMoveWithoutPainting(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	m, before := b.faceMiddle(), b.bench.view
	b.In.Touches = []kit.Touch{{ID: 1, X: m[0], Y: m[1]}}
	b.Ticks(1)
	b.In.Touches = append(b.In.Touches, kit.Touch{ID: 2, X: m[0] + 100, Y: m[1]})
	b.Ticks(1)
	b.In.Touches[1].X += 100
	b.Ticks(1)
	b.In.Touches = nil
	b.Ticks(2)
	if !b.bench.painted.empty() {
		t.Error("the first of two fingers left paint")
	}
	if b.bench.view.PxPerMM <= before.PxPerMM {
		t.Error("spreading two fingers did not bring the face nearer")
	}
}

func TestZoomFromWholeToOnePoint(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	m := b.faceMiddle()
	b.In.X, b.In.Y = m[0], m[1]
	for range 40 {
		b.In.WheelY = 1
		b.Ticks(1)
	}
	across := b.Node("iron").Rect.W / b.bench.view.PxPerMM
	if across > 8 {
		t.Errorf("as near as it gets one sees %.1f mm across, want one point, below 8 mm", across)
	}
	b.Type("0")
	if b.bench.view != b.bench.whole {
		t.Error("0 does not show the whole face again")
	}
}

func TestWheelTurnsDepthAndDirection(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	before := b.bench.decided
	wheel := func(x, y float64) {
		b.In.X, b.In.Y = x, y
		b.Ticks(1)
		b.In.WheelY = 1
		b.Ticks(1)
	}
	for _, id := range []string{"depth", "rose"} {
		x, y, err := b.Middle(id)
		b.must(err)
		wheel(x, y)
	}
	if d := b.bench.decided; d.depth <= before.depth || d.degrees != before.degrees+turnStep {
		t.Errorf("the wheel over depth and rose made %+v of %+v", d, before)
	}
	depth, view := b.bench.decided.depth, b.bench.view
	b.In.Shift = true
	m := b.faceMiddle()
	wheel(m[0], m[1])
	b.In.Shift = false
	if b.bench.decided.depth <= depth || b.bench.view != view {
		t.Error("Shift and the wheel over the iron do not turn the depth alone")
	}
}

func TestAllowanceUsedUp(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	l := *b.bench.work.Lesson
	l.Setup.Limits = run.Limits{Prints: 1, ActMM2: 200}
	wk, err := work.BeginLesson(b.desk.Store, &l, 1, 1)
	b.must(err)
	b.bench = New(b.desk, wk)
	b.desk.Set.Guided = len(firstSteps)
	b.Ticks(2)
	b.Type("a")
	if n := b.Node("cut"); !n.Disabled || b.Node("guidance").Tone != kit.Caution {
		t.Errorf("the whole face is painted, 200 mm2 are allowed: cut disabled %v, said %q", n.Disabled, b.Node("guidance").Label)
	}
	b.Type("zr")
	b.rest()
	used := words.Say("bench.allowance")
	if n := b.Node("go"); !n.Disabled || n.Tip != used || flat(b.Node("guidance").Label) != used {
		t.Errorf("no print is left: routine disabled %v, %q, said %q", n.Disabled, n.Tip, b.Node("guidance").Label)
	}
	did := len(b.kinds())
	b.Type("hr")
	b.Key(kit.Escape)
	b.Type("5")
	b.Drag(b.faceMiddle(), [2]float64{500, 320}, [2]float64{480, 300})
	b.rest()
	if len(b.kinds()) != did || b.bench.work.OnMaster() {
		t.Errorf("no print is left, and %v are done", b.kinds()[did:])
	}
	if said := flat(b.Node("guidance").Label); said != used {
		t.Errorf("a rub by hand is answered by %q", said)
	}
	b.Type("1")
	b.Type("3")
	b.Drag([2]float64{480, 300}, [2]float64{520, 330}, [2]float64{560, 360})
	b.rest()
	if did := b.kinds(); did[len(did)-1] != "cut" {
		t.Errorf("no print is left, and nothing can be cut: %v", did)
	}
	if said := flat(b.Node("guidance").Label); said != used {
		t.Errorf("a cut that no print can show is answered by %q", said)
	}
	b.Type("i")
	b.rest()
	if b.Node("instrument") == nil {
		t.Error("no print is left, and nothing can be measured either")
	}
	b.Type("o")
	b.Ticks(1)
	if b.bench.dialog != sheetDialog {
		t.Error("signing off asks for a print first that is not allowed")
	}
}

func TestPredictThenPrint(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.must(b.Click("step.predict"))
	b.Type("r")
	b.rest()
	if b.bench.guess == nil || b.bench.work.Run.Prints() != 0 {
		t.Fatal("the routine did not stop for a guess")
	}
	m := b.faceMiddle()
	b.Drag([2]float64{m[0] - 100, m[1]}, [2]float64{m[0] + 100, m[1]})
	b.Type("3r")
	b.rest()
	var p *run.Predict
	for _, e := range b.bench.work.Run.Entries() {
		if e.Act.Predict != nil {
			p = e.Act.Predict
		}
	}
	if p == nil || p.Sure != 3 || len(p.Region.Runs) == 0 {
		t.Fatalf("the guess written down is %+v", p)
	}
	if b.bench.work.Run.Prints() != 1 || b.bench.told == "" {
		t.Errorf("%d prints, told %q: want one print and the guess judged", b.bench.work.Run.Prints(), b.bench.told)
	}
	if o := b.bench.Stage().Over; o.Region == nil || !o.Guess || !o.Bare || len(o.Region.Runs) != len(p.Region.Runs) {
		t.Errorf("over the new print there is no outline of the guess: %+v", o.Region)
	}
	b.Drag(m)
	b.Type("z")
	b.Ticks(1)
	if o := b.bench.Stage().Over; o.Region != nil {
		t.Error("the guess is still there after something was painted")
	}
}

func TestByExample(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	reading, _ := b.bench.work.Run.Reading()
	x, y := -1.0, -1.0
	for k := range reading.Colour {
		if reading.Coloured(k) {
			x, y = reading.X(k%reading.NX), reading.Y(k/reading.NX)
			break
		}
	}
	b.Type("2")
	px, py := b.bench.view.Px(x, y)
	b.Drag([2]float64{px, py})
	if len(b.bench.spots.cut) != 1 {
		t.Fatalf("one click points out %d spots to cut", len(b.bench.spots.cut))
	}
	b.Type("c")
	b.rest()
	cut := b.bench.work.Run.Entries()[len(b.bench.work.Run.Entries())-1]
	if cut.Act.Cut == nil || cut.Act.Cut.Area.Example == nil {
		t.Fatalf("the last act is %+v (%q), want a cut by example", cut.Act, b.bench.guide.trouble)
	}
}

func TestStrokeAndRubByHand(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	m := b.faceMiddle()
	b.Type("3")
	b.Drag(m, [2]float64{m[0] + 80, m[1] + 10})
	b.rest()
	e := b.bench.work.Run.Entries()
	if len(e) != 1 || e[0].Act.Cut == nil || e[0].Act.Cut.Stroke == nil || e[0].Out.Laid != 1 {
		t.Fatalf("a drawn stroke gave %v", b.kinds())
	}
	b.Type("5")
	b.Drag(m, [2]float64{m[0] + 60, m[1]})
	if b.bench.guide.trouble == "" {
		t.Error("rubbing on a bare plate says nothing")
	}
	for _, s := range []string{"stone", "wipe", "rub", "over"} {
		b.must(b.Click("step." + s))
	}
	b.Type("1r5")
	b.rest()
	b.Drag(m, [2]float64{m[0] + 60, m[1]}, [2]float64{m[0] + 60, m[1] + 50}, m)
	b.rest()
	b.Type("l")
	b.rest()
	got := b.kinds()
	if n := len(got); n < 3 || got[n-3] != "place" || got[n-2] != "rub" || got[n-1] != "lift" {
		t.Fatalf("a rub by hand gave %v", got)
	}
	if b.bench.work.Run.Prints() != 1 {
		t.Error("a rub by hand did not print")
	}
	if b.bench.rubbing() || b.bench.Stage().Back {
		t.Error("lifted and turned over, the part still shows its back")
	}
}

func TestInstrumentsAndFrame(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("i")
	b.rest()
	if b.Node("instrument") == nil {
		t.Error("the indicator was drawn and nothing shows")
	}
	b.Type("b")
	b.rest()
	b.Type("r")
	b.rest()
	b.Type("4")
	b.Drag(b.faceMiddle())
	b.rest()
	if b.bench.frame == nil {
		t.Errorf("the frame was not counted: %v, %q", b.kinds(), b.bench.guide.trouble)
	}
	if b.Node("lens") == nil || b.bench.Stage().Lens == nil {
		t.Error("no lens with the frame in hand")
	}
	b.must(b.Click("checks"))
	b.Ticks(1)
	if b.Node("lens") != nil || b.bench.Stage().Lens != nil || b.bench.Stage().Over.Frame != nil {
		t.Error("the pointer is off the iron, and the lens or its border is still there")
	}
}

// What a frame counted stands beside it and inside the face, as long as there is room.
func TestTheCountCoversNothingOfTheFrame(t *testing.T) {
	face := kit.Rect{X: 90, Y: 60, W: 800, H: 600}
	for _, frame := range []kit.Rect{
		{X: 300, Y: 300, W: 200, H: 200}, {X: 90, Y: 60, W: 200, H: 200}, {X: 690, Y: 460, W: 200, H: 200},
		{X: 690, Y: 60, W: 200, H: 600}, {X: 90, Y: 60, W: 200, H: 600},
	} {
		r := beside(frame, face, 120, 50)
		if !r.Meets(frame).Empty() {
			t.Errorf("beside %v it stands at %v, over the frame", frame, r)
		}
		if r.Meets(face) != r {
			t.Errorf("beside %v it stands at %v, off the face", frame, r)
		}
	}
}

// While an instrument stands on the iron neither click nor key marks metal to be
// cut; put away, or with a tool taken, they do again.
func TestAnInstrumentKeepsThePaintAway(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	for _, key := range []string{"i", "b"} {
		b.Type(key)
		b.rest()
		acts := len(b.kinds())
		for _, held := range []tool{paintTool, pointTool, strokeTool} {
			b.bench.tool = held
			m := b.faceMiddle()
			b.Drag(m, [2]float64{m[0] + 60, m[1]})
			b.Key(kit.Left)
			b.Key(kit.Space)
			b.Key(kit.Space)
			if !b.bench.painted.empty() || len(b.bench.spots.cut) > 0 || len(b.kinds()) != acts || b.bench.Stage().Over.Brush != nil {
				t.Errorf("%s, tool %d: a click marked metal to be cut: %v", key, held, b.kinds())
			}
			if n := b.Node("guidance"); n.Tone != kit.Caution || !strings.Contains(n.Label, "instrument") {
				t.Errorf("%s: what a click did not do is not said: %q", key, n.Label)
			}
		}
		b.bench.tool = paintTool
		b.Type(key)
		b.Ticks(1)
		b.Drag(b.faceMiddle())
		if b.bench.painted.empty() || b.Node("instrument") != nil {
			t.Errorf("%s put away, the brush does not paint", key)
		}
		b.Type("z")
	}
	b.Type("i")
	b.rest()
	b.Type("1")
	b.Drag(b.faceMiddle())
	if b.bench.painted.empty() {
		t.Error("with the brush taken up the indicator still lies in its way")
	}
}

// While the brush is down the colour is read through the outline alone.
func TestTheBrushLeavesTheColourInSight(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	m := b.faceMiddle()
	b.In.X, b.In.Y, b.In.Main = m[0], m[1], true
	for range 3 {
		b.In.X += 40
		b.Ticks(1)
		if o := b.bench.Stage().Over; o.Region == nil || !o.Bare || len(o.Ghosts) > 0 {
			t.Fatalf("with the brush down there lie %d marks over the colour, bare %v", len(o.Ghosts), o.Bare)
		}
	}
	b.In.Main = false
	b.Ticks(2)
	if o := b.bench.Stage().Over; len(o.Ghosts) == 0 {
		t.Error("the marks that will fall are not shown once the brush is lifted")
	}
}

func TestStopKeepsWhatIsCut(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.desk.Set.SkipWaiting = false
	b.Type("a")
	b.Type("c")
	b.Ticks(20)
	if !b.bench.work.Busy() {
		t.Fatal("the cut of a whole face is over after twenty ticks")
	}
	b.Key(kit.Escape)
	b.rest()
	e := b.bench.work.Run.Entries()
	if len(e) != 1 || e[0].Out.Laid == 0 || e[0].Out.Laid >= e[0].Out.Planned {
		t.Fatalf("a stopped cut is recorded as %+v", e)
	}
	if b.next.To != scene.Stay {
		t.Error("the Escape that stopped the cut left the bench as well")
	}
}

func TestSignOffAsksFirst(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	b.must(b.Click("signoff"))
	b.must(b.Click("notyet"))
	if b.bench.work.Run.Signed() {
		t.Fatal("signed off without being asked")
	}
	b.must(b.Click("signoff"))
	b.must(b.Click("sign"))
	b.rest()
	got := b.kinds()
	if n := len(got); got[n-2] != "declare" || got[n-1] != "sign_off" || b.next.To != scene.Debrief {
		t.Errorf("signing off gave %v and went to %v", got, b.next.To)
	}
	r := b.bench.work.Run
	report, err := score.Mark(&run.Log{Header: r.Header(), Entries: r.Entries()}, nil)
	b.must(err)
	b.must(b.bench.work.Signed().Seal(report))
	l, err := b.desk.Store.Open(b.bench.work.Name)
	if err != nil || l.Seal == nil || len(l.Seal.Marks) == 0 {
		t.Errorf("the file of a run that is signed off has no seal: %v", err)
	}
}

func TestFirstFiveMinutes(t *testing.T) {
	b := newTableOf(t, 1280, 800, 1, FirstLesson)
	b.Type("r")
	b.rest()
	m := b.faceMiddle()
	paint := func() { b.Drag([2]float64{m[0] - 90, m[1]}, [2]float64{m[0] + 90, m[1]}) }
	cut := func() { paint(); b.Type("c"); b.rest() }
	print := func() { b.Type("r"); b.rest() }
	at := func(want int) {
		t.Helper()
		if got := b.desk.Set.Guided; got != want {
			t.Fatalf("at step %d, want %d", got, want)
		}
		if b.Node("guidance").Label == "" {
			t.Errorf("step %d says nothing", want)
		}
	}
	at(stepPaint)
	paint()
	at(stepCut)
	b.Type("z")
	b.Ticks(1)
	at(stepPaint)
	cut()
	at(stepPrint)
	print()
	at(stepCompare)
	cut()
	at(stepPredict)
	b.must(b.Click("step.predict"))
	print()
	paint()
	print()
	at(stepTold)
	b.must(b.Click("step.predict"))
	cut()
	at(stepDeep)
	print()
	at(stepDeep)
	for depthAt(b.bench.decided.depth) < depthAt(20) {
		b.Type("]")
		b.Ticks(1)
	}
	cut()
	print()
	at(stepPrice)
	// What was cut, by rows of 5 um that lower what carries by 2.
	if got := flat(b.Node("guidance").Label); !strings.Contains(got, "lie 20.0 µm down") || !strings.Contains(got, "by about 2.0 µm: 10 passes") {
		t.Errorf("after a cut of 20 um it says %q", got)
	}
	print()
	at(len(firstSteps))
	if got := flat(b.Node("guidance").Label); !strings.Contains(got, "That is the whole round.") {
		t.Errorf("after the last step it says %q", got)
	}
	cut()
	print()
	if got := flat(b.Node("guidance").Label); strings.Contains(got, "That is the whole round.") {
		t.Error("it ends more than once")
	}
}

// Rows of 5 um take 2 off what carries (computed), so that 11 um need six passes.
func TestThePriceOfDepth(t *testing.T) {
	for _, c := range []struct {
		deep, by float64
		want     int
	}{{10, 5, 5}, {11, 5, 6}, {20, 5, 10}, {12, 3, 10}, {25, 25, 3}} {
		if got := passesOver(c.deep, c.by); got != c.want {
			t.Errorf("%g um by rows of %g take %d passes, want %d", c.deep, c.by, got, c.want)
		}
	}
}

// Crossing takes up what was cut until that is printed; after a print it turns the
// direction and paints nothing.
func TestCrossingKeepsToWhatWasCut(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	m := b.faceMiddle()
	b.Drag([2]float64{m[0] - 60, m[1]}, [2]float64{m[0] + 60, m[1]})
	b.Type("c")
	b.rest()
	before := b.bench.decided.degrees
	b.Type("x")
	b.Ticks(1)
	if b.bench.painted.empty() || b.bench.decided.degrees == before && before == b.bench.passDir {
		t.Error("what was just cut is not taken up again, across")
	}
	b.Type("z")
	b.Ticks(1)
	b.Type("r")
	b.rest()
	b.bench.decided.degrees = b.bench.passDir
	b.Type("x")
	b.Ticks(1)
	if !b.bench.painted.empty() {
		t.Error("after a print it brings back what was painted before")
	}
	if got := b.bench.decided.degrees; got != (b.bench.passDir+90)%360 {
		t.Errorf("it points to %d degrees after a pass at %d", got, b.bench.passDir)
	}
}

// A stroke cuts as it is let go, whatever is painted beside.
func TestTheStrokeToolSaysWhenItCuts(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	m := b.faceMiddle()
	b.Drag([2]float64{m[0] - 60, m[1]}, [2]float64{m[0] + 60, m[1]})
	b.must(b.Click("tool.stroke"))
	b.Ticks(1)
	if got := flat(b.Node("guidance").Label); !strings.Contains(got, "cut as you let go") || strings.Contains(got, "press C") {
		t.Errorf("it says %q", got)
	}
}

// What is done on the bench comes before the first steps: painted, it is said which
// key cuts; cut, which key prints. A step that two prints went by is given up.
func TestTheFirstStepsGiveWay(t *testing.T) {
	b := newTableOf(t, 1280, 800, 1, FirstLesson)
	b.Type("r")
	b.rest()
	m := b.faceMiddle()
	for at := stepPrint; at < len(firstSteps); at++ {
		b.desk.Set.Guided = at
		b.Drag([2]float64{m[0] - 60, m[1]}, [2]float64{m[0] + 60, m[1]})
		b.Ticks(1)
		if got := b.Node("guidance").Label; !strings.Contains(flat(got), "press C to cut") {
			t.Errorf("painted, at step %s, it says %q", firstSteps[at], got)
		}
		b.Type("z")
		b.Ticks(1)
	}
	b.desk.Set.Guided = stepDeep
	b.Type("a")
	b.Type("c")
	b.rest()
	if got := b.Node("guidance").Label; !strings.Contains(flat(got), "Press R") {
		t.Errorf("cut, at the step to cut deep, it says %q", got)
	}
	for _, c := range []struct{ at, want int }{{stepCompare, stepPredict}, {stepPredict, stepDeep}, {stepTold, stepDeep}, {stepDeep, len(firstSteps)}} {
		b.bench.goneTo(c.at)
		for n := range patience {
			if b.desk.Set.Guided != c.at {
				t.Errorf("step %s is given up after %d prints", firstSteps[c.at], n)
			}
			b.Type("r")
			b.rest()
		}
		if b.desk.Set.Guided != c.want {
			t.Errorf("passed by twice, step %s leads to %d, want %d", firstSteps[c.at], b.desk.Set.Guided, c.want)
		}
	}
}

func flat(text string) string { return strings.ReplaceAll(text, "\n", " ") }

// The first steps are told on the newcomer's part alone.
func TestTheFirstStepsKeepToTheirPart(t *testing.T) {
	b := newTableOf(t, 1280, 800, 1, FirstLesson)
	if b.bench.at() != stepPaint {
		t.Fatal("they are not told on the newcomer's part")
	}
	if milled := newTable(t, 1280, 800, 1); milled.bench.at() != len(firstSteps) {
		t.Error("they are told on a machined part, and have a patch cut before its skin is broken")
	}
	own, err := work.BeginPart(b.desk.Store, b.bench.work.Run.Header().Setup, "own", 1, 1)
	b.must(err)
	if New(b.desk, own).at() != len(firstSteps) {
		t.Error("they are told on somebody's own part")
	}
	l, err := b.desk.Store.Open(b.bench.work.Name)
	b.must(err)
	name, err := work.WriteFork(b.desk.Store, "fork", l, 0)
	b.must(err)
	o, err := work.Open(b.desk.Store, name)
	b.must(err)
	fork, err := o.Step(time.Minute)
	b.must(err)
	if New(b.desk, fork).at() != len(firstSteps) {
		t.Error("they are told on another way on")
	}
}

// Another way on begins with depth and length as the last cut before it had them, and
// a cut that was set by its push is set so again.
func TestAnotherWayKeepsTheCut(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	cut := func(set decision) decision {
		t.Helper()
		b.bench.decided = set
		b.Type("a")
		b.Type("c")
		b.rest()
		b.Type("r")
		b.rest()
		l, err := b.desk.Store.Open(b.bench.work.Name)
		b.must(err)
		name, err := work.WriteFork(b.desk.Store, "fork", l, len(l.Entries))
		b.must(err)
		o, err := work.Open(b.desk.Store, name)
		b.must(err)
		fork, err := o.Step(time.Minute)
		b.must(err)
		return New(b.desk, fork).decided
	}
	b.Type("r")
	b.rest()
	if d := cut(decision{depth: 3.2, push: 100, length: 8, degrees: 45}); d.depth != 3.2 || d.length != 8 || d.byPush {
		t.Errorf("3.2 um deep and 8 mm long goes on as %+v", d)
	}
	if d := cut(decision{depth: 6, byPush: true, push: 60, length: 15, degrees: 45}); d.push != 60 || d.length != 15 || !d.byPush {
		t.Errorf("60 N and 15 mm long goes on as %+v", d)
	}
}

// The face keeps its size while the guidance goes from one line to two, and when the
// first steps, whose words are larger, come to their end: prints are compared there.
func TestTheFaceKeepsItsSize(t *testing.T) {
	for _, scale := range []float64{1, 1.25} {
		b := newTableOf(t, 1280, 800, scale, FirstLesson)
		b.Type("r")
		b.rest()
		want := b.Node("iron").Rect
		for at := range len(firstSteps) + 1 {
			b.desk.Set.Guided = at
			b.Ticks(1)
			if got := b.Node("iron").Rect; got != want {
				t.Errorf("at text scale %g, at step %d, the face is %v and was %v", scale, at, got, want)
			}
		}
	}
}

// A tool's key, a click on the rail and the end of a page leave the keys with the
// iron.
func TestTheKeysComeBackToTheIron(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	for name, do := range map[string]func(){
		"a tool's key":    func() { b.UI.FocusOn("depth"); b.Ticks(1); b.Type("1") },
		"the rail":        func() { b.must(b.Click("tool.paint")) },
		"a drawer, Esc":   func() { b.must(b.Click("setup")); b.Key(kit.Escape) },
		"a drawer, click": func() { b.must(b.Click("checks")); b.must(b.Click("drawer.back")) },
		"the blade":       func() { b.Type("k"); b.Ticks(2); b.must(b.Click("blade.keep")) },
		"another page":    func() { b.must(b.Click("go.keys")); b.UI.Enter() },
	} {
		do()
		b.Ticks(2)
		if got := b.UI.Focused(); got != "iron" {
			t.Errorf("after %s the keys go to %q", name, got)
		}
	}
}

// Enter keeps a guess, also when a mouse had asked for it.
func TestEnterKeepsTheGuess(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.must(b.Click("step.predict"))
	b.must(b.Click("go"))
	b.rest()
	m := b.faceMiddle()
	b.Drag([2]float64{m[0] - 100, m[1]}, [2]float64{m[0] + 100, m[1]})
	b.Key(kit.Enter)
	b.rest()
	b.lastAct("predict")
	if b.bench.work.Run.Prints() != 1 {
		t.Error("and does not print")
	}
}

// The button of the routine says what it does.
func TestTheRoutineIsNamedByItsTicks(t *testing.T) {
	all := func(string) bool { return true }
	r := routine{ticked: map[string]bool{"stone": true, "wipe": true, "roll": true, "rub": true, "over": true}}
	for _, c := range []struct {
		tick string
		fits func(string) bool
		want string
	}{
		{"", all, "Stone, wipe, roll, print"},
		{"", func(s string) bool { return len(s) < 20 }, "Stone … print"},
		{"", func(s string) bool { return len(s) < 8 }, "Print"},
		{"predict", all, "Stone, wipe, predict"},
	} {
		r.ticked[c.tick] = true
		if got := r.label(c.fits); got != c.want {
			t.Errorf("with %q ticked as well it is %q, want %q", c.tick, got, c.want)
		}
	}
	if got := (&routine{}).label(all); got != "" {
		t.Errorf("with nothing ticked it is %q", got)
	}
}

// Escape takes off what is painted before it leaves, and says that it did.
func TestEscapeClearsBeforeItLeaves(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	b.Type("r")
	b.rest()
	b.Type("a")
	b.Key(kit.Escape)
	b.Ticks(1)
	if !b.bench.painted.empty() || b.next.To != scene.Stay {
		t.Fatalf("the first Escape left %d tiles painted and went to %v", b.bench.painted.count, b.next.To)
	}
	if got := b.Node("guidance").Label; !strings.Contains(flat(got), "Esc again leaves") {
		t.Errorf("it says %q", got)
	}
	b.Key(kit.Escape)
	if b.next.To != scene.Shelf {
		t.Error("with nothing painted Escape does not leave")
	}
}

// Every state of the bench, at every size of window and text.
func TestNothingClippedOrOverlapping(t *testing.T) {
	for _, size := range [][2]float64{{1280, 800}, {1366, 768}, {1920, 1080}} {
		for _, scale := range []float64{1, 1.5, 2, 2.5} {
			b := newTableOf(t, size[0], size[1], scale, FirstLesson)
			check := func(state string) {
				t.Helper()
				b.Ticks(2)
				for _, p := range inspect.Faults(b.UI.Nodes(), scale, b.In.Size) {
					t.Errorf("%s at %v, text %v: %s", state, size, scale, p)
				}
			}
			check("clean")
			b.Type("r")
			b.rest()
			check("printed")
			if label, face := b.Node("label"), b.Node("iron"); label == nil || label.Rect.Y+label.Rect.H > face.Rect.Y {
				t.Errorf("%v, text %v: the label of the print covers the face", size, scale)
			}
			b.Type("a")
			check("painted")
			b.Type("4")
			b.Key(kit.Right)
			b.Key(kit.Space)
			b.rest()
			check("frame counted")
			b.Type("i")
			b.rest()
			check("indicator")
			b.Type("k")
			check("blade")
			b.Key(kit.Escape)
			for _, key := range []string{"h", "u"} {
				b.Type(key)
				check("drawer " + key)
			}
			for _, page := range setupPages {
				b.bench.set.open, b.bench.set.supports = page, 2
				check("set-up " + page)
			}
			b.Key(kit.Escape)
			b.bench.decided.byPush = true
			check("by push")
			for _, d := range []dialog{staleDialog, blueDialog} {
				b.bench.dialog = d
				check("asked")
			}
			b.Key(kit.Escape)
			b.desk.Set.Guided = len(firstSteps)
			b.bench.guide.advised = longestAdvice
			check("advised")
			b.Type("5")
			check("rub")
			b.Type("1")
			b.bench.openSheet()
			check("sheet")
			b.Key(kit.Escape)
			b.bench.routine.ticked["predict"] = true
			b.Type("r")
			b.rest()
			check("predict")
		}
	}
}

// longestAdvice is as long as advice gets.
const longestAdvice = "More than a quarter of the part hangs over the plate, so what hangs cannot take colour and the rest tips. Lift it and set it down whole on the plate, with as much of the plate round it as there is."

func BenchmarkTick(b *testing.B) {
	t := &testing.T{}
	table := newTable(t, 1280, 800, 1)
	table.Type("ra")
	b.ResetTimer()
	for b.Loop() {
		table.Ticks(1)
	}
}

// Each marking colour is called by its name, and settings that name another by that
// of the usual one, blue.
func TestTheColourIsNamed(t *testing.T) {
	b := newTableOf(t, 1280, 800, 1, FirstLesson)
	b.Type("r")
	b.rest()
	for _, pigment := range append(slices.Clone(palette.Pigments), "green") {
		b.desk.Set.Pigment = pigment
		b.Ticks(1)
		want := pigment
		if pigment == "green" {
			want = "blue"
		}
		if got := flat(b.Node("guidance").Label); !strings.Contains(got, "Drag over the "+want) || strings.Contains(got, "{") {
			t.Errorf("in %s it says %q", pigment, got)
		}
	}
}
