package bench

import (
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// cursor is the place on the face that the keys move, mm.
type cursor struct {
	shown bool
	x, y  float64
	down  bool // the brush is down, or a stroke begun
	fromX float64
	fromY float64
}

// iron is the face: what pointer, fingers and keys do on it, and what is drawn
// over it.
func (b *Bench) iron(u *kit.UI) {
	r := b.layout.face
	b.aim(r)
	h := u.Canvas(r, "iron", words.Say("bench.iron"), b.describe(), kit.Opts{})
	if u.Shifted() && h.Wheel != 0 {
		b.deepen(int(math.Copysign(1, h.Wheel)))
		h.Wheel = 0
	}
	if h.Over && !b.rubbing() {
		b.view = stage.Follow(b.view, h, b.whole)
	}
	if h.Over {
		b.lamp = kit.Point{X: h.X, Y: h.Y}
	}
	if h.Start {
		b.cursor.shown = false
	}
	x, y := b.view.MM(h.X, h.Y)
	switch {
	case b.work.Busy():
	case b.rubbing():
		b.rub.follow(b, u, h)
	case b.supporting():
		if h.Down {
			b.moveSupport(x)
		}
	case b.measuring():
		if h.Start {
			b.guide.trouble = words.Say("bench.measuring")
		}
	case b.tool == paintTool:
		b.brushBy(h, x, y)
	case b.tool == strokeTool:
		b.strokeBy(h, x, y)
	case h.Let && !h.Dragged:
		b.pick(x, y)
	}
	if h.Focus && !b.rubbing() {
		b.keysOn(u)
	}
	b.lay(h)
	if b.frame != nil && b.tool == frameTool && !b.rubbing() {
		u.Draw(b.drawCount(u))
	}
	b.floating(u)
}

// aim keeps the view in step with the room that it has.
func (b *Bench) aim(r kit.Rect) {
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	whole := stage.Whole(r, x0, y0, x1, y1+b.beside())
	if b.whole != whole {
		if b.view == b.whole {
			b.view = whole
		}
		b.whole = whole
		b.view = stage.Bound(b.view, whole)
		b.lamp = kit.Point{X: r.X + r.W*.2, Y: r.Y + r.H*.15}
	}
}

// describe says in words what is on the face, for those who do not see it.
func (b *Bench) describe() string {
	reading, fresh := b.work.Run.Reading()
	switch {
	case b.work.OnMaster():
		return b.say("bench.iron.down")
	case reading == nil:
		return words.Say("bench.iron.clean")
	case !fresh:
		return b.say("bench.iron.stale")
	}
	return b.say("bench.iron.printed", "n", b.work.Run.Prints())
}

// canvas is the paint that the brush works on now.
func (b *Bench) canvas() *paint {
	if b.guess != nil {
		return b.guess.paint
	}
	return b.painted
}

// brushBy paints with pointer or finger.
func (b *Bench) brushBy(h kit.Hand, x, y float64) {
	p := b.canvas()
	switch {
	case h.Start:
		b.judged, b.guide.cleared, b.guide.trouble = nil, false, ""
		b.before = p.copy()
		p.sweep(x, y, x, y, b.brush, !b.erase)
		b.cursor.fromX, b.cursor.fromY = x, y
	case h.Quit && b.before != nil:
		version := p.version
		*p = *b.before
		p.version = version + 1
		b.before = nil
	case h.Down && b.before != nil:
		if x != b.cursor.fromX || y != b.cursor.fromY {
			p.sweep(b.cursor.fromX, b.cursor.fromY, x, y, b.brush, !b.erase)
			b.cursor.fromX, b.cursor.fromY = x, y
		}
	case h.Let:
		b.before = nil
	}
}

// strokeBy draws a single stroke with pointer or finger.
func (b *Bench) strokeBy(h kit.Hand, x, y float64) {
	switch {
	case h.Start:
		b.drag = &[2][2]float64{{x, y}, {x, y}}
	case h.Quit:
		b.drag = nil
	case h.Down && b.drag != nil:
		b.drag[1] = [2]float64{x, y}
	case h.Let && b.drag != nil:
		b.stroke(b.drag[0], b.drag[1])
		b.drag = nil
	}
}

// shortestStroke is the shortest stroke that can be drawn, mm.
const shortestStroke = 2.0

// stroke hands a single stroke to the run.
func (b *Bench) stroke(from, to [2]float64) {
	if math.Hypot(to[0]-from[0], to[1]-from[1]) < shortestStroke {
		b.guide.trouble = words.Say("bench.short")
		return
	}
	c := b.decided.cut()
	c.Stroke = &run.Line{From: lattice(from), To: lattice(to)}
	b.work.Do(run.Act{Cut: c})
}

// lattice is a place, mm, in the 10 um of acts.
func lattice(p [2]float64) [2]int {
	return [2]int{int(math.Round(100 * p[0])), int(math.Round(100 * p[1]))}
}

// pick is a click, or the Space key, at a place with a tool that needs no drag.
func (b *Bench) pick(x, y float64) {
	switch b.tool {
	case pointTool:
		b.spots.toggle(b.work.Run, x, y, 14/b.view.PxPerMM)
		if _, fresh := b.work.Run.Reading(); fresh && len(b.spots.cut) > 0 && blueAllOver(b.work.Run) && b.blueAsked != b.work.Run.Prints() {
			b.blueAsked = b.work.Run.Prints()
			b.dialog = blueDialog
		}
	case frameTool:
		if reading, _ := b.work.Run.Reading(); reading == nil {
			b.guide.trouble = b.say("bench.frame.clean")
			return
		}
		fx, fy := b.frameAt(x, y)
		b.work.Do(run.Act{Frame: &run.Frame{At: lattice([2]float64{fx, fy})}})
	}
}

// keysOn lets the keys do on the face what a pointer does.
func (b *Bench) keysOn(u *kit.UI) {
	c := &b.cursor
	step := 10 / b.view.PxPerMM
	if u.Shifted() {
		step *= 4
	}
	dx, dy := 0.0, 0.0
	for key, by := range map[kit.Key][2]float64{kit.Left: {-1, 0}, kit.Right: {1, 0}, kit.Up: {0, -1}, kit.Down: {0, 1}} {
		if u.Acts(key) {
			dx, dy = dx+by[0]*step, dy+by[1]*step
		}
	}
	if (dx != 0 || dy != 0) && !c.shown {
		c.shown, c.x, c.y = true, b.view.X, b.view.Y
	}
	if dx != 0 || dy != 0 {
		b.moveCursor(dx, dy)
	}
	switch {
	case u.Acts(kit.PageUp), u.Typed('='):
		b.zoom(1.25)
	case u.Acts(kit.PageDown):
		b.zoom(1 / 1.25)
	case u.Pressed(kit.Home):
		b.view = b.whole
	case b.work.Busy():
	case u.Pressed(kit.Space):
		b.atCursor()
	case u.Pressed(kit.Enter):
		b.goOn()
	}
}

func (b *Bench) moveCursor(dx, dy float64) {
	c := &b.cursor
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	x, y := max(x0, min(c.x+dx, x1)), max(y0, min(c.y+dy, y1))
	if c.down && b.tool == paintTool {
		b.canvas().sweep(c.x, c.y, x, y, b.brush, !b.erase)
	}
	c.x, c.y = x, y
	if c.down && b.tool == strokeTool {
		b.drag = &[2][2]float64{{c.fromX, c.fromY}, {c.x, c.y}}
	}
	px, py := b.view.Px(c.x, c.y)
	r := b.layout.face
	if !r.Inset(30).Contains(px, py) {
		b.view.X, b.view.Y = c.x, c.y
		b.view = stage.Bound(b.view, b.whole)
	}
	px, py = b.view.Px(c.x, c.y)
	b.lamp = kit.Point{X: px - 60, Y: py - 60}
}

// atCursor is the Space key on the face.
func (b *Bench) atCursor() {
	c := &b.cursor
	if !c.shown {
		c.shown, c.x, c.y = true, b.view.X, b.view.Y
		return
	}
	if b.measuring() {
		b.guide.trouble = words.Say("bench.measuring")
		return
	}
	switch b.tool {
	case paintTool:
		if c.down = !c.down; c.down {
			b.judged, b.guide.cleared, b.guide.trouble = nil, false, ""
			b.canvas().sweep(c.x, c.y, c.x, c.y, b.brush, !b.erase)
		}
	case strokeTool:
		if !c.down {
			c.down, c.fromX, c.fromY = true, c.x, c.y
			return
		}
		c.down = false
		b.stroke([2]float64{c.fromX, c.fromY}, [2]float64{c.x, c.y})
		b.drag = nil
	default:
		b.pick(c.x, c.y)
	}
}

// goOn is the Enter key on the face: cut what is painted, else go through the
// routine.
func (b *Bench) goOn() {
	b.cursor.down = false
	if b.guess != nil {
		b.guessed()
		return
	}
	if _, ok := b.act(); ok {
		b.cut()
		return
	}
	b.goThrough()
}

func (b *Bench) zoom(by float64) {
	x, y := b.view.Px(b.view.X, b.view.Y)
	if b.cursor.shown {
		x, y = b.view.Px(b.cursor.x, b.cursor.y)
	}
	b.view = stage.Bound(b.view.Zoom(by, x, y), b.whole)
}

// spots are those pointed out: to be cut, and one to be spared, mm.
type spots struct {
	cut   [][2]float64
	spare *[2]float64
}

// mostSpots are shown to the hand at most.
const mostSpots = 3

// toggle points at the spot at a place: first to cut, then to spare, then not at
// all. slack is how near counts as the same, mm.
func (s *spots) toggle(r *run.Run, x, y, slack float64) {
	near := func(p [2]float64) bool { return math.Hypot(p[0]-x, p[1]-y) < max(slack, 1) }
	if s.spare != nil && near(*s.spare) {
		s.spare = nil
		return
	}
	for i, p := range s.cut {
		if near(p) {
			s.cut = append(s.cut[:i:i], s.cut[i+1:]...)
			s.spare = &p
			return
		}
	}
	if reading, _ := r.Reading(); reading != nil {
		if p, ok := nearestSpot(lay.Spots(reading), x, y); ok {
			x, y = p.X, p.Y
		}
	}
	if len(s.cut) == mostSpots {
		s.cut = s.cut[1:]
	}
	s.cut = append(s.cut, [2]float64{x, y})
}

// nearestSpot is the spot at a place, by the reach of its own size.
func nearestSpot(all []lay.Spot, x, y float64) (lay.Spot, bool) {
	best, at := math.Inf(1), -1
	for i, s := range all {
		if d := math.Hypot(s.X-x, s.Y-y) - math.Sqrt(s.AreaMM2/math.Pi); d < best {
			best, at = d, i
		}
	}
	if at < 0 || best > 1.5 {
		return lay.Spot{}, false
	}
	return all[at], true
}

func (s *spots) example() *lay.Example {
	e := &lay.Example{}
	for _, p := range s.cut {
		e.Cut = append(e.Cut, lattice(p))
	}
	if s.spare != nil {
		p := lattice(*s.spare)
		e.Spare = &p
	}
	return e
}

// lay decides what is drawn over the iron.
func (b *Bench) lay(h kit.Hand) {
	o := stage.Over{}
	defer func() { b.over = o }()
	if b.masterOnPart() {
		o.Master = b.rub.master(b)
	}
	if b.rubbing() {
		return
	}
	// While strokes fall they are what there is to see, not where they were to fall.
	doing, _ := b.work.Doing()
	falling := doing.Cut != nil
	brushing := b.before != nil || b.tool == paintTool && b.cursor.down
	if b.guess == nil && !falling {
		o.Cut, o.Spare = b.spots.cut, b.spots.spare
		if len(b.ghosts.marks) <= mostGhosts && !brushing {
			o.Ghosts = b.ghosts.marks
		}
	}
	switch p := b.canvas(); {
	case falling:
	case !p.empty():
		// The colour is what is read while one paints, and the marks say by
		// themselves that it is to be cut.
		o.Region, o.Guess, o.Bare = p.region(), b.guess != nil, brushing || len(o.Ghosts) > 0
	case b.judged != nil:
		o.Region, o.Guess, o.Bare = b.judged.region(), true, true
	}
	if d := b.drag; d != nil {
		o.Ghosts = []iron.Mark{{X0: d[0][0], Y0: d[0][1], X1: d[1][0], Y1: d[1][1], Width: b.work.Run.Blade().MarkWidth(b.decided.depth)}}
	}
	x, y := b.view.MM(h.X, h.Y)
	if c := b.cursor; c.shown {
		x, y = c.x, c.y
		o.Cross = &[2]float64{x, y}
	}
	inHand := b.cursor.shown || h.Over && !h.Touch
	if b.tool == paintTool && inHand && !b.work.Busy() && !b.supporting() && !b.measuring() {
		o.Brush = &[3]float64{x, y, b.brush}
	}
	if b.tool == frameTool {
		if f := b.frame; f != nil {
			o.Counted = &[2]float64{f.x, f.y}
		}
		if inHand || h.Touch { // a finger is not there when it is not down
			fx, fy := b.aimed()
			o.Frame = &[2]float64{fx, fy}
		}
	}
	switch {
	case b.supporting():
		o.Supports = b.supportPoints()
	case b.drawer == checksDrawer:
		p := b.push()
		s, c := math.Sincos(float64(p.Dir) / 1000)
		o.Push = &[4]float64{float64(p.At[0]) / 100, float64(p.At[1]) / 100, c, s}
		o.Pivot = b.hinge.at
	}
	if b.shows != noInstrument {
		_, y0, _, y1 := b.work.Run.Grid().Edges()
		o.Trace, o.TraceY, o.Block = b.work.Run.Trace(), (y0+y1)/2, b.shows == block
	}
}
