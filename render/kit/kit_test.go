package kit_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/inspect"
)

// form is a scene with one of each control.
type form struct {
	pressed, mode, row int
	tick               bool
	depth              float64
	name               string
	open               bool
	hand               kit.Hand
}

func (f *form) build(u *kit.UI) {
	left, right := u.Size().Left(u.Size().W * .6)
	c := u.ScrollColumn("left", left.Inset(10), 8)
	c.Heading("h", "A heading that is somewhat long")
	if c.Button("cut", "Cut the painted region", kit.Opts{Tone: kit.Go, Key: "c", Tip: "Lays the strokes"}) {
		f.pressed++
	}
	c.Button("no", "Cannot", kit.Opts{Disabled: true, Tip: "The allowance is used up"})
	f.tick, _ = c.Toggle("stone", "Stone the burrs", f.tick, kit.Opts{})
	f.mode, _ = c.Choose("mode", []string{"Rich", "Normal", "Lean"}, f.mode, nil)
	f.depth, _ = c.Slider("depth", "Depth", fmt.Sprintf("%.1f um", f.depth), f.depth, 1, 25, .5, kit.Opts{})
	for i := range 12 {
		if c.Option("list", i, fmt.Sprint("row ", i), "what it holds", kit.Opts{}) {
			f.row = i
		}
	}
	f.name, _ = u.Entry(c.Take(u.ControlHeight()), "name", "Name", f.name, kit.Opts{})
	if c.Button("ask", "Ask", kit.Opts{}) {
		f.open = true
	}
	c.Close()
	f.hand = u.Canvas(right, "iron", "The face", "", kit.Opts{})
	if f.open {
		u.Dialog("sure", "Sure?", kit.Rect{X: 100, Y: 100, W: 300, H: 200})
		d := u.Column(kit.Rect{X: 120, Y: 120, W: 260, H: 160}, 8)
		if d.Button("yes", "Yes", kit.Opts{Tone: kit.Go}) || u.Back() {
			f.open = false
		}
		u.CloseDialog()
	}
}

// desk runs a form by injected input.
type desk struct {
	t  *testing.T
	u  *kit.UI
	f  form
	in kit.Input
}

func newDesk(t *testing.T) *desk {
	d := &desk{t: t, u: kit.New(), f: form{depth: 5}}
	d.in.Size = kit.Rect{W: 1000, H: 700}
	d.ticks(2)
	return d
}

func (d *desk) ticks(n int) {
	for range n {
		d.u.Begin(d.in)
		d.f.build(d.u)
		d.u.End()
		d.in.WheelY, d.in.Typed = 0, nil
	}
}

func (d *desk) key(k kit.Key) {
	d.in.Held[k] = true
	d.ticks(1)
	d.in.Held[k] = false
	d.ticks(1)
}

func (d *desk) node(id string) *kit.Node {
	d.t.Helper()
	for i, n := range d.u.Nodes() {
		if n.ID == id {
			return &d.u.Nodes()[i]
		}
	}
	d.t.Fatalf("no node %q", id)
	return nil
}

func (d *desk) moveTo(id string) {
	r := d.node(id).Visible()
	d.in.X, d.in.Y = r.X+r.W/2, r.Y+r.H/2
	d.ticks(1)
}

func (d *desk) click(id string) {
	d.moveTo(id)
	d.in.Main = true
	d.ticks(1)
	d.in.Main = false
	d.ticks(1)
}

