package kit

import "math"

// Hand is what pointer, fingers and keys do on a canvas.
type Hand struct {
	Over    bool    // the pointer is over it
	X, Y    float64 // where, points of the window
	Start   bool    // the main button or a finger went down in this tick
	Down    bool    // it is held since it went down here
	Let     bool    // it was let go in this tick
	Quit    bool    // the drag was called off, by a second finger
	Dragged bool    // it went farther than a click
	FromX   float64 // where it went down
	FromY   float64
	Touch   bool // by finger

	PanX, PanY float64 // dragged with the second or the middle button, or two fingers
	Wheel      float64 // turns of the wheel, away is positive
	Pinch      float64 // by how much two fingers spread; 1 is not
	Focus      bool    // the keys reach it
}

// Canvas is an area whose drawing and meaning are the scene's.
func (u *UI) Canvas(r Rect, id, label, value string, o Opts) Hand {
	n := u.add(Node{ID: id, Role: RoleCanvas, Label: label, Value: value, Tip: o.Tip, Rect: r, stop: true, target: true})
	h := Hand{X: u.in.X, Y: u.in.Y, FromX: u.at.X, FromY: u.at.Y, Pinch: 1, Dragged: u.dragged, Touch: u.byTouch, Focus: n.Focus}
	h.Over = n.Hover
	if u.layer != u.topLayer {
		return h
	}
	h.Down = u.active == id && u.in.Main
	h.Start = h.Down && !u.was.Main
	h.Let = u.gesture.wasActive == id && u.active != id && !u.gesture.called
	h.Quit = u.gesture.wasActive == id && u.gesture.called
	held := (u.in.Second || u.in.Middle) && (u.was.Second || u.was.Middle)
	if h.Over && held {
		h.PanX, h.PanY = u.in.X-u.was.X, u.in.Y-u.was.Y
	}
	if h.Over {
		h.Wheel = u.in.WheelY
	}
	if g := &u.gesture; g.two && r.Contains(g.x, g.y) {
		h.Over = true
		h.X, h.Y, h.PanX, h.PanY, h.Pinch = g.x, g.y, g.dx, g.dy, g.spread
	}
	return h
}

// gesture follows two fingers.
type gesture struct {
	two, latched bool
	x, y, dx, dy float64
	gap, spread  float64

	wasActive string // what the pointer held in the tick before
	called    bool   // and a second finger called it off
}

// fingers makes one finger the pointer, and two a gesture.
func (u *UI) fingers() {
	g := &u.gesture
	g.wasActive, g.called = u.active, false
	fingers := u.in.Touches
	switch {
	case len(fingers) == 0:
		g.two, g.latched = false, false
		if u.byTouch {
			if u.in.X != u.mouse.X || u.in.Y != u.mouse.Y || u.in.Main {
				u.byTouch = false
				return
			}
			u.in.X, u.in.Y = u.was.X, u.was.Y
		}
		return
	case len(fingers) == 1:
		g.two = false
	case len(fingers) >= 2:
		a, b := fingers[0], fingers[1]
		x, y := (a.X+b.X)/2, (a.Y+b.Y)/2
		gap := math.Max(1, math.Hypot(a.X-b.X, a.Y-b.Y))
		g.dx, g.dy, g.spread = 0, 0, 1
		if g.two {
			g.dx, g.dy, g.spread = x-g.x, y-g.y, gap/g.gap
		}
		if !g.latched && u.active != "" {
			u.active, g.called = "", true
		}
		g.two, g.latched, g.x, g.y, g.gap = true, true, x, y, gap
	}
	if !u.byTouch {
		u.mouse = Point{u.in.X, u.in.Y}
	}
	u.byTouch = true
	u.in.X, u.in.Y = fingers[0].X, fingers[0].Y
	u.in.Main = !g.latched
}
