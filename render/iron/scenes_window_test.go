//go:build window

package iron

import (
	"fmt"
	"image"
	"image/color"
	"math"
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

// TestOverlays draws all that a pen can draw, and a map.
func TestOverlays(t *testing.T) {
	_, states := worked(t, surface.Milled, 9)
	s := states[1]
	face := NewFace(s.appearance)
	defer face.Dispose()
	face.Print(s.reading, face.all())

	white, black, amber := color.RGBA{255, 251, 242, 255}, color.RGBA{11, 12, 13, 255}, color.RGBA{255, 177, 31, 255}
	pink, mint := color.RGBA{229, 143, 192, 255}, color.RGBA{127, 224, 192, 255}
	var cut, guess Region
	blob := func(x, y, r float64) lay.Region {
		return lay.Paint(100, 100, 75, func(i, j int) bool { return math.Hypot(float64(i)-x, float64(j)-y) < r })
	}
	cut.Set(blob(25, 25, 14))
	guess.Set(blob(70, 50, 12))
	var ghosts []Mark
	for n := range 12 {
		x, y := 18+float64(n%4)*5, 18+float64(n/4)*5
		ghosts = append(ghosts, Mark{x - 3, y + 3, x + 3, y - 3, 2.2})
	}
	var xs, um []float64
	for x := 2.0; x < 98; x += .5 {
		xs, um = append(xs, x), append(um, 4*math.Sin(x/9))
	}
	for _, size := range []struct {
		name  string
		w, h  int
		scale float64
	}{{"overlays-1280", 1280, 800, 1}, {"overlays-1920", 1920, 1080, 1.5}} {
		v := Fit(image.Rect(0, 0, size.w, size.h), 0, 0, 100, 75, 50)
		bench, lensBench := &Bench{}, &Bench{}
		scene := Scene{Face: face, PlateX: 100, PlateY: 90, Lamp: LampOver(v, 60, 200), Look: Look{Metal: Dark, Pigment: Blue, Scale: size.scale},
			Film: Film{X0: 20, Y0: 20, X1: 260, Y1: 220, UM: 2.5}}
		keep(t, size.name, picture(t, size.w, size.h, func(m *ebiten.Image) {
			bench.Draw(m, v, scene)
			p := NewPen(v, size.scale)
			p.Region(&cut, Lines, Ink{Line: amber, Casing: black})
			p.Region(&guess, Dots, Ink{Line: pink, Casing: black})
			p.Ghost(ghosts, Ink{Line: white, Casing: black, Width: 1.5})
			p.Cut(60, 15, 1, Ink{Line: amber, Casing: black})
			p.Cut(66, 20, 2, Ink{Line: amber, Casing: black})
			p.Spare(75, 12, Ink{Line: mint, Casing: black})
			p.Pin(90, 30, 7, Ink{Line: amber, Casing: black})
			p.Pin(88, 60, 12, Ink{Line: amber, Casing: black})
			p.Block(Ink{Line: white, Casing: black}, 30, 37.5, 9, 30)
			p.Trace(Ink{Line: mint, Casing: black}, 60, xs, um, 6)
			p.Ring(Ink{Line: white, Casing: black, Dash: 10}, 50, 50, 6, 10)
			p.Draw(m)
			lens := v.Lens(60, 40, 25.4, int(320*size.scale))
			lensBench.Draw(m, lens, scene)
			p.Lens(Ink{Line: white, Casing: black}, 60, 40, 25.4, lens)
			p.Draw(m)
		}))
	}
	values := make([]float32, face.nx*face.ny)
	for k := range values {
		x, y := float64(k%face.nx)/float64(face.nx), float64(k/face.nx)/float64(face.ny)
		values[k] = float32(12*math.Sin(6*x)*math.Cos(5*y) - 4*x)
	}
	m, err := NewMap(face, values)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Dispose()
	v := Fit(image.Rect(0, 0, 1280, 800), 0, 0, 100, 75, 50)
	keep(t, "map", picture(t, 1280, 800, func(dst *ebiten.Image) {
		(&Bench{}).Draw(dst, v, Scene{Face: face, Lamp: LampOver(v, 60, 200), Look: Look{Metal: Dark, Pigment: Blue}})
		m.Draw(dst, v, Scale{Range: 10, Step: 2, Low: -9}, 1)
	}))
	// Face down on the plate, moved along, and no part at all.
	scene := Scene{Face: face, Back: true, PlateX: 80, PlateY: 60, Lamp: LampOver(v, 300, 200), Look: Look{Metal: Dark, Pigment: Blue}, Film: Film{X0: 70, Y0: 50, X1: 200, Y1: 150, UM: 4}}
	keep(t, "back", picture(t, 1280, 800, func(dst *ebiten.Image) { (&Bench{}).Draw(dst, Fit(v.Dst, -40, -30, 140, 105, 0), scene) }))
	scene.Face = nil
	keep(t, "plate", picture(t, 1280, 800, func(dst *ebiten.Image) { (&Bench{}).Draw(dst, Fit(v.Dst, -40, -30, 140, 105, 0), scene) }))
}
