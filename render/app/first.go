package app

import (
	"fmt"
	"io/fs"
	"path"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/ownpart"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// The part that a newcomer opens on: of the lesson whose part has no machined skin that
// has to be broken first, a surface on which the first print shows one obvious patch.
const (
	firstSeed = 8
	firstFilm = 8.0 // um
)

// fresh reports whether nothing was ever worked in the data folder.
func (w *Window) fresh() bool {
	files, err := w.desk.Store.RunFiles()
	return err == nil && len(files) == 0 && w.set.Guided == 0
}

// firstTime begins a part that is already printed, for somebody who opens the
// program for the first time.
func (w *Window) firstTime() error {
	l, err := lessons.Load(bench.FirstLesson)
	if err != nil {
		return err
	}
	wk, err := work.BeginLesson(w.desk.Store, l, firstSeed, w.scatter())
	if err != nil {
		return err
	}
	wk.Do(bench.FirstPrint(firstFilm)...)
	for wk.Busy() {
		wk.Step(stepTime, 0)
	}
	if err := wk.Err(); err != nil {
		return err
	}
	w.show(bench.New(&w.desk, wk), false)
	return nil
}

// toPart shows a file of somebody's own readings before it is worked.
func (w *Window) toPart(name string) error {
	s, err := ownpart.File(&w.desk, w.readPart, name)
	if err != nil {
		return err
	}
	w.show(s, false)
	return nil
}

// toRun goes on with the run in a file, which may lie outside the data folder and
// is then worked where it lies. A run that cannot be worked on is looked back on.
func (w *Window) toRun(file string) error {
	with, name, err := w.desk.Store.With(file)
	if err != nil {
		return err
	}
	log, err := with.Open(name)
	if err != nil {
		return err
	}
	w.desk.Store = with
	if log.Header.Physics != run.Physics || log.SignedOff() {
		w.toDebrief(scene.Next{Name: name})
		return nil
	}
	w.toBench(scene.Next{Name: name})
	return nil
}

// dropped takes the first file that was dropped on the window.
func (w *Window) dropped(files fs.FS) {
	err := fs.WalkDir(files, ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		content, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		w.show(ownpart.Content(&w.desk, w.readPart, path.Base(name), content), true)
		return fs.SkipAll
	})
	if err != nil {
		w.toShelf(fmt.Sprintf("the file that was dropped cannot be read: %v", err))
	}
}
