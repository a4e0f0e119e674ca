// Package opening is the scene while a saved run is made again, act by act.
package opening

import (
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/work"
)

// Scene is the scene.
type Scene struct {
	desk    *scene.Desk
	opening *work.Opening
	to      scene.Place
	err     error
}

// New begins to open a saved run, to go on to a scene with it.
func New(desk *scene.Desk, name string, to scene.Place) *Scene {
	s := &Scene{desk: desk, to: to}
	s.opening, s.err = work.Open(desk.Store, name)
	return s
}

// Tick does one tick of the scene.
func (s *Scene) Tick(u *kit.UI) (next scene.Next) {
	share := 0.0
	if s.err == nil {
		var w *work.Work
		if w, s.err = s.opening.Step(s.desk.StepTime); w != nil {
			return scene.Next{To: s.to, Work: w}
		}
		share = s.opening.Share()
	}
	if s.err != nil || u.Back() {
		next = scene.Next{To: scene.Shelf}
		if s.err != nil {
			next.Trouble = s.err.Error()
		}
	}
	all := u.Size()
	w := min(all.W-40, 560*u.TextScale)
	r := kit.Rect{X: math.Round((all.W - w) / 2), Y: math.Round(all.H/2 - u.ControlHeight()), W: w, H: u.ControlHeight()}
	u.Progress(r, "opening", words.Say("opening.doing"), share)
	r.Y += r.H + 12
	r.W = u.ButtonWidth(words.Say("opening.stop"), "")
	if u.Button(r, "stop", words.Say("opening.stop"), kit.Opts{}) {
		next = scene.Next{To: scene.Shelf}
	}
	return next
}
