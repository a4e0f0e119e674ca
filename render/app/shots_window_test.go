//go:build window

package app

import (
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/store"
)

var shotsDir = flag.String("shots", "", "keep the pictures of screens in this folder")

type shooter struct {
	t  *testing.T
	w  *Window
	in kit.Input
	m  *ebiten.Image
}

func newShooter(t *testing.T, width, height int, textScale float64) *shooter {
	set := store.Defaults()
	set.TextScale, set.SkipWaiting = textScale, true
	s := &shooter{t: t, w: newWindow(store.Store{Folder: store.NewMemory()}, set)}
	s.w.desk.StepTime = 1e9
	s.in.Size = kit.Rect{W: float64(width), H: float64(height)}
	s.m = ebiten.NewImage(width, height)
	return s
}

func (s *shooter) ticks(n int) {
	for range n {
		if err := s.w.Tick(s.in); err != nil {
			s.t.Fatal(err)
		}
		s.in.Typed = nil
	}
}

func (s *shooter) typed(text string) {
	for _, r := range text {
		s.in.Typed = []rune{r}
		s.ticks(1)
		s.ticks(3)
	}
}

func (s *shooter) drag(places ...[2]float64) {
	s.in.X, s.in.Y = places[0][0], places[0][1]
	s.ticks(1)
	s.in.Main = true
	for _, p := range places {
		s.in.X, s.in.Y = p[0], p[1]
		s.ticks(1)
	}
	s.in.Main = false
	s.ticks(2)
}

func (s *shooter) shoot(name string) {
	s.w.Paint(s.m)
	if *shotsDir == "" {
		return
	}
	f, err := os.Create(filepath.Join(*shotsDir, name+".png"))
	if err != nil {
		s.t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, pixels(s.m)); err != nil {
		s.t.Fatal(err)
	}
}

func TestShots(t *testing.T) {
	data := folder(t)
	for _, c := range []struct {
		width, height int
		scale         float64
		ending        string
	}{{1280, 800, 1, ""}, {1920, 1080, 1, "-large"}, {1280, 800, 2, "-200"}} {
		sh := newShooter(t, c.width, c.height, c.scale)
		sh.w.desk.Store = data
		sh.w.desk.Today = newDesk(data, 1).Today
		for name, make := range screens(t, &sh.w.desk) {
			sh.w.show(make(), false)
			sh.settle()
			sh.shoot(name + c.ending)
		}
		sh.bench(c.ending)
	}
}

// settle ticks until nothing moves any more.
func (s *shooter) settle() {
	for range 4000 {
		s.ticks(1)
		moving := false
		for _, n := range s.w.ui.Nodes() {
			moving = moving || n.Role == kit.RoleProgress
		}
		if !moving {
			s.ticks(2)
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	s.t.Fatal("the scene never comes to rest")
}

// bench shoots the bench in its states.
func (s *shooter) bench(ending string) {
	s.w.desk.Store = store.Store{Folder: store.NewMemory()}
	if err := s.w.firstTime(); err != nil {
		s.t.Fatal(err)
	}
	s.ticks(3)
	s.shoot("bench" + ending)
	b := s.w.top().(*bench.Bench)
	v := b.Stage().View
	at := func(x, y float64) [2]float64 {
		px, py := v.Px(x, y)
		return [2]float64{px, py}
	}
	s.drag(at(40, 36), at(56, 34), at(70, 36), at(64, 42), at(44, 44), at(40, 40))
	s.shoot("bench-painted" + ending)
	s.typed("c")
	s.ticks(5)
	s.typed("r")
	s.ticks(5)
	s.shoot("bench-cut" + ending)
	s.typed("4")
	s.drag(at(50, 37))
	s.ticks(5)
	s.shoot("bench-frame" + ending)
	s.typed("1i")
	s.ticks(5)
	s.shoot("bench-indicator" + ending)
	s.typed("5")
	s.ticks(2)
	s.shoot("bench-rub" + ending)
}
