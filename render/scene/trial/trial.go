// Package trial makes desks for the tests of scenes.
package trial

import (
	"time"

	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/store"
)

// Desk is a desk on an empty data folder in memory, as a newcomer has it.
func Desk() *scene.Desk { return On(store.Store{Folder: store.NewMemory()}) }

// On is one on a data folder. Its day is always the same.
func On(s store.Store) *scene.Desk {
	set := store.Defaults()
	day := time.Date(2026, 3, 14, 9, 26, 0, 0, time.UTC)
	return &scene.Desk{Store: s, Set: &set, Changed: func() {}, Today: func() time.Time { return day }, StepTime: time.Second}
}
