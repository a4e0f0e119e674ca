package bench

import (
	"fmt"
	"math"
	"slices"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/run"
)

// set is what is set in the set-up and is not yet an act.
type set struct {
	open  string // the page that is open
	shown string // and the one that was last scrolled to

	supports    int     // 0: flat on the bench
	left, right float64 // of the outer supports, mm from the left end
	clamp       bool
	minutes     float64 // of a soak

	chamfer float64 // mm

	pattern int
	pockets float64 // depth, um
}

// Bounds and steps of what is set there.
const (
	leastChamfer, mostChamfer, chamferStep = .1, 3.0, .1
	leastSoak, mostSoak, soakStep          = 10.0, 720.0, 10.0
	mostPasses                             = 12
	mostCircles                            = 20
	mostPress                              = 300.0
	offStep                                = 10.0
	pocketStep                             = 1.0
	// quarter is where the outer of two supports stand unless they are moved,
	// as a share of the length from its end: where a bar of even section sags
	// least (Airy and Bessel points lie at .211 and .220).
	quarter = .22
)

func firstSet(length float64) set {
	return set{left: math.Round(quarter * length), right: math.Round((1 - quarter) * length), minutes: 60, chamfer: .5, pockets: 25}
}

// pages of the set-up, in the order in which they are shown.
var setupPages = []string{"steps", "colour", "rubbing", "bench", "cutting", "edges", "pockets"}

// setup is the set-up of the day: what is seldom changed, one page open at a time.
func (b *Bench) setup(u *kit.UI, c *kit.Column) {
	c.Name("setup.name", words.Say("bench.setup"))
	for i, page := range setupPages {
		open := b.set.open == page
		if open && b.set.shown != page {
			c.ScrollTo(c.Left().Y) // it and what it holds are what was asked for
			b.set.shown = page
		}
		if c.Option("setup.pages", i, words.Say("bench.setup."+page), b.stands(page), kit.Opts{Checked: open}) {
			b.set.open = page
			if open {
				b.set.open, b.set.shown = "", ""
			}
		}
		if b.set.open != page {
			continue
		}
		switch page {
		case "steps":
			b.oneByOne(c)
		case "colour":
			b.colouring(c)
		case "rubbing":
			b.rubbed(c)
		case "bench":
			b.onBench(c)
		case "cutting":
			b.cutting(c)
		case "edges":
			b.edges(c)
		case "pockets":
			b.oilPockets(c)
		}
		c.Space(gap)
	}
}

// stands is how a page of the set-up stands, in a line.
func (b *Bench) stands(page string) string {
	height, across := b.desk.Set.Units.Height, b.desk.Set.Units.Across
	switch page {
	case "colour":
		on, under := "bench.colour.rolled.plate", "bench.colour.under.none"
		if b.routine.onPart {
			on = "bench.colour.rolled.part"
		}
		if b.routine.contrast != "" {
			under = "bench.colour.under." + b.routine.contrast
		}
		return words.Count("bench.colour.stands", b.routine.passes, "on", b.say(on), "under", words.Say(under))
	case "rubbing":
		s := words.Count("bench.rubbing.stands", b.routine.circles)
		if b.routine.press > 0 {
			s = words.Count("bench.rubbing.pressed", b.routine.circles, "force", int(b.routine.press))
		}
		return s
	case "bench":
		s := words.Say("bench.supports." + supportKeys[0])
		if a := b.supported(); a != nil && len(a.Points) > 0 {
			s = words.Say("bench.supports.on", "n", len(a.Points))
		}
		if a := b.supported(); a != nil && a.Clamp {
			s += ", " + words.Say("bench.supports.clamped")
		}
		return s
	case "cutting":
		edge := b.work.Run.Blade()
		s := words.Say("bench.cutting.stands", "radius", across(edge.RadiusMM), "handle", int(math.Round(edge.Handle*180/math.Pi)), "worn", b.worn())
		if b.decided.wet {
			s += ", " + words.Say("bench.cutting.wet.on")
		}
		return s
	case "edges":
		for _, e := range slices.Backward(b.work.Run.Entries()) {
			if a := e.Act.Chamfer; a != nil {
				return words.Say("bench.edges.broken", "width", across(float64(a.Width)/100))
			}
		}
		return words.Say("bench.edges.none")
	case "pockets":
		return words.Say("bench.pockets.stands", "depth", height(b.set.pockets))
	}
	return words.Say("bench.steps.stands")
}

