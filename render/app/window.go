// Package app is the window: it gathers what comes in, lets the scene tick, and
// draws what has changed.
package app

import (
	"image"
	"image/color"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/ownpart"
	"github.com/before-iron/beforeiron/render/paint"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/shelf"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/sim/lay"
)

// Scene is a scene of the window.
type Scene interface {
	// Tick builds the scene for one tick and says what it asks for next.
	Tick(u *kit.UI) scene.Next
}

// shower is a scene that shows iron.
type shower interface {
	Stage() stage.Stage
}

// worker is a scene in which acts are done.
type worker interface {
	Busy() bool
}

// Window is the program's one window, without the loop that runs it.
type Window struct {
	desk  scene.Desk
	set   store.Settings
	ui    *kit.UI
	paint *paint.Painter

	scenes []Scene // the one shown last, and those to go back to
	onTop  Scene   // of those, what was dropped on the window

	readPart ownpart.Reader
	lines    float64 // points that the window is high
	mute     func(bool)
	scatter  func() uint64
	front    *shelf.Front

	metal       metal
	bench, lens iron.Bench
	region      iron.Region
	regionOf    *lay.Region // that the region on the graphics card shows
	over        stage.Over  // as last drawn
	chart       *iron.Map   // on the graphics card
	chartOf     *stage.Map  // that it shows
	chartOn     *iron.Face
	noise       noise
	dirty       kit.Apart
	drawn       image.Point // size of what was last drawn on
}

// stepTime is how long a scene may work in one tick: a hand does not feel it, and
// it is enough for a print of an ordinary face, so that no frame in between is
// waited for.
const stepTime = 30 * time.Millisecond

// newWindow is a window on a data folder.
func newWindow(s store.Store, set store.Settings) *Window {
	w := &Window{set: set, ui: kit.New(), paint: paint.New(palette.Themes[0]), scatter: scatterNow}
	w.desk = scene.Desk{Store: s, Set: &w.set, Today: time.Now, StepTime: stepTime, Changed: w.changed}
	w.dress()
	return w
}

// changed keeps the settings, and dresses the window by them.
func (w *Window) changed() {
	w.dress()
	// A folder that was writable at the start and is no longer costs the settings,
	// not the work.
	_ = w.desk.Store.Keep(w.set)
}

// dress makes the window look as the settings say.
func (w *Window) dress() {
	theme := palette.Themes[0]
	for _, t := range palette.Themes {
		if t.Key == w.set.Iron {
			theme = t
		}
	}
	scale := w.set.TextScale
	if w.desk.Board {
		theme = palette.ForRoom
		scale = max(1, boardText*w.lines/boardLines/kit.Small.Size)
	}
	if w.paint.Theme != theme || w.ui.TextScale != scale {
		w.ui.Spoil()
	}
	if w.mute != nil {
		w.mute(w.set.Mute)
	}
	w.paint.Theme, w.paint.TextScale, w.ui.TextScale = theme, scale, scale
}

// The smallest type that a projector shows, and the lines of its picture: what the
// back row of a room can read, six times as far off as the picture is high, takes
// 32; this is half as much again.
const (
	boardText  = 48.0
	boardLines = 1080.0
)

// resized takes in the size of the window, points.
func (w *Window) resized(size kit.Rect) {
	w.lines = size.H
	w.dress()
	w.ui.Spoil()
}

// look is how the iron is drawn.
func (w *Window) look() iron.Look {
	l := iron.Look{Metal: iron.Dark, Pigment: iron.Blue, Hatch: w.set.Pattern, Scale: w.paint.Pixels}
	if w.paint.Theme.Light {
		l.Metal = iron.Light
	}
	switch w.set.Pigment {
	case "red":
		l.Pigment = iron.Red
	case "black":
		l.Pigment = iron.Black
	}
	return l
}

// Take takes the steps of what came in since the last frame. An act that they begin is
// done before the frame is drawn: what comes of it is on this one and not on the next.
func (w *Window) Take(steps []kit.Input) error {
	idle := !w.busy()
	for _, in := range steps {
		if err := w.Tick(in); err != nil {
			return err
		}
	}
	if idle && w.busy() {
		return w.Tick(quiet(steps[len(steps)-1]))
	}
	return nil
}

func (w *Window) busy() bool {
	s, ok := w.top().(worker)
	return ok && s.Busy()
}

// Tick takes what came in and lets the scene do one tick.
func (w *Window) Tick(in kit.Input) error {
	if in.Size != w.ui.Size() {
		w.dirty = kit.Apart{in.Size}
	}
	w.ui.Begin(in)
	next := w.top().Tick(w.ui)
	w.ui.End()
	var st stage.Stage
	if s, ok := w.top().(shower); ok {
		st = s.Stage()
		w.follow(st)
	}
	w.noise.follow(w.ui, st)
	for _, r := range w.ui.TakeDirty() {
		w.dirty = w.dirty.With(r)
	}
	return w.goTo(next)
}

