package kit

import "github.com/before-iron/beforeiron/assets/palette"

// scrolling is how far a column is scrolled.
type scrolling struct {
	view   Rect
	offset float64
	height float64 // of all that is in it
	layer  int
	seen   bool
}

// Column sets things one under the other.
type Column struct {
	UI  *UI
	Gap float64

	view   Rect
	y      float64
	id     string // of a scrolling column
	bar    float64
	from   float64 // how far it was scrolled as this tick began
	before struct {
		clip   Rect
		holder string
	}
	started bool
}

// Column is a column that fills r from its top.
func (u *UI) Column(r Rect, gap float64) *Column {
	return &Column{UI: u, Gap: gap, view: r, y: r.Y}
}

// barWidth is the breadth of a scroll bar, points.
const barWidth = 14.0

// ScrollColumn is a column that scrolls when it holds more than r; Close it.
func (u *UI) ScrollColumn(id string, r Rect, gap float64) *Column {
	s := u.scrolls[id]
	if s == nil {
		s = &scrolling{}
		u.scrolls[id] = s
	}
	s.view, s.layer, s.seen = r, u.layer, true
	c := &Column{UI: u, Gap: gap, view: r, id: id}
	if s.height > r.H+.5 {
		c.bar = barWidth + 4
	}
	s.offset = max(0, min(s.offset, s.height-r.H))
	c.from = s.offset
	c.y = r.Y - s.offset
	c.before.clip, c.before.holder = u.clip, u.holder
	u.clip, u.holder = r, id
	return c
}

// ColumnHeight is the height of all that a scrolling column held in the tick before;
// otherwise when there was none of that identity.
func (u *UI) ColumnHeight(id string, otherwise float64) float64 {
	if s := u.scrolls[id]; s != nil && s.height > 0 {
		return s.height
	}
	return otherwise
}

// Width is the breadth of what is set in the column.
func (c *Column) Width() float64 { return c.view.W - c.bar }

// Left is what remains of the column below what is set, when it does not scroll.
func (c *Column) Left() Rect {
	y := c.y
	if c.started {
		y += c.Gap
	}
	return Rect{c.view.X, y, c.Width(), max(0, c.view.Y+c.view.H-y)}
}

// Take is the next h points of the column.
func (c *Column) Take(h float64) Rect {
	if c.started {
		c.y += c.Gap
	}
	c.started = true
	r := Rect{c.view.X, c.y, c.Width(), h}
	c.y += h
	return r
}

// Space leaves h points free.
func (c *Column) Space(h float64) { c.y += h }

// Flow is the next rectangles of the given widths and one height, side by side
// and wrapped into as many rows as it takes.
func (c *Column) Flow(h float64, widths ...float64) []Rect {
	out := make([]Rect, 0, len(widths))
	row := c.Take(h)
	x := row.X
	for _, w := range widths {
		w = min(w, row.W)
		if x > row.X && x+w > row.X+row.W+.01 {
			row = c.Take(h)
			x = row.X
		}
		out = append(out, Rect{x, row.Y, w, h})
		x += w + c.Gap
	}
	return out
}

// Close ends a scrolling column and shows its bar when there is more than fits.
func (c *Column) Close() {
	u := c.UI
	if c.id == "" {
		return
	}
	u.clip, u.holder = c.before.clip, c.before.holder
	s := u.scrolls[c.id]
	s.height = c.y + c.from - c.view.Y
	if s.height <= c.view.H+.5 {
		return
	}
	bar, seen := c.view.Right(barWidth)
	if s.offset >= 1 {
		upper, _ := seen.Top(s.shade())
		u.more(c.id+".before", upper, -1)
	}
	if s.offset <= s.height-c.view.H-1 {
		lower, _ := seen.Bottom(s.shade())
		u.more(c.id+".more", lower, 1)
	}
	n := u.add(Node{ID: c.id + ".bar", Role: RoleScroll, Label: c.id, Rect: bar, target: true,
		Now: s.offset, Low: 0, High: s.height - c.view.H})
	if u.active == n.ID && u.in.Main {
		share := s.view.H / s.height
		s.offset = max(0, min((u.in.Y-bar.Y)/bar.H*s.height-share*s.height/2, n.High))
	}
}

// ScrollTo scrolls a column so that what is set at y comes to its top, as far as what
// follows allows.
func (c *Column) ScrollTo(y float64) {
	if s := c.UI.scrolls[c.id]; s != nil {
		s.offset += y - c.view.Y - s.shade()
	}
}