// worn is how worn the edge in hand is, per cent.
func (b *Bench) worn() int { return int(math.Round(100 * b.work.Run.Blade().Bluntness())) }

// supported is how the part was last set on the bench; nil when it never was.
func (b *Bench) supported() *run.Support {
	for _, e := range slices.Backward(b.work.Run.Entries()) {
		if e.Act.Support != nil {
			return e.Act.Support
		}
	}
	return nil
}

// oneByOne does single steps, whatever is ticked.
func (b *Bench) oneByOne(c *kit.Column) {
	off := b.work.Busy() || b.work.OnMaster()
	o := kit.Opts{Disabled: off}
	ids := []string{"stone", "wipe", "plate", "roll", "half"}
	labels, opts := make([]string, len(ids)), make([]kit.Opts, len(ids))
	for i, id := range ids {
		labels[i], opts[i] = b.say("bench.one."+id), o
		opts[i].Tip = b.say("bench.tip.one." + id)
	}
	prefixed := make([]string, len(ids))
	for i, id := range ids {
		prefixed[i] = "one." + id
	}
	hit := c.Buttons(labels, prefixed, opts)
	if hit < 0 {
		return
	}
	switch ids[hit] {
	case "wipe":
		b.work.Do(run.Act{Wipe: &run.Wipe{What: "part"}})
	case "plate":
		b.work.Do(run.Act{Wipe: &run.Wipe{What: "master"}})
	case "roll":
		b.work.Do(run.Act{Roll: b.routine.roll()})
	default:
		b.work.Do(b.routine.acts(ids[hit])...)
	}
}

var (
	colourOn     = []string{"plate", "part"}
	contrastKeys = []string{"none", "red", "yellow"}
)

// colouring is how colour is rolled, on what, and what lies under it.
func (b *Bench) colouring(c *kit.Column) {
	r := &b.routine
	b.filmSlider(c)
	passes, _ := c.Slider("passes", words.Say("bench.passes"), fmt.Sprint(r.passes), float64(r.passes), 1, mostPasses, 1, kit.Opts{Tip: words.Say("bench.tip.passes")})
	r.passes = int(passes)
	on := 0
	if r.onPart {
		on = 1
	}
	c.Text("on.name", words.Say("bench.colour.on"), kit.Small, kit.Quiet)
	r.onPart = b.pickOf(c, "on", "bench.colour.on.", colourOn, on) == 1
	c.Text("contrast.name", words.Say("bench.contrast"), kit.Small, kit.Quiet)
	at := max(0, slices.Index(contrastKeys, r.contrast))
	if at = b.pickOf(c, "contrast", "bench.contrast.", contrastKeys, at); at == 0 {
		r.contrast = ""
	} else {
		r.contrast = contrastKeys[at]
	}
}

