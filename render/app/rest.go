package app

import (
	"slices"

	"github.com/before-iron/beforeiron/render/kit"
)

// A window is at rest once nothing has come in and nothing has changed for a second.
// Its scene is then built ten times a second, and not sixty, for the sake of what is
// made beside it; whatever comes in wakes it at once.
const (
	restAfter = 60 // ticks
	restEvery = 6
)

// rest tells which ticks of a window at rest can be left out.
type rest struct {
	told  kit.Input // last
	still int       // ticks in which nothing came in and nothing changed
}

// wake ends the rest.
func (r *rest) wake() { r.still = 0 }

// skips takes what came in since the last tick, and reports whether the scene need
// not be told.
func (r *rest) skips(steps []kit.Input) bool {
	was := r.told
	r.told = steps[len(steps)-1]
	if len(steps) > 1 || !alike(was, r.told) {
		r.wake()
		return false
	}
	r.still++
	return r.still > restAfter && r.still%restEvery != 0
}

// alike reports whether two inputs of one step each say the same, and nothing is held
// in them: what is held may repeat.
func alike(a, b kit.Input) bool {
	for _, in := range []*kit.Input{&a, &b} {
		if len(in.Touches) > 0 || len(in.Typed) > 0 || in.WheelX != 0 || in.WheelY != 0 ||
			slices.ContainsFunc(switches(in), func(down *bool) bool { return *down }) {
			return false
		}
	}
	return a.Size == b.Size && a.X == b.X && a.Y == b.Y && a.Shift == b.Shift
}
