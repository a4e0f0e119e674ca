//go:build window

package iron

import (
	"fmt"
	"image"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// state is a face as it stood at a print.
type state struct {
	print      int
	appearance *run.Appearance
	reading    *blue.Reading
}

// worked is a coupon in the hands of the careful hand: its first print, the
// given one and the last.
func worked(t testing.TB, finish string, middle int) (before *run.Appearance, states [3]state) {
	t.Helper()
	setup := run.Setup{
		Part:   run.Part{Recipe: &surface.Recipe{LengthMM: 100, WidthMM: 75, PitchMM: .2, RangeUM: 45, Finish: finish}},
		Master: seat.Master{Grade: "true"},
		Hand:   lay.Skilled, Blade: run.Change{Radius: 9000, Width: 2500, Handle: 500},
		Target: run.Target{FilmUM: 2.5, PointsPerIn2: 25, FrameMin: 20, AreaPct: [2]float64{25, 45}},
	}
	r, err := run.New(setup, "", 7, 1, "careful", "test")
	if err != nil {
		t.Fatal(err)
	}
	before = r.Appearance()
	for _, a := range []run.Act{{Roll: &run.Roll{Film: 1000}}, {Place: &run.Place{}},
		{Rub: &run.Rub{Path: [][2]int{{1000, 0}, {0, 500}, {-1000, 0}, {0, -500}, {1000, 0}, {0, 500}, {-1000, 0}, {0, -500}}}}, {Lift: &run.Lift{}}} {
		if _, err := r.Do(a.On()); err != nil {
			t.Fatal(err)
		}
	}
	first, _ := r.Reading()
	states[0] = state{1, r.Appearance(), first}
	see := func(p run.Print) {
		at := 2
		if p.N == middle {
			at = 1
		}
		reading, _ := r.Reading()
		states[at] = state{p.N, r.Appearance(), reading}
	}
	if err := (hand.Careful{}).Work(r, 40, see); err != nil {
		t.Fatal(err)
	}
	return before, states
}

// TestScenes draws a coupon from milled to finished; keep the pictures with
// -scenes DIR and look at them.
func TestScenes(t *testing.T) {
	for _, finish := range []string{surface.Milled, surface.Ground} {
		before, states := worked(t, finish, 9)
		names := []string{"1-first", "2-semi", "3-finished"}
		scene(t, finish+"-0-bare", before, nil)
		for n, s := range states {
			fmt.Println(finish, names[n], "print", s.print, "film", s.reading.Film)
			scene(t, finish+"-"+names[n], s.appearance, s.reading)
		}
	}
}

func scene(t *testing.T, name string, a *run.Appearance, r *blue.Reading) {
	face := NewFace(a)
	defer face.Dispose()
	film := 0.0
	if r != nil {
		face.Print(r, face.all())
		film = r.Film
	}
	bench := &Bench{}
	draw := func(suffix string, w, h int, v View, px, py float64, look Look) {
		s := Scene{Face: face, PlateX: 100, PlateY: 90, Lamp: LampOver(v, px, py), Look: look,
			Film: Film{X0: 20, Y0: 20, X1: 260, Y1: 220, UM: film}}
		keep(t, name+suffix, picture(t, w, h, func(m *ebiten.Image) { bench.Draw(m, v, s) }))
	}
	dark := Look{Metal: Dark, Pigment: Blue}
	whole := Fit(image.Rect(0, 0, 1280, 800), 0, 0, 100, 75, 50)
	draw("-left", 1280, 800, whole, 60, 200, dark)
	draw("-right", 1280, 800, whole, 1180, 160, dark)
	inch := Fit(image.Rect(0, 0, 1280, 800), 40, 25, 65.4, 50.4, 10)
	draw("-inch", 1280, 800, inch, 200, 60, dark)
	if r == nil {
		return
	}
	draw("-light", 1280, 800, whole, 60, 200, Look{Metal: Light, Pigment: Blue})
	draw("-hatch", 1280, 800, whole, 60, 200, Look{Metal: Light, Pigment: Black, Hatch: true})
}
