package app

import (
	"testing"

	"github.com/before-iron/beforeiron/render/kit"
)

// A window that nothing happens to is built sixty times in its first second and ten
// times in each after that; anything that comes in is told in the same tick.
func TestRest(t *testing.T) {
	still := kit.Input{Size: kit.Rect{W: 1280, H: 800}, X: 5, Y: 6}
	var r rest
	told := func(ticks int, steps ...kit.Input) (n int) {
		for range ticks {
			if !r.skips(steps) {
				n++
			}
		}
		return n
	}
	told(1, still)
	if n := told(restAfter, still); n != restAfter {
		t.Errorf("%d of the first %d ticks are told", n, restAfter)
	}
	if n := told(60, still); n != 60/restEvery {
		t.Errorf("%d ticks of a second of rest are told, want %d", n, 60/restEvery)
	}
	for name, change := range map[string]func(in *kit.Input){
		"pointer": func(in *kit.Input) { in.X++ },
		"button":  func(in *kit.Input) { in.Main = true },
		"wheel":   func(in *kit.Input) { in.WheelY = 1 },
		"finger":  func(in *kit.Input) { in.Touches = []kit.Touch{{ID: 1}} },
		"key":     func(in *kit.Input) { in.Held[kit.Enter] = true },
		"letter":  func(in *kit.Input) { in.Typed = []rune{'c'} },
		"shift":   func(in *kit.Input) { in.Shift = true },
		"size":    func(in *kit.Input) { in.Size.W++ },
	} {
		told(3*restAfter, still)
		in := still
		change(&in)
		if told(1, in) != 1 {
			t.Errorf("%s: what comes in waits", name)
		}
		if told(1, still) != 1 {
			t.Errorf("%s: its end waits", name)
		}
	}
	in := still
	in.Main = true
	if told(200, in) != 200 {
		t.Error("a button is held, and ticks are left out")
	}
	told(3*restAfter, still)
	if told(1, still, in) != 1 {
		t.Error("two steps within a tick wait")
	}
	told(3*restAfter, still)
	r.wake()
	if told(1, still) != 1 {
		t.Error("woken, it waits")
	}
}
