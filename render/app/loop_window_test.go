//go:build window

package app

import (
	"flag"
	"image"
	"os"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"
)

// These tests need a display: run them with
//
//	xvfb-run -s '-screen 0 1920x1200x24' go test -tags window ./render/app
//
// Pixels can be read only while a game loop runs, so the loop waits in a tick for
// the tests, and goes on where they ask for frames.
func TestMain(m *testing.M) {
	flag.Parse()
	ebiten.SetWindowSize(1280, 800)
	ebiten.SetVsyncEnabled(false)
	ebiten.SetScreenClearedEveryFrame(false)
	ebiten.SetRunnableOnUnfocused(true)
	go func() {
		<-theLoop.runs
		theLoop.done <- m.Run()
	}()
	if err := ebiten.RunGame(theLoop); err != nil {
		println(err.Error())
		os.Exit(2)
	}
	os.Exit(theLoop.code)
}

type loop struct {
	runs   chan struct{} // closed in its first tick
	frames chan frames
	done   chan int
	code   int

	ticks int
	asked frames
	left  int
}

// frames are a number of frames of the window, and what draws each.
type frames struct {
	n    int
	draw func(screen *ebiten.Image)
	done chan struct{}
}

var theLoop = &loop{runs: make(chan struct{}), frames: make(chan frames), done: make(chan int)}

// inFrames draws so many frames and waits for them.
func inFrames(n int, draw func(screen *ebiten.Image)) {
	f := frames{n, draw, make(chan struct{})}
	theLoop.frames <- f
	<-f.done
}

func (l *loop) Update() error {
	if l.ticks++; l.ticks == 1 {
		close(l.runs)
	}
	if l.left > 0 {
		return nil
	}
	select {
	case l.code = <-l.done:
		return ebiten.Termination
	case l.asked = <-l.frames:
		l.left = l.asked.n
	}
	return nil
}

func (l *loop) Draw(screen *ebiten.Image) {
	if l.left == 0 {
		return
	}
	l.asked.draw(screen)
	if l.left--; l.left == 0 {
		close(l.asked.done)
	}
}

func (l *loop) Layout(w, h int) (int, int) { return w, h }

// pixels are those of an image.
func pixels(m *ebiten.Image) *image.RGBA {
	out := image.NewRGBA(m.Bounds())
	m.ReadPixels(out.Pix)
	return out
}
