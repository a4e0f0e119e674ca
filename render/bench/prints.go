package bench

import (
	"slices"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/run"
)

// prints are the last two prints as they were seen, so that one can be held beside
// the other. What there is of the part itself is the run's.
type prints struct {
	run          *run.Run
	last, before *blue.Reading
	back         bool // the one before is shown
}

// seen keeps a print that has come.
func (p *prints) seen() {
	reading, fresh := p.run.Reading()
	if reading == nil || !fresh {
		return
	}
	kept := *reading
	kept.Colour, kept.Shine = slices.Clone(reading.Colour), slices.Clone(reading.Shine)
	p.before, p.last = p.last, &kept
}

// Appearance implements stage.Face.
func (p *prints) Appearance() *run.Appearance { return p.run.Appearance() }

// Reading implements stage.Face.
func (p *prints) Reading() (*blue.Reading, bool) {
	if p.back {
		return p.before, false
	}
	return p.run.Reading()
}

// lookBack shows the print before the last, or the face as it is.
func (b *Bench) lookBack(back bool) {
	if b.prints.before == nil {
		back = false
	}
	if b.prints.back != back {
		b.prints.back = back
		b.colour++
	}
}

// label says which print lies on the iron, and whether it still tells.
func (b *Bench) label() (text string, tone palette.Name) {
	n := b.work.Run.Prints()
	reading, fresh := b.work.Run.Reading()
	switch {
	case b.prints.back:
		return words.Say("bench.label.before", "n", n-1, "film", b.desk.Set.Units.Height(b.prints.before.Film)), palette.Warn
	case reading == nil || n == 0:
		return "", palette.None
	case !fresh:
		return words.Say("bench.label.stale", "n", n, "film", b.desk.Set.Units.Height(reading.Film)), palette.Warn
	}
	return words.Say("bench.label", "n", n, "film", b.desk.Set.Units.Height(reading.Film)), palette.Text
}

// drawLabel hangs the label in the corner of the iron.
func (b *Bench) drawLabel(u *kit.UI) {
	text, ink := b.label()
	r := b.labelRect(u)
	if text == "" || r.Empty() {
		return
	}
	text = u.Shorten(kit.Small, text, r.W-16)
	r.W = u.Width(kit.Small, text) + 16
	u.Glass(r, "label", text, "", []kit.Mark{
		{Shape: kit.Fill, Points: corners(r), Ink: palette.Note},
		{Shape: kit.Words, Points: []kit.Point{{X: r.X + 8, Y: r.Y + 3}}, Text: text, Type: kit.Small, Ink: ink, Ground: palette.Note},
	})
}

// labelRect is the room for it.
func (b *Bench) labelRect(u *kit.UI) kit.Rect {
	f := b.layout.face
	return kit.Rect{X: f.X + 10, Y: f.Y + 8, W: max(0, f.W-20), H: u.Line(kit.Small) + 6}
}
