package bench

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/advice"
	"github.com/before-iron/beforeiron/sim/run"
)

// drawer is what stands in the column instead of the cut and the routine.
type drawer uint8

const (
	shut drawer = iota
	checksDrawer
	setupDrawer
)

// pull opens a drawer, or shuts the one that is open.
func (b *Bench) pull(d drawer) {
	if b.drawer == d {
		d = shut
	}
	b.drawer = d
}

// openDrawer is the open drawer with its way back at its foot.
func (b *Bench) openDrawer(u *kit.UI, r kit.Rect) {
	foot, body := r.Bottom(u.ControlHeight())
	_, body = body.Bottom(gap)
	switch b.drawer {
	case checksDrawer:
		c := u.ScrollColumn("checks", body, gap-2)
		b.checks(u, c)
		c.Close()
	case setupDrawer:
		c := u.ScrollColumn("setup", body, gap-2)
		b.setup(u, c)
		c.Close()
	}
	if u.Button(foot, "drawer.back", words.Say("bench.drawer.back"), kit.Opts{Key: "Esc"}) {
		b.drawer = shut
	}
}

// hinge is how the part is to be pushed, and what the last push showed.
type hinge struct {
	end, way int
	told     string
	form     string      // that it speaks for
	at       *[2]float64 // where it turned, mm
}

// The ends at which a part can be pushed.
var (
	pushEnds = []string{"left", "right", "upper", "lower"}
)

// ways are those in which the end that is set can be pushed, as they are seen.
func (h hinge) ways() []string {
	if end := pushEnds[h.end]; end == "left" || end == "right" {
		return []string{"down", "up"}
	}
	return []string{"right", "left"}
}

// edgeMM is how far from the edge a hand pushes.
const edgeMM = 4.0

// push is the push that is set.
func (b *Bench) push() *run.Push {
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	at, dir := [2]float64{(x0 + x1) / 2, (y0 + y1) / 2}, 90
	switch pushEnds[b.hinge.end] {
	case "left":
		at[0] = x0 + edgeMM
	case "right":
		at[0] = x1 - edgeMM
	case "upper":
		at[1], dir = y0+edgeMM, 0
	case "lower":
		at[1], dir = y1-edgeMM, 0
	}
	if b.hinge.way == 1 {
		dir += 180
	}
	return &run.Push{At: lattice(at), Dir: mrad(dir)}
}

// swing sets the part down, pushes it and takes it up again.
func (b *Bench) swing() {
	push := run.Act{Push: b.push()}
	if b.work.OnMaster() {
		b.work.Do(push)
		return
	}
	b.work.Do(b.routine.place(), push, run.Act{Lift: &run.Lift{}})
}

// swung takes in what a push showed.
func (b *Bench) swung(a *run.Push, p run.Pivot) {
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	length := x1 - x0
	if s := math.Abs(math.Sin(float64(a.Dir) / 1000)); s < .5 {
		length = y1 - y0
	}
	b.hinge.at = &[2]float64{float64(p.X) / 100, float64(p.Y) / 100}
	b.hinge.form = advice.Hinge(p)
	b.hinge.told = words.Say("bench.hinge.told", "far", b.desk.Set.Units.Across(float64(p.Far)/1000*length),
		"share", int(math.Round(float64(p.Far)/10)), "even", int(math.Round(float64(p.Even)/10)))
}

// checks are what can be asked of the part without cutting it.
func (b *Bench) checks(u *kit.UI, c *kit.Column) {
	busy := b.work.Busy()
	off := busy || b.work.OnMaster()
	c.Name("checks.name", words.Say("bench.checks"))
	c.Text("checks.how", words.Say("bench.checks.how"), kit.Small, kit.Quiet)
	for _, t := range []struct {
		id, key string
		icon    []kit.Mark
		shows   instrument
	}{{"indicator", "i", dialIcon, indicator}, {"block", "b", blockIcon, block}} {
		o := kit.Opts{Art: t.icon, Key: t.key, Disabled: off, Tip: words.Say("bench.tip." + t.id)}
		if c.Button(t.id, words.Say("bench."+t.id), o) {
			b.measure(t.shows)
		}
	}
	if c.Button("check.frame", words.Say("bench.tool.frame"), kit.Opts{Art: frameIcon, Key: "4", Disabled: off, Tip: words.Say("bench.tip.frame", "key", 4)}) {
		b.take(frameTool)
	}
	if c.Button("again", words.Say("bench.again"), kit.Opts{Art: stepIcons["half"], Disabled: off || b.noPrintLeft(), Tip: b.say("bench.tip.again")}) {
		b.printTurned()
	}

	c.Name("hinge.name", words.Say("bench.hinge"))
	b.hinge.end = b.pickOf(c, "hinge.end", "bench.hinge.end.", pushEnds, b.hinge.end)
	b.hinge.way = b.pickOf(c, "hinge.way", "bench.hinge.way.", b.hinge.ways(), b.hinge.way)
	if c.Button("push", words.Say("bench.hinge.push"), kit.Opts{Disabled: busy, Tip: b.say("bench.tip.hinge")}) {
		b.swing()
	}
	if b.hinge.told != "" {
		c.Text("hinge.told", b.hinge.told, kit.Body, kit.Lit)
		if !b.work.Run.Header().Setup.Scored { // there the learner is to conclude
			c.Text("hinge.says", words.Say("bench.hinge.says."+b.hinge.form), kit.Body, kit.Plain)
			c.Text("hinge.rough", words.Say("bench.hinge.rough"), kit.Small, kit.Quiet)
		}
	}
	c.Name("warmth.name", words.Say("bench.warmth"))
	c.Text("warmth", b.warmth(), kit.Body, kit.Plain)
	if b.stacked(u) { // the bar does not always say the whole of it
		c.Name("asked.name", words.Say("bench.asked"))
		c.Text("asked", b.askedFor(), kit.Small, kit.Quiet)
	}
}

// warmth is what a contact thermometer shows.
func (b *Bench) warmth() string {
	return b.say("bench.warmth.shows", "kelvin", fmt.Sprintf("%+.1f", b.work.Run.WarmerK()))
}

// printTurned prints the part again, turned half round, with the film that is set
// and nothing cut between: what turns with the part is the part's, what stays is
// the master's or the film's.
func (b *Bench) printTurned() {
	var acts []run.Act
	for _, s := range []string{"wipe", "half", "roll", "rub", "over"} {
		acts = append(acts, b.routine.acts(s)...)
	}
	b.frame = nil
	b.work.Do(acts...)
}

// noPrintLeft reports whether the job allows no more prints.
func (b *Bench) noPrintLeft() bool {
	left, bound := b.work.PrintsLeft()
	return bound && left == 0
}

// pickOf is one of several in a column; what each is called stands among the words
// under prefix.
func (b *Bench) pickOf(c *kit.Column, id, prefix string, keys []string, at int) int {
	labels := make([]string, len(keys))
	for i, k := range keys {
		labels[i] = b.say(prefix + k)
	}
	at, _ = c.Choose(id, labels, at, nil)
	return at
}
