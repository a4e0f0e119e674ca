package kit

import (
	"slices"
	"unicode"
)

// UI holds what the kit remembers between ticks: the focus, what the pointer
// holds, how far columns are scrolled. It holds nothing of what the controls
// are set to.
type UI struct {
	TextScale float64 // 1 to 2.5

	in       Input
	was      Input
	ticks    int
	keyboard keyboard
	acts     [keys]bool

	nodes, last []Node
	dirty       Apart

	focus     string
	sought    string // to be scrolled to once it is there
	ahead     ahead
	focusRank int // among the stops, for when the focused node goes
	hover     string
	active    string // held by the pointer
	clicked   string // let go on this tick, or pressed by key
	dragged   bool   // the pointer went too far for a click
	at        Point  // where the pointer went down
	byTouch   bool
	mouse     Point             // where the mouse was when fingers took over
	rove      map[string]string // the last focused of each group

	layer     int
	topLayer  int
	returnTo  []string // focus to go back to as dialogs close
	clip      Rect
	holder    string // the scrolling column being filled
	scrolls   map[string]*scrolling
	tip       tip
	carets    map[string]int
	gesture   gesture
	wrapped   map[wrapping][]string
	everBegun bool
}

// New is a kit at text scale 1.
func New() *UI {
	return &UI{TextScale: 1, rove: map[string]string{}, scrolls: map[string]*scrolling{}, carets: map[string]int{}}
}

// clickSlack is how far a pointer may move and still click, points.
const clickSlack = 10.0

// Begin starts a tick with what came in.
func (u *UI) Begin(in Input) {
	u.was, u.in = u.in, in
	u.ticks++
	u.last, u.nodes = u.nodes, u.last[:0]
	u.layer, u.clip, u.holder = 0, Rect{}, ""
	u.clicked = ""
	u.fingers()
	u.acts = u.keyboard.step(u.in.Held)
	if !u.everBegun {
		u.was, u.everBegun = u.in, true
	}
	for _, s := range u.scrolls {
		s.seen = false
	}

	u.hover = ""
	if n := u.under(u.in.X, u.in.Y); n != nil && !(u.byTouch && !u.in.Main) {
		u.hover = n.ID
	}
	u.point()
	u.turnWheel()
	u.moveFocus()
	u.pageThrough()
	if f := u.find(u.focus); f != nil && !f.Disabled && f.Role != RoleEntry && f.Role != RoleCanvas && u.active == "" {
		for _, k := range [2]Key{Enter, Space} {
			if u.acts[k] && !u.keyboard.repeats(k) {
				u.clicked = f.ID
			}
		}
	}
}

// point follows the main button.
func (u *UI) point() {
	switch {
	case u.in.Main && !u.was.Main:
		u.active, u.dragged, u.at = u.hover, false, Point{u.in.X, u.in.Y}
		if n := u.find(u.hover); n != nil && n.stop {
			u.setFocus(n) // and it stays under the pointer that may click it
		}
	case u.in.Main:
		dx, dy := u.in.X-u.at.X, u.in.Y-u.at.Y
		if !u.dragged && dx*dx+dy*dy > clickSlack*clickSlack {
			u.dragged = true
		}
		if u.dragged && u.byTouch {
			u.dragColumn()
		}
	case u.was.Main:
		n := u.find(u.active)
		if n != nil && u.hover == u.active || n != nil && u.byTouch && n.Visible().Contains(u.in.X, u.in.Y) {
			if !n.Disabled {
				u.clicked = u.active
			}
		}
		u.active = ""
	}
}

// under is the topmost node that the pointer reaches at (x, y).
func (u *UI) under(x, y float64) *Node {
	for i := len(u.last) - 1; i >= 0; i-- {
		if n := &u.last[i]; n.target && n.layer == u.topLayer && n.Visible().Contains(x, y) {
			return n
		}
	}
	return nil
}

// find is a node of the tick before; nil when there is none.
func (u *UI) find(id string) *Node {
	if id == "" {
		return nil
	}
	for i := range u.last {
		if u.last[i].ID == id {
			return &u.last[i]
		}
	}
	return nil
}

