package cards

import (
	"strings"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/kit/inspect"
	"github.com/before-iron/beforeiron/render/prints"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/sim/run"
)

// A card is the same for everybody who has its number, ends on a fresh print, and
// is the careful hand's work up to there.
func TestDealt(t *testing.T) {
	for _, n := range []uint64{1, 6} {
		c, err := deal(n, "blue")
		if err != nil {
			t.Fatal(err)
		}
		d, err := deal(n, "blue")
		if err != nil {
			t.Fatal(err)
		}
		if c.run.Digest() != d.run.Digest() {
			t.Errorf("card %d is not twice the same", n)
		}
		if want := stages[n%uint64(len(stages))]; c.prints != want {
			t.Errorf("card %d stands after print %d, want %d", n, c.prints, want)
		}
		if _, fresh := c.run.Reading(); !fresh {
			t.Errorf("card %d ends on a stale print", n)
		}
		for _, ch := range choices {
			a, ok := ch.act(c)
			if !ok || a.Kind() != "cut" {
				t.Errorf("card %d: %s is no cut", n, ch.id)
			}
		}
	}
}

// What the cards teach must come out of playing them: near the end a deep cut
// over the blue costs more than the careful hand's own way, and so does cutting
// what carries no blue.
func TestHarmCostsMore(t *testing.T) {
	careful, deep, bare := 0, 0, 0
	for _, n := range []uint64{3, 4, 5} {
		c, err := deal(n, "blue")
		if err != nil {
			t.Fatal(err)
		}
		play := func(a *run.Act) int {
			p := c.play(a)
			if p.err != nil {
				t.Fatal(p.err)
			}
			if a != nil && p.cut.Depth != a.Cut.Depth || p.next == nil || p.film == 0 {
				t.Errorf("card %d: the print after the first cut is not there: %+v", n, p)
			}
			if p.next == nil {
				t.Error("no print came after it")
			}
			return p.prints
		}
		careful += play(nil)
		for _, ch := range choices {
			a, _ := ch.act(c)
			switch ch.id {
			case "deep":
				deep += play(&a)
			case "bare":
				bare += play(&a)
			}
		}
	}
	if deep <= careful || bare <= careful {
		t.Errorf("%d prints after a deep cut, %d after cutting bare metal, %d the careful way", deep, bare, careful)
	}
}

// What came of a choice fits at every size of window and text, the way on has the
// keys, and a difference of one print is not called dear.
func TestTold(t *testing.T) {
	set := store.Defaults()
	s := New(&scene.Desk{Set: &set, Today: time.Now})
	h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
	if err := h.Until(func() bool { time.Sleep(time.Millisecond); return s.card != nil }); err != nil {
		t.Fatal(err)
	}
	reading, _ := s.card.run.Reading()
	next := prints.Small(reading, "blue", 200)
	for _, c := range []struct {
		mine, careful int
		want          string
	}{{12, 9, "cost 3 prints"}, {10, 9, "as good"}, {4, 9, "saved 5 prints"}, {mostPrints, 9, "no coming back"}} {
		s.chosen, s.told = 0, false
		s.play = &playing{card: s.card, mine: &played{prints: c.mine, minutes: 200, next: next}, careful: &played{prints: c.careful, minutes: 150, next: next, film: 2.5, cut: &run.Cut{Depth: 250, Area: &run.Area{}}}}
		for _, size := range [][3]float64{{1280, 800, 1}, {1920, 1080, 1}, {1280, 800, 2}, {1366, 768, 2.5}} {
			set.TextScale = size[2]
			h := drive.New(size[0], size[1], size[2], func(u *kit.UI) { s.Tick(u) })
			for _, p := range inspect.Layout(h.UI.Nodes(), size[2], h.In.Size) {
				t.Errorf("%v: %s", size, p)
			}
			if n := h.Node("own"); n == nil || !strings.Contains(n.Label, "2.5 µm") {
				t.Errorf("of the hand's own cut it says %+v", n)
			}
			if n := h.Node("verdict"); n == nil || !strings.Contains(n.Label, c.want) {
				t.Errorf("%d prints against %d are told as %+v, want %q", c.mine, c.careful, n, c.want)
			}
		}
	}
	s.told = false
	h.Ticks(2)
	if f := h.UI.Focused(); f != "another" {
		t.Errorf("the keys are on %q", f)
	}
}