// rubbed is where the part is put down, how far it is rubbed, and how hard.
func (b *Bench) rubbed(c *kit.Column) {
	r, across := &b.routine, b.desk.Set.Units.Across
	circles, _ := c.Slider("circles", words.Say("bench.rubbing.circles"), fmt.Sprint(r.circles), float64(r.circles), 1, mostCircles, 1, kit.Opts{Tip: words.Say("bench.tip.circles")})
	r.circles = int(circles)
	r.press, _ = c.Slider("press", words.Say("bench.rubbing.press"), fmt.Sprintf("%.0f N", r.press), r.press, 0, mostPress, 5, kit.Opts{Tip: words.Say("bench.tip.press")})
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	if r.press > 0 {
		r.pressAt[0], _ = c.Slider("press.x", words.Say("bench.rubbing.pressx"), across(r.pressAt[0]), r.pressAt[0], x0, x1, 1, kit.Opts{})
		r.pressAt[1], _ = c.Slider("press.y", words.Say("bench.rubbing.pressy"), across(r.pressAt[1]), r.pressAt[1], y0, y1, 1, kit.Opts{})
	}
	m := b.work.Run.Header().Setup.Master
	c.Text("off.name", b.say("bench.rubbing.off"), kit.Small, kit.Quiet)
	for i, side := range []float64{m.LengthMM, m.WidthMM} {
		if reach := offStep * math.Floor(side/2/offStep); reach > 0 {
			key := [2]string{"along", "over"}[i]
			r.off[i], _ = c.Slider("off."+key, words.Say("bench.rubbing.off."+key), across(r.off[i]), r.off[i], -reach, reach, offStep, kit.Opts{Tip: b.say("bench.tip.off")})
		}
	}
}

var supportKeys = []string{"flat", "two", "three"}

// supportPoints are where the supports that are set would stand, mm.
func (b *Bench) supportPoints() [][2]float64 {
	_, y0, _, y1 := b.work.Run.Grid().Edges()
	y := (y0 + y1) / 2
	switch b.set.supports {
	case 1:
		return [][2]float64{{b.set.left, y}, {b.set.right, y}}
	case 2:
		return [][2]float64{{b.set.left, y}, {(b.set.left + b.set.right) / 2, y}, {b.set.right, y}}
	}
	return nil
}

// supporting reports whether the iron shows supports that can be moved.
func (b *Bench) supporting() bool {
	return b.drawer == setupDrawer && b.set.open == "bench" && b.set.supports > 0
}

// moveSupport moves the outer support that is nearer to x, mm, there.
func (b *Bench) moveSupport(x float64) {
	x0, _, x1, _ := b.work.Run.Grid().Edges()
	s, mid := &b.set, (x0+x1)/2
	if x < mid {
		s.left = max(x0, min(math.Round(x), math.Floor(mid)-1))
	} else {
		s.right = min(x1, max(math.Round(x), math.Ceil(mid)+1))
	}
}

// onBench is how the part stands on the bench, and for how long it is left there.
func (b *Bench) onBench(c *kit.Column) {
	s, across := &b.set, b.desk.Set.Units.Across
	x0, _, x1, _ := b.work.Run.Grid().Edges()
	s.supports = b.pickOf(c, "supports", "bench.supports.", supportKeys, s.supports)
	if s.supports > 0 {
		mid := (x0 + x1) / 2
		s.left, _ = c.Slider("support.left", words.Say("bench.supports.left"), across(s.left), s.left, x0, math.Floor(mid)-1, 1, kit.Opts{Tip: words.Say("bench.tip.supports")})
		s.right, _ = c.Slider("support.right", words.Say("bench.supports.right"), across(s.right), s.right, math.Ceil(mid)+1, x1, 1, kit.Opts{Tip: words.Say("bench.tip.supports")})
	}
	s.clamp, _ = c.Toggle("clamp", words.Say("bench.supports.clamp"), s.clamp, kit.Opts{Tip: words.Say("bench.tip.clamp")})
	off := b.work.Busy() || b.work.OnMaster()
	if c.Button("support", words.Say("bench.supports.set"), kit.Opts{Disabled: off}) {
		a := &run.Support{Points: [][2]int{}, Clamp: s.clamp}
		for _, p := range b.supportPoints() {
			a.Points = append(a.Points, lattice(p))
		}
		b.work.Do(run.Act{Support: a})
	}
	s.minutes, _ = c.Slider("minutes", words.Say("bench.soak.for"), minutes(s.minutes), s.minutes, leastSoak, mostSoak, soakStep, kit.Opts{Tip: b.say("bench.tip.soak")})
	label := "bench.soak.bench"
	if b.work.OnMaster() {
		label = "bench.soak.plate"
	}
	if c.Button("soak", b.say(label), kit.Opts{Disabled: b.work.Busy()}) {
		b.work.Do(run.Act{Soak: &run.Soak{MS: int(s.minutes * 60_000)}})
	}
	c.Text("warmth", b.warmth(), kit.Small, kit.Quiet)
}

