// Package bench is the scene in which the work is done: the iron, the decision,
// the routine, the instruments. It turns what hands do into acts of the run, and
// holds only what is not yet an act: what is painted, what is set, where one
// looks from.
package bench

import (
	"math"
	"slices"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// tool is what a hand does on the iron.
type tool uint8

const (
	paintTool tool = iota
	pointTool
	strokeTool
	frameTool
	rubTool
)

// Bench is the scene.
type Bench struct {
	desk *scene.Desk
	work *work.Work

	tool   tool
	layout layout

	view, whole iron.View
	lamp        kit.Point
	cursor      cursor
	metal       int // counted up when the metal changes as a whole
	colour      int // and when the colour on it does

	brush   float64 // radius, mm
	erase   bool
	before  *paint // what was painted before the drag that is going on
	painted *paint
	last    *paint // the region last cut, until it is printed: to be crossed

	spots   spots
	ghosts  ghosts
	over    stage.Over
	drag    *[2][2]float64 // a single stroke being drawn, mm
	decided decision
	passDir int // direction of the last pass, degrees, -1 before the first

	routine routine
	guess   *guess
	told    string // of the last guess
	judged  *paint // where it was, until the next paint or stroke

	rub   rub
	frame *counted
	shows instrument
	// instrumentHeight is how high it was last drawn, points: the lens keeps out
	// of its way.
	instrumentHeight float64
	dialog           dialog
	drawer           drawer
	unfolded         bool // on a board: the cut and the routine are shown
	wordsAlone       bool // the rail has names without icons
	hinge            hinge
	set              set
	sheet            run.Declare
	blueAsked        int // print of which it was asked whether its blue says anything
	staleAsked       int // print of which it was asked whether to sign off what it does not show
	blade            blades
	hurry            bool // the act being done is not played out
	working          bool // something was left to do by the last step
	guide            guide
	prints           prints
}

// New is the bench with a run on it.
func New(desk *scene.Desk, w *work.Work) *Bench {
	b := &Bench{desk: desk, work: w, brush: 6, passDir: -1}
	w.Coach.Trust(desk.Set.Foresaw)
	b.painted = b.newPaint()
	x0, y0, x1, y1 := w.Run.Grid().Edges()
	b.set = firstSet(x1 - x0)
	b.decided = firstDecision()
	b.routine = firstRoutine(desk.Set, w)
	b.routine.pressAt = [2]float64{(x0 + x1) / 2, (y0 + y1) / 2}
	b.remember()
	b.prints.run = w.Run
	b.prints.seen()
	return b
}

func (b *Bench) newPaint() *paint {
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	return newPaint(x0, y0, x1, y1)
}

// remember takes from the acts so far what the bench shows of them.
func (b *Bench) remember() {
	for _, e := range b.work.Run.Entries() {
		if c := e.Act.Cut; c != nil && c.Area != nil {
			b.passDir = degrees(c.Area.Dir)
		}
	}
	b.decided.take(b.work.Run)
	if b.passDir >= 0 {
		b.decided.degrees = (b.passDir + 90) % 360
	}
}

func degrees(mrad int) int {
	d := int(math.Round(float64(mrad) / 1000 * 180 / math.Pi))
	return ((d % 360) + 360) % 360
}

func mrad(degrees int) int {
	if degrees > 180 {
		degrees -= 360
	}
	return int(math.Round(float64(degrees) * math.Pi / 180 * 1000))
}

// layout is where things are, points.
type layout struct{ rail, strip, label, face, column, bar kit.Rect }

const gap = 8.0

// Tick does one tick of the scene.
func (b *Bench) Tick(u *kit.UI) scene.Next {
	b.step()
	b.guide.follow(b)
	if u.Focused() == "" {
		u.FocusOn("iron") // as one comes to the bench, and back from another page
	}
	page, guess := b.page(), b.guess
	b.arrange(u)
	b.shortcuts(u)
	next := b.rail(u)
	b.strip(u)
	b.iron(u)
	if !b.folded() {
		b.column(u)
	}
	b.bar(u)
	if n := b.dialogs(u); n.To != scene.Stay {
		next = n
	}
	if u.Back() && next.To == scene.Stay {
		next = b.back()
	}
	if page && !b.page() || guess == nil && b.guess != nil {
		u.FocusOn("iron") // where Enter keeps a guess
	}
	if b.work.Run.Signed() && !b.work.Busy() {
		next = scene.Next{To: scene.Debrief, Work: b.work}
	}
	return next
}

// page reports whether something lies over the iron or stands in the place of the
// decisions: when it goes, the keys work on the iron again.
func (b *Bench) page() bool {
	return b.dialog != noDialog || b.drawer != shut || b.guess != nil
}

// back is what Escape does: it stops what is going on, then takes off what is not
// cut yet, and leaves when there is nothing of that.
func (b *Bench) back() scene.Next {
	switch {
	case b.dialog != noDialog:
		b.dialog = noDialog
	case b.work.Busy():
		b.work.Stop()
	case b.drawer != shut:
		b.drawer = shut
	case b.unfolded:
		b.unfolded = false
	case b.tool == rubTool && !b.work.OnMaster():
		b.tool = paintTool
	case b.drag != nil || b.cursor.down:
		b.drag, b.cursor.down = nil, false
	case b.guess != nil && b.guess.paint.empty():
		b.guess = nil
	case b.guess != nil:
		b.guess.paint.clear()
	case b.shows != noInstrument:
		b.putAway()
	case !b.painted.empty() || len(b.spots.cut) > 0 || b.spots.spare != nil:
		b.painted.clear()
		b.spots = spots{}
		b.guide.cleared = true
	default:
		return scene.Next{To: scene.Shelf}
	}
	return scene.Next{}
}

// atOnce is how many times the usual time of a step the first may take: the whole
// routine on an ordinary face is then done in one, and the print is on the screen
// sooner by the frames that would have come in between.
const atOnce = 3

// step goes on with the act being done, and takes in what came of it.
func (b *Bench) step() {
	strokes := 0
	played := !b.hurry && !b.desk.Set.SkipWaiting && !b.desk.Set.ReducedMotion
	if played {
		strokes = b.work.StrokesATick()
	}
	b.work.OneByOne = played
	if played && b.rub.play(b) {
		b.work.Rest()
		return
	}
	budget := b.desk.StepTime
	if !b.working {
		budget *= atOnce
	}
	b.work.Step(budget, strokes)
	b.working = b.work.Busy()
	for _, e := range b.work.Ended() {
		b.took(e)
	}
	if !b.working {
		b.hurry = false
	}
	if err := b.work.Err(); err != nil {
		b.guide.trouble = err.Error()
	}
}

// took takes in an act that was done.
func (b *Bench) took(e work.Ended) {
	b.guide.trouble = ""
	if e.Out.Print != nil {
		b.prints.seen()
		b.last = nil
	}
	b.lookBack(false)
	switch a := e.Act; {
	case a.Cut != nil:
		b.frame, b.shows = nil, noInstrument
		b.judged = nil
		if a.Cut.Area != nil {
			b.passDir = degrees(a.Cut.Area.Dir)
			if !b.painted.empty() {
				b.last = b.painted.copy()
			}
			b.painted.clear()
			b.spots = spots{}
		}
		b.hinge.told, b.hinge.at = "", nil
	case a.Stone != nil:
		b.frame = nil
		b.metal++
	case a.Wipe != nil && a.Wipe.What == "part":
		b.frame = nil
		b.colour++
	case a.Lift != nil:
		b.colour++
		if b.tool == rubTool {
			b.tool = paintTool // to be read and decided on
		}
		b.shows = noInstrument
		if e.Out.Print != nil {
			b.judge()
		}
	case a.Push != nil:
		b.swung(a.Push, e.Out.Pivot)
	case a.Chamfer != nil, a.Flake != nil:
		b.frame, b.shows = nil, noInstrument
		b.metal++
		b.colour++
	case a.Contrast != nil, a.Roll != nil && a.Roll.On != "":
		b.colour++
	case a.Support != nil, a.Soak != nil:
		b.shows = noInstrument
	case a.Indicate != nil:
		b.shows = indicator
	case a.Bridge != nil:
		b.shows = block
	case a.Frame != nil:
		b.frame = &counted{x: float64(a.Frame.At[0]) / 100, y: float64(a.Frame.At[1]) / 100, n: e.Out.Count}
	}
	b.guide.took(b, e)
}

// arrange divides the window.
func (b *Bench) arrange(u *kit.UI) {
	all := u.Size()
	l := &b.layout
	railWidth := math.Round(max(kit.MinTarget+8, min(92, u.Width(kit.Small, words.Say("bench.tool.point"))+20)))
	if b.wordsAlone = u.TextScale > 1.3; b.wordsAlone {
		// Icon and name below each other do not fit as often as there are tools.
		railWidth = 0
		for _, t := range slices.Concat(railTools, railDoors, railAway) {
			railWidth = max(railWidth, math.Ceil(u.Width(kit.Small, words.Say("bench.tool."+t.id))))
		}
		sides := 2 * math.Round(3*u.TextScale) // free at the sides of the broadest
		railWidth = max(railWidth+sides, kit.MinTarget) + 8
	}
	var rest kit.Rect
	l.rail, rest = all.Left(railWidth)
	l.column = kit.Rect{}
	if b.deciding() {
		columnWidth := math.Round(min(all.W*.44, 312*(1+(u.TextScale-1)*.72)))
		l.column, rest = rest.Right(columnWidth)
	}
	l.bar, rest = rest.Bottom(b.barHeight(u, rest.W))
	strip, line := 0.0, math.Ceil(u.Line(kit.Small))+4
	if !b.desk.Board || b.folded() || b.guess != nil || b.byHand() {
		strip = b.stripHeight(u, rest.W)
	}
	if b.desk.Board {
		line = 0 // the bar says it
	}
	l.strip, l.face = rest.Top(strip + line)
	l.label = kit.Rect{X: l.strip.X + gap, Y: l.strip.Y + l.strip.H - line, W: l.strip.W - 2*gap, H: line}
	l.face = pixelRect(l.face)
}

// deciding reports whether the column stands at the right. On a board it is folded
// away until it is asked for, or until something is to be done in it.
func (b *Bench) deciding() bool {
	return !b.desk.Board || b.unfolded || b.drawer != shut || b.guess != nil
}

// folded reports whether the column was folded away as the window was divided in
// this tick.
func (b *Bench) folded() bool { return b.layout.column.Empty() }

func pixelRect(r kit.Rect) kit.Rect {
	p := stage.Pixels(r)
	return kit.Rect{X: float64(p.Min.X), Y: float64(p.Min.Y), W: float64(p.Dx()), H: float64(p.Dy())}
}

// shortcuts are the keys that work whatever the column shows.
func (b *Bench) shortcuts(u *kit.UI) {
	if b.dialog != noDialog {
		return
	}
	if u.Typed('[') || u.Typed('{') {
		b.deepen(-1)
	}
	if u.Typed(']') || u.Typed('}') {
		b.deepen(1)
	}
	d := &b.decided.degrees
	if u.Typed(',') || u.Typed('<') {
		*d = (*d + 360 - turnStep) % 360
	}
	if u.Typed('.') || u.Typed('>') {
		*d = (*d + turnStep) % 360
	}
	off := b.work.Busy() || b.work.OnMaster() || b.guess != nil
	if off {
		return
	}
	if b.drawer != checksDrawer {
		if u.Typed('i') {
			b.measure(indicator)
		}
		if u.Typed('b') {
			b.measure(block)
		}
	}
	if u.Typed('k') && (b.drawer != setupDrawer || b.set.open != "cutting") {
		b.openBlades()
	}
	if b.folded() && u.Typed('x') {
		b.cross()
	}
	if b.drawer == shut {
		return
	}
	if u.Typed('c') {
		b.cut()
	}
	if u.Typed('r') {
		b.goThrough()
	}
	if u.Typed('x') {
		b.cross()
	}
}

// railItem is something at the left: a tool to hold, or something to do.
type railItem struct {
	id, key string
	icon    []kit.Mark
	tip     string
}

// What stands in the rail, in its three groups.
var (
	railTools = []railItem{{id: "paint", icon: brushIcon}, {id: "point", icon: pointIcon}, {id: "stroke", icon: strokeIcon}, {id: "frame", icon: frameIcon}, {id: "rub", icon: rubIcon}}
	railDoors = []railItem{{id: "checks", key: "h", icon: checksIcon}, {id: "setup", key: "u", icon: setupIcon}, {id: "signoff", key: "o", icon: signIcon}}
	railAway  = []railItem{{id: "keys", key: "?", icon: keysIcon}, {id: "settings", icon: gearIcon}, {id: "leave", icon: leaveIcon}}
)

// rail is the tools at the left, then what opens the drawers and the way to sign
// off, then what leads away.
func (b *Bench) rail(u *kit.UI) scene.Next {
	r := b.layout.rail
	u.Panel(r, "rail", words.Say("bench.tools"))
	const between, apart = 3.0, 6.0
	c := u.ScrollColumn("rail.column", r.Inset(4), between)
	defer c.Close()
	var labels []string
	for _, t := range slices.Concat(railTools, railDoors, railAway) {
		labels = append(labels, words.Say("bench.tool."+t.id))
	}
	height := u.ToolHeightIn(r.W-8, r.H-8-between*float64(len(labels))-2*apart, len(labels), labels...)
	art := func(t railItem) []kit.Mark { return t.icon }
	if b.wordsAlone {
		height = u.WordHeight()
		art = func(railItem) []kit.Mark { return nil }
	}
	for i, t := range railTools {
		o := kit.Opts{Art: art(t), Checked: b.tool == tool(i), Key: string(rune('1' + i)), Group: "tools",
			Tip: b.say("bench.tip."+t.id, "key", i+1), Disabled: b.guess != nil && tool(i) != paintTool}
		if u.Tool(c.Take(height), "tool."+t.id, words.Say("bench.tool."+t.id), o) {
			b.take(tool(i))
			u.FocusOn("iron")
		}
	}
	c.Space(apart)
	for i, t := range railDoors {
		o := kit.Opts{Art: art(t), Tone: kit.Quiet, Key: t.key, Tip: words.Say("bench.tip." + t.id), Disabled: b.guess != nil}
		o.Checked = b.drawer != shut && b.drawer == drawer(i+1)
		if t.id == "signoff" && (b.work.Busy() || b.work.OnMaster() || b.work.Run.Prints() == 0) {
			o.Disabled, o.Tip = true, words.Say("bench.tip.signoff.not")
		}
		if !u.Tool(c.Take(height), t.id, words.Say("bench.tool."+t.id), o) {
			continue
		}
		if t.id == "signoff" {
			b.signOff()
		} else {
			b.pull(drawer(i + 1))
		}
	}
	c.Space(apart)
	var next scene.Next
	to := map[string]scene.Place{"keys": scene.Keys, "settings": scene.Settings, "leave": scene.Shelf}
	for _, t := range railAway {
		o := kit.Opts{Art: art(t), Tone: kit.Quiet, Key: t.key, Tip: words.Say("bench.tip." + t.id)}
		if u.Tool(c.Take(height), "go."+t.id, words.Say("bench.tool."+t.id), o) {
			next = scene.Next{To: to[t.id]}
		}
	}
	return next
}

// take takes a tool up.
func (b *Bench) take(t tool) {
	b.drag, b.cursor.down = nil, false
	b.putAway()
	if b.work.OnMaster() && t != rubTool {
		b.work.Do(run.Act{Lift: &run.Lift{}})
	}
	b.tool = t
}

// Stage is what of the iron is to be drawn.
func (b *Bench) Stage() stage.Stage {
	s := stage.Stage{
		View: b.view, LampX: b.lamp.X, LampY: b.lamp.Y,
		Face: &b.prints, Metal: b.metal, Colour: b.colour, Laid: b.work.Laid(), Look: b.work.Run.Look,
		Over: b.over,
	}
	for _, e := range b.work.Ended() {
		s.Done = append(s.Done, e.Act.Kind())
	}
	b.rub.show(b, &s)
	if b.over.Frame != nil && !s.Back {
		s.Lens = b.lens()
	}
	return s
}

// Busy reports whether an act is being done.
func (b *Bench) Busy() bool { return b.work.Busy() }
