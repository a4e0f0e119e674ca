package app

import (
	"slices"
	"testing"

	"github.com/before-iron/beforeiron/render/kit"
)

// listener is a scene of one button and a canvas.
type listener struct {
	ui       *kit.UI
	was      kit.Input
	clicks   int
	enters   int
	starts   int
	typed    []rune
	farthest float64 // that a drag went
}

var (
	theButton = kit.Rect{X: 10, Y: 10, W: 100, H: 50}
	theCanvas = kit.Rect{X: 200, Y: 0, W: 300, H: 300}
)

// tell gives the scene a tick: how things are at its end, and what went down in it.
func (l *listener) tell(now, fell kit.Input) {
	if l.ui == nil {
		l.ui = kit.New()
	}
	now.Size = kit.Rect{W: 500, H: 300}
	for _, in := range split(l.was, now, fell) {
		l.ui.Begin(in)
		if l.ui.Button(theButton, "button", "Cut", kit.Opts{}) {
			l.clicks++
		}
		h := l.ui.Canvas(theCanvas, "canvas", "Face", "", kit.Opts{})
		if h.Start {
			l.starts++
		}
		if h.Down {
			l.farthest = max(l.farthest, h.X-h.FromX)
		}
		if l.ui.Pressed(kit.Enter) {
			l.enters++
		}
		for r := 'a'; r <= 'z'; r++ {
			if l.ui.Typed(r) {
				l.typed = append(l.typed, r)
			}
		}
		l.ui.End()
		l.was = in
	}
}

func at(x, y float64) kit.Input { return kit.Input{X: x, Y: y} }

func down(x, y float64) kit.Input { return kit.Input{X: x, Y: y, Main: true} }

// A press and its release in one tick click where they were, though the pointer is
// elsewhere in the next.
func TestClickWithinOneTick(t *testing.T) {
	l := &listener{}
	l.tell(at(50, 30), kit.Input{})
	l.tell(at(50, 30), kit.Input{Main: true})
	l.tell(at(400, 200), kit.Input{})
	if l.clicks != 1 {
		t.Errorf("%d clicks of one that was shorter than a tick", l.clicks)
	}
	if l.starts != 0 {
		t.Errorf("the canvas was pressed %d times, want none", l.starts)
	}
}

// Clicks in ticks that follow each other, or that begin in the tick in which the one
// before ends, are each one click, and none is a drag.
func TestClicksThatFollowEachOther(t *testing.T) {
	l := &listener{}
	l.tell(at(50, 30), kit.Input{})
	l.tell(at(50, 30), kit.Input{Main: true})
	l.tell(at(50, 30), kit.Input{Main: true})
	l.tell(down(50, 30), kit.Input{Main: true})
	l.tell(down(50, 30), kit.Input{Main: true})
	l.tell(at(50, 30), kit.Input{})
	if l.clicks != 4 {
		t.Errorf("%d clicks of 4", l.clicks)
	}
	l.tell(down(250, 50), kit.Input{Main: true})
	l.tell(down(450, 50), kit.Input{Main: true})
	l.tell(at(450, 50), kit.Input{})
	if l.starts != 2 || l.farthest != 0 {
		t.Errorf("two dabs at two places are %d, drawn out by %g points", l.starts, l.farthest)
	}
}

// The same of a key: taps within a tick, one after the other, and a key that is held.
func TestKeysWithinOneTick(t *testing.T) {
	var enter kit.Input
	enter.Held[kit.Enter] = true
	l := &listener{}
	l.tell(kit.Input{}, kit.Input{})
	l.tell(kit.Input{}, enter)
	l.tell(kit.Input{}, enter)
	l.tell(enter, enter)
	l.tell(enter, kit.Input{})
	l.tell(kit.Input{}, kit.Input{})
	if l.enters != 3 {
		t.Errorf("%d taps of 3", l.enters)
	}
}

// Characters typed in one tick come one by one in their order.
func TestCharactersOfOneTick(t *testing.T) {
	l := &listener{}
	l.tell(kit.Input{}, kit.Input{})
	l.tell(kit.Input{Typed: []rune("rccb")}, kit.Input{})
	if got := string(l.typed); got != "rccb" {
		t.Errorf("typed %q, want rccb", got)
	}
}

// A finger that is set down as another is lifted is another touch, not the same one
// drawn over the face.
func TestFingersThatFollowEachOther(t *testing.T) {
	l := &listener{}
	finger := func(id int, x float64) kit.Input {
		return kit.Input{Touches: []kit.Touch{{ID: id, X: x, Y: 50}}}
	}
	l.tell(kit.Input{}, kit.Input{})
	l.tell(finger(1, 250), kit.Input{})
	l.tell(finger(2, 450), kit.Input{})
	l.tell(kit.Input{}, kit.Input{})
	if l.starts != 2 || l.farthest != 0 {
		t.Errorf("two touches are %d, drawn out by %g points", l.starts, l.farthest)
	}
}

// An ordinary tick is one step, and tells all that came in once.
func TestOrdinaryTick(t *testing.T) {
	now := kit.Input{X: 7, Y: 8, Main: true, WheelY: 1, Typed: []rune{'c'}, Shift: true}
	steps := split(kit.Input{X: 5}, now, kit.Input{Main: true})
	if len(steps) != 1 || steps[0].WheelY != 1 || !slices.Equal(steps[0].Typed, now.Typed) || !steps[0].Main || steps[0].X != 7 {
		t.Errorf("comes as %+v", steps)
	}
	var turns float64
	for _, s := range split(now, kit.Input{WheelY: 2, Typed: []rune("ab")}, kit.Input{Main: true}) {
		turns += s.WheelY
	}
	if turns != 2 {
		t.Errorf("two turns of the wheel come as %g", turns)
	}
}
