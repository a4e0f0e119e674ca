package kit

import (
	"math"
	"strings"

	"github.com/before-iron/beforeiron/assets/palette"
)

// Opts is what a control may have beyond its label.
type Opts struct {
	Tone     Tone
	Tip      string
	Key      string // a character that does the same; or the name of a key, shown only
	Disabled bool   // reached and explained by its tip, but does nothing
	Checked  bool
	Group    string
	Align    Align
	Art      []Mark // drawn in IconSize points at the left of the label
}

const (
	padX = 12.0
	padY = 8.0
	// toolSide is what the name of a tool leaves free at either side.
	toolSide = 4.0
	// hintGap is between a label and the key shown at its right.
	hintGap = 10.0
)

// IconSize is the side of what stands before a label.
func (u *UI) IconSize() float64 { return math.Round(22 * (1 + (u.TextScale-1)/2)) }

func hint(key string) string { return strings.ToUpper(key) }

// around is what a control's label leaves for its sides: at the left an icon,
// at the right its key.
func (u *UI) around(icon bool, key string) (left, right float64) {
	left, right = padX, padX
	if icon {
		left += u.IconSize() + 8
	}
	if key != "" {
		right += u.Width(Small, hint(key)) + hintGap
	}
	return left, right
}

// ButtonWidth is the breadth that a button needs for its label on one line.
func (u *UI) ButtonWidth(label, key string) float64 {
	return max(MinTarget, math.Ceil(u.Width(Body, label)+2*padX+u.hintWidth(key)))
}

func (u *UI) hintWidth(key string) float64 {
	if key == "" {
		return 0
	}
	return u.Width(Small, hint(key)) + hintGap
}

// MarkedWidth is the same for a toggle, a choice or a button with an icon.
func (u *UI) MarkedWidth(label, key string) float64 {
	return math.Ceil(u.ButtonWidth(label, key) + u.IconSize() + 8)
}

// ControlHeight is the height of a control with one line of text.
func (u *UI) ControlHeight() float64 { return max(MinTarget, math.Ceil(u.Line(Body)+2*padY)) }

// HeightIn is the height of a control whose label wraps in the given width.
func (u *UI) HeightIn(width float64, label, key string, icon bool) float64 {
	l, r := u.around(icon, key)
	return max(MinTarget, math.Ceil(u.TextHeight(Body, label, width-l-r)+2*padY))
}

// control adds a pressable node with its words set.
func (u *UI) control(r Rect, role Role, id, label string, icon bool, o Opts) *Node {
	left, right := u.around(icon, o.Key)
	box := Rect{r.X + left, r.Y, max(0, r.W-left-right), r.H}
	n := u.add(Node{
		ID: id, Role: role, Tone: o.Tone, Label: label, Tip: o.Tip, Key: o.Key, Group: o.Group,
		Rect: r, Disabled: o.Disabled, Checked: o.Checked, stop: true, target: true,
		Lines: u.Wrap(Body, label, box.W), Type: Body, Align: o.Align, TextBox: box,
	})
	if len(o.Art) > 0 {
		x, y := r.X+padX, r.Y+(r.H-u.IconSize())/2
		n.Art = Place(o.Art, x, y, u.IconSize())
		for i := range n.Art {
			n.Art[i].Ink = n.Look().Ink
		}
	}
	if o.Key != "" {
		look := n.Look()
		ink := palette.Dim
		if look.Ground == palette.LampGround {
			ink = palette.OnLamp
		}
		n.Art = append(n.Art, Mark{Shape: Words, Points: []Point{{r.X + r.W - padX, r.Y + (r.H-u.Line(Small))/2}},
			Text: hint(o.Key), Type: Small, Align: Finish, Ink: ink, Ground: look.Ground})
	}
	return n
}