// follow brings the metal up to date, and marks it to be drawn when it would
// look different.
func (w *Window) follow(s stage.Stage) {
	changed := w.metal.follow(s)
	if changed || w.bench.Stale(w.view(s.View), w.scene(s)) || !w.over.Same(&s.Over) {
		w.over = s.Over
		w.dirty = w.dirty.With(points(s.View.Dst))
	}
}

func points(r image.Rectangle) kit.Rect {
	return kit.Rect{X: float64(r.Min.X), Y: float64(r.Min.Y), W: float64(r.Dx()), H: float64(r.Dy())}
}

// view is a view in points in the pixels of the screen.
func (w *Window) view(v iron.View) iron.View {
	k := w.paint.Pixels
	px := func(p image.Point) image.Point { return image.Pt(int(float64(p.X)*k+.5), int(float64(p.Y)*k+.5)) }
	v.Dst.Min, v.Dst.Max = px(v.Dst.Min), px(v.Dst.Max)
	v.PxPerMM *= k
	return v
}

func (w *Window) scene(s stage.Stage) iron.Scene {
	v := w.view(s.View)
	out := iron.Scene{
		Back: s.Back, PlateX: s.PlateX, PlateY: s.PlateY, Film: s.Film, Look: w.look(),
		Lamp: iron.LampOver(v, s.LampX*w.paint.Pixels, s.LampY*w.paint.Pixels),
	}
	if s.Face != nil {
		out.Face = w.metal.face
	}
	return out
}

// Paint draws what has changed since it was last called with a picture of the
// same size, and reports whether there was anything.
func (w *Window) Paint(dst *ebiten.Image) bool {
	if size := dst.Bounds().Size(); size != w.drawn {
		w.drawn, w.dirty = size, kit.Apart{w.ui.Size()}
	}
	dirty := w.dirty
	w.dirty = nil
	if s, ok := w.top().(shower); ok && len(dirty) > 0 {
		w.metal.show(s.Stage())
	}
	for _, r := range dirty {
		w.paintIn(dst, r)
	}
	return len(dirty) > 0
}

// paintIn draws all that is seen in a rectangle and close round it.
func (w *Window) paintIn(dst *ebiten.Image, r kit.Rect) {
	const margin = 4 // the ring of the focus reaches out of its node
	clip := kit.Rect{X: r.X - margin, Y: r.Y - margin, W: r.W + 2*margin, H: r.H + 2*margin}.Meets(w.ui.Size())
	k := w.paint.Pixels
	part := dst.SubImage(image.Rect(int(clip.X*k), int(clip.Y*k), int((clip.X+clip.W)*k+.999), int((clip.Y+clip.H)*k+.999))).(*ebiten.Image)
	ground := w.paint.Theme.Of(palette.Granite)
	if s, ok := w.top().(shower); ok {
		st := s.Stage()
		v := w.view(st.View)
		around(part, v.Dst, ground)
		if v.Dst.Overlaps(part.Bounds()) {
			now := w.scene(st)
			w.bench.Draw(part, v, now)
			if m := st.Over.Master; m != nil {
				m.Draw(part, v, now.Lamp, now.Look)
			}
			w.drawOver(part, st)
			w.drawFrame(part, st)
		}
	} else {
		part.Fill(ground)
	}
	w.paint.Draw(part, w.ui.Nodes(), clip)
}

// around fills m but for what will be drawn over in full.
func around(m *ebiten.Image, but image.Rectangle, c color.Color) {
	r := m.Bounds()
	but = but.Intersect(r)
	if but.Empty() {
		but = image.Rectangle{r.Min, r.Min}
	}
	for _, side := range []image.Rectangle{
		{r.Min, image.Pt(r.Max.X, but.Min.Y)}, {image.Pt(r.Min.X, but.Min.Y), image.Pt(but.Min.X, but.Max.Y)},
		{image.Pt(but.Max.X, but.Min.Y), image.Pt(r.Max.X, but.Max.Y)}, {image.Pt(r.Min.X, but.Max.Y), r.Max},
	} {
		if !side.Empty() {
			m.SubImage(side).(*ebiten.Image).Fill(c)
		}
	}
}

// lensScene is lit from over its own corner: low enough to rake, and near enough that
// the blue in it is as bright as on the face round it.
func (w *Window) lensScene(s stage.Stage) iron.Scene {
	out := w.scene(s)
	r := s.View.Dst
	v := w.view(s.View)
	out.Lamp = iron.LampOver(v, (float64(r.Min.X)+.2*float64(r.Dx()))*w.paint.Pixels, (float64(r.Min.Y)+.2*float64(r.Dy()))*w.paint.Pixels)
	return out
}