func (d *desk) want(what string, got, want any) {
	d.t.Helper()
	if fmt.Sprint(got) != fmt.Sprint(want) {
		d.t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

func TestPointer(t *testing.T) {
	d := newDesk(t)
	d.click("cut")
	d.want("one click, one press", d.f.pressed, 1)
	d.moveTo("cut")
	d.in.Main = true
	d.ticks(1)
	d.moveTo("stone")
	d.in.Main = false
	d.ticks(2)
	d.want("let go elsewhere, not pressed", d.f.pressed, 1)
	d.want("nor the other", d.f.tick, false)
	d.click("stone")
	d.want("ticked", d.f.tick, true)
	d.click("mode.2")
	d.want("chosen", d.f.mode, 2)
	d.click("no")
	d.want("a disabled button can be reached", d.u.Focused(), "no")
	n := d.node("depth")
	tr := n.Track()
	d.in.X, d.in.Y, d.in.Main = tr.X+tr.W, tr.Y+tr.H/2, true
	d.ticks(2)
	d.in.Main = false
	d.want("dragged to the end", d.f.depth, 25.0)
}

func TestKeys(t *testing.T) {
	d := newDesk(t)
	d.want("the button that goes on is focused first", d.u.Focused(), "cut")
	d.key(kit.Enter)
	d.want("Enter presses", d.f.pressed, 1)
	d.key(kit.Tab)
	d.key(kit.Tab)
	d.key(kit.Space)
	d.want("Space ticks", d.f.tick, true)
	d.key(kit.Tab)
	d.want("a group is one stop, at what is chosen", d.u.Focused(), "mode.0")
	d.key(kit.Right)
	d.want("arrows choose", d.f.mode, 1)
	d.key(kit.Left)
	d.key(kit.Left)
	d.want("and go round", d.f.mode, 2)
	d.key(kit.Tab)
	d.want("Tab leaves the group", d.u.Focused(), "depth")
	d.key(kit.Right)
	d.want("a step", d.f.depth, 5.5)
	d.in.Held[kit.Right] = true
	d.ticks(60)
	d.in.Held[kit.Right] = false
	if d.f.depth < 9 {
		t.Errorf("held for a second, the depth went to %v only", d.f.depth)
	}
	d.key(kit.Home)
	d.want("Home", d.f.depth, 1.0)
	d.key(kit.Tab)
	d.key(kit.Down)
	d.want("arrows move in a list", d.u.Focused(), "list.1")
	d.want("without pressing", d.f.row, 0)
	d.key(kit.End)
	d.key(kit.Enter)
	d.want("Enter presses the row", d.f.row, 11)
	if n := d.node("list.11"); !n.Visible().Within(n.Clip) || n.Visible().H < n.Rect.H {
		t.Error("the focused row was not scrolled into sight")
	}
	d.key(kit.Tab)
	d.in.Typed = []rune("pläte c")
	d.ticks(1)
	d.key(kit.Backspace)
	d.want("typed", d.f.name, "pläte ")
	d.want("a character typed into an entry presses no button", d.f.pressed, 1)
	d.in.Shift = true
	d.key(kit.Tab)
	d.in.Shift = false
	d.want("Shift and Tab go back to where the list was left", d.u.Focused(), "list.11")
	d.in.Typed = []rune("c")
	d.ticks(1)
	d.want("a button's own key", d.f.pressed, 2)
}

func TestDialogHoldsTheKeys(t *testing.T) {
	d := newDesk(t)
	d.u.FocusOn("ask")
	d.ticks(1)
	d.key(kit.Enter)
	d.want("focus is in the dialog", d.u.Focused(), "yes")
	d.key(kit.Tab)
	d.want("and stays there", d.u.Focused(), "yes")
	d.in.Typed = []rune("c")
	d.ticks(1)
	d.want("keys of what is below do nothing", d.f.pressed, 0)
	d.click("cut")
	d.want("nor does the pointer", d.f.pressed, 0)
	d.key(kit.Escape)
	d.want("closed", d.f.open, false)
	d.ticks(1)
	d.want("focus went back", d.u.Focused(), "ask")
}

func TestTipOnFocusAsOnHover(t *testing.T) {
	d := newDesk(t)
	shown := func() bool {
		for _, n := range d.u.Nodes() {
			if n.Role == kit.RoleTip {
				return true
			}
		}
		return false
	}
	d.key(kit.Tab)
	d.want("by key", shown(), true)
	d.key(kit.Escape)
	d.want("put away", shown(), false)
	d.moveTo("cut")
	d.want("not at once under the pointer", shown(), false)
	d.ticks(40)
	d.want("after a rest", shown(), true)
	d.click("cut")
	d.ticks(60)
	d.want("it does not come over what is next, once its button was pressed", shown(), false)
	d.moveTo("stone")
	d.moveTo("cut")
	d.ticks(40)
	d.want("it is back when one comes back", shown(), true)
}

func TestFingers(t *testing.T) {
	d := newDesk(t)
	r := d.node("cut").Rect
	d.in.Touches = []kit.Touch{{ID: 1, X: r.X + 10, Y: r.Y + 10}}
	d.ticks(3)
	d.in.Touches = nil
	d.ticks(2)
	d.want("a tap presses", d.f.pressed, 1)

	d.in.Touches = []kit.Touch{{ID: 1, X: 50, Y: 600}}
	d.ticks(1)
	for y := 600.0; y > 300; y -= 20 {
		d.in.Touches[0].Y = y
		d.ticks(1)
	}
	d.in.Touches = nil
	d.ticks(1)
	d.want("a drag over a row presses nothing", d.f.row, 0)
	if n := d.node("cut"); n.Rect.Y > 0 {
		t.Errorf("a drag scrolls the column: the button is still at %v", n.Rect.Y)
	}

	c := d.node("iron").Rect
	d.in.Touches = []kit.Touch{{ID: 1, X: c.X + 50, Y: 200}}
	d.ticks(1)
	d.want("a finger starts a drag", d.f.hand.Start, true)
	d.in.Touches = append(d.in.Touches, kit.Touch{ID: 2, X: c.X + 150, Y: 200})
	d.ticks(1)
	d.want("a second finger calls it off", d.f.hand.Quit, true)
	d.in.Touches[1].X += 100
	d.ticks(1)
	d.want("and spreads", d.f.hand.Pinch, 2.0)
	d.want("about the middle", d.f.hand.PanX, 50.0)
	d.in.Touches = d.in.Touches[:1]
	d.ticks(1)
	d.want("the finger that stays does not begin to paint", d.f.hand.Start || d.f.hand.Down, false)
}

func TestLayoutAtEveryScale(t *testing.T) {
	for _, scale := range []float64{1, 1.5, 2, 2.5} {
		d := newDesk(t)
		d.u.TextScale = scale
		d.in.Size = kit.Rect{W: 1280, H: 800}
		d.ticks(3)
		for _, problem := range inspect.Faults(d.u.Nodes(), scale, d.in.Size) {
			t.Errorf("at %v: %s", scale, problem)
		}
	}
}

func TestInspectFindsFaults(t *testing.T) {
	u := kit.New()
	u.Begin(kit.Input{Size: kit.Rect{W: 300, H: 200}})
	u.Button(kit.Rect{X: 0, Y: 0, W: 30, H: 44}, "narrow", "much too long for it", kit.Opts{})
	u.Button(kit.Rect{X: 20, Y: 20, W: 100, H: 44}, "over", "over", kit.Opts{})
	u.Button(kit.Rect{X: 250, Y: 100, W: 100, H: 44}, "out", "out", kit.Opts{})
	u.Button(kit.Rect{X: 20, Y: 150, W: 100, H: 44}, "ringed", "ringed", kit.Opts{})
	u.Button(kit.Rect{X: 121, Y: 150, W: 100, H: 44}, "near", "near", kit.Opts{})
	got := inspect.Layout(u.End(), 1, kit.Rect{W: 300, H: 200})
	if len(got) < 5 {
		t.Errorf("found only %q", got)
	}
	if !slices.Contains(got, `button "ringed": button "near" lies on the ring of the focus`) {
		t.Errorf("no word of what lies on a ring: %q", got)
	}
}

func TestNothingChangesNothingDirty(t *testing.T) {
	d := newDesk(t)
	d.ticks(5)
	d.u.TakeDirty()
	d.ticks(100)
	if r := d.u.TakeDirty(); len(r) > 0 {
		t.Errorf("idle, yet %v is to be drawn again", r)
	}
	d.f.depth = 7
	d.ticks(1)
	if r := d.u.TakeDirty(); !slices.Equal(r, kit.Apart{d.node("depth").Rect}) {
		t.Errorf("a slider moved: %v is to be drawn again, want its own %v", r, d.node("depth").Rect)
	}
}

// A dialog dims the whole window, so all of it is drawn again as one comes and as it
// goes.
func TestADialogIsDrawnWithTheWholeWindow(t *testing.T) {
	d := newDesk(t)
	d.ticks(5)
	for _, open := range []bool{true, false} {
		d.u.TakeDirty()
		d.f.open = open
		d.ticks(1)
		if r := d.u.TakeDirty(); !slices.Equal(r, kit.Apart{d.u.Size()}) {
			t.Errorf("a dialog, %v: %v is to be drawn again, want all of %v", open, r, d.u.Size())
		}
	}
}

func TestWrapKeepsEveryWord(t *testing.T) {
	u := kit.New()
	for _, width := range []float64{0, 5, 60, 200, 1000} {
		joined := ""
		for _, l := range u.Wrap(kit.Body, "blue unbelievably-long-unbroken-word and more", width) {
			joined += l
			if w := u.Width(kit.Body, l); w > width && len([]rune(l)) > 1 {
				t.Errorf("in %v: %q is %v wide", width, l, w)
			}
		}
		if width < 1000 {
			continue
		}
		if joined != "blue unbelievably-long-unbroken-word and more" {
			t.Errorf("in %v: %q", width, joined)
		}
	}
}

func BenchmarkTick(b *testing.B) {
	u := kit.New()
	f := form{depth: 5}
	for b.Loop() {
		u.Begin(kit.Input{Size: kit.Rect{W: 1000, H: 700}})
		f.build(u)
		u.End()
	}
}

// A column that goes on beyond its end says so there, with its arrow clear of what the
// keys are on, and no longer once its end is reached; the page keys reach what is no
// control.
func TestAColumnSaysThatItGoesOn(t *testing.T) {
	u, in := kit.New(), kit.Input{Size: kit.Rect{W: 300, H: 300}}
	tick := func() {
		u.Begin(in)
		c := u.ScrollColumn("long", in.Size, 8)
		for i := range 12 {
			c.Button(fmt.Sprint("b", i), "Something to press", kit.Opts{})
		}
		c.Text("last", "Read at the end", kit.Body, kit.Plain)
		c.Space(400)
		c.Text("very last", "And after that", kit.Body, kit.Plain)
		c.Close()
		u.End()
	}
	node := func(id string) *kit.Node {
		for i := range u.Nodes() {
			if n := &u.Nodes()[i]; n.ID == id {
				return n
			}
		}
		return nil
	}
	key := func(k kit.Key) {
		in.Held[k] = true
		tick()
		in.Held[k] = false
		tick()
		tick()
	}
	for range 3 {
		tick()
	}
	if node("long.more") == nil || node("long.before") != nil {
		t.Fatal("at its beginning the column does not say that it goes on below, or says that it does above")
	}
	for i := 1; i < 12; i++ {
		key(kit.Tab)
		n := node(fmt.Sprint("b", i))
		if !n.Focus || n.Visible() != n.Rect {
			t.Fatalf("Tab %d: the keys are on %q, seen %v of %v", i, u.Focused(), n.Visible(), n.Rect)
		}
		for _, end := range []string{"long.more", "long.before"} {
			if s := node(end); s != nil && !s.Rect.Meets(n.Rect).Empty() {
				t.Errorf("Tab %d: the shade lies on what the keys are on", i)
			}
		}
	}
	if node("long.more") == nil || node("long.before") == nil {
		t.Error("on its way the column does not say that it goes on both ways")
	}
	key(kit.PageDown)
	key(kit.PageDown)
	key(kit.PageDown)
	if n := node("very last"); n.Visible() != n.Rect || node("long.more") != nil {
		t.Errorf("the page keys end at %v of %v", n.Visible(), n.Rect)
	}
}

// What is partly below the end of a column is pressed by a click on what is seen of it.
func TestAClickOnWhatIsCutOffPressesIt(t *testing.T) {
	u, pressed := kit.New(), ""
	in := kit.Input{Size: kit.Rect{W: 300, H: 200}}
	tick := func() {
		u.Begin(in)
		c := u.ScrollColumn("column", kit.Rect{X: 10, Y: 10, W: 200, H: 130}, 8)
		for _, id := range []string{"a", "b", "c", "d"} {
			if c.Button(id, id, kit.Opts{}) {
				pressed = id
			}
		}
		c.Close()
		u.End()
	}
	tick()
	tick()
	in.X, in.Y = 50, 128 // c reaches from 114 to 158, and is seen to 140
	tick()
	in.Main = true
	tick()
	tick()
	in.Main = false
	tick()
	if pressed != "c" || u.Focused() != "c" {
		t.Errorf("%q is pressed and %q has the keys, want c", pressed, u.Focused())
	}
}

// The ring of the focus reaches out of its node. In a scrolling column it is whole all
// the same, and is cut only where the column cuts off what it stands round.
func TestTheRingInAColumnIsWhole(t *testing.T) {
	u := kit.New()
	view := kit.Rect{X: 10, Y: 10, W: 200, H: 130}
	at, in := "a", kit.Input{Size: kit.Rect{W: 300, H: 200}}
	tick := func() *kit.Node {
		u.Begin(in)
		c := u.ScrollColumn("column", view, 8)
		for _, id := range []string{"a", "b", "c", "d"} {
			c.Button(id, id, kit.Opts{})
		}
		c.Close()
		for i, n := range u.End() {
			if n.ID == at {
				return &u.Nodes()[i]
			}
		}
		t.Fatalf("there is no %q", at)
		return nil
	}
	tick()
	n := tick()
	if got, want := n.Ringed(), (kit.Rect{X: n.Rect.X - 3, Y: n.Rect.Y - 3, W: n.Rect.W + 6, H: n.Rect.H + 6}); got != want {
		t.Errorf("the ring of the first is painted in %v, want %v", got, want)
	}
	at = "c"
	n = tick()
	if n.Visible().H >= n.Rect.H || n.Visible().Empty() {
		t.Fatalf("the column does not cut off the third: %v in %v", n.Rect, n.Clip)
	}
	if got := n.Ringed(); got.Y+got.H != view.Y+view.H || got.X != view.X-3 || got.Y != n.Rect.Y-3 {
		t.Errorf("the ring of the one that is cut off at its foot is painted in %v", got)
	}
	at = "d"
	if n = tick(); !n.Ringed().Empty() {
		t.Errorf("the ring of one that is not seen is painted in %v", n.Ringed())
	}
}

// Names are found by their beginning, whatever has the focus: one character after the
// other narrows, the same again goes on, a pause begins anew, and what is found is seen.
func TestTypeAhead(t *testing.T) {
	u, in := kit.New(), kit.Input{Size: kit.Rect{W: 300, H: 300}}
	names := []string{"..", "Alpha/", "beta/", "a plate.csv", "bar.csv", "Bed.csv", "bed 2.csv", "x.csv", "Äpfel.csv"}
	entry := ""
	tick := func() {
		u.Begin(in)
		c := u.ScrollColumn("files", in.Size, 8)
		entry, _ = u.Entry(c.Take(u.ControlHeight()), "entry", "Name", entry, kit.Opts{})
		c.Button("other", "Other", kit.Opts{})
		u.TypeAhead("names")
		for i, n := range names {
			c.Option("names", i, n, "", kit.Opts{})
		}
		c.Close()
		u.End()
		in.Typed = nil
	}
	on := func(typed, want string) {
		t.Helper()
		for _, r := range typed {
			in.Typed = []rune{r}
			tick()
		}
		tick()
		for i := range u.Nodes() {
			if n := &u.Nodes()[i]; n.ID == u.Focused() && (n.Label != want || n.Visible() != n.Rect) {
				t.Errorf("after %q the keys are on %q, seen %v of %v; want %q", typed, n.Label, n.Visible(), n.Rect, want)
			}
		}
	}
	pause := func() {
		for range 70 {
			tick()
		}
	}
	tick()
	u.FocusOn("other")
	tick()
	on("b", "beta/")
	on("b", "bar.csv")
	on("b", "Bed.csv")
	pause()
	on("bed", "bed 2.csv") // from the one that has the keys on
	on("2", "bed 2.csv")   // the blank is not typed: no name goes on so
	pause()
	on("x", "x.csv")
	pause()
	on("ä", "Äpfel.csv")
	pause()
	on("al", "Alpha/")
	pause()
	on("q", "Alpha/")
	u.FocusOn("entry")
	tick()
	on("b", "Name")
	if entry != "b" {
		t.Errorf("the entry holds %q", entry)
	}
}

// A tip covers no control that may be pressed, and no status, where it has a place
// that does not: in a column that is full above and below, it stands beside the
// column.
func TestATipLeavesControlsFree(t *testing.T) {
	u := kit.New()
	in := kit.Input{Size: kit.Rect{W: 1000, H: 700}}
	tick := func() {
		u.Begin(in)
		left, right := u.Size().Left(680)
		u.Canvas(left, "iron", "The face", "", kit.Opts{})
		c := u.ScrollColumn("column", right.Inset(10), 4)
		for i := range 9 {
			c.Button(fmt.Sprint("above.", i), "Above", kit.Opts{})
		}
		c.Buttons([]string{"First", "Second"}, []string{"first", "second"}, []kit.Opts{{Tip: "What the first of two does"}, {Tip: "What the second of two does"}})
		u.Status(c.Take(u.ControlHeight()), "wrote", "It is written", kit.Body, kit.Lit)
		for i := range 9 {
			c.Button(fmt.Sprint("below.", i), "Below", kit.Opts{})
		}
		c.Close()
		u.End()
	}
	node := func(id string) *kit.Node {
		for i, n := range u.Nodes() {
			if n.ID == id {
				return &u.Nodes()[i]
			}
		}
		return nil
	}
	tick()
	for _, id := range []string{"first", "second"} {
		r := node(id).Rect
		in.X, in.Y = r.X+r.W/2, r.Y+r.H/2
		for range 60 {
			tick()
		}
		tip := node("tip")
		if tip == nil {
			t.Fatalf("%s has no tip", id)
		}
		for _, n := range u.Nodes() {
			if (n.Role == kit.RoleButton || n.Role == kit.RoleStatus) && !n.Visible().Meets(tip.Rect).Empty() {
				t.Errorf("the tip of %s covers %s", id, n.ID)
			}
		}
	}
}
