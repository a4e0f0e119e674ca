package kit

import "math"

// tip follows how long the pointer rests on a node.
type tip struct {
	on    string
	ticks int
	off   string // put away by Escape, or by pressing what it is about, until pointer or focus leaves that
	keys  bool   // the focus came by key
}

// tipAfter is how long the pointer rests before the tip shows, ticks.
const tipAfter = 30

// showTip adds the tip of the node under the pointer, or of the one that the
// keys have just reached.
func (u *UI) showTip() {
	t := &u.tip
	for _, k := range [...]Key{Tab, Up, Down, Left, Right, Home, End} {
		if u.acts[k] {
			t.keys = true
		}
	}
	if u.in.X != u.was.X || u.in.Y != u.was.Y || u.in.Main {
		t.keys = false
	}
	on := u.hover
	switch {
	case t.keys:
		on = u.focus
	case u.byTouch:
		on = ""
	}
	if on != t.on {
		*t = tip{on: on, keys: t.keys}
	}
	t.ticks++
	if u.acts[Escape] || u.in.Main || u.clicked == on {
		t.off = on
	}
	if on == "" || t.off == on || u.in.Main || !t.keys && t.ticks < tipAfter {
		return
	}
	for i := range u.nodes {
		if n := &u.nodes[i]; n.ID == on && n.Tip != "" && n.layer == u.topLayer && !n.Visible().Empty() {
			u.addTip(n.Tip, n.Visible())
			return
		}
	}
}

// addTip sets a tip beside what it is about: below it, else above, else beside.
func (u *UI) addTip(text string, about Rect) {
	const gap, pad = 6, 10
	width := min(u.in.Size.W-2*gap, 360*(1+(u.TextScale-1)/2))
	lines := u.Wrap(Small, text, width-2*pad)
	w := 0.0
	for _, l := range lines {
		w = max(w, u.Width(Small, l))
	}
	r := Rect{about.X, about.Y + about.H + gap, math.Ceil(w) + 2*pad, math.Ceil(float64(len(lines))*u.Line(Small)) + 2*pad - 6}
	if r.Y+r.H > u.in.Size.H {
		r.Y = about.Y - gap - r.H
	}
	if r.Y < 0 {
		r.X, r.Y = about.X-gap-r.W, about.Y
		if r.X < 0 {
			r.X = about.X + about.W + gap
		}
	}
	r.X = max(gap, min(r.X, u.in.Size.W-r.W-gap))
	r.Y = max(0, min(r.Y, u.in.Size.H-r.H))
	u.layer, u.clip, u.holder = u.topLayer+1, Rect{}, ""
	u.add(Node{ID: "tip", Role: RoleTip, Label: text, Rect: r, Lines: lines, Type: Small,
		TextBox: Rect{r.X + pad, r.Y + pad - 3, r.W - 2*pad + .5, r.H - 2*pad + 6}})
}
