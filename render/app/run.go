package app

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/lesson"
	"github.com/before-iron/beforeiron/render/ownpart"
	"github.com/before-iron/beforeiron/render/shelf"
	"github.com/before-iron/beforeiron/render/sound"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
)

// Options say how the window begins.
type Options struct {
	Version string
	Data    string // folder for settings and runs; empty for the usual one
	// ReadPart reads somebody's own readings.
	ReadPart ownpart.Reader
	// Lesson, Run and Part are what to begin with, one of them or none: a lesson,
	// the file of a run, a file of one's own readings.
	Lesson, Run, Part string
	// Board is for a projector: large type on light iron over the whole screen.
	Board bool
}

// Run opens the window and returns when it is closed. An error is one line that
// says what is missing and how to mend it.
func Run(o Options) error {
	work.Program = o.Version
	debug.SetMemoryLimit(softLimit)
	data, err := store.At(o.Data)
	if err != nil {
		return err
	}
	set, err := data.Settings()
	trouble := ""
	if err != nil {
		trouble = err.Error()
	}
	w := newWindow(data, set)
	w.readPart, w.desk.Board = o.ReadPart, o.Board
	w.dress()
	w.front = shelf.NewFront()
	out := sound.Open()
	out.Mute(set.Mute)
	w.noise.out, w.mute = out, out.Mute
	if err := w.begin(o, trouble); err != nil {
		return err
	}
	ebiten.SetWindowTitle(words.Say("shelf.title"))
	ebiten.SetWindowSize(1280, 800)
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetWindowSizeLimits(640, 480, -1, -1)
	ebiten.SetScreenClearedEveryFrame(false)
	ebiten.SetFullscreen(o.Board)
	err = ebiten.RunGameWithOptions(&game{window: w, scale: 1, sound: out}, &ebiten.RunGameOptions{X11ClassName: "beforeiron", X11InstanceName: "beforeiron"})
	return missing(err)
}

// softLimit is the memory, bytes, from which garbage is looked for harder before a
// face is there.
const softLimit = 560 << 20

// softLimitOf is the same for a face of so many cells: what a debrief of it holds at
// once and a little more, so that with textures and driver, which do not count, a
// face of 1000 x 750 cells stays within 400 MB and one of 4000 x 2000 within a
// gigabyte. Set by trying both.
func softLimitOf(cells int) int64 { return 140<<20 + 66*int64(cells) }

// begin shows the first scene.
func (w *Window) begin(o Options, trouble string) error {
	switch {
	case o.Lesson != "":
		l, err := lessons.Load(o.Lesson)
		if err != nil {
			return err
		}
		w.toShelf(trouble)
		w.show(lesson.New(&w.desk, l), true)
	case o.Run != "":
		return w.toRun(o.Run)
	case o.Part != "":
		return w.toPart(o.Part)
	case w.fresh():
		return w.firstTime()
	default:
		w.toShelf(trouble)
	}
	return nil
}

// game is the loop that ebiten runs.
type game struct {
	window *Window
	gather gather
	rest   rest
	scale  float64 // pixels a point
	size   kit.Rect
	sound  *sound.Out
	away   bool
}

// Update implements ebiten.Game.
func (g *game) Update() error {
	if g.size.W == 0 {
		return nil
	}
	w := g.window
	if away := !ebiten.IsFocused(); away != g.away {
		g.away = away
		g.sound.Focus(!away)
	}
	if files := ebiten.DroppedFiles(); files != nil {
		w.dropped(files)
		g.rest.wake()
	}
	steps := g.gather.inputs(g.size, g.scale)
	if g.rest.skips(steps) {
		return nil
	}
	if err := w.Take(steps); err != nil {
		return err
	}
	if len(w.dirty) > 0 {
		g.rest.wake()
	}
	return nil
}

// Draw implements ebiten.Game.
func (g *game) Draw(screen *ebiten.Image) {
	if g.size.W == 0 {
		return
	}
	g.window.paint.Pixels = g.scale
	g.window.Paint(screen)
}

// Layout implements ebiten.Game; LayoutF takes its place.
func (g *game) Layout(w, h int) (int, int) { panic("LayoutF is there") }

// LayoutF implements ebiten.LayoutFer: every pixel of the screen is used.
func (g *game) LayoutF(w, h float64) (float64, float64) {
	g.scale = ebiten.Monitor().DeviceScaleFactor()
	size := kit.Rect{W: w, H: h}
	if size != g.size {
		g.size = size
		g.window.resized(size)
	}
	return math.Ceil(w * g.scale), math.Ceil(h * g.scale)
}

// packages are what a Debian machine needs to show a window.
const packages = "libx11-6 libgl1 libegl1 libxrandr2 libxcursor1 libxi6 libxinerama1"

// missing turns what the window system says into one line that helps.
func missing(err error) error {
	if err == nil || errors.Is(err, ebiten.Termination) {
		return nil
	}
	text := strings.Join(strings.Fields(err.Error()), " ")
	// A system that tries many names of a library tells of each.
	const most = 160
	if len(text) > most {
		text = text[:most] + " ..."
	}
	if runtime.GOOS != "linux" {
		return errors.New(text)
	}
	lower := strings.ToLower(text)
	switch {
	case strings.Contains(lower, "egl display"):
		return noDriver(text)
	case strings.Contains(lower, "display"), strings.Contains(lower, "window system"):
		return fmt.Errorf("there is no display to open a window on (%s): run it in a desktop session, or under xvfb-run (sudo apt install xvfb); every other command works without", text)
	case strings.Contains(lower, "initialize egl"), strings.Contains(lower, "dri.so"):
		return noDriver(text)
	case strings.Contains(lower, "libx11"), strings.Contains(lower, "libgl"), strings.Contains(lower, "egl"), strings.Contains(lower, "libx"), strings.Contains(lower, ".so"):
		return fmt.Errorf("a library that windows need is missing (%s): sudo apt install %s", text, packages)
	case strings.Contains(lower, "opengl"), strings.Contains(lower, "glx"), strings.Contains(lower, "context"):
		return noDriver(text)
	}
	return errors.New(text)
}

func noDriver(text string) error {
	return fmt.Errorf("there is no graphics driver that can draw (%s): sudo apt install libgl1-mesa-dri %s", text, packages)
}
