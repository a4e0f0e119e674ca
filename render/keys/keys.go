// Package keys is the page that lists every key, and what pointer and fingers do.
package keys

import (
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
)

// Scene is the page.
type Scene struct{}

// New is the page.
func New() *Scene { return &Scene{} }

// groups are the parts of the page, each with its lines: the keys and the end of
// the line's name among the words.
var groups = []struct {
	name  string
	lines [][2]string
}{
	{"everywhere", [][2]string{
		{"Tab", "tab"}, {"Shift Tab", "untab"}, {"← ↑ ↓ →", "arrows"}, {"Enter, Space", "press"}, {"Esc", "escape"}, {"PgUp PgDn", "through"}, {"?", "page"},
	}},
	{"iron", [][2]string{
		{"← ↑ ↓ →", "move"}, {"Shift + arrows", "far"}, {"Space", "down"}, {"Enter", "on"}, {"+  -", "zoom"}, {"0", "whole"},
		{"E", "erase"}, {"A", "all"}, {"Z", "clear"}, {"V", "before"},
	}},
	{"tools", [][2]string{
		{"1", "paint"}, {"2", "point"}, {"3", "stroke"}, {"4", "frame"}, {"5", "rub"},
	}},
	{"drawers", [][2]string{
		{"H", "checks"}, {"I", "indicator"}, {"B", "block"}, {"U", "setup"}, {"K", "blade"}, {"O", "signoff"},
	}},
	{"cut", [][2]string{
		{"[  ]", "depth"}, {",  .", "turn"}, {"X", "cross"}, {"C", "cut"}, {"D", "unfold"},
	}},
	{"routine", [][2]string{
		{"R", "routine"}, {"1  2  3", "sure"}, {"L", "lift"}, {"S", "skip"},
	}},
	{"pointer", [][2]string{
		{"", "drag"}, {"", "right"}, {"", "wheel"}, {"", "lamp"}, {"", "fingers"},
	}},
}

const (
	gap     = 10.0
	between = 3.0 // lines
)

// Tick does one tick of the page.
func (s *Scene) Tick(u *kit.UI) (next scene.Next) {
	all := u.Size().Inset(2 * gap)
	u.Panel(all, "keys", words.Say("keys.title"))
	foot, body := all.Inset(2 * gap).Bottom(u.ControlHeight())
	_, body = body.Bottom(gap)
	keyWidth := math.Ceil(u.Width(kit.Figure, "Shift + arrows")) + gap
	columns := max(1, min(3, int(body.W/(keyWidth+225*u.TextScale))))
	c := u.ScrollColumn("page", body, between)
	c.Heading("title", words.Say("keys.title"))
	head := c.Left().Y
	// The groups fill the columns one after another, so that the tallest is low.
	sides := (kit.Rect{X: body.X, Y: head, W: c.Width(), H: 1}).Columns(columns, 3*gap)
	tall := make([]float64, len(groups))
	total := 0.0
	for i, g := range groups {
		tall[i] = gap + u.TextHeight(kit.Name, words.Say("keys."+g.name), sides[0].W)
		for _, l := range g.lines {
			_, _, h := size(u, g.name, l, sides[0].W, keyWidth)
			tall[i] += between + h
		}
		total += tall[i]
	}
	sideOf := spread(tall, total/float64(columns), columns)
	height := make([]float64, columns)
	for i, g := range groups {
		side := sideOf[i]
		part := u.Column(kit.Rect{X: sides[side].X, Y: head + height[side], W: sides[side].W, H: 1e6}, between)
		part.Space(gap)
		part.Name("keys."+g.name, words.Say("keys."+g.name))
		for _, l := range g.lines {
			s.line(u, part, g.name, l, keyWidth)
		}
		height[side] = part.Left().Y - head
	}
	tallest := 0.0
	for _, h := range height {
		tallest = max(tallest, h)
	}
	c.Space(tallest)
	c.PageKeys()
	c.Close()
	w := u.ButtonWidth(words.Say("keys.back"), "")
	if u.Button(kit.Rect{X: foot.X, Y: foot.Y, W: w, H: foot.H}, "back", words.Say("keys.back"), kit.Opts{Tone: kit.Go}) || u.Back() {
		next = scene.Next{To: scene.Back}
	}
	return next
}

// spread puts groups into columns one after another, none of them taller than it must be
// from a least height on.
func spread(tall []float64, least float64, columns int) []int {
	out := make([]int, len(tall))
	const step = 4.0
	for limit := least; ; limit += step {
		side, filled := 0, 0.0
		for i, h := range tall {
			if filled > 0 && filled+h > limit {
				side, filled = side+1, 0
			}
			out[i] = side
			filled += h
		}
		if side < columns {
			return out
		}
	}
}

// size is what a line says, how far in from the left, and its height.
func size(u *kit.UI, group string, line [2]string, width, keyWidth float64) (what string, left, height float64) {
	what = words.Say("keys." + group + "." + line[1])
	if line[0] != "" {
		left = keyWidth
	}
	return what, left, math.Ceil(max(u.Line(kit.Figure), u.TextHeight(kit.Body, what, width-left)))
}

func (s *Scene) line(u *kit.UI, c *kit.Column, group string, line [2]string, keyWidth float64) {
	key, name := line[0], line[1]
	what, left, height := size(u, group, line, c.Width(), keyWidth)
	r := c.Take(height)
	if key != "" {
		u.Text(kit.Rect{X: r.X, Y: r.Y, W: keyWidth - gap, H: math.Ceil(u.Line(kit.Figure))}, "key."+group+"."+name, key, kit.Figure, kit.Lit, kit.Start)
	}
	u.Text(kit.Rect{X: r.X + left, Y: r.Y, W: r.W - left, H: r.H}, "what."+group+"."+name, what, kit.Body, kit.Plain, kit.Start)
}
