package bench

import (
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/units"
)

// column is what is decided, at the right.
func (b *Bench) column(u *kit.UI) {
	u.Panel(b.layout.column, "column", words.Say("bench.column"))
	c := u.ScrollColumn("decisions", b.layout.column.Inset(gap), gap-1)
	defer c.Close()
	if b.guess != nil {
		b.guessing(u, c)
		return
	}
	b.decide(u, c)
	b.routineStrip(u, c)
	busy := b.work.Busy() || b.work.OnMaster()
	if c.Button("signoff", words.Say("bench.signoff"), kit.Opts{Tone: kit.Quiet, Disabled: busy || b.work.Run.Prints() == 0, Tip: words.Say("bench.tip.signoff")}) {
		b.openDeclare()
	}
}

// barParts are the words of the bar: one line of guidance, and the hours.
func (b *Bench) barParts() (guidance, hours string, tone kit.Tone) {
	r := b.work.Run
	ms := b.work.MS()
	if b.work.Busy() {
		a, share := b.work.Doing()
		guidance = words.Say("bench.doing."+a.Kind(), "percent", int(math.Round(100*share)))
	} else {
		guidance, tone = b.guide.say(b)
	}
	hours = words.Say("bench.hours", "time", units.Time(ms)) + " · " + words.Say("bench.print", "n", r.Prints())
	if left, bound := b.work.PrintsLeft(); bound {
		hours = words.Say("bench.hours", "time", units.Time(ms)) + " · " + words.Say("bench.print.of", "n", r.Prints(), "of", r.Prints()+left)
	}
	return guidance, hours, tone
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
	_, hours, _ := b.barParts()
	hoursWidth := u.Width(kit.Figure, hours)
	lines := float64(barLines(u))
	h := lines*u.Line(kit.Body) + 2*gap
	if b.barStacks(width, hoursWidth) {
		// Guidance above, hours and buttons below.
		return math.Ceil(h + max(u.Line(kit.Figure), u.ControlHeight()) + gap/2)
	}
	return math.Ceil(max(h, u.ControlHeight()+2*gap))
}

func (b *Bench) barStacks(width, hours float64) bool { return hours > width*.38 }

// bar is the bottom line: guidance, what is going on, hours on iron.
func (b *Bench) bar(u *kit.UI) {
	r := b.layout.bar
	u.Panel(r, "bar", words.Say("bench.bar"))
	guidance, hours, tone := b.barParts()
	inner := r.Inset(gap)
	hoursWidth := math.Ceil(u.Width(kit.Figure, hours)) + 2
	var words1, rest kit.Rect
	if b.barStacks(r.W, u.Width(kit.Figure, hours)) {
		words1, rest = inner.Top(float64(barLines(u)) * u.Line(kit.Body))
		rest.Y += gap / 2
		rest.H -= gap / 2
	} else {
		rest, words1 = inner.Right(hoursWidth + b.buttonsWidth(u))
		words1.W -= gap
	}
	hoursBox, buttons := rest.Right(min(hoursWidth, rest.W))
	lines := u.Wrap(kit.Body, guidance, words1.W)
	if len(lines) > barLines(u) {
		rest := guidance
		guidance = ""
		for i := range barLines(u) - 1 {
			guidance += lines[i] + "\n"
			rest = rest[len(lines[i])+1:]
		}
		guidance += u.Shorten(kit.Body, rest, words1.W)
	}
	u.Status(words1, "guidance", guidance, kit.Body, tone)
	u.Text(hoursBox, "hours", hours, kit.Figure, kit.Quiet, kit.Finish)
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

func (b *Bench) buttonsWidth(u *kit.UI) float64 {
	if !b.work.Busy() {
		return 0
	}
	return u.ButtonWidth(words.Say("bench.skip"), "s") + u.ButtonWidth(words.Say("bench.stop"), "") + 3*gap
}
