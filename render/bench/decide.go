package bench

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// decision is how the marks are to be.
type decision struct {
	depth   float64 // um, that is set or that the push is expected to give
	byPush  bool    // the push is set, not the depth
	push    float64 // N
	wet     bool    // under a lubricant
	length  float64 // mm
	degrees int
}

func firstDecision() decision { return decision{depth: 6, push: 100, length: 12, degrees: 45} }

// take sets depth, push and length as the last cut of a run had them.
func (d *decision) take(r *run.Run) {
	for _, e := range r.Entries() {
		c := e.Act.Cut
		if c == nil {
			continue
		}
		d.byPush = c.Force > 0
		if d.byPush {
			d.push = max(leastPush, min(mostPush, float64(c.Force)))
		} else {
			d.depth = depths[depthAt(float64(c.Depth)/100)]
		}
		if c.Area != nil {
			d.length = max(shortest, min(longest, math.Round(float64(c.Area.Length)/100)))
		}
	}
}

// Spacing of rows, thousandths of a mark's width: just overlapping where
// everything is taken, apart where single spots are worked.
const (
	takeAll = 800
	apart   = 1300
)

// Bounds and steps of what can be set.
const (
	shallowest, deepest, depthStep = .5, 25.0, .5
	shortest, longest, lengthStep  = 3.0, 25.0, 1.0
	turnStep                       = 5
	smallestBrush, largestBrush    = 1.0, 25.0
	thinnestFilm, thickestFilm     = .5, 12.0
	leastPush, mostPush, pushStep  = 20.0, 400.0, 5.0
)

// depths are those that can be set, um: the lighter, the finer.
var depths = func() []float64 {
	var out []float64
	add := func(from, to, step int) {
		for v := from; v < to; v += step {
			out = append(out, float64(v)/10)
		}
	}
	add(5, 40, 1)
	add(40, 120, 5)
	add(120, 260, 10)
	return out
}()

// depthAt is the place among depths of the one nearest to um.
func depthAt(um float64) int {
	best := 0
	for i, d := range depths {
		if math.Abs(d-um) < math.Abs(depths[best]-um) {
			best = i
		}
	}
	return best
}

// deepen sets the cut so many steps deeper.
func (b *Bench) deepen(steps int) {
	if b.decided.byPush {
		b.decided.push = max(leastPush, min(mostPush, b.decided.push+pushStep*float64(steps)))
		return
	}
	b.decided.depth = depths[max(0, min(len(depths)-1, depthAt(b.decided.depth)+steps))]
}

// act is the cut that is decided; ok is false while nothing is.
func (b *Bench) act() (a run.Act, ok bool) {
	region := b.painted
	if len(b.spots.cut) > 0 && region.empty() {
		region = b.newPaint()
		region.fill()
	}
	if region.empty() {
		return a, false
	}
	d := b.decided
	area := &run.Area{Region: *region.region(), Dir: mrad(d.degrees), Length: int(math.Round(100 * d.length)), Spacing: takeAll}
	if len(b.spots.cut) > 0 {
		area.Spacing = apart
		area.Example = b.spots.example()
	}
	c := d.cut()
	c.Area = area
	return run.Act{Cut: c}, true
}

// cut is how deep, or how hard, and whether wet.
func (d decision) cut() *run.Cut {
	if d.byPush {
		return &run.Cut{Force: int(math.Round(d.push)), Wet: d.wet}
	}
	return &run.Cut{Depth: int(math.Round(100 * d.depth)), Wet: d.wet}
}

// cut hands the decided cut to the run.
func (b *Bench) cut() {
	if a, ok := b.act(); ok && !b.tooMuch() && !b.work.Busy() {
		b.work.Do(a)
	}
}

// ghosts are the marks as they would be laid by a hand without scatter, kept
// while the decision stands.
type ghosts struct {
	key   string
	marks []iron.Mark
	why   string // there are none
}

// mostGhosts bounds how many are shown: more cannot be told apart.
const mostGhosts = 4000

