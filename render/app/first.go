package app

import (
	"bytes"
	"io/fs"
	"path"
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/debrief"
	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/render/ownpart"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/store"
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

// mostDropped is how many names are looked at in what was dropped: it may be a folder
// of a whole disk.
const mostDropped = 200

// dropped takes a file that was dropped on the window: readings as one's own part, a
// run to look back on. It lies over the scene that is there, in the place of what was
// dropped before.
func (w *Window) dropped(in fs.FS) {
	name, among, err := pick(in)
	var s Scene
	switch {
	case err != nil:
		s = w.refused(words.Say("own.dropped"), files.Plain(err).Error())
	case name == "":
		s = w.refused(words.Say("own.dropped"), words.Say("own.dropped.nothing"))
	default:
		s = w.taken(in, name, among)
	}
	if _, ok := w.top().(*ownpart.Scene); ok || w.top() == w.onTop {
		w.leaveTop()
	}
	w.show(s, true)
	w.onTop = s
}

// pick chooses of what was dropped the first file that can be taken, or else the
// first, and says whether there were others.
func pick(in fs.FS) (name string, among bool, err error) {
	seen, takes := 0, false
	err = fs.WalkDir(in, ".", func(at string, e fs.DirEntry, err error) error {
		seen++
		switch {
		case err != nil:
			return err
		case seen > mostDropped:
			return fs.SkipAll
		case e.IsDir():
			return nil
		}
		among = name != ""
		if can := ownpart.Readings(at) || path.Ext(at) == store.RunEnding; name == "" || can && !takes {
			name, takes = at, can
		}
		return nil
	})
	return name, among, err
}

// taken is the scene for a file that was dropped.
func (w *Window) taken(in fs.FS, name string, among bool) Scene {
	base := path.Base(name)
	ending := path.Ext(base)
	if ending == ".yaml" || ending == ".yml" {
		return w.refused(base, words.Say("own.dropped.rubric", "where", w.desk.Store.Where()))
	}
	content, err := files.ReadIn(in, name)
	if err != nil {
		return w.refused(base, err.Error())
	}
	if ending != store.RunEnding {
		return ownpart.Dropped(&w.desk, w.readPart, base, content, among)
	}
	log, err := run.Read(bytes.NewReader(content))
	if err != nil {
		return w.refused(base, err.Error())
	}
	return debrief.OfLog(&w.desk, strings.TrimSuffix(base, ending), log)
}

func (w *Window) refused(name, why string) Scene {
	return ownpart.Refused(&w.desk, w.readPart, name, why)
}