func minutes(m float64) string {
	if m < 60 {
		return fmt.Sprintf("%.0f min", m)
	}
	return fmt.Sprintf("%d h %02d", int(m)/60, int(m)%60)
}

var setBy = []string{"depth", "push"}

// cutting is the blade, and how a cut is set.
func (b *Bench) cutting(c *kit.Column) {
	by := 0
	if b.decided.byPush {
		by = 1
	}
	c.Text("setby.name", words.Say("bench.setby"), kit.Small, kit.Quiet)
	if now := b.pickOf(c, "setby", "bench.setby.", setBy, by); now != by {
		b.decided.byPush = now == 1
		edge := b.work.Run.Blade()
		b.decided.push = max(leastPush, min(mostPush, pushStep*math.Round(edge.ForceFromDepth(b.decided.depth)/pushStep)))
		b.decided.depth = depths[depthAt(b.decided.depth)]
	}
	b.decided.wet, _ = c.Toggle("wet", words.Say("bench.cutting.wet"), b.decided.wet, kit.Opts{Tip: words.Say("bench.tip.wet")})
	off := b.work.Busy() || b.work.OnMaster()
	labels, ids := []string{words.Say("bench.blade.hone"), words.Say("bench.blade.change")}, []string{"hone", "change"}
	switch c.Buttons(labels, ids, []kit.Opts{{Disabled: off, Tip: words.Say("bench.tip.hone")}, {Disabled: off, Key: "k", Tip: words.Say("bench.tip.blade", "worn", b.worn())}}) {
	case 0:
		b.work.Do(run.Act{Hone: &run.Hone{}})
	case 1:
		b.openBlades()
	}
}

// edges breaks the part's edges.
func (b *Bench) edges(c *kit.Column) {
	b.set.chamfer, _ = c.Slider("chamfer.width", words.Say("bench.edges.width"), b.desk.Set.Units.Across(b.set.chamfer), b.set.chamfer, leastChamfer, mostChamfer, chamferStep, kit.Opts{})
	c.Text("edges.care", words.Say("bench.edges.care"), kit.Small, kit.Quiet)
	if c.Button("chamfer", words.Say("bench.edges.break"), kit.Opts{Disabled: b.work.Busy() || b.work.OnMaster(), Tip: words.Say("bench.tip.edges")}) {
		b.work.Do(run.Act{Chamfer: &run.Chamfer{Width: int(math.Round(100 * b.set.chamfer))}})
	}
}

// oilPockets flakes the painted part of the face, or all of it.
func (b *Bench) oilPockets(c *kit.Column) {
	s := &b.set
	s.pattern = b.pickOf(c, "pattern", "bench.pockets.", blade.Patterns(), s.pattern)
	s.pockets, _ = c.Slider("pockets.depth", words.Say("bench.depth"), b.desk.Set.Units.Height(s.pockets), s.pockets, blade.FlakeLow, blade.FlakeHigh, pocketStep, kit.Opts{})
	c.Text("pockets.when", words.Say("bench.pockets.when"), kit.Small, kit.Quiet)
	label := "bench.pockets.all"
	if !b.painted.empty() {
		label = "bench.pockets.painted"
	}
	if c.Button("flake", words.Say(label), kit.Opts{Disabled: b.work.Busy() || b.work.OnMaster(), Tone: kit.Caution}) {
		region := b.painted
		if region.empty() {
			region = b.newPaint()
			region.fill()
		}
		b.work.Do(run.Act{Flake: &run.Flake{Pattern: blade.Patterns()[s.pattern], Depth: int(math.Round(100 * s.pockets)), Region: *region.region()}})
	}
}