// Place scales marks drawn in a unit square to side points at (x, y).
func Place(art []Mark, x, y, side float64) []Mark {
	out := make([]Mark, len(art))
	for i, m := range art {
		m.Points = append([]Point(nil), m.Points...)
		for k, p := range m.Points {
			m.Points[k] = Point{x + p.X*side, y + p.Y*side}
		}
		m.Width *= side
		m.Thick *= side
		out[i] = m
	}
	return out
}

// pressed reports whether the control was used in this tick, by pointer, by
// Enter or Space, or by its own key.
func (u *UI) pressed(id string, o Opts) bool {
	if o.Disabled {
		return false
	}
	if u.took(id) {
		return true
	}
	key := []rune(o.Key)
	return len(key) == 1 && u.layer == u.topLayer && u.Typed(key[0])
}

// Button is a button; it reports whether it was pressed.
func (u *UI) Button(r Rect, id, label string, o Opts) bool {
	u.control(r, RoleButton, id, label, len(o.Art) > 0, o)
	return u.pressed(id, o)
}

// Tool is a button with its icon over its name, which may take two lines; without
// an icon the name stands alone. Where the name does not fit in the breadth, or
// under the icon, the icon stands alone and the tip says the name.
func (u *UI) Tool(r Rect, id, label string, o Opts) bool {
	u.tool(r, RoleButton, id, label, 0, o)
	return u.pressed(id, o)
}

// tool adds a tool; beside its icon, room points are left free.
func (u *UI) tool(r Rect, role Role, id, label string, room float64, o Opts) *Node {
	if o.Tip == "" {
		o.Tip = label
	}
	n := u.add(Node{ID: id, Role: role, Tone: o.Tone, Label: label, Tip: o.Tip, Key: o.Key, Group: o.Group,
		Rect: r, Disabled: o.Disabled, Checked: o.Checked, stop: true, target: true, Type: Small, Align: Middle})
	side, h := 0.0, -2.0
	if len(o.Art) > 0 {
		side = u.IconSize() * 1.2
		h = side
	}
	lines := u.toolLines(r.W, label)
	if text := float64(len(lines)) * u.Line(Small); len(lines) > 0 && r.H >= h+2+text {
		n.Lines = lines
		h += 2 + text
		n.TextBox = Rect{r.X, r.Y + (r.H+h)/2 - text, r.W, text}
	}
	ink := n.Look().Ink
	n.Art = Place(o.Art, r.X+(r.W-side-room)/2, r.Y+(r.H-h)/2, side)
	for i := range n.Art {
		n.Art[i].Ink = ink
	}
	return n
}

// Step is a tool to tick: a box beside its icon, both over its name. It returns
// what it is set to now, and whether that changed.
func (u *UI) Step(r Rect, id, label string, on bool, o Opts) (bool, bool) {
	changed := u.pressed(id, o)
	if changed {
		on = !on
	}
	if o.Checked = on; !on && o.Tone == Plain {
		o.Tone = Quiet
	}
	side := math.Round(u.IconSize() * .7)
	n := u.tool(r, RoleToggle, id, label, side+4, o)
	icon := u.IconSize() * 1.2
	x := r.X + (r.W+icon-side+4)/2
	y := r.Y + 8
	if len(n.Lines) == 0 {
		y = r.Y + (r.H-side)/2
	}
	ink := n.Look().Ink
	for _, m := range Place(box(on), x, y, side) {
		m.Ink = ink
		n.Art = append(n.Art, m)
	}
	return on, changed
}

// Thumb is a small picture to press, with its name below; ThumbHeight is the
// height for a picture of the given height.
func (u *UI) Thumb(r Rect, id, label string, image *Image, o Opts) bool {
	n := u.add(Node{ID: id, Role: RoleOption, Label: label, Tip: o.Tip, Group: o.Group, Rect: r, Disabled: o.Disabled, Checked: o.Checked,
		stop: true, target: true, Lines: []string{u.Shorten(Small, label, r.W-4)}, Type: Small, Align: Middle})
	n.TextBox = Rect{r.X, r.Y + r.H - u.Line(Small) - 2, r.W, u.Line(Small)}
	if image != nil {
		box := Rect{r.X + 4, r.Y + 4, r.W - 8, r.H - u.Line(Small) - 8}
		n.Art = []Mark{Picture(box, image)}
	}
	return u.pressed(id, o)
}

