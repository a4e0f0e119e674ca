// Package cards is the scene of 'one print, one decision': a print to read, five
// things that could be done, and what the one chosen costs when the careful hand
// goes on from it. A card takes a minute and a half; nothing is kept of it.
package cards

import (
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/render/units"
	"github.com/before-iron/beforeiron/sim/run"
)

// Scene is the scene.
type Scene struct {
	desk   *scene.Desk
	number uint64
	play   *playing
	card   *card
	chosen int // -1 before that
	told   bool

	view, whole iron.View
	lamp        kit.Point
}

// New is the scene with the first card of the day.
func New(desk *scene.Desk) *Scene {
	y, m, d := desk.Today().Date()
	s := &Scene{desk: desk}
	s.deal(uint64(y*372 + int(m)*31 + d))
	return s
}

func (s *Scene) deal(number uint64) {
	s.number, s.card, s.chosen, s.told = number, nil, -1, false
	s.view, s.whole = iron.View{}, iron.View{}
	s.play = startDeal(number, s.desk.Set.Pigment)
}

const gap = 10.0

// Tick does one tick of the scene.
func (s *Scene) Tick(u *kit.UI) (next scene.Next) {
	all := u.Size()
	columnWidth := math.Round(min(all.W*.48, 430*(1+(u.TextScale-1)*.6)))
	right, face := all.Right(columnWidth)
	card, err := s.play.dealt()
	if card != nil && s.card == nil {
		u.FocusOn(kit.ItemID("choice", 0))
	}
	s.card = card
	if card != nil {
		s.face(u, face)
	}
	u.Panel(right, "card", words.Say("cards.title"))
	c := u.ScrollColumn("card.column", right.Inset(gap), gap)
	c.Heading("title", words.Say("cards.title"))
	switch {
	case err != nil:
		c.Text("trouble", err.Error(), kit.Body, kit.Caution)
	case card == nil:
		u.Progress(c.Take(u.ControlHeight()), "dealing", words.Say("cards.dealing"), 0)
	case s.chosen < 0:
		s.ask(c)
	default:
		s.tell(u, c)
	}
	if c.Button("back", words.Say("cards.back"), kit.Opts{Tone: kit.Quiet}) || u.Back() {
		next = scene.Next{To: scene.Shelf}
	}
	c.Close()
	return next
}

// face is the print, to be looked at from near and far.
func (s *Scene) face(u *kit.UI, r kit.Rect) {
	p := stage.Pixels(r)
	r = kit.Rect{X: float64(p.Min.X), Y: float64(p.Min.Y), W: float64(p.Dx()), H: float64(p.Dy())}
	x0, y0, x1, y1 := s.card.run.Grid().Edges()
	if whole := stage.Whole(r, x0, y0, x1, y1); whole != s.whole {
		s.view, s.whole = whole, whole
		s.lamp = kit.Point{X: r.X + r.W*.2, Y: r.Y + r.H*.15}
	}
	h := u.Canvas(r, "iron", words.Say("cards.iron"), words.Say("cards.print", "n", s.card.prints), kit.Opts{})
	if h.Over {
		s.lamp = kit.Point{X: h.X, Y: h.Y}
		s.view = stage.Follow(s.view, h, s.whole)
	}
	if h.Focus {
		s.view = stage.ByKeys(s.view, u, s.whole)
	}
}

// Stage is the print to be drawn.
func (s *Scene) Stage() stage.Stage {
	if s.card == nil {
		return stage.Stage{}
	}
	return stage.Stage{View: s.view, LampX: s.lamp.X, LampY: s.lamp.Y, Face: s.card.run, Look: s.card.run.Look}
}

// ask is the question and the choices.
func (s *Scene) ask(c *kit.Column) {
	h := s.desk.Set.Units.Height
	c.Text("ask", words.Say("cards.ask", "n", s.card.prints, "film", h(s.card.film)), kit.Body, kit.Plain)
	for _, o := range s.card.offers {
		i := o.choice
		label := s.desk.Say("cards.choice."+choices[i].id, "depth", h(float64(o.act.Cut.Depth)/100))
		if c.Option("choice", i, label, "", kit.Opts{Key: string(rune('1' + i))}) {
			s.chosen = i
			s.play.startPlay(s.card, o.act)
		}
	}
}

