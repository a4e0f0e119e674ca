package cards

import (
	"testing"

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
