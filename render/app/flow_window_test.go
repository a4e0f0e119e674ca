//go:build window

package app

import (
	"bytes"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/debrief"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/ownpart"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/shelf"
	"github.com/before-iron/beforeiron/render/store"
)

// click clicks on a node by its identity.
func (s *shooter) click(id string) {
	s.t.Helper()
	for _, n := range s.w.ui.Nodes() {
		if n.ID == id && !n.Visible().Empty() {
			r := n.Visible()
			s.drag([2]float64{r.X + r.W/2, r.Y + r.H/2})
			s.ticks(2)
			return
		}
	}
	s.t.Fatalf("%q cannot be seen", id)
}

func (s *shooter) key(k kit.Key) {
	s.in.Held[k] = true
	s.ticks(1)
	s.in.Held[k] = false
	s.ticks(1)
}

func on[S Scene](s *shooter) S {
	s.t.Helper()
	top, ok := s.w.top().(S)
	if !ok {
		s.t.Fatalf("the scene is %T", s.w.top())
	}
	return top
}

// From the shelf to a lesson, through settings and keys, to a print, a cut, the
// debrief, another way from its first print, and back to the shelf, where both
// runs stand.
func TestThroughTheScenes(t *testing.T) {
	s := newShooter(t, 1280, 800, 1)
	s.w.toShelf("")
	s.ticks(2)
	s.click("lessons.0")
	s.click("go")
	on[*bench.Bench](s)
	s.typed("r")
	s.typed("?")
	s.key(kit.Escape)
	s.click("go.settings")
	s.click("iron.1")
	if !s.w.paint.Theme.Light {
		t.Error("the iron chosen in the settings is not the one shown")
	}
	s.click("back")
	on[*bench.Bench](s)
	s.typed("ac")
	s.ticks(5)
	s.typed("r")
	s.ticks(5)
	s.click("signoff")
	s.click("sign")
	s.ticks(5)
	on[*debrief.Debrief](s)
	s.settle()
	s.click("thumb.1")
	s.click("fork")
	s.settle()
	on[*bench.Bench](s)
	s.typed("r")
	s.key(kit.Escape)
	on[*shelf.Shelf](s)
	s.ticks(3)
	files, err := s.w.desk.Store.RunFiles()
	if err != nil || len(files) != 2 {
		t.Fatalf("the folder holds %v, %v", files, err)
	}
	var forks, signed int
	for _, f := range files {
		saved := s.w.desk.Store.Load(f)
		if saved.Err != nil {
			t.Fatal(saved.Err)
		}
		if saved.Log.Header.Fork != nil {
			forks++
		}
		if saved.Log.Seal != nil {
			signed++
		}
	}
	if forks != 1 || signed != 1 {
		t.Errorf("%d forks and %d sealed runs, want one of each", forks, signed)
	}
	set, err := s.w.desk.Store.Settings()
	if err != nil || set.Iron != "light" {
		t.Errorf("the settings are kept as %+v, %v", set, err)
	}
}

// The first steps are told again on a fresh first part.
func TestFirstStepsAgain(t *testing.T) {
	s := newShooter(t, 1280, 800, 1)
	s.w.set.Guided = 8
	s.w.toShelf("")
	s.ticks(2)
	if err := s.w.goTo(scene.Next{To: scene.Settings}); err != nil {
		t.Fatal(err)
	}
	s.ticks(2)
	s.press("again")
	b := on[*bench.Bench](s)
	reading, fresh := b.Stage().Face.Reading()
	if reading == nil || !fresh || s.w.set.Guided != 0 {
		t.Errorf("the part is not printed, or the steps are at %d", s.w.set.Guided)
	}
}

// What a debrief shows of the face lies on the face, and nowhere else, and with
// nothing to do it draws nothing.
func TestDebriefMaps(t *testing.T) {
	s := newShooter(t, 1280, 800, 1)
	s.w.desk.Store = store.Store{Folder: store.NewMemory()}
	s.w.toDebrief(scene.Next{Name: worked(t, s.w.desk.Store, 3, true)})
	s.settle()
	s.press("thumb.2")
	s.settle()
	s.w.Paint(s.m)
	print := pixels(s.m)
	view := s.w.top().(shower).Stage().View
	for _, id := range []string{"sees.1", "sees.2", "sees.3"} {
		s.press(id)
		s.w.Paint(s.m)
		now := pixels(s.m)
		if s.w.Paint(s.m) {
			t.Errorf("%s: idle, something was drawn", id)
		}
		x, y := view.Px(45, 40) // in the middle of what was cut
		if k := now.PixOffset(int(x), int(y)); bytes.Equal(now.Pix[k:k+3], print.Pix[k:k+3]) {
			t.Errorf("%s: the face looks as it did", id)
		}
		if k := now.PixOffset(20, 300); !bytes.Equal(now.Pix[k:k+3], print.Pix[k:k+3]) {
			t.Errorf("%s: the bench beside the face changed", id)
		}
	}
}

