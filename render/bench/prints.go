package bench

import (
	"slices"

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
func (b *Bench) label() (text string, tone kit.Tone) {
	n := b.work.Run.Prints()
	reading, fresh := b.work.Run.Reading()
	switch {
	case b.prints.back:
		return words.Say("bench.label.before", "n", n-1, "film", b.desk.Set.Units.Height(b.prints.before.Film)), kit.Caution
	case reading == nil || n == 0:
		return "", kit.Plain
	case !fresh:
		return words.Say("bench.label.stale", "n", n, "film", b.desk.Set.Units.Height(reading.Film)), kit.Caution
	}
	return words.Say("bench.label", "n", n, "film", b.desk.Set.Units.Height(reading.Film)), kit.Plain
}

// drawLabel sets the label under the strip, where it covers no metal.
func (b *Bench) drawLabel(u *kit.UI) {
	text, tone := b.label()
	if text == "" || b.rubbing() || b.layout.label.Empty() {
		return
	}
	r := b.layout.label
	u.Text(r, "label", u.Shorten(kit.Small, text, r.W), kit.Small, tone, kit.Start)
}
