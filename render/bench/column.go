package bench

import (
	"fmt"
	"math"
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/units"
)

// column is what is decided, at the right: the cut and the routine, with the two
// buttons that go on from there always at its foot. A guess, the checks or the
// set-up take its place.
func (b *Bench) column(u *kit.UI) {
	u.Panel(b.layout.column, "column", words.Say("bench.column"))
	r := b.layout.column.Inset(gap)
	switch {
	case b.guess != nil:
		c := u.ScrollColumn("guess.column", r, gap-1)
		defer c.Close()
		b.guessing(u, c)
	case b.drawer != shut:
		b.openDrawer(u, r)
	default:
		foot, body := r.Bottom(2*u.ControlHeight() + gap/2)
		_, body = body.Bottom(gap)
		c := u.ScrollColumn("decisions", body, gap-2)
		b.decide(u, c)
		b.routineStrip(u, c)
		c.Close()
		// Where there is room, they follow at once.
		foot.Y = min(foot.Y, c.Left().Y+gap/2)
		f := u.Column(foot, gap/2)
		b.cutButton(u, f.Take(u.ControlHeight()))
		b.goButton(u, f.Take(u.ControlHeight()))
		b.asked(u, kit.Rect{X: r.X, Y: foot.Y + foot.H + 2*gap, W: r.W, H: r.Y + r.H - foot.Y - foot.H - 2*gap})
	}
}

// asked is what the job asks for, where there is room to have it in sight.
func (b *Bench) asked(u *kit.UI, r kit.Rect) {
	t := b.work.Run.Header().Setup.Target
	text := words.Say("bench.asked.points", "points", fmt.Sprint(t.PointsPerIn2), "frame", t.FrameMin, "low", fmt.Sprint(t.AreaPct[0]), "high", fmt.Sprint(t.AreaPct[1]), "film", b.desk.Set.Units.Height(t.FilmUM))
	if t.BridgedUM > 0 {
		text += ",\n" + words.Say("bench.asked.bridged", "bridged", b.desk.Set.Units.Height(t.BridgedUM))
	}
	name := math.Ceil(u.Line(kit.Name))
	need := math.Ceil(u.TextHeight(kit.Small, text, r.W))
	if name+4+need > r.H {
		return
	}
	u.Text(kit.Rect{X: r.X, Y: r.Y, W: r.W, H: name}, "asked.name", words.Say("bench.asked"), kit.Name, kit.Lit, kit.Start).Role = kit.RoleHeading
	u.Text(kit.Rect{X: r.X, Y: r.Y + name + 4, W: r.W, H: need}, "asked", text, kit.Small, kit.Quiet, kit.Start)
}

// named reports whether the parts of the column have names over them: large text
// needs the room.
func named(u *kit.UI) bool { return u.TextScale < 1.7 }

// barParts are the words of the bar: one line of guidance, the hours on iron, the
// prints.
func (b *Bench) barParts() (guidance, hours, prints string, tone kit.Tone) {
	r := b.work.Run
	if b.work.Busy() {
		a, share := b.work.Doing()
		guidance = words.Say("bench.doing."+a.Kind(), "percent", int(math.Round(100*share)))
		if a.Rub != nil && share == 0 {
			guidance = words.Say("bench.rubbing")
		}
	} else {
		guidance, tone = b.guide.say(b)
	}
	hours = words.Say("bench.hours", "time", units.Time(b.work.MS()))
	prints = words.Say("bench.print", "n", r.Prints())
	if left, bound := b.work.PrintsLeft(); bound {
		prints = words.Say("bench.print.of", "n", r.Prints(), "of", r.Prints()+left)
	}
	return guidance, hours, prints, tone
}

// barLines is how many lines of guidance there is room for: large words take more
// of them.
func barLines(u *kit.UI) int {
	if u.TextScale >= 1.5 {
		return 3
	}
	return 2
}

// barHeight is the height of the bar in the given width.
func (b *Bench) barHeight(u *kit.UI, width float64) float64 {
	_, hours, prints, _ := b.barParts()
	h := b.guidanceHeight(u) + 2*gap
	if barStacks(u, width, hours, prints) {
		// Guidance above, hours and buttons below.
		return math.Ceil(h + max(u.Line(kit.Figure), u.ControlHeight()) + gap/2)
	}
	return math.Ceil(max(h, 2*u.Line(kit.Figure)+2*gap, u.ControlHeight()+2*gap))
}