// ThumbHeight is the height of a thumb for a picture of the given height.
func (u *UI) ThumbHeight(picture float64) float64 { return math.Ceil(picture + u.Line(Small) + 8) }

// Picture lays an image into a rectangle, as large as it fits.
func Picture(r Rect, m *Image) Mark {
	p := Fitted(r, m)
	return Mark{Shape: Pixels, Image: m, Points: []Point{{p.X, p.Y}, {p.X + p.W, p.Y + p.H}}}
}

// Fitted is the rectangle that an image fills when it is laid into r.
func Fitted(r Rect, m *Image) Rect {
	k := min(r.W/float64(m.W), r.H/float64(m.H))
	w, h := float64(m.W)*k, float64(m.H)*k
	return Rect{r.X + (r.W-w)/2, r.Y + (r.H-h)/2, w, h}
}

// toolLines is the name of a tool of the given breadth, broken between words into
// two lines at most; nil where it does not fit so.
func (u *UI) toolLines(width float64, label string) []string {
	for _, w := range strings.Fields(label) {
		if u.Width(Small, w) > width-2*toolSide {
			return nil
		}
	}
	if lines := u.Wrap(Small, label, width-2*toolSide); len(lines) <= 2 {
		return lines
	}
	return nil
}

// ToolHeight is the height of a tool with a name of so many lines.
func (u *UI) ToolHeight(lines int) float64 {
	return math.Ceil(max(MinTarget, u.IconSize()*1.2+float64(lines)*u.Line(Small)+12))
}

// WordHeight is the height of a tool that is its name alone, on one line.
func (u *UI) WordHeight() float64 { return math.Ceil(max(MinTarget, u.Line(Small)+4)) }

// ToolHeightIn is the height of each of rows of tools of the given width, in so much
// height: no higher than their icons where none of their names fits, or not all of
// them below each other.
func (u *UI) ToolHeightIn(width, height float64, rows int, labels ...string) float64 {
	lines := 0
	for _, l := range labels {
		lines = max(lines, len(u.toolLines(width, l)))
	}
	if h := u.ToolHeight(lines); lines > 0 && h*float64(rows) <= height {
		return h
	}
	return math.Ceil(max(MinTarget, u.IconSize()*1.2+12))
}

// Button sets a button as wide as the column.
func (c *Column) Button(id, label string, o Opts) bool {
	return c.UI.Button(c.Take(c.UI.HeightIn(c.Width(), label, o.Key, len(o.Art) > 0)), id, label, o)
}

// Buttons sets buttons side by side, wrapped, and reports which was pressed, -1
// for none.
func (c *Column) Buttons(labels []string, ids []string, opts []Opts) int {
	u := c.UI
	widths := make([]float64, len(labels))
	for i, l := range labels {
		widths[i] = u.ButtonWidth(l, opts[i].Key)
		if len(opts[i].Art) > 0 {
			widths[i] = u.MarkedWidth(l, opts[i].Key)
		}
	}
	h := u.ControlHeight()
	for i, w := range widths {
		if w > c.Width() {
			h = max(h, u.HeightIn(c.Width(), labels[i], opts[i].Key, len(opts[i].Art) > 0))
		}
	}
	hit := -1
	for i, r := range c.Flow(h, widths...) {
		if u.Button(r, ids[i], labels[i], opts[i]) {
			hit = i
		}
	}
	return hit
}

