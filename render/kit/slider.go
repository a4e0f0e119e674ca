package kit

import (
	"math"

	"github.com/before-iron/beforeiron/assets/palette"
)

// trackHeight is the height of a slider below its words, points.
const trackHeight = 26.0

// SliderHeight is the height of a slider in the given width: its label and its
// value on one line, or on two when they are too long for one.
func (u *UI) SliderHeight(width float64, label, value string) float64 {
	return math.Ceil(max(MinTarget, float64(u.sliderLines(width, label, value))*u.Line(Body)+trackHeight+4))
}

func (u *UI) sliderLines(width float64, label, value string) int {
	w := width - 2*padX
	if u.Width(Body, label)+u.Width(Figure, value)+hintGap <= w {
		return 1
	}
	return len(u.Wrap(Body, label, w)) + len(u.Wrap(Figure, value, w))
}

// Slider sets a figure between low and high in steps; it returns the figure now,
// and whether that changed. The arrows go a step, with the page keys ten, Home
// and End to the ends; the wheel turns it, in a column that scrolls only while it
// has the focus.
func (u *UI) Slider(r Rect, id, label, value string, now, low, high, step float64, o Opts) (float64, bool) {
	n := u.add(Node{ID: id, Role: RoleSlider, Tone: o.Tone, Label: label, Value: value, Tip: o.Tip, Key: o.Key,
		Rect: r, Disabled: o.Disabled, Now: now, Low: low, High: high, stop: true, target: true,
		Lines: u.Wrap(Body, label, r.W-2*padX), Type: Body})
	look := n.Look()
	n.TextBox = Rect{r.X + padX, r.Y + 2, r.W - 2*padX, float64(len(n.Lines)) * u.Line(Body)}
	at := Point{r.X + r.W - padX, r.Y + 2}
	values := []string{value}
	if u.sliderLines(r.W, label, value) > 1 {
		values = u.Wrap(Figure, value, r.W-2*padX)
		at.Y += n.TextBox.H
	}
	for _, line := range values {
		n.Art = append(n.Art, Mark{Shape: Words, Text: line, Type: Figure, Align: Finish, Ink: look.Ink, Ground: look.Ground, Points: []Point{at}})
		at.Y += u.Line(Figure)
	}
	if o.Disabled {
		return now, false
	}
	was := now
	if track := n.Track(); u.active == id && u.in.Main {
		share := (u.in.X - track.X) / track.W
		now = low + math.Round(share*(high-low)/step)*step
	} else {
		now += u.turned(n, step)
		if n.Focus && u.acts[Home] {
			now = low
		}
		if n.Focus && u.acts[End] {
			now = high
		}
	}
	now = max(low, min(high, now))
	n.Now = now
	return now, now != was
}

// turned is by how much the keys turn a slider or a dial that has the focus, and
// the wheel one that it is over.
func (u *UI) turned(n *Node, step float64) float64 {
	if u.layer != u.topLayer {
		return 0
	}
	if n.Hover && u.in.WheelY != 0 && u.takesWheel(n) {
		return math.Copysign(step, u.in.WheelY)
	}
	if !n.Focus {
		return 0
	}
	by := 0.0
	for key, steps := range map[Key]float64{Right: 1, Up: 1, Left: -1, Down: -1, PageUp: 10, PageDown: -10} {
		if u.acts[key] {
			by += steps * step
		}
	}
	return by
}

// Dial sets a direction in whole degrees, 0 to 359, from the x axis towards y,
// by dragging round its middle; art is drawn in it. Keys and wheel turn it as
// they turn a slider.
func (u *UI) Dial(r Rect, id, label, value string, degrees, step int, art []Mark, o Opts) (int, bool) {
	n := u.add(Node{ID: id, Role: RoleSlider, Label: label, Value: value, Tip: o.Tip, Key: o.Key, Rect: r, Disabled: o.Disabled,
		Now: float64(degrees), Low: 0, High: 359, stop: true, target: true, Art: art})
	was := degrees
	if o.Disabled {
		return was, false
	}
	if u.active == id && u.in.Main && u.dragged || u.clicked == id {
		dx, dy := u.in.X-(r.X+r.W/2), u.in.Y-(r.Y+r.H/2)
		if dx*dx+dy*dy > 16 {
			a := math.Atan2(dy, dx) * 180 / math.Pi
			degrees = int(math.Round(a/float64(step))) * step
		}
	} else {
		degrees += int(u.turned(n, float64(step)))
	}
	degrees = ((degrees % 360) + 360) % 360
	n.Now = float64(degrees)
	return degrees, degrees != was
}

// Slider sets a slider as wide as the column.
func (c *Column) Slider(id, label, value string, now, low, high, step float64, o Opts) (float64, bool) {
	return c.UI.Slider(c.Take(c.UI.SliderHeight(c.Width(), label, value)), id, label, value, now, low, high, step, o)
}

// Track is the line on which a slider's knob runs.
func (n *Node) Track() Rect {
	return Rect{n.Rect.X + padX + 8, n.Rect.Y + n.Rect.H - trackHeight, n.Rect.W - 2*padX - 16, trackHeight}
}

// Share is where Now is between Low and High, 0 to 1.
func (n *Node) Share() float64 {
	if n.High == n.Low {
		return 0
	}
	return (n.Now - n.Low) / (n.High - n.Low)
}

// Entry is a line to type in; it returns the text now, and whether Enter was
// pressed.
func (u *UI) Entry(r Rect, id, label, text string, o Opts) (string, bool) {
	n := u.add(Node{ID: id, Role: RoleEntry, Label: label, Value: text, Tip: o.Tip, Rect: r, stop: true, target: true,
		Type: Figure, TextBox: Rect{r.X + padX, r.Y, r.W - 2*padX, r.H}})
	runes := []rune(text)
	caret, known := u.carets[id]
	if !known || caret > len(runes) {
		caret = len(runes)
	}
	done := false
	if u.find(u.focus) != nil && u.focus == id {
		insert := func(r rune) {
			runes = append(runes[:caret], append([]rune{r}, runes[caret:]...)...)
			caret++
		}
		for _, r := range u.in.Typed {
			if r >= ' ' {
				insert(r)
			}
		}
		switch {
		case u.acts[Backspace] && caret > 0:
			runes = append(runes[:caret-1], runes[caret:]...)
			caret--
		case u.acts[Delete] && caret < len(runes):
			runes = append(runes[:caret], runes[caret+1:]...)
		case u.acts[Left]:
			caret = max(0, caret-1)
		case u.acts[Right]:
			caret = min(len(runes), caret+1)
		case u.acts[Home]:
			caret = 0
		case u.acts[End]:
			caret = len(runes)
		}
		done = u.Pressed(Enter)
	}
	u.carets[id] = caret
	// Shown is as much before the caret as fits, so that the caret is seen.
	from := 0
	for u.Width(Figure, string(runes[from:caret])) > n.TextBox.W-4 {
		from++
	}
	to := len(runes)
	for u.Width(Figure, string(runes[from:to])) > n.TextBox.W-2 {
		to--
	}
	n.Lines, n.Value = []string{string(runes[from:to])}, string(runes)
	if n.Focus {
		x := n.TextBox.X + u.Width(Figure, string(runes[from:caret]))
		h := u.Line(Figure)
		n.Art = []Mark{{Shape: Line, Width: 2, Ink: palette.Focus, Points: []Point{{x, r.Y + (r.H-h)/2}, {x, r.Y + (r.H+h)/2}}}}
	}
	return string(runes), done
}