// ghost is how many marks would be laid.
func (b *Bench) ghost() int {
	a, ok := b.act()
	if !ok {
		b.ghosts = ghosts{}
		return 0
	}
	reading, _ := b.work.Run.Reading()
	key := fmt.Sprint(b.painted.version, b.decided, b.spots, b.work.Run.Prints(), b.work.Run.Blade().RadiusMM, b.work.Run.Blade().Handle)
	if key == b.ghosts.key {
		return len(b.ghosts.marks)
	}
	b.ghosts = ghosts{key: key}
	area := a.Cut.Area
	hand := lay.Tool{Blade: b.work.Run.Blade(), DepthUM: b.decided.depth, Random: rand.New(rand.NewPCG(1, 1))}
	style := lay.Style{Dir: area.Dir, LengthMM: b.decided.length, Spacing: float64(area.Spacing) / 1000}
	var strokes []blade.Stroke
	switch {
	case area.Example == nil:
		strokes = lay.Rows(hand, area.Region, style)
	case reading != nil:
		var err error
		if strokes, err = lay.ByExample(hand, area.Region, *area.Example, style, reading); err != nil {
			b.ghosts.why = err.Error()
		}
	}
	if area.Example != nil && len(strokes) == 0 && b.ghosts.why == "" {
		b.ghosts.why = words.Say("bench.nosuch")
	}
	width := hand.Blade.MarkWidth(hand.DepthUM)
	mm := func(v int) float64 { return float64(v) / blade.UnitsPerMM }
	for _, s := range strokes {
		b.ghosts.marks = append(b.ghosts.marks, iron.Mark{X0: mm(s.X0), Y0: mm(s.Y0), X1: mm(s.X1), Y1: mm(s.Y1), Width: width})
	}
	return len(strokes)
}

// decide is the column's first part: the marks.
func (b *Bench) decide(u *kit.UI, c *kit.Column) {
	set, d := b.desk.Set, &b.decided
	if named(u) {
		c.Name("decide", words.Say("bench.decide"))
	}
	b.drawMark(u, c.Take(math.Round(56+10*u.TextScale)))
	b.howDeep(c)

	dial := math.Round(84 + 12*u.TextScale)
	box := c.Take(max(dial, u.SliderHeight(c.Width()-dial-gap, words.Say("bench.length"), set.Units.Across(d.length))+gap+u.ControlHeight()))
	left, right := box.Left(dial)
	_, right = right.Left(gap)
	rose := kit.Rect{X: left.X, Y: left.Y + (box.H-dial)/2, W: dial, H: dial}
	d.degrees, _ = u.Dial(rose, "rose", words.Say("bench.direction"), fmt.Sprintf("%d°", d.degrees), d.degrees, turnStep,
		drawRose(rose, d.degrees, b.passDir), kit.Opts{Tip: words.Say("bench.tip.direction")})
	r := u.Column(right, gap)
	d.length, _ = r.Slider("length", words.Say("bench.length"), set.Units.Across(d.length), d.length, shortest, longest, lengthStep, kit.Opts{})
	if r.Button("cross", words.Say("bench.cross"), kit.Opts{Key: "x", Tip: words.Say("bench.tip.cross")}) {
		b.cross()
	}
}

// howDeep sets the depth, or the push, and says what the other comes to.
func (b *Bench) howDeep(c *kit.Column) {
	set, d, edge := b.desk.Set, &b.decided, b.work.Run.Blade()
	if d.byPush {
		say := words.Say("bench.push.value", "force", int(d.push), "depth", set.Units.Height(d.depth))
		d.push, _ = c.Slider("push", words.Say("bench.push"), say, d.push, leastPush, mostPush, pushStep, kit.Opts{Tip: words.Say("bench.tip.push")})
		d.depth = edge.DepthFromForce(d.push)
		return
	}
	force := edge.ForceFromDepth(d.depth)
	at, _ := c.Slider("depth", words.Say("bench.depth"), set.Units.Height(d.depth), float64(depthAt(d.depth)), 0, float64(len(depths)-1), 1,
		kit.Opts{Tip: words.Say("bench.tip.depth", "force", int(math.Round(force/5)*5))})
	d.depth = depths[int(at)]
}

// cutButton cuts what is decided.
func (b *Bench) cutButton(u *kit.UI, r kit.Rect) {
	_, ready := b.act()
	tone := kit.Plain
	if ready {
		tone = kit.Go
	}
	label := words.Say("bench.cut")
	if n := b.ghost(); n > 0 {
		label = words.Count("bench.cut.strokes", n)
	}
	if ready && b.ghosts.why != "" {
		ready, tone = false, kit.Plain
	}
	if u.Button(r, "cut", label, kit.Opts{Key: "c", Tone: tone, Disabled: !ready || b.tooMuch() || b.work.Busy() || b.work.OnMaster(), Tip: b.whyNoCut(ready)}) {
		b.cut()
	}
}

// tooMuch reports whether more is painted than the job allows in one act.
func (b *Bench) tooMuch() bool {
	limit := b.work.Run.Header().Setup.Limits.ActMM2
	return limit > 0 && b.painted.areaMM2() > limit
}