// Toggle is a box to tick; it returns what it is set to now, and whether that
// changed.
func (u *UI) Toggle(r Rect, id, label string, on bool, o Opts) (bool, bool) {
	changed := u.pressed(id, o)
	if changed {
		on = !on
	}
	o.Checked = on
	n := u.control(r, RoleToggle, id, label, true, o)
	side := u.IconSize()
	ink := n.Look().Ink
	n.Art = append(n.Art, Place(box(on), r.X+padX, r.Y+(r.H-side)/2, side)...)
	for i := range n.Art {
		if n.Art[i].Shape != Words {
			n.Art[i].Ink = ink
		}
	}
	return on, changed
}

func box(on bool) []Mark {
	art := []Mark{{Shape: Line, Width: .09, Points: []Point{{.1, .1}, {.9, .1}, {.9, .9}, {.1, .9}, {.1, .1}, {.2, .1}}}}
	if on {
		art = append(art, Mark{Shape: Line, Width: .16, Points: []Point{{.24, .52}, {.44, .72}, {.78, .28}}})
	}
	return art
}

// Toggle sets a toggle as wide as the column.
func (c *Column) Toggle(id, label string, on bool, o Opts) (bool, bool) {
	return c.UI.Toggle(c.Take(c.UI.HeightIn(c.Width(), label, o.Key, true)), id, label, on, o)
}

// Choose is one of several, side by side and wrapped; it returns the one chosen
// now, and whether that changed.
func (c *Column) Choose(id string, labels []string, at int, tips []string) (int, bool) {
	u := c.UI
	widths := make([]float64, len(labels))
	h := u.ControlHeight()
	for i, l := range labels {
		widths[i] = u.MarkedWidth(l, "")
		if widths[i] > c.Width() {
			h = max(h, u.HeightIn(c.Width(), l, "", true))
		}
	}
	return u.choose(c.Flow(h, widths...), RoleRadio, id, labels, at, tips)
}

// ChooseIn is one of several in the given rectangles.
func (u *UI) ChooseIn(rects []Rect, id string, labels []string, at int, tips []string) (int, bool) {
	return u.choose(rects, RoleRadio, id, labels, at, tips)
}

// Tabs are the names of pages, of which one is shown.
func (c *Column) Tabs(id string, labels []string, at int) (int, bool) {
	u := c.UI
	widths := make([]float64, len(labels))
	for i, l := range labels {
		widths[i] = u.ButtonWidth(l, "")
	}
	return u.choose(c.Flow(u.ControlHeight(), widths...), RoleTab, id, labels, at, nil)
}

func (u *UI) choose(rects []Rect, role Role, id string, labels []string, at int, tips []string) (int, bool) {
	chosen := at
	for i := range labels {
		if u.took(ItemID(id, i)) {
			chosen = i
		}
	}
	for i, l := range labels {
		o := Opts{Group: id, Checked: i == chosen}
		if i < len(tips) {
			o.Tip = tips[i]
		}
		n := u.control(rects[i], role, ItemID(id, i), l, role == RoleRadio, o)
		ink := n.Look().Ink
		side := u.IconSize()
		x, y := rects[i].X+padX, rects[i].Y+(rects[i].H-side)/2
		switch {
		case role == RoleRadio:
			n.Art = Place([]Mark{{Shape: Ring, Points: []Point{{.5, .5}}, Width: .38, Thick: .09, Ink: ink}}, x, y, side)
			if i == chosen {
				n.Art = append(n.Art, Place([]Mark{{Shape: Circle, Points: []Point{{.5, .5}}, Width: .2, Ink: ink}}, x, y, side)...)
			}
		case i == chosen:
			n.Art = []Mark{{Shape: Line, Width: 4, Ink: palette.Accent, Points: []Point{
				{rects[i].X + 4, rects[i].Y + rects[i].H - 4}, {rects[i].X + rects[i].W - 4, rects[i].Y + rects[i].H - 4}}}}
		}
	}
	return chosen, chosen != at
}