// guidanceHeight is the room for guidance: the first steps stand in larger type.
func (b *Bench) guidanceHeight(u *kit.UI) float64 {
	kind := kit.Body
	if u.TextScale < 1.5 && b.at() < len(firstSteps) {
		kind = kit.Heading
	}
	return float64(barLines(u)) * u.Line(kind)
}

// barStacks reports whether the hours stand below the guidance, on one line.
func barStacks(u *kit.UI, width float64, hours, prints string) bool {
	return max(u.Width(kit.Figure, hours), u.Width(kit.Figure, prints)) > width*.24
}

// bar is the bottom line: guidance, what is going on, hours on iron.
func (b *Bench) bar(u *kit.UI) {
	r := b.layout.bar
	u.Panel(r, "bar", words.Say("bench.bar"))
	guidance, hours, prints, tone := b.barParts()
	inner := r.Inset(gap)
	var words1, rest kit.Rect
	clock := hours + "\n" + prints
	clockWidth := math.Ceil(max(u.Width(kit.Figure, hours), u.Width(kit.Figure, prints))) + 2
	if barStacks(u, r.W, hours, prints) {
		words1, rest = inner.Top(b.guidanceHeight(u))
		rest.Y += gap / 2
		rest.H -= gap / 2
		clock = hours + " · " + prints
		clockWidth = math.Ceil(u.Width(kit.Figure, clock)) + 2
		if b.work.Busy() {
			clock, clockWidth = hours, math.Ceil(u.Width(kit.Figure, hours))+2
		}
	} else {
		rest, words1 = inner.Right(clockWidth + b.buttonsWidth(u))
		words1.W -= gap
	}
	clockBox, buttons := rest.Right(min(clockWidth, rest.W))
	kind, text := fitGuidance(u, guidance, words1, barLines(u), b.at() < len(firstSteps))
	u.Status(words1, "guidance", text, kind, tone)
	u.Text(clockBox, "hours", clock, kit.Figure, kit.Quiet, kit.Finish)
	if !b.work.Busy() {
		return
	}
	box := kit.Rect{X: buttons.X, Y: buttons.Y + (buttons.H-u.ControlHeight())/2, H: u.ControlHeight()}
	box.W = u.ButtonWidth(words.Say("bench.skip"), "s")
	if u.Button(box, "skip", words.Say("bench.skip"), kit.Opts{Key: "s", Tip: words.Say("bench.tip.skip")}) {
		b.hurry = true
	}
	box.X += box.W + gap
	box.W = u.ButtonWidth(words.Say("bench.stop"), "")
	if u.Button(box, "stop", words.Say("bench.stop"), kit.Opts{Tip: words.Say("bench.tip.stop")}) {
		b.work.Stop()
	}
}

// fitGuidance chooses the type in which a line of guidance fits: the first steps
// as large as they can be, long advice smaller, and what fits in no type cut off.
func fitGuidance(u *kit.UI, text string, r kit.Rect, lines int, large bool) (kit.Type, string) {
	kinds := []kit.Type{kit.Body, kit.Small}
	if large {
		kinds = append([]kit.Type{kit.Heading}, kinds...)
	}
	for _, k := range kinds {
		if u.TextHeight(k, text, r.W) <= r.H+.5 {
			return k, text
		}
	}
	broken := u.Wrap(kit.Small, text, r.W)
	most := min(len(broken), max(lines, int((r.H+.5)/u.Line(kit.Small))))
	kept := strings.Join(broken[:most-1], "\n")
	return kit.Small, kept + "\n" + u.Shorten(kit.Small, strings.Join(broken[most-1:], " "), r.W)
}

func (b *Bench) buttonsWidth(u *kit.UI) float64 {
	if !b.work.Busy() {
		return 0
	}
	return u.ButtonWidth(words.Say("bench.skip"), "s") + u.ButtonWidth(words.Say("bench.stop"), "") + 3*gap
}
