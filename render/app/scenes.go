package app

import (
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/cards"
	"github.com/before-iron/beforeiron/render/class"
	"github.com/before-iron/beforeiron/render/debrief"
	"github.com/before-iron/beforeiron/render/keys"
	"github.com/before-iron/beforeiron/render/lesson"
	"github.com/before-iron/beforeiron/render/opening"
	"github.com/before-iron/beforeiron/render/ownpart"
	"github.com/before-iron/beforeiron/render/practice"
	"github.com/before-iron/beforeiron/render/rubric"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/settings"
	"github.com/before-iron/beforeiron/render/shelf"
	"github.com/before-iron/beforeiron/render/work"
)

// top is the scene that is shown.
func (w *Window) top() Scene { return w.scenes[len(w.scenes)-1] }

// show makes a scene the only one, or lays it over those that are there.
func (w *Window) show(s Scene, over bool) {
	if !over {
		for _, old := range w.scenes {
			if l, ok := old.(interface{ Leave() }); ok {
				l.Leave()
			}
		}
		w.scenes, w.onTop = nil, nil
	}
	w.scenes = append(w.scenes, s)
	w.ui.Enter()
	w.ui.Spoil()
}

// leaveTop takes the scene away that is shown; another is to be shown then.
func (w *Window) leaveTop() {
	if l, ok := w.top().(interface{ Leave() }); ok {
		l.Leave()
	}
	if w.top() == w.onTop {
		w.onTop = nil
	}
	w.scenes = w.scenes[:len(w.scenes)-1]
}

// goTo goes to the scene that is asked for.
func (w *Window) goTo(n scene.Next) error {
	switch n.To {
	case scene.Shelf:
		w.toShelf(n.Trouble)
	case scene.Back:
		if len(w.scenes) == 1 {
			w.toShelf("")
			return nil
		}
		w.leaveTop()
		w.ui.Enter()
		w.ui.Spoil()
	case scene.Keys:
		w.show(keys.New(), true)
	case scene.Settings:
		w.show(settings.New(&w.desk), true)
	case scene.Lesson:
		w.show(lesson.New(&w.desk, n.Lesson), true)
	case scene.First:
		if err := w.firstTime(); err != nil {
			w.toShelf(err.Error())
		}
	case scene.Bench:
		w.toBench(n)
	case scene.Cards:
		w.show(cards.New(&w.desk), false)
	case scene.OwnPart:
		w.show(ownpart.New(&w.desk, w.readPart), true)
	case scene.Practice:
		w.show(practice.New(&w.desk), true)
	case scene.Debrief:
		w.toDebrief(n)
	case scene.Rubric:
		w.show(rubric.New(&w.desk), true)
	case scene.Class:
		w.show(class.New(&w.desk), true)
	case scene.Quit:
		return ebiten.Termination
	}
	return nil
}

// toShelf goes to the shelf, with something to be said first.
func (w *Window) toShelf(trouble string) { w.show(shelf.New(&w.desk, w.front, trouble), false) }

// toBench goes to the bench with a run: one that is there, one that is saved, or
// a new one.
func (w *Window) toBench(n scene.Next) {
	switch {
	case n.Work != nil:
		w.show(bench.New(&w.desk, n.Work), false)
	case n.Name != "":
		w.show(opening.New(&w.desk, n.Name, scene.Bench), false)
	case n.Lesson != nil:
		w.begun(work.BeginLesson(w.desk.Store, n.Lesson, n.Seed, w.scatter()))
	case n.Setup != nil:
		w.begun(work.BeginPart(w.desk.Store, *n.Setup, n.PartName, n.Seed, w.scatter()))
	}
}

// toDebrief looks back on a run: the one from the bench, or a saved one.
func (w *Window) toDebrief(n scene.Next) {
	if n.Work != nil {
		w.show(debrief.Of(&w.desk, n.Work), false)
		return
	}
	if n.Log != nil {
		w.show(debrief.OfLog(&w.desk, n.Name, n.Log), true)
		return
	}
	d, err := debrief.Open(&w.desk, n.Name)
	if err != nil {
		w.toShelf(err.Error())
		return
	}
	w.show(d, false)
}

func (w *Window) begun(wk *work.Work, err error) {
	if err != nil {
		w.toShelf(err.Error())
		return
	}
	w.show(bench.New(&w.desk, wk), false)
}

// scatterNow is the seed of a hand: another one each time, and kept with the run.
func scatterNow() uint64 { return uint64(time.Now().UnixNano()) >> 10 }
