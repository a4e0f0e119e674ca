// Package scene says what every scene of the window is given and what it can ask
// for next, so that no scene needs to know another.
package scene

import (
	"time"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// Desk is what scenes share.
type Desk struct {
	Store store.Store
	Set   *store.Settings
	// Changed is called when the settings have changed.
	Changed func()
	// Today is the local date.
	Today func() time.Time
	// StepTime is how long a scene may work in one tick.
	StepTime time.Duration
}

// Place is a scene that can be asked for.
type Place uint8

// The scenes.
const (
	Stay Place = iota
	Shelf
	Bench
	Debrief
	Keys
	Settings
	OwnPart
	Cards
	Lesson
	Practice
	Back // to the scene before
	Quit
)

// Next is what a scene asks for; the zero Next stays.
type Next struct {
	To     Place
	Work   *work.Work      // for Bench and Debrief
	Name   string          // of a saved run, for Bench and Debrief
	Lesson *lessons.Lesson // for Bench: a new run of it; for Lesson
	Seed   uint64
	Setup  *run.Setup // for Bench: a new run of somebody's own part
	// PartName is what that part is called.
	PartName string
	Trouble  string // for Shelf: what is to be said
}
