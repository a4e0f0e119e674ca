// Package inspect says what is wrong with a screen, from its nodes alone: words
// that do not fit, things that overlap or leave the window, targets too small,
// colours too alike. Tests of every scene use it.
package inspect

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/fonts"
	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/kit"
)

// Faults is all that is wrong with a screen: its layout, and its contrast in every theme.
func Faults(nodes []kit.Node, textScale float64, window kit.Rect) []string {
	out := Layout(nodes, textScale, window)
	for _, theme := range palette.Themes {
		out = append(out, Contrast(nodes, theme)...)
	}
	return out
}

// Layout lists what is clipped, overlapped, outside the window or too small to
// press. Tips cover what is under them by nature, and so do dialogs.
func Layout(nodes []kit.Node, textScale float64, window kit.Rect) []string {
	var out []string
	say := func(n *kit.Node, format string, args ...any) {
		out = append(out, fmt.Sprintf("%s %q: ", n.Role, n.ID)+fmt.Sprintf(format, args...))
	}
	for i := range nodes {
		n := &nodes[i]
		if n.Scrolled() {
			if n.Rect.X < n.Clip.X-.01 || n.Rect.X+n.Rect.W > n.Clip.X+n.Clip.W+.01 {
				say(n, "is broader than the column it scrolls in")
			}
		} else if !n.Rect.Within(window) {
			say(n, "leaves the window: %v", n.Rect)
		}
		if n.Target() && n.Role != kit.RoleScroll && (n.Rect.W < kit.MinTarget-.01 || n.Rect.H < kit.MinTarget-.01) {
			say(n, "is %.0f by %.0f, too small to press", n.Rect.W, n.Rect.H)
		}
		if n.Stop() && n.Role != kit.RoleCanvas {
			ring := n.Ringed()
			if !ring.Within(window) {
				say(n, "the ring of the focus leaves the window: %v", ring)
			}
			for k := i + 1; k < len(nodes); k++ {
				if o := &nodes[k]; o.Layer() == n.Layer() && o.Role != kit.RoleMore && !ring.Inset(.7).Meets(o.Visible()).Empty() {
					say(n, "%s %q lies on the ring of the focus", o.Role, o.ID)
				}
			}
		}
		line := n.Type.Line(textScale)
		if len(n.Lines) > 0 {
			if !n.TextBox.Within(n.Rect) {
				say(n, "its words leave it")
			}
			if h := float64(len(n.Lines)) * line; h > n.TextBox.H+1 {
				say(n, "its %d lines take %.0f of %.0f points", len(n.Lines), h, n.TextBox.H)
			}
		}
		for _, l := range n.Lines {
			if w := n.Type.Width(textScale, l); w > n.TextBox.W+.5 {
				say(n, "%q takes %.0f of %.0f points", l, w, n.TextBox.W)
			}
			if !fonts.Has(n.Type.Face, l) {
				say(n, "%q has a character that the face lacks", l)
			}
		}
		if own := textExtent(n, textScale); n.Target() && len(n.Lines) > 0 && (own.X < n.Rect.X+edgeRoom-.01 || own.X+own.W > n.Rect.X+n.Rect.W-edgeRoom+.01) {
			say(n, "its words touch its edge: %.1f and %.1f points are left", own.X-n.Rect.X, n.Rect.X+n.Rect.W-own.X-own.W)
		}
		words := wordBoxes(n, textScale)
		for k, w := range words {
			if !w.Within(n.Rect.Inset(-1)) {
				say(n, "drawn words %d leave it: %v in %v", k, w, n.Rect)
			}
			for _, o := range words[:k] {
				if !w.Inset(1).Meets(o.Inset(1)).Empty() {
					say(n, "drawn words %d overlap others of it", k)
				}
			}
			if own := textExtent(n, textScale); len(n.Lines) > 0 && !w.Inset(1).Meets(own.Inset(1)).Empty() {
				say(n, "drawn words %d overlap its label", k)
			}
		}
		for k := range nodes[:i] {
			o := &nodes[k]
			if !mayCover(o, n) && !n.Visible().Inset(.5).Meets(o.Visible().Inset(.5)).Empty() {
				say(n, "overlaps %s %q", o.Role, o.ID)
			}
		}
	}
	return out
}