// shade is the height of the shade at an end beyond which the column goes on, points.
func (s *scrolling) shade() float64 { return min(30, s.view.H/5) }

// page is how far a page key scrolls, points: what is read last is read first again.
func (s *scrolling) page() float64 { return s.view.H - 2*s.shade() }

// more is the shade at an end of a column beyond which it goes on, with an arrow that
// points there: down for 1, up for -1.
func (u *UI) more(id string, r Rect, way float64) {
	x, y, d := r.X+r.W/2, r.Y+r.H/2+way*r.H*.14, r.H*.2
	u.add(Node{ID: id, Role: RoleMore, Label: id, Rect: r, Now: way, Art: []Mark{
		{Shape: Line, Width: 3, Ink: palette.Accent, Points: []Point{{x - 2.2*d, y - way*d}, {x, y + way*d}, {x + 2.2*d, y - way*d}}},
	}})
}

// Thumb is the part of a scroll bar that is dragged.
func (n *Node) Thumb() Rect {
	all := n.High + n.Rect.H
	h := max(24, n.Rect.H*n.Rect.H/all)
	return Rect{n.Rect.X, n.Rect.Y + (n.Rect.H-h)*n.Now/max(1, n.High), n.Rect.W, h}
}

// reveal scrolls the column that holds a node until the node is seen.
func (u *UI) reveal(n *Node) {
	s := u.scrolls[n.scroll]
	if s == nil {
		return
	}
	margin := 8 + s.shade()
	if over := n.Rect.Y + n.Rect.H + margin - (s.view.Y + s.view.H); over > 0 {
		s.offset += over
	}
	if under := s.view.Y + margin - n.Rect.Y; under > 0 {
		s.offset -= under
	}
}

// wheelStep is how far one turn of the wheel scrolls, points.
const wheelStep = 60.0

// turnWheel scrolls the column under the pointer, unless a control there takes
// the wheel for itself.
func (u *UI) turnWheel() {
	if u.in.WheelY == 0 {
		return
	}
	if n := u.find(u.hover); n != nil && u.takesWheel(n) {
		return
	}
	if s := u.columnUnder(u.in.X, u.in.Y); s != nil {
		s.offset -= u.in.WheelY * wheelStep
	}
}

// takesWheel reports whether a node keeps the wheel for itself: a canvas does, and
// a slider unless the wheel may be meant for the column that it stands in.
func (u *UI) takesWheel(n *Node) bool {
	switch n.Role {
	case RoleCanvas:
		return true
	case RoleSlider:
		s := u.scrolls[n.scroll]
		return u.focus == n.ID || s == nil || s.height <= s.view.H+.5
	}
	return false
}

func (u *UI) columnUnder(x, y float64) *scrolling {
	for _, s := range u.scrolls {
		if s.layer == u.topLayer && s.view.Contains(x, y) {
			return s
		}
	}
	return nil
}

// dragColumn lets a finger drag the column that it went down on.
func (u *UI) dragColumn() {
	if n := u.find(u.active); n != nil && (n.Role == RoleCanvas || n.Role == RoleSlider || n.Role == RoleScroll) {
		return
	}
	if s := u.columnUnder(u.at.X, u.at.Y); s != nil {
		u.active = ""
		s.offset -= u.in.Y - u.was.Y
	}
}

// pageThrough scrolls the column that holds the focus by the page keys, so that what is
// read at its end is reached too; a slider takes them for itself.
func (u *UI) pageThrough() {
	f := u.find(u.focus)
	if f == nil || f.Role == RoleSlider {
		return
	}
	s := u.scrolls[f.scroll]
	if s == nil {
		return
	}
	if u.acts[PageDown] {
		s.offset += s.page()
	}
	if u.acts[PageUp] {
		s.offset -= s.page()
	}
}

// PageKeys scrolls a column by the page and line keys, for a page with nothing
// in it to focus.
func (c *Column) PageKeys() {
	u, s := c.UI, c.UI.scrolls[c.id]
	if s == nil {
		return
	}
	steps := map[Key]float64{Down: wheelStep, Up: -wheelStep}
	if f := u.find(u.focus); f == nil || f.scroll != c.id { // else pageThrough does it
		steps[PageDown], steps[PageUp] = s.page(), -s.page()
	}
	for key, step := range steps {
		if u.Acts(key) {
			s.offset += step
		}
	}
}
