package kit

import "slices"

// Role says what a node is, by the names of WAI-ARIA 1.2 where it has one.
type Role string

// The roles of nodes.
const (
	RoleText     Role = "text"
	RoleHeading  Role = "heading"
	RolePanel    Role = "group"
	RoleButton   Role = "button"
	RoleToggle   Role = "checkbox"
	RoleRadio    Role = "radio"
	RoleTab      Role = "tab"
	RoleOption   Role = "option"
	RoleSlider   Role = "slider"
	RoleEntry    Role = "textbox"
	RoleCanvas   Role = "application"
	RolePicture  Role = "img"
	RoleGlass    Role = "figure"
	RoleProgress Role = "progressbar"
	RoleStatus   Role = "status"
	RoleScroll   Role = "scrollbar"
	RoleMore     Role = "presentation" // the shade at the end of a column that goes on
	RoleTip      Role = "tooltip"
	RoleDialog   Role = "dialog"
)

// Tone is what a node means beyond its role.
type Tone uint8

// The tones of nodes.
const (
	Plain   Tone = iota
	Go           // the one thing that goes on from here
	Quiet        // second in rank
	Caution      // costs something
	Lit          // a name or a figure to look at now
)

// Align is where text stands in its box.
type Align uint8

// Alignments.
const (
	Start Align = iota
	Middle
	Finish
)

// Node is one thing on the screen.
type Node struct {
	ID    string
	Role  Role
	Tone  Tone
	Label string // what it is
	Value string // what it says or is set to
	Tip   string // what more there is to know; why it is disabled
	Key   string // the key that does the same
	Group string // the group of which it is part, with one stop of Tab
	Live  bool   // to be said when it changes

	Rect Rect
	Clip Rect // what can be seen of it lies in here; empty when all does

	Focus, Hover, Pressed, Disabled, Checked bool

	Now, Low, High float64 // a slider, a progress, a scrollbar

	// Lines are the words as set, from the top of TextBox, in Type; a Mark at
	// the left or a picture is in Art.
	Lines   []string
	Type    Type
	Align   Align
	TextBox Rect
	Art     []Mark

	layer  int
	scroll string // the scrolling column that holds it
	stop   bool   // the keys reach it
	target bool   // the pointer reaches it
}

// Visible is the part of the node that can be seen.
func (n *Node) Visible() Rect {
	if n.Clip.Empty() {
		return n.Rect
	}
	return n.Rect.Meets(n.Clip)
}

// ringReach is how far the ring of the focus reaches out of its node, points.
const ringReach = 3.0

// Ringed is the part of the node that can be seen, with the ring of the focus round it:
// whole on every side but one at which a column cuts off the node itself. Empty where
// nothing of the node is seen.
func (n *Node) Ringed() Rect {
	const e = .01
	seen := n.Visible()
	if seen.Empty() {
		return Rect{}
	}
	x0, y0, x1, y1 := seen.X, seen.Y, seen.X+seen.W, seen.Y+seen.H
	if x0 <= n.Rect.X+e {
		x0 -= ringReach
	}
	if y0 <= n.Rect.Y+e {
		y0 -= ringReach
	}
	if x1 >= n.Rect.X+n.Rect.W-e {
		x1 += ringReach
	}
	if y1 >= n.Rect.Y+n.Rect.H-e {
		y1 += ringReach
	}
	return Rect{x0, y0, x1 - x0, y1 - y0}
}

// Stop reports whether the keys reach the node.
func (n *Node) Stop() bool { return n.stop }

// Target reports whether the pointer reaches the node.
func (n *Node) Target() bool { return n.target }

// Layer is 0 for the scene, more for dialogs over it, and most for tooltips.
func (n *Node) Layer() int { return n.layer }

// Scrolled reports whether the node is in a scrolling column.
func (n *Node) Scrolled() bool { return n.scroll != "" }

// same reports whether two nodes would be painted alike.
func same(a, b *Node) bool {
	return a.ID == b.ID && a.Role == b.Role && a.Tone == b.Tone && a.Value == b.Value && a.Label == b.Label &&
		a.Rect == b.Rect && a.Clip == b.Clip && a.Key == b.Key &&
		a.Focus == b.Focus && a.Hover == b.Hover && a.Pressed == b.Pressed && a.Disabled == b.Disabled && a.Checked == b.Checked &&
		a.Now == b.Now && a.Low == b.Low && a.High == b.High &&
		a.Type == b.Type && a.Align == b.Align && a.TextBox == b.TextBox &&
		slices.Equal(a.Lines, b.Lines) && slices.EqualFunc(a.Art, b.Art, sameMark)
}

// changed adds to out where two lists of nodes would be painted differently.
func changed(out Apart, a, b []Node) Apart {
	for len(a) > 0 && len(b) > 0 && same(&a[0], &b[0]) {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && same(&a[len(a)-1], &b[len(b)-1]) {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	was := make(map[string]*Node, len(a))
	for i := range a {
		if double := was[a[i].ID]; double != nil {
			out = out.With(double.Visible())
		}
		was[a[i].ID] = &a[i]
	}
	for i := range b {
		if old := was[b[i].ID]; old != nil && same(old, &b[i]) {
			delete(was, old.ID)
			continue
		}
		out = out.With(b[i].Visible())
	}
	for i := range a {
		if was[a[i].ID] != nil {
			out = out.With(a[i].Visible())
		}
	}
	return out
}
