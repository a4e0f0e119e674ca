//go:build window

package iron

import (
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"
)

// These tests need a display: run them with
//
//	xvfb-run -s '-screen 0 1920x1200x24' go test -tags window ./render/iron
//
// Pixels can be read only while the game loop runs, so that the tests hand their
// work to it.

var scenesDir = flag.String("scenes", "", "keep the pictures of scenes in this folder")

// loop is the game in whose frames the tests run.
type loop struct {
	work chan job
	done chan int
	code int
}

type job struct {
	frames int
	draw   func(*ebiten.Image)
	done   chan struct{}
}

var theLoop = &loop{work: make(chan job), done: make(chan int)}

func (l *loop) Update() error {
	select {
	case l.code = <-l.done:
		return ebiten.Termination
	default:
		return nil
	}
}

var current struct {
	job
	left int
}

func (l *loop) Draw(screen *ebiten.Image) {
	if current.left == 0 {
		select {
		case current.job = <-l.work:
			current.left = current.frames
		case <-time.After(2 * time.Millisecond):
			return
		}
	}
	current.draw(screen)
	current.left--
	if current.left == 0 {
		close(current.done)
	}
}

func (l *loop) Layout(w, h int) (int, int) { return w, h }

// inFrames draws so many frames.
func inFrames(n int, draw func(screen *ebiten.Image)) {
	done := make(chan struct{})
	theLoop.work <- job{n, draw, done}
	<-done
}

func TestMain(m *testing.M) {
	flag.Parse()
	ebiten.SetWindowSize(1280, 800)
	ebiten.SetVsyncEnabled(false)
	ebiten.SetScreenClearedEveryFrame(false)
	ebiten.SetRunnableOnUnfocused(true)
	go func() { theLoop.done <- m.Run() }()
	if err := ebiten.RunGame(theLoop); err != nil {
		fmt.Fprintf(os.Stderr, "no window: %v\nThese tests need a display and OpenGL: apt-get install xvfb libgl1 libegl1 libgl1-mesa-dri libx11-6, then run them under xvfb-run.\n", err)
		os.Exit(1)
	}
	os.Exit(theLoop.code)
}

// picture draws into an image of w by h and reads it back.
func picture(t testing.TB, w, h int, draw func(*ebiten.Image)) *image.RGBA {
	t.Helper()
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	inFrames(1, func(*ebiten.Image) {
		m := ebiten.NewImage(w, h)
		defer m.Deallocate()
		m.Fill(color.RGBA{255, 0, 255, 255})
		draw(m)
		m.ReadPixels(out.Pix)
	})
	return out
}

// keep writes a picture where a person can look at it.
func keep(t testing.TB, name string, m image.Image) {
	t.Helper()
	dir := *scenesDir
	if dir == "" {
		dir = t.TempDir()
	}
	file, err := os.Create(filepath.Join(dir, name+".png"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if err := png.Encode(file, m); err != nil {
		t.Fatal(err)
	}
}