// edgeRoom is what the words of a control leave free at its left and right, points.
const edgeRoom = 4.0

// mayCover reports whether n may lie on o.
func mayCover(o, n *kit.Node) bool {
	if o.Layer() != n.Layer() {
		return true
	}
	return n.Role == kit.RoleMore || o.Role == kit.RolePanel || o.Role == kit.RoleDialog || o.Role == kit.RoleCanvas
}

func wordBoxes(n *kit.Node, textScale float64) []kit.Rect {
	var out []kit.Rect
	for _, m := range n.Art {
		if m.Shape != kit.Words {
			continue
		}
		w := m.Type.Width(textScale, m.Text)
		out = append(out, kit.Rect{X: startOf(m.Points[0].X, w, m.Align), Y: m.Points[0].Y, W: w, H: m.Type.Line(textScale)})
	}
	return out
}

func startOf(x, w float64, a kit.Align) float64 {
	switch a {
	case kit.Middle:
		return x - w/2
	case kit.Finish:
		return x - w
	}
	return x
}

// textExtent is the rectangle that a node's own lines really take.
func textExtent(n *kit.Node, textScale float64) kit.Rect {
	h := float64(len(n.Lines)) * n.Type.Line(textScale)
	var out kit.Rect
	for _, l := range n.Lines {
		w := n.Type.Width(textScale, l)
		x := n.TextBox.X
		switch n.Align {
		case kit.Middle:
			x += (n.TextBox.W - w) / 2
		case kit.Finish:
			x += n.TextBox.W - w
		}
		out = out.Around(kit.Rect{X: x, Y: n.TextBox.Y + math.Max(0, (n.TextBox.H-h)/2), W: w, H: h})
	}
	return out
}

// Least ratios of contrast: WCAG 2.2, 1.4.3 and 1.4.11.
const (
	TextContrast    = 4.5
	GraphicContrast = 3.0
)

// Contrast lists the pairs of colours on the screen that are too alike in a
// theme.
func Contrast(nodes []kit.Node, theme *palette.Theme) []string {
	seen := map[string]bool{}
	var out []string
	pair := func(what string, ink, ground palette.Name, least float64) {
		got := palette.Contrast(theme.Of(ink), theme.Of(ground))
		say := fmt.Sprintf("%s: %s of ink %d on ground %d is %.2f, below %.1f", theme.Key, what, ink, ground, got, least)
		if got < least && !seen[say] {
			seen[say] = true
			out = append(out, say)
		}
	}
	behind := []palette.Name{palette.Panel, palette.Granite}
	for i := range nodes {
		n := &nodes[i]
		look := n.Look()
		grounds := behind
		if look.Ground != palette.None {
			grounds = []palette.Name{look.Ground}
		}
		if len(n.Lines) > 0 {
			for _, g := range grounds {
				pair("words", look.Ink, g, TextContrast)
			}
		}
		if n.Stop() && !n.Disabled && look.Edge != palette.None && n.Role != kit.RoleSlider {
			for _, g := range behind {
				pair("outline", look.Edge, g, GraphicContrast)
			}
		}
		if n.Focus {
			for _, g := range behind {
				pair("focus", palette.Focus, g, GraphicContrast)
			}
		}
		for _, m := range n.Art {
			switch {
			case m.Shape == kit.Words:
				pair("drawn words", m.Ink, m.Ground, TextContrast)
			case m.Shape == kit.Pixels || m.Ink == palette.Rule || m.Ink == palette.Casing && m.Ground == palette.None || m.Ink < palette.Text:
				// Pictures, hairlines, casings and grounds say nothing by themselves.
			case m.Ground != palette.None:
				pair("drawing", m.Ink, m.Ground, GraphicContrast)
			case n.Role == kit.RoleCanvas || n.Role == kit.RoleGlass:
				pair("drawing over iron", m.Ink, palette.Casing, GraphicContrast)
			default:
				for _, g := range grounds {
					pair("drawing", m.Ink, g, GraphicContrast)
				}
			}
		}
	}
	return out
}
