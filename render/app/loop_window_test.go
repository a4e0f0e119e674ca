//go:build window

package app

import (
	"errors"
	"image"
	"os"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"
)

// These tests need a display: run them with
//
//	xvfb-run -s '-screen 0 1920x1200x24' go test -tags window ./render/app
//
// Pixels can be read only while a game loop runs, so the tests run within the
// first tick of one.
func TestMain(m *testing.M) {
	ebiten.SetWindowSize(320, 240)
	l := &loop{m: m}
	if err := ebiten.RunGame(l); err != nil {
		println(err.Error())
		os.Exit(2)
	}
	os.Exit(l.code)
}

type loop struct {
	m    *testing.M
	code int
}

var errDone = errors.New("done")

func (l *loop) Update() error {
	l.code = l.m.Run()
	return ebiten.Termination
}

func (l *loop) Draw(*ebiten.Image) {}

func (l *loop) Layout(w, h int) (int, int) { return w, h }

// pixels are those of an image.
func pixels(m *ebiten.Image) *image.RGBA {
	out := image.NewRGBA(m.Bounds())
	m.ReadPixels(out.Pix)
	return out
}
