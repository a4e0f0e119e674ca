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
			u.addTip(n)
			return
		}
	}
}

// addTip sets the tip of a node where it covers the fewest things that may be pressed
// or have just been said: below the node, above it, beside it, or beside the column
// that holds it, whichever of the best comes first.
func (u *UI) addTip(n *Node) {
	text, about := n.Tip, n.Visible()
	const gap, pad = 6, 10
	width := min(u.in.Size.W-2*gap, 360*(1+(u.TextScale-1)/2))
	lines := u.Wrap(Small, text, width-2*pad)
	w := 0.0
	for _, l := range lines {
		w = max(w, u.Width(Small, l))
	}
	column := about
	if !n.Clip.Empty() {
		column = n.Clip
	}
	box := Rect{W: math.Ceil(w) + 2*pad, H: math.Ceil(float64(len(lines))*u.Line(Small)) + 2*pad - 6}
	var r Rect
	least := math.MaxInt
	for _, at := range [...]Point{
		{about.X, about.Y + about.H + gap},
		{about.X, about.Y - gap - box.H},
		{about.X - gap - box.W, about.Y},
		{about.X + about.W + gap, about.Y},
		{column.X - gap - box.W, about.Y},
		{column.X + column.W + gap, about.Y},
	} {
		box.X = max(gap, min(at.X, u.in.Size.W-box.W-gap))
		box.Y = max(0, min(at.Y, u.in.Size.H-box.H))
		if c := u.covers(box, n); c < least {
			r, least = box, c
		}
	}
	u.layer, u.clip, u.holder = u.topLayer+1, Rect{}, ""
	u.add(Node{ID: "tip", Role: RoleTip, Label: text, Rect: r, Lines: lines, Type: Small,
		TextBox: Rect{r.X + pad, r.Y + pad - 3, r.W - 2*pad + .5, r.H - 2*pad + 6}})
}

// covers counts what a tip at r would cover: controls that may be pressed, and words
// that say what has just come of one. What the tip is about counts as all of them.
func (u *UI) covers(r Rect, about *Node) int {
	count := 0
	for i := range u.nodes {
		n := &u.nodes[i]
		if n.layer != u.topLayer || n.Role == RoleCanvas || n.Visible().Meets(r).Empty() {
			continue
		}
		switch {
		case n.ID == about.ID:
			count += len(u.nodes)
		case n.target && !n.Disabled || n.Role == RoleStatus:
			count++
		}
	}
	return count
}