// At two pixels a point everything is drawn twice as large, sharp, at the same
// places.
func TestTwoPixelsAPoint(t *testing.T) {
	one := newShooter(t, 640, 480, 1)
	one.w.toShelf("")
	one.settle()
	one.w.Paint(one.m)
	two := newShooter(t, 640, 480, 1)
	two.m.Deallocate()
	two.m = newImage(1280, 960)
	two.w.paint.Pixels = 2
	two.w.toShelf("")
	two.settle()
	two.w.Paint(two.m)
	off, far := differ(shrunk(pixels(two.m), 2), pixels(one.m))
	if off > 6 || far > .08 {
		t.Errorf("made smaller, it differs by %.1f in the mean and in %.1f %% of its places", off, 100*far)
	}
}

// Nothing is drawn when nothing changes.
func TestIdleDrawsNothing(t *testing.T) {
	s := newShooter(t, 1280, 800, 1)
	s.w.desk.Store = store.Store{Folder: store.NewMemory()}
	if err := s.w.firstTime(); err != nil {
		t.Fatal(err)
	}
	s.ticks(5)
	if !s.w.Paint(s.m) {
		t.Fatal("the first frame drew nothing")
	}
	for i := range 120 {
		s.ticks(1)
		if s.w.Paint(s.m) {
			t.Fatalf("idle for %d ticks, something was drawn", i+1)
		}
	}
	s.in.X, s.in.Y = 500, 400
	s.ticks(1)
	if !s.w.Paint(s.m) {
		t.Error("the lamp moved and nothing was drawn")
	}
}

// A file dropped on the window is shown before it is worked.
func TestDroppedFile(t *testing.T) {
	s := newShooter(t, 1280, 800, 1)
	s.w.readPart = readPart
	s.w.toShelf("")
	s.ticks(2)
	s.w.dropped(fstest.MapFS{"plate.csv": {Data: []byte("0,1\n2,3\n")}})
	s.ticks(2)
	on[*ownpart.Scene](s)
	s.click("accept")
	s.ticks(2)
	on[*bench.Bench](s)
}

// What else is dropped is taken or refused in words, and lies over the work that it
// was dropped on; another takes its place.
func TestDroppedOnTheBench(t *testing.T) {
	s := newShooter(t, 1280, 800, 1)
	s.w.readPart = readPart
	if err := s.w.firstTime(); err != nil {
		t.Fatal(err)
	}
	s.ticks(2)
	at := on[*bench.Bench](s)
	files, err := s.w.desk.Store.RunFiles()
	if err != nil {
		t.Fatal(err)
	}
	mine, err := s.w.desk.Store.Read("runs/" + files[0].Name)
	if err != nil {
		t.Fatal(err)
	}
	say := func(want string) {
		t.Helper()
		s.ticks(2)
		on[*ownpart.Scene](s)
		found := false
		for _, n := range s.w.ui.Nodes() {
			found = found || strings.Contains(n.Label, want)
		}
		if !found {
			t.Errorf("nothing says %q", want)
		}
	}
	s.w.dropped(fstest.MapFS{"b.csv": {Data: []byte("0,1\n2,3\n")}, "a.png": {}})
	say("b.csv")
	say(words.Say("own.among"))
	s.w.dropped(fstest.MapFS{"broken.run": {Data: []byte("no run\n")}})
	say("line 1")
	s.w.dropped(fstest.MapFS{"strict.yaml": {}})
	say(words.Say("own.dropped.rubric", "where", s.w.desk.Store.Where()))
	s.w.dropped(fstest.MapFS{"folder": {Mode: fs.ModeDir | 0o755}})
	say(words.Say("own.dropped.nothing"))
	s.w.dropped(absent{})
	say(fs.ErrNotExist.Error())
	s.w.dropped(fstest.MapFS{"seat-7.run": {Data: mine}})
	s.ticks(2)
	on[*debrief.Debrief](s)
	s.w.dropped(fstest.MapFS{"seat-8.run": {Data: mine}})
	s.ticks(2)
	on[*debrief.Debrief](s)
	s.key(kit.Escape)
	s.ticks(2)
	if now := on[*bench.Bench](s); now != at {
		t.Error("the work that it was dropped on is another")
	}
}

// absent is what was dropped and is there no longer.
type absent struct{}

func (absent) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}