// kindOf is the key of words for how a hand cuts: single marks by example, or rows.
func kindOf(c *run.Cut) string {
	if c.Area != nil && c.Area.Example != nil {
		return "points"
	}
	return "rows"
}

// tell is what came of it.
func (s *Scene) tell(u *kit.UI, c *kit.Column) {
	c.Text("chosen", s.desk.Say("cards.chosen."+choices[s.chosen].id), kit.Strong, kit.Lit)
	mine, careful := s.play.told()
	if mine == nil || careful == nil {
		done := 0.0
		if careful != nil {
			done = .5
		}
		u.Progress(c.Take(u.ControlHeight()), "playing", words.Say("cards.playing"), done)
		return
	}
	for _, p := range []*played{mine, careful} {
		if p.err != nil {
			c.Text("trouble", p.err.Error(), kit.Body, kit.Caution)
			return
		}
	}
	c.Text("mine", said("cards.mine", "cards.mine.never", mine), kit.Body, kit.Plain)
	c.Text("careful", said("cards.careful", "cards.careful.never", careful), kit.Body, kit.Plain)
	if careful.cut != nil {
		c.Text("own", s.desk.Say("cards.own."+kindOf(careful.cut), "depth", s.desk.Set.Units.Height(float64(careful.cut.Depth)/100)), kit.Body, kit.Plain)
	}
	c.Text("verdict", verdict(mine, careful), kit.Strong, kit.Plain)
	c.Text("why", s.desk.Say("cards.why."+choices[s.chosen].id), kit.Body, kit.Plain)
	if mine.next != nil && careful.next != nil {
		w := (c.Width() - gap) / 2
		height := math.Round(w * float64(mine.next.H) / float64(mine.next.W))
		captions := map[string]string{}
		line := 0.0
		for id, p := range map[string]*played{"mine": mine, "careful": careful} {
			captions[id] = words.Say("cards.next."+id, "film", s.desk.Set.Units.Height(p.film))
			line = max(line, u.TextHeight(kit.Small, captions[id], w))
		}
		row := c.Take(math.Ceil(height + line + 2))
		for i, cell := range row.Columns(2, gap) {
			m, id := mine.next, "mine"
			if i == 1 {
				m, id = careful.next, "careful"
			}
			caption := captions[id]
			box := kit.Rect{X: cell.X, Y: cell.Y, W: cell.W, H: height}
			u.Picture(box, "next."+id, caption, "", []kit.Mark{{Shape: kit.Pixels, Image: m, Points: []kit.Point{{X: box.X, Y: box.Y}, {X: box.X + box.W, Y: box.Y + box.H}}}})
			u.Text(kit.Rect{X: cell.X, Y: cell.Y + height + 2, W: cell.W, H: math.Ceil(line)}, "caption."+id, caption, kit.Small, kit.Quiet, kit.Start)
		}
	}
	if !s.told {
		s.told = true
		u.FocusOn("another")
	}
	if c.Button("another", words.Say("cards.another"), kit.Opts{Tone: kit.Go, Key: "n"}) {
		s.deal(s.number + 1)
	}
}

// verdict is by how much a cut was dearer or cheaper than the careful hand's own
// way. One print more or less is within what two goes of one hand differ by.
func verdict(mine, careful *played) string {
	prints, minutes := mine.prints-careful.prints, mine.minutes-careful.minutes
	switch {
	case mine.prints >= mostPrints && careful.prints < mostPrints:
		return words.Say("cards.dearest")
	case prints >= 2:
		return words.Count("cards.dear", prints, "time", units.Time(60000*max(0, minutes)))
	case prints <= -2:
		return words.Count("cards.cheap", -prints, "time", units.Time(60000*max(0, -minutes)))
	}
	return words.Say("cards.same")
}

// said is what a way came to, in a sentence.
func said(key, never string, p *played) string {
	if p.prints >= mostPrints {
		return words.Say(never, "n", mostPrints)
	}
	return words.Count(key, p.prints, "time", units.Time(60000*p.minutes))
}
