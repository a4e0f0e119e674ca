//go:build window

package app

import (
	"fmt"
	"image"
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/render/kit"
)

// Painting only what has changed leaves what painting everything would, whatever is
// hovered over, clicked, typed and dragged.
func TestPaintedInPartsItIsTheWhole(t *testing.T) {
	s := newShooter(t, 1280, 800, 1)
	s.w.readPart = readPart
	if err := s.w.firstTime(); err != nil {
		t.Fatal(err)
	}
	s.ticks(2)
	s.w.Paint(s.m)
	random := rand.New(rand.NewPCG(11, 11))
	for step := range 200 {
		did := s.something(random)
		for range 2 { // what was left to the frame after is there
			s.ticks(1)
			s.w.Paint(s.m)
		}
		got := pixels(s.m)
		s.w.dirty = kit.Apart{s.w.ui.Size()}
		s.w.Paint(s.m)
		if n, at := unlike(got, pixels(s.m)); n > 0 {
			t.Fatalf("step %d, %s, in %T: it is not as in the whole in %d channels, the first at %v", step, did, s.w.top(), n, at)
		}
	}
}

// something does what a hand that knows nothing of the window might do.
func (s *shooter) something(random *rand.Rand) string {
	nodes := s.w.ui.Nodes()
	n := nodes[random.IntN(len(nodes))]
	r := n.Visible()
	at := func() { s.in.X, s.in.Y = r.X+r.W*random.Float64(), r.Y+r.H*random.Float64() }
	at()
	if n.ID == "quit" || s.w.ui.Focused() == "quit" {
		s.key(kit.Tab)
		return "nothing"
	}
	switch random.IntN(5) {
	case 0:
		s.ticks(1 + 60*random.IntN(2)) // long enough for what it says of itself
		return fmt.Sprintf("over %q", n.ID)
	case 1:
		const keys = "12345acderxzhuib,.[]+-0k?"
		k := keys[random.IntN(len(keys))]
		s.typed(string(k))
		return fmt.Sprintf("%q typed", k)
	case 2:
		keys := []kit.Key{kit.Tab, kit.Escape, kit.Space, kit.Left, kit.Right, kit.Up, kit.Down}
		k := keys[random.IntN(len(keys))]
		if _, leaves := s.w.top().(interface{ Leave() }); k == kit.Escape && leaves {
			k = kit.Tab
		}
		s.key(k)
		return fmt.Sprintf("key %v", k)
	case 3:
		s.in.Main = true
		for range 4 {
			at()
			s.ticks(1)
		}
		s.in.Main = false
		s.ticks(1)
		return fmt.Sprintf("dragged over %q", n.ID)
	default:
		s.in.Main = true
		s.ticks(1)
		s.in.Main = false
		s.ticks(1)
		return fmt.Sprintf("clicked %q", n.ID)
	}
}

// unlike is the number of channels in which two pictures differ by more than the rounding
// of an edge, and the place of the first of them.
func unlike(a, b *image.RGBA) (n int, first image.Point) {
	const rounding = 6 // of 255
	for k, v := range a.Pix {
		if d := int(v) - int(b.Pix[k]); max(d, -d) > rounding {
			if n++; n == 1 {
				first = image.Pt(k/4%a.Rect.Dx(), k/4/a.Rect.Dx())
			}
		}
	}
	return n, first
}
