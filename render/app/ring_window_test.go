//go:build window

package app

import (
	"testing"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/shelf"
)

// The ring of the focus is painted on all four sides of a control that fills the breadth
// of a scrolling column.
func TestTheRingIsPaintedWhole(t *testing.T) {
	sh := newShooter(t, 1280, 800, 1)
	sh.w.desk.Store = folder(t)
	sh.w.show(shelf.New(&sh.w.desk, nil, ""), false)
	sh.settle()
	sh.w.ui.FocusOn("lessons.0")
	sh.ticks(2)
	sh.w.Paint(sh.m)
	m := pixels(sh.m)
	for _, n := range sh.w.ui.Nodes() {
		if !n.Focus {
			continue
		}
		mx, my := int(n.Rect.X+n.Rect.W/2), int(n.Rect.Y+n.Rect.H/2)
		lit := sh.w.paint.Theme.Of(palette.Focus)
		for side, at := range map[string][2]int{"left": {int(n.Rect.X) - 1, my}, "right": {int(n.Rect.X + n.Rect.W), my}, "top": {mx, int(n.Rect.Y) - 1}, "foot": {mx, int(n.Rect.Y + n.Rect.H)}} {
			if got := m.RGBAAt(at[0], at[1]); got != lit {
				t.Errorf("%q has no ring at its %s: %v, want %v", n.ID, side, got, lit)
			}
		}
		return
	}
	t.Error("nothing has the focus")
}
