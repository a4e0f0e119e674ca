package app

import (
	"github.com/before-iron/beforeiron/render/scene"
)

// goTo goes to the scene that is asked for.
func (w *Window) goTo(n scene.Next) error { return nil }
