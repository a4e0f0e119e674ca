//go:build window

package app

import (
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
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
	l, err := lessons.Load("coupon")
	if err != nil {
		t.Fatal(err)
	}
	s := newShooter(t, 1280, 800, 1)
	wk, err := work.BeginLesson(s.w.desk.Store, l, 1, 1)
	if err != nil {
		t.Fatal(err)
	}
	s.w.scenes = []Scene{bench.New(&s.w.desk, wk)}
	s.ticks(3)
	s.shoot("bench-clean")
	s.typed("r")
	s.ticks(10)
	s.shoot("bench-printed")
	s.drag([2]float64{300, 300}, [2]float64{500, 320}, [2]float64{540, 420})
	s.shoot("bench-painted")
	s.typed("c")
	s.ticks(10)
	s.shoot("bench-cut")
}
