package bench

import (
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/inspect"
)

// boardText is the scale at which the smallest type takes 48 of 1080 lines.
func boardText(lines float64) float64 { return 48 * lines / 1080 / kit.Small.Size }

// On a board the iron has at least half of the window, every tool has its name, and
// print, film and what is asked for stand in one line that is whole. The cut and the
// routine come at a key and go again.
func TestBoard(t *testing.T) {
	for _, size := range [][2]float64{{1280, 800}, {1920, 1080}} {
		b := newTable(t, size[0], size[1], boardText(size[1]))
		b.desk.Board = true
		b.Ticks(2)
		b.Type("r")
		b.rest()
		iron := b.Node("iron").Rect
		if share := iron.W * iron.H / (size[0] * size[1]); share < .5 {
			t.Errorf("at %v the iron has %.2f of the window", size, share)
		}
		for _, id := range []string{"tool.paint", "tool.point", "tool.rub", "checks", "signoff", "go.leave"} {
			if n := b.Node(id); len(n.Lines) == 0 {
				t.Errorf("at %v %q has no name", size, id)
			}
		}
		n := b.Node("hours")
		for _, part := range []string{"print 1", "film 8.0 µm", "asked"} {
			if !strings.Contains(n.Label, part) || len(n.Lines) != 1 {
				t.Errorf("at %v it stands so: %q, want %q in one line", size, n.Lines, part)
			}
		}
		b.boardIsWell("folded")
		if b.Node("depth") != nil {
			t.Error("the cut is not folded away")
		}
		b.Type("d")
		b.Ticks(2)
		if b.Node("depth") == nil {
			t.Error("D does not bring the cut")
		}
		b.boardIsWell("unfolded")
		b.must(b.Click("fold"))
		b.Ticks(2)
		for _, key := range []string{"h", "u"} {
			b.Type(key)
			b.Ticks(2)
			b.boardIsWell(key)
			b.Key(kit.Escape)
		}
		b.Type("ac")
		b.rest()
		if e := b.bench.work.Run.Entries(); e[len(e)-1].Act.Cut == nil {
			t.Error("C does not cut while the cut is folded away")
		}
		b.boardIsWell("cut")
	}
}

func (b *table) boardIsWell(state string) {
	b.t.Helper()
	for _, p := range inspect.Layout(b.UI.Nodes(), b.UI.TextScale, b.In.Size) {
		b.t.Errorf("%s, %v: %s", state, b.In.Size, p)
	}
	for _, p := range inspect.Contrast(b.UI.Nodes(), palette.ForRoom) {
		b.t.Errorf("%s: %s", state, p)
	}
}

// Large words keep the names of tools and steps, and what is asked for: its figures in the
// bar, as far as two lines hold them, and the whole of it beside the checks.
func TestNamesInLargeWords(t *testing.T) {
	for _, scale := range []float64{1.5, 2, 2.5} {
		b := newTable(t, 1280, 800, scale)
		b.Ticks(2)
		for _, id := range []string{"tool.paint", "tool.point", "checks", "go.leave", "step.half", "step.predict", "step.over"} {
			if n := b.Node(id); len(n.Lines) == 0 {
				t.Errorf("at text %v %q has no name", scale, id)
			}
		}
		if n := b.Node("hours"); !strings.Contains(n.Label, "asked") {
			t.Errorf("at text %v what is asked for is not said: %q", scale, n.Label)
		}
		if n := b.Node("hours"); scale <= 2 && !(strings.Contains(n.Label, "12 in ") && strings.Contains(n.Label, "30 to 50 %")) {
			t.Errorf("at text %v frame and bearing that are asked for are not said: %q", scale, n.Label)
		}
		b.Type("h")
		b.Ticks(2)
		if n := b.Node("asked"); n == nil || !strings.Contains(n.Label, "over the block") {
			t.Errorf("at text %v the checks do not say the whole of what is asked for", scale)
		}
	}
}