// End finishes the tick and yields its nodes, good until the next Begin but one.
func (u *UI) End() []Node {
	for id, s := range u.scrolls {
		if !s.seen {
			delete(u.scrolls, id)
		}
	}
	top := 0
	for i := range u.nodes {
		top = max(top, u.nodes[i].layer)
	}
	for ; len(u.returnTo) < top; u.focus = "" {
		u.returnTo = append(u.returnTo, u.focus)
	}
	for ; len(u.returnTo) > top; u.returnTo = u.returnTo[:len(u.returnTo)-1] {
		u.focus = u.returnTo[len(u.returnTo)-1]
	}
	u.topLayer = top
	u.keepFocus()
	u.showTip()
	u.dirty = changed(u.dirty, u.last, u.nodes)
	if dialogs(u.last) != dialogs(u.nodes) {
		u.Spoil() // one dims all that is below it
	}
	return u.nodes
}

func dialogs(nodes []Node) int {
	n := 0
	for i := range nodes {
		if nodes[i].Role == RoleDialog {
			n++
		}
	}
	return n
}

// Nodes are the nodes of the last tick.
func (u *UI) Nodes() []Node { return u.nodes }

// TakeDirty is where something changed since it was last taken.
func (u *UI) TakeDirty() Apart {
	d := u.dirty
	u.dirty = nil
	return d
}

// Spoil marks everything as changed.
func (u *UI) Spoil() { u.dirty = Apart{u.in.Size} }

// Enter begins another scene: nothing is focused, held or scrolled.
func (u *UI) Enter() {
	u.focus, u.active, u.clicked, u.hover, u.returnTo = "", "", "", "", nil
	clear(u.scrolls)
	clear(u.rove)
	u.tip = tip{}
	u.focusRank = 0
}

// Size is the window, points.
func (u *UI) Size() Rect { return u.in.Size }

// Pointer is where the pointer is.
func (u *UI) Pointer() (x, y float64) { return u.in.X, u.in.Y }

// Ticks counts the ticks, 60 a second.
func (u *UI) Ticks() int { return u.ticks }

// Acts reports whether a key acts in this tick, by being pressed or by
// repeating.
func (u *UI) Acts(k Key) bool { return u.acts[k] }

// Pressed reports whether a key went down in this tick.
func (u *UI) Pressed(k Key) bool { return u.acts[k] && !u.keyboard.repeats(k) }

// Holds reports whether a key is held down.
func (u *UI) Holds(k Key) bool { return u.in.Held[k] }

// Shifted reports whether a shift key is held down.
func (u *UI) Shifted() bool { return u.in.Shift }

// Typed reports whether a character was typed, a letter in either case, and no text
// entry had the focus.
func (u *UI) Typed(r rune) bool {
	if f := u.find(u.focus); f != nil && f.Role == RoleEntry {
		return false
	}
	return slices.ContainsFunc(u.in.Typed, func(t rune) bool { return t == r || unicode.ToLower(t) == r })
}

// Back reports whether Escape was pressed.
func (u *UI) Back() bool { return u.Pressed(Escape) }

// add appends a node, filling in what the kit knows of it.
func (u *UI) add(n Node) *Node {
	n.Clip, n.layer, n.scroll = u.clip, u.layer, u.holder
	n.Focus = n.stop && n.ID == u.focus
	n.Hover = n.target && n.ID == u.hover && u.layer == u.topLayer
	n.Pressed = n.target && n.ID == u.active && n.ID == u.hover
	u.nodes = append(u.nodes, n)
	return &u.nodes[len(u.nodes)-1]
}

// Draw adds marks to the node that was added last.
func (u *UI) Draw(art []Mark) {
	n := &u.nodes[len(u.nodes)-1]
	n.Art = append(n.Art, art...)
}

// took reports whether a node was clicked or pressed by key in this tick.
func (u *UI) took(id string) bool { return u.clicked == id && id != "" }

// Clicked is the control that was pressed in this tick, by pointer or by Enter or
// Space; empty for none.
func (u *UI) Clicked() string { return u.clicked }

// Focused is the node that the keys reach.
func (u *UI) Focused() string { return u.focus }

// FocusOn moves the keys to a node, which is scrolled to where it is there.
func (u *UI) FocusOn(id string) { u.focus, u.sought = id, id }

// Dialog begins a layer over everything before it: until CloseDialog the nodes
// are part of it, and while it is there nothing below is reached.
func (u *UI) Dialog(id, label string, r Rect) {
	u.layer++
	u.clip, u.holder = Rect{}, ""
	u.add(Node{ID: id, Role: RoleDialog, Label: label, Rect: r})
}

// CloseDialog ends the layer that Dialog began.
func (u *UI) CloseDialog() {
	u.layer--
	u.clip, u.holder = Rect{}, ""
}
