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
		buttons := 2.0
		if b.desk.Board {
			buttons++
		}
		foot, body := r.Bottom(buttons*(u.ControlHeight()+gap/2) - gap/2)
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
		if b.desk.Board && u.Button(f.Take(u.ControlHeight()), "fold", words.Say("bench.fold"), kit.Opts{Key: "d"}) {
			b.unfolded = false
		}
		if b.stacked(u) {
			return // it stands in the bar
		}
		b.asked(u, kit.Rect{X: r.X, Y: foot.Y + foot.H + 2*gap, W: r.W, H: r.Y + r.H - foot.Y - foot.H - 2*gap})
	}
}

// askedFor is what the job asks for.
func (b *Bench) askedFor() string {
	t := b.work.Run.Header().Setup.Target
	text := words.Say("bench.asked.points", "points", fmt.Sprint(t.PointsPerIn2), "frame", t.FrameMin, "low", fmt.Sprint(t.AreaPct[0]), "high", fmt.Sprint(t.AreaPct[1]), "film", b.desk.Set.Units.Height(t.FilmUM))
	if t.BridgedUM > 0 {
		text += ",\n" + words.Say("bench.asked.bridged", "bridged", b.desk.Set.Units.Height(t.BridgedUM))
	}
	if t.BareUM[1] > 0 {
		text += ",\n" + words.Say("bench.asked.bare", "low", b.desk.Set.Units.Height(t.BareUM[0]), "high", b.desk.Set.Units.Height(t.BareUM[1]))
	}
	return text
}

// asked says what the job asks for, where there is room to have it in sight.
func (b *Bench) asked(u *kit.UI, r kit.Rect) {
	text := b.askedFor()
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
		guidance = b.say("bench.doing."+a.Kind(), "percent", int(math.Round(100*share)))
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
	h := b.guidanceHeight(u) + 2*gap
	if b.stacked(u) {
		// Guidance above, how it stands below, and the buttons there or below that.
		stands := u.TextHeight(kit.Small, b.standing(u, width-2*gap), width-2*gap)
		if b.folded() {
			return math.Ceil(h + stands + u.ControlHeight() + gap)
		}
		return math.Ceil(h + max(stands, u.ControlHeight()) + gap/2)
	}
	return math.Ceil(max(h, 2*u.Line(kit.Figure)+2*gap, u.ControlHeight()+2*gap))
}

// guidanceHeight is the room for guidance: the first steps stand in larger type, and
// where they were said the room stays, so that the face keeps its size.
func (b *Bench) guidanceHeight(u *kit.UI) float64 {
	if b.desk.Board {
		return 2 * u.Line(kit.Small)
	}
	kind := kit.Body
	if u.TextScale < 1.5 && b.guides() {
		kind = kit.Heading
	}
	return float64(barLines(u)) * u.Line(kind)
}

// stacked reports whether the bar says below the guidance how the work stands and
// what is asked for: words are large.
func (b *Bench) stacked(u *kit.UI) bool { return b.desk.Board || u.TextScale >= 1.5 }

// standing is the hours, the prints and what is asked for, as much of it as stands on
// two lines of the given width; on a board the prints, the film and what is asked for,
// as much of it as stands on one.
func (b *Bench) standing(u *kit.UI, width float64) string {
	_, hours, prints, _ := b.barParts()
	t := b.work.Run.Header().Setup.Target
	height := b.desk.Set.Units.Height
	asked := words.Say("bench.asked.short", "points", fmt.Sprint(t.PointsPerIn2), "film", height(t.FilmUM))
	if !b.desk.Board {
		stands := hours + " · " + prints + " · "
		most := max(2, len(u.Wrap(kit.Small, stands+asked, width)))
		for _, more := range []string{
			words.Say("bench.asked.bar", "asked", strings.ReplaceAll(b.askedFor(), "\n", " ")),
			words.Say("bench.asked.figures", "points", fmt.Sprint(t.PointsPerIn2), "frame", t.FrameMin, "low", fmt.Sprint(t.AreaPct[0]), "high", fmt.Sprint(t.AreaPct[1]), "film", height(t.FilmUM)),
		} {
			if len(u.Wrap(kit.Small, stands+more, width)) <= most {
				return stands + more
			}
		}
		return stands + asked
	}
	if label, tone := b.label(); tone != kit.Plain {
		// It is not this iron's print any more: that comes first.
		return u.Shorten(kit.Small, label+" · "+words.Say("bench.asked.points.short", "points", fmt.Sprint(t.PointsPerIn2)), width)
	}
	short := prints + " · " + words.Say("bench.asked.points.short", "points", fmt.Sprint(t.PointsPerIn2))
	if film := b.work.Run.Film(); film > 0 {
		long := prints + " · " + words.Say("bench.bar.film", "film", height(film)) + " · " + asked
		if u.Width(kit.Small, long) <= width {
			return long
		}
	}
	return short
}

// bar is the bottom line: guidance, what is going on, hours on iron.
func (b *Bench) bar(u *kit.UI) {
	r := b.layout.bar
	u.Panel(r, "bar", words.Say("bench.bar"))
	guidance, hours, prints, tone := b.barParts()
	inner := r.Inset(gap)
	var words1, rest, buttons kit.Rect
	clock := hours + "\n" + prints
	clockWidth := math.Ceil(max(u.Width(kit.Figure, hours), u.Width(kit.Figure, prints))) + 2
	clockKind, clockAt := kit.Figure, kit.Finish
	if b.stacked(u) {
		words1, rest = inner.Top(b.guidanceHeight(u))
		_, rest = rest.Top(gap / 2)
		clock, clockWidth, clockKind, clockAt = b.standing(u, inner.W), inner.W, kit.Small, kit.Start
		switch {
		case b.folded():
			var stands kit.Rect
			stands, buttons = rest.Top(math.Ceil(u.TextHeight(kit.Small, clock, inner.W)))
			_, buttons = buttons.Top(gap / 2)
			u.Text(stands, "hours", clock, kit.Small, kit.Quiet, kit.Start)
		case b.work.Busy():
			clock, clockAt = prints, kit.Finish
			clockWidth = math.Ceil(u.Width(kit.Small, prints)) + 2
		}
	} else {
		rest, words1 = inner.Right(clockWidth + b.buttonsWidth(u))
		words1.W -= gap
	}
	if buttons.Empty() {
		var clockBox kit.Rect
		clockBox, buttons = rest.Right(min(clockWidth, rest.W))
		u.Text(clockBox, "hours", clock, clockKind, kit.Quiet, clockAt)
	}
	kind, text := fitGuidance(u, guidance, words1, barLines(u), b.at() < len(firstSteps))
	u.Status(words1, "guidance", text, kind, tone)
	if !b.work.Busy() {
		if b.folded() {
			b.instead(u, buttons)
		}
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

// instead is what remains of the column while it is folded away: its two buttons,
// and the one that brings it back.
func (b *Bench) instead(u *kit.UI, r kit.Rect) {
	label := words.Say("bench.unfold")
	unfold, rest := r.Right(u.ButtonWidth(label, "d"))
	rest.W -= gap
	halves := rest.Columns(2, gap)
	b.cutButton(u, halves[0])
	b.goButton(u, halves[1])
	if u.Button(unfold, "unfold", label, kit.Opts{Key: "d", Tip: words.Say("bench.tip.unfold")}) {
		b.unfolded = true
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
