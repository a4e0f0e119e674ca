// Package scene says what every scene of the window is given and what it can ask
// for next, so that no scene needs to know another.
package scene

import (
	"path"
	"slices"
	"time"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
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
	// Board is for a projector: large words, and the iron before all else.
	Board bool
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
	Rubric // how marks are made
	Class  // a folder of runs
	First  // the part that a newcomer opens on
	Back   // to the scene before
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
	// Log is a run that is not in the data folder, for Debrief, called Name.
	Log *run.Log
}

// rubricFolder is where teachers' rubrics are kept.
const rubricFolder = "rubrics"

// Rubric is the rubric by which runs are marked in the window: the one that was
// chosen, or the program's own, with an error when the chosen one cannot be used.
func (d *Desk) Rubric() (*score.Rubric, error) {
	if d.Set.Rubric == "" {
		return score.Standard(), nil
	}
	r, err := d.RubricFile(d.Set.Rubric)
	if err != nil {
		return score.Standard(), err
	}
	return r, nil
}

// RubricFor is the rubric for a run of a job: the one that was chosen, or that of the
// job.
func (d *Desk) RubricFor(s run.Setup) (*score.Rubric, error) {
	if d.Set.Rubric != "" {
		return d.Rubric()
	}
	return score.Of(s)
}

// RubricFile reads and checks a teacher's rubric; the error says in one line why
// it is refused.
func (d *Desk) RubricFile(name string) (*score.Rubric, error) {
	b, err := d.Store.Read(path.Join(rubricFolder, name))
	if err != nil {
		return nil, err
	}
	return score.ParseRubric(name, b)
}

// RubricFiles are the names of the rubrics in the data folder.
func (d *Desk) RubricFiles() ([]string, error) {
	files, err := d.Store.List(rubricFolder)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, f := range files {
		if e := path.Ext(f.Name); e == ".yaml" || e == ".yml" {
			out = append(out, f.Name)
		}
	}
	slices.Sort(out)
	return out, nil
}
