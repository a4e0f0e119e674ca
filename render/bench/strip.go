package bench

import (
	"math"
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/run"
)

// stripItem is a control of the strip over the iron.
type stripItem struct {
	id, label, key string
	slider         bool
	toggle, on     bool
	disabled       bool
	icon           []kit.Mark // stands for the label
}

// stripItems are what the tool in hand needs at hand, and the view.
func (b *Bench) stripItems() []stripItem {
	var items []stripItem
	add := func(id, key string) *stripItem {
		items = append(items, stripItem{id: id, label: words.Say("bench.strip." + id), key: key})
		return &items[len(items)-1]
	}
	switch {
	case b.byHand():
		if b.work.OnMaster() {
			add("lift", "l")
		}
	case b.tool == paintTool:
		add("brush", "").slider = true
		e := add("erase", "e")
		e.toggle, e.on = true, b.erase
		add("all", "a")
		add("clear", "z").disabled = b.canvas().empty() && len(b.spots.cut) == 0
	case b.tool == pointTool:
		add("nospots", "z").disabled = len(b.spots.cut) == 0 && b.spots.spare == nil
	}
	if !b.byHand() {
		e := add("before", "v")
		e.icon, e.on = beforeIcon, b.prints.back
		e.disabled = b.prints.before == nil || b.work.Busy() || b.guess != nil
	}
	if !b.desk.Board { // there the wheel, two fingers and the keys do it
		add("nearer", "+").icon = nearerIcon
		add("farther", "-").icon = fartherIcon
	}
	add("whole", "0").icon = wholeIcon
	return items
}

const brushWidth = 190.0

func (b *Bench) stripWidths(u *kit.UI) (widths []float64, height float64) {
	// As high for every tool, so that the iron stays where it is.
	brush := math.Round(brushWidth * (1 + (u.TextScale-1)*.8))
	if b.desk.Board { // no broader than its words
		const sides = 40
		brush = math.Ceil(u.Width(kit.Body, words.Say("bench.strip.brush")) + u.Width(kit.Figure, b.desk.Set.Units.Across(2*largestBrush)) + sides)
	}
	height = max(u.ControlHeight(), u.SliderHeight(brush, words.Say("bench.strip.brush"), b.desk.Set.Units.Across(b.brush)))
	for _, s := range b.stripItems() {
		switch {
		case s.slider:
			widths = append(widths, brush)
		case s.icon != nil:
			widths = append(widths, math.Ceil(max(kit.MinTarget, u.IconSize()*1.2+20)))
		case s.toggle:
			widths = append(widths, u.MarkedWidth(s.label, s.key))
		default:
			widths = append(widths, u.ButtonWidth(s.label, s.key))
		}
	}
	return widths, height
}

// stripHeight is the height of the strip in the given width.
func (b *Bench) stripHeight(u *kit.UI, width float64) float64 {
	widths, h := b.stripWidths(u)
	rows, x := 1.0, 0.0
	for _, w := range widths {
		if x > 0 && x+w > width-2*gap+.01 {
			rows++
			x = 0
		}
		x += w + gap/2
	}
	return math.Ceil(rows*(h+gap/2) + gap/2)
}

// strip is the row of controls over the iron.
func (b *Bench) strip(u *kit.UI) {
	r := b.layout.strip
	if r.Empty() {
		return
	}
	u.Panel(r, "strip", words.Say("bench.strip"))
	b.drawLabel(u)
	if r.H <= b.layout.label.H+gap {
		return // on a board, beside the cut and the routine
	}
	c := u.Column(kit.Rect{X: r.X + gap, Y: r.Y + gap/2, W: r.W - 2*gap, H: r.H - gap}, gap/2)
	widths, h := b.stripWidths(u)
	items := b.stripItems()
	for i, rect := range c.Flow(h, widths...) {
		s := items[i]
		o := kit.Opts{Key: s.key, Disabled: s.disabled || s.id == "lift" && b.work.Busy()}
		switch {
		case s.slider:
			b.brush, _ = u.Slider(rect, "brush", s.label, b.desk.Set.Units.Across(2*b.brush), b.brush, smallestBrush, largestBrush, .5, o)
		case s.toggle:
			b.erase, _ = u.Toggle(rect, "erase", s.label, b.erase, o)
		case s.icon != nil:
			o.Art, o.Checked, o.Tip = s.icon, s.on, words.Say("bench.tip.key", "what", s.label, "key", strings.ToUpper(s.key))
			if u.Tool(rect, "strip."+s.id, s.label, o) {
				b.stripDid(s.id)
			}
		default:
			if s.id == "all" {
				o.Tip = words.Say("bench.tip.all")
			}
			if u.Button(rect, "strip."+s.id, s.label, o) {
				b.stripDid(s.id)
			}
		}
	}
}

func (b *Bench) stripDid(id string) {
	switch id {
	case "lift":
		b.work.Do(run.Act{Lift: &run.Lift{}})
	case "all":
		b.judged = nil
		b.canvas().fill()
	case "clear":
		b.canvas().clear()
		if b.guess == nil {
			b.spots = spots{}
		}
	case "nospots":
		b.spots = spots{}
	case "before":
		b.lookBack(!b.prints.back)
	case "nearer":
		b.zoom(1.25)
	case "farther":
		b.zoom(1 / 1.25)
	case "whole":
		b.view = b.whole
	}
}