func (b *Bench) whyNoCut(ready bool) string {
	switch {
	case b.tooMuch():
		return words.Say("bench.toomuch", "share", int(math.Round(100*b.painted.areaMM2()/b.work.Run.Header().Setup.Limits.ActMM2)))
	case b.work.OnMaster():
		return b.say("bench.tip.lift")
	case b.ghosts.why != "":
		return b.ghosts.why
	case !ready:
		return words.Say("bench.tip.nothing")
	}
	return words.Say("bench.tip.cut")
}

// cross turns the direction a right angle from the last pass, and takes the
// region last cut up again when nothing is painted and no print has come since.
func (b *Bench) cross() {
	from := b.decided.degrees
	if b.passDir >= 0 {
		from = b.passDir
	}
	b.decided.degrees = (from + 90) % 360
	if b.painted.empty() && len(b.spots.cut) == 0 && b.last != nil {
		b.painted = b.last.copy()
		b.painted.version++
	}
}

// drawMark shows one mark across: its depth against the film, and its width.
func (b *Bench) drawMark(u *kit.UI, r kit.Rect) {
	width := b.work.Run.Blade().MarkWidth(b.decided.depth)
	label := words.Say("bench.width", "width", b.desk.Set.Units.Across(width))
	line := u.Line(kit.Small)
	// The box is 10 mm broad and 14 um high; what is deeper ends at its foot.
	mid, top := r.X+r.W/2, r.Y+line+12
	perMM, perUM := (r.W-24)/10, (r.H-line-16)/14
	half := min(r.W/2-8, width/2*perMM)
	depth := max(1.5, min(b.decided.depth*perUM, r.Y+r.H-top-2))
	iron := []kit.Point{{X: r.X, Y: top}}
	for i := 0; i <= 24; i++ {
		t := float64(i)/12 - 1
		iron = append(iron, kit.Point{X: mid + t*half, Y: top + depth*(1-t*t)})
	}
	iron = append(iron, kit.Point{X: r.X + r.W, Y: top}, kit.Point{X: r.X + r.W, Y: r.Y + r.H}, kit.Point{X: r.X, Y: r.Y + r.H})
	film := min(top+b.routine.film*perUM, r.Y+r.H-2)
	art := []kit.Mark{
		{Shape: kit.Fill, Points: iron, Ink: palette.Edge},
		{Shape: kit.Line, Points: []kit.Point{{X: r.X, Y: film}, {X: r.X + r.W, Y: film}}, Width: 2, Dash: kit.Dashed, Ink: palette.Casing, Ground: palette.Edge},
		{Shape: kit.Line, Points: []kit.Point{{X: mid - half, Y: top - 4}, {X: mid + half, Y: top - 4}}, Width: 3, Ink: palette.Accent},
		{Shape: kit.Words, Points: []kit.Point{{X: mid, Y: r.Y + 2}}, Text: label, Type: kit.Small, Align: kit.Middle, Ink: palette.Text, Ground: palette.Field},
	}
	u.Picture(r, "mark", words.Say("bench.mark"), label, art)
}

// drawRose shows the direction of the marks and, dashed, that of the last pass.
func drawRose(r kit.Rect, now, before int) []kit.Mark {
	mid := kit.Point{X: r.X + r.W/2, Y: r.Y + r.H/2}
	radius := r.W/2 - 6
	at := func(degrees int, share float64) kit.Point {
		s, c := math.Sincos(float64(degrees) * math.Pi / 180)
		return kit.Point{X: mid.X + c*radius*share, Y: mid.Y + s*radius*share}
	}
	art := []kit.Mark{{Shape: kit.Ring, Points: []kit.Point{mid}, Width: radius, Thick: 2, Ink: palette.Edge}}
	for a := 0; a < 360; a += 45 {
		art = append(art, kit.Mark{Shape: kit.Line, Points: []kit.Point{at(a, .86), at(a, 1)}, Width: 2, Ink: palette.Edge})
	}
	if before >= 0 {
		art = append(art, kit.Mark{Shape: kit.Line, Points: []kit.Point{at(before+180, .8), at(before, .8)}, Width: 2.5, Dash: kit.Dashed, Ink: palette.Dim})
	}
	return append(art,
		kit.Mark{Shape: kit.Line, Points: []kit.Point{at(now+180, .72), at(now, .72)}, Width: 4, Ink: palette.Accent},
		kit.Mark{Shape: kit.Line, Points: []kit.Point{at(now-16, .46), at(now, .78), at(now+16, .46)}, Width: 4, Ink: palette.Accent})
}