// ItemID is the identity of item i of a group.
func ItemID(group string, i int) string {
	const digits = "0123456789"
	if i < 10 {
		return group + "." + digits[i:i+1]
	}
	return ItemID(group, i/10) + digits[i%10:i%10+1]
}

// Option is a row of a list, with a second line when detail is given; it reports
// whether it was pressed.
func (c *Column) Option(group string, i int, label, detail string, o Opts) bool {
	u := c.UI
	o.Group = group
	id := ItemID(group, i)
	w := c.Width() - 2*padX
	lines := u.Wrap(Body, label, w)
	r := c.Take(0)
	var more []string
	if detail != "" {
		more = u.Wrap(Small, detail, w)
	}
	text := float64(len(lines)) * u.Line(Body)
	r.H = max(MinTarget, math.Ceil(text+float64(len(more))*u.Line(Small)+2*padY))
	c.y += r.H
	n := u.control(r, RoleOption, id, label, false, o)
	n.Value = detail
	n.TextBox = Rect{r.X + padX, r.Y + padY, w, text}
	if detail == "" {
		n.TextBox = Rect{r.X + padX, r.Y, w, r.H}
	}
	look := n.Look()
	for k, line := range more {
		n.Art = append(n.Art, Mark{Shape: Words, Text: line, Type: Small, Ink: palette.Dim, Ground: look.Ground,
			Points: []Point{{r.X + padX, n.TextBox.Y + n.TextBox.H + float64(k)*u.Line(Small)}}})
	}
	return u.pressed(id, o)
}

// Text sets words in the column.
func (c *Column) Text(id, text string, t Type, tone Tone) {
	u := c.UI
	u.Text(c.Take(math.Ceil(u.TextHeight(t, text, c.Width()))), id, text, t, tone, Start)
}

// Heading sets the name of what follows.
func (c *Column) Heading(id, text string) {
	u := c.UI
	u.Text(c.Take(math.Ceil(u.TextHeight(Heading, text, c.Width()))), id, text, Heading, Plain, Start).Role = RoleHeading
}

// Name sets the engraved name of a group of controls.
func (c *Column) Name(id, text string) {
	u := c.UI
	u.Text(c.Take(math.Ceil(u.TextHeight(Name, text, c.Width()))), id, text, Name, Lit, Start).Role = RoleHeading
}

// Text sets words, wrapped, in a rectangle.
func (u *UI) Text(r Rect, id, text string, t Type, tone Tone, align Align) *Node {
	return u.add(Node{ID: id, Role: RoleText, Tone: tone, Label: text, Rect: r,
		Lines: u.Wrap(t, text, r.W), Type: t, Align: align, TextBox: r})
}

// Status sets words that are said when they change.
func (u *UI) Status(r Rect, id, text string, t Type, tone Tone) {
	n := u.Text(r, id, text, t, tone, Start)
	n.Role, n.Live = RoleStatus, true
}

// Panel is the ground of a group of controls.
func (u *UI) Panel(r Rect, id, label string) {
	u.add(Node{ID: id, Role: RolePanel, Label: label, Rect: r})
}

// Picture is something drawn, with words that say what it shows.
func (u *UI) Picture(r Rect, id, label, value string, art []Mark) {
	u.add(Node{ID: id, Role: RolePicture, Label: label, Value: value, Rect: r, Art: art})
}

// Glass is a picture that lets what is behind it be seen.
func (u *UI) Glass(r Rect, id, label, value string, art []Mark) {
	u.add(Node{ID: id, Role: RoleGlass, Label: label, Value: value, Rect: r, Art: art})
}

// Progress is how far a work has come, 0 to 1.
func (u *UI) Progress(r Rect, id, label string, done float64) {
	u.add(Node{ID: id, Role: RoleProgress, Label: label, Rect: r, Now: done, Low: 0, High: 1,
		Lines: u.Wrap(Body, label, r.W-2*padX), Type: Body, TextBox: Rect{r.X + padX, r.Y, r.W - 2*padX, r.H}})
}
