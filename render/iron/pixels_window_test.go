//go:build window

package iron

import (
	"image"
	"image/color"
	"math"
	"runtime"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/run"
)

// unlike is the share of pixels, in thousandths, in which two pictures differ by
// more than 6 of 255 in a channel, and where the first of them is. Grain is looked
// up by place: where rounding falls to the other side a lone pixel differs.
func unlike(a, b *image.RGBA) (share float64, first image.Point) {
	n := 0
	for k := 0; k < len(a.Pix); k += 4 {
		for c := range 4 {
			if d := int(a.Pix[k+c]) - int(b.Pix[k+c]); max(d, -d) > 6 {
				if n == 0 {
					first = image.Pt(k/4%a.Rect.Dx(), k/4/a.Rect.Dx())
				}
				n++
				break
			}
		}
	}
	return 1000 * float64(n) / float64(len(a.Pix)/4), first
}

func mean(m *image.RGBA, r image.Rectangle) float64 {
	sum := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			c := m.RGBAAt(x, y)
			sum += int(c.R) + int(c.G) + int(c.B)
		}
	}
	return float64(sum) / float64(3*r.Dx()*r.Dy())
}

func onBench(f *Face, v View) Scene {
	return Scene{Face: f, PlateX: 100, PlateY: 90, Look: Look{Metal: Dark, Pigment: Blue},
		Lamp: LampOver(v, float64(v.Dst.Min.X)+60, float64(v.Dst.Min.Y)+80), Film: Film{X0: 80, Y0: 80, X1: 220, Y1: 200, UM: 3}}
}

var window = image.Rect(0, 0, 640, 480)

// A face in many tiles looks like the same face in one, near and far.
func TestTilesJoinWithoutSeams(t *testing.T) {
	a, r := scraped(700, 500, .2, nil)
	whole, tiled := NewFace(a), newFace(a, 320)
	whole.Print(r, whole.all())
	tiled.Print(r, tiled.all())
	if n := len(tiled.levels[0].tiles); n < 6 {
		t.Fatalf("only %d tiles", n)
	}
	for _, v := range []View{Fit(window, 0, 0, 140, 100, 10), {window, 64, 40, 22}, {window, 70, 50, .9}} {
		x := picture(t, 640, 480, func(m *ebiten.Image) { (&Bench{}).Draw(m, v, onBench(whole, v)) })
		y := picture(t, 640, 480, func(m *ebiten.Image) { (&Bench{}).Draw(m, v, onBench(tiled, v)) })
		if share, at := unlike(x, y); share > .5 {
			t.Errorf("%g px/mm: %.2f of a thousand pixels differ, the first at %v", v.PxPerMM, share, at)
		}
	}
}

// A stroke that lands, a print, and a view that moves along leave what a fresh
// drawing would show.
func TestChangesLeaveWhatAFreshDrawingShows(t *testing.T) {
	a, r := scraped(500, 375, .2, nil)
	f := NewFace(a)
	f.Print(r, f.all())
	for _, scale := range []float64{28, 5.5, 1.1} {
		v := View{window, 50, 37, scale}
		b := &Bench{}
		old := picture(t, 640, 480, func(m *ebiten.Image) { b.Draw(m, v, onBench(f, v)) })
		mark(a, 50, 37, scale)
		f.Show(a, f.Cells(50, 37, 50, 37, 4))
		got := picture(t, 640, 480, func(m *ebiten.Image) { b.Draw(m, v, onBench(f, v)) })
		fresh := func() *image.RGBA {
			return picture(t, 640, 480, func(m *ebiten.Image) { (&Bench{}).Draw(m, v, onBench(f, v)) })
		}
		if share, at := unlike(got, fresh()); share > .05 {
			t.Errorf("%g px/mm: after a stroke %.2f of a thousand pixels are off, the first at %v", scale, share, at)
		}
		if share, _ := unlike(got, old); share == 0 {
			t.Errorf("%g px/mm: the stroke is not seen", scale)
		}
		old = got
		for k := range r.Colour {
			if x, y := r.X(k%r.NX), r.Y(k/r.NX); math.Hypot(x-50, y-35) < 6 || math.Hypot(x-58, y-44) < 20/scale {
				r.Colour[k] = 255 - r.Colour[k]
			}
		}
		f.Print(r, f.all())
		got = picture(t, 640, 480, func(m *ebiten.Image) { b.Draw(m, v, onBench(f, v)) })
		if share, at := unlike(got, fresh()); share > .05 {
			t.Errorf("%g px/mm: after a print that differs in places %.2f of a thousand pixels are off, the first at %v", scale, share, at)
		}
		if share, _ := unlike(got, old); share == 0 {
			t.Errorf("%g px/mm: the print is not seen", scale)
		}
		for range 3 {
			v.X += 17 / scale
			v.Y -= 5 / scale
			got = picture(t, 640, 480, func(m *ebiten.Image) { b.Draw(m, v, onBench(f, v)) })
		}
		if share, at := unlike(got, fresh()); share > .5 {
			t.Errorf("%g px/mm: moved along %.2f of a thousand pixels are off, the first at %v", scale, share, at)
		}
	}
}

// lays is a flat face whose left half was scraped along one diagonal and the
// right half along the other.
func lays() *run.Appearance {
	a := &run.Appearance{}
	a.NX, a.NY, a.DX, a.DY, a.X0, a.Y0 = 200, 100, .5, .5, .25, .25
	n := a.NX * a.NY
	a.SlopeX, a.SlopeY, a.LayCos, a.LaySin = make([]int8, n), make([]int8, n), make([]int8, n), make([]int8, n)
	for k := range n {
		a.LaySin[k] = 127 // along y = x
		if k%a.NX >= 100 {
			a.LaySin[k] = -127
		}
	}
	return a
}

// Crossed marks change places, bright and dark, as the lamp goes round.
func TestCheckerTurnsWithTheLamp(t *testing.T) {
	f := NewFace(lays())
	v := Fit(window, 0, 0, 100, 50, 10)
	left, right := v.pixels(20, 10, 45, 40), v.pixels(55, 10, 80, 40)
	halves := func(x, y float64) float64 {
		m := picture(t, 640, 480, func(m *ebiten.Image) {
			s := onBench(f, v)
			s.Lamp = Lamp{X: x, Y: y, Height: 60, Reach: 500, Power: 1}
			(&Bench{}).Draw(m, v, s)
		})
		return mean(m, left) / mean(m, right)
	}
	// From far off along the diagonals: square to the one lay, along the other.
	// The factor is chosen: a quarter brighter is seen at once.
	if q := halves(50+300, 25-300); q < 1.25 {
		t.Errorf("lamp square to the left half: %.2f as bright as the right", q)
	}
	if q := halves(50+300, 25+300); q > 1/1.25 {
		t.Errorf("lamp square to the right half: the left is %.2f as bright", q)
	}
	if q := halves(50, 25-400); q < .9 || q > 1.1 {
		t.Errorf("lamp between the two: %.2f", q)
	}
}

// From afar a face of fine lines neither boils nor shows broad bands that are not
// there: small moves of the view hardly change it, and no block of it is much
// brighter than the mean.
func TestFarViewsAreCalm(t *testing.T) {
	a := &run.Appearance{}
	a.NX, a.NY, a.DX, a.DY, a.X0, a.Y0 = 2000, 1500, .1, .1, .05, .05
	n := a.NX * a.NY
	a.SlopeX, a.SlopeY, a.LayCos, a.LaySin = make([]int8, n), make([]int8, n), make([]int8, n), make([]int8, n)
	for k := range n {
		a.SlopeX[k] = int8(80 * math.Sin(2*math.Pi*float64(k%a.NX)*.1/.5))
	}
	f := NewFace(a)
	defer f.Dispose()
	for _, scale := range []float64{3.1, 1.3, .6} {
		draw := func(x float64) *image.RGBA {
			v := View{window, 100 + x/scale, 75, scale}
			return picture(t, 640, 480, func(m *ebiten.Image) {
				s := Scene{Face: f, Look: Look{Metal: Dark, Pigment: Blue}, Lamp: Lamp{X: -1000, Y: 75, Height: 600, Reach: 1e5, Power: 1}}
				(&Bench{}).Draw(m, v, s)
			})
		}
		v := View{window, 100, 75, scale}
		inside := v.pixels(30, 30, 170, 120)
		still, moved := draw(0), draw(.4)
		all := mean(still, inside)
		if d := math.Abs(mean(moved, inside) - all); d > 2 {
			t.Errorf("%g px/mm: a move by a part of a pixel changes the mean by %.1f", scale, d)
		}
		const block = 16
		for y := inside.Min.Y; y+block <= inside.Max.Y; y += block {
			for x := inside.Min.X; x+block <= inside.Max.X; x += block {
				if b := mean(still, image.Rect(x, y, x+block, y+block)); math.Abs(b-all) > .12*all {
					t.Fatalf("%g px/mm: a block at (%d, %d) has %.0f, all have %.0f", scale, x, y, b, all)
				}
			}
		}
	}
}

// patches is a bare face with a reading of one strength over its right half and
// rubbed summits in the corner.
func patches(strength uint8, film float64) (*run.Appearance, *blue.Reading) {
	a := lays()
	for k := range a.LaySin {
		a.LaySin[k] = 127
	}
	r := &blue.Reading{Grid: a.Grid, Film: film, Colour: make([]uint8, len(a.SlopeX)), Shine: make([]uint8, len(a.SlopeX))}
	for k := range r.Colour {
		if k%a.NX >= 100 {
			r.Colour[k] = strength
		}
	}
	return a, r
}

func middle(m *image.RGBA, r image.Rectangle) color.RGBA {
	var sum [3]int
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			c := m.RGBAAt(x, y)
			sum[0], sum[1], sum[2] = sum[0]+int(c.R), sum[1]+int(c.G), sum[2]+int(c.B)
		}
	}
	n := r.Dx() * r.Dy()
	return color.RGBA{uint8(sum[0] / n), uint8(sum[1] / n), uint8(sum[2] / n), 255}
}

// Pigment is told from bare metal by every eye, in bright light and in dim, on
// dark and on light iron. Twenty in CIELAB is ten times what is just noticeable.
func TestPigmentIsSeenByEveryEye(t *testing.T) {
	v := Fit(window, 0, 0, 100, 50, 10)
	for metalName, metal := range map[string]Metal{"dark": Dark, "light": Light} {
		for pigmentName, pigment := range map[string]Pigment{"blue": Blue, "red": Red, "black": Black} {
			for _, c := range []struct {
				name     string
				strength uint8
				film     float64
				least    float64
			}{{"strong normal", 230, 3, 20}, {"faint rich", 70, 8, 20}, {"strong lean", 230, 1, 12}} {
				a, r := patches(c.strength, c.film)
				f := NewFace(a)
				f.Print(r, f.all())
				for lampName, lamp := range map[string]Lamp{
					"square":  {X: 250, Y: -175, Height: 100, Reach: 300, Power: 1},
					"in line": {X: 250, Y: 225, Height: 100, Reach: 300, Power: 1},
					"distant": {X: 700, Y: -625, Height: 200, Reach: 300, Power: 1},
				} {
					m := picture(t, 640, 480, func(m *ebiten.Image) {
						(&Bench{}).Draw(m, v, Scene{Face: f, Lamp: lamp, Look: Look{Metal: metal, Pigment: pigment}})
					})
					bare, inked := middle(m, v.pixels(35, 15, 45, 35)), middle(m, v.pixels(55, 15, 65, 35))
					for eyeName, eye := range eyes {
						if d := palette.Difference(palette.As(bare, eye), palette.As(inked, eye)); d < c.least {
							t.Errorf("%s iron, %s %s, lamp %s, %s: differ by %.1f (%v, %v)", metalName, pigmentName, c.name, lampName, eyeName, d, bare, inked)
						}
					}
				}
				f.Dispose()
			}
		}
	}
}

// Blue is told from a contrast colour under it by every eye as it is from bare
// metal, and that colour is not drawn as bare metal.
func TestBlueIsSeenOnContrast(t *testing.T) {
	v := Fit(window, 0, 0, 100, 50, 10)
	for metalName, metal := range map[string]Metal{"dark": Dark, "light": Light} {
		bare := map[string][3]uint8{}
		for _, contrast := range []string{"", "red", "yellow"} {
			a, r := patches(230, 3)
			r.Contrast = contrast
			f := NewFace(a)
			f.Print(r, f.all())
			m := picture(t, 640, 480, func(m *ebiten.Image) {
				(&Bench{}).Draw(m, v, Scene{Face: f, Lamp: Lamp{X: 250, Y: 225, Height: 100, Reach: 300, Power: 1}, Look: Look{Metal: metal, Pigment: Blue}})
			})
			around, inked := middle(m, v.pixels(35, 15, 45, 35)), middle(m, v.pixels(55, 15, 65, 35))
			bare[contrast] = [3]uint8{around.R, around.G, around.B}
			for eyeName, eye := range eyes {
				d := palette.Difference(palette.As(around, eye), palette.As(inked, eye))
				if d < 20 {
					t.Errorf("%s iron under %q, %s: blue and its ground differ by %.1f", metalName, contrast, eyeName, d)
				}
			}
			f.Dispose()
		}
		if bare["red"] == bare[""] || bare["yellow"] == bare["red"] {
			t.Errorf("%s iron: bare, red and yellow are %v", metalName, bare)
		}
	}
}

// With the hatch on, lines are seen in the pigment and none in bare metal.
func TestHatchDrawsLinesInPigmentAlone(t *testing.T) {
	a, r := patches(160, 2.5)
	f := NewFace(a)
	f.Print(r, f.all())
	v := Fit(window, 0, 0, 100, 50, 10)
	rows := func(hatch bool, area image.Rectangle) float64 {
		m := picture(t, 640, 480, func(m *ebiten.Image) {
			s := onBench(f, v)
			s.Lamp = Lamp{X: 50, Y: -400, Height: 200, Reach: 1e4, Power: 1}
			s.Look.Hatch = hatch
			(&Bench{}).Draw(m, v, s)
		})
		lo, hi := 255.0, 0.0
		for y := area.Min.Y; y < area.Min.Y+20; y++ {
			b := mean(m, image.Rect(area.Min.X, y, area.Max.X, y+1))
			lo, hi = min(lo, b), max(hi, b)
		}
		return hi - lo
	}
	bare, inked := v.pixels(35, 15, 45, 35), v.pixels(55, 15, 65, 35)
	if d := rows(true, inked); d < 12 {
		t.Errorf("lines in the pigment differ by %.1f of 255", d)
	}
	if d := rows(true, bare); d > 6 {
		t.Errorf("bare metal has lines of %.1f of 255", d)
	}
	if d := rows(false, inked); d > 6 {
		t.Errorf("without the hatch pigment has lines of %.1f", d)
	}
}

// Where a mask has no metal the plate is seen.
func TestHolesShowThePlate(t *testing.T) {
	mask := make([]bool, 300*200)
	for k := range mask {
		x, y := float64(k%300)*.5, float64(k/300)*.5
		mask[k] = math.Hypot(x-75, y-50) < 45 && math.Hypot(x-75, y-50) > 20
	}
	a, r := scraped(300, 200, .5, mask)
	f := NewFace(a)
	f.Print(r, f.all())
	v := Fit(window, 0, 0, 150, 100, 10)
	s := onBench(f, v)
	s.Film = Film{}
	with := picture(t, 640, 480, func(m *ebiten.Image) { (&Bench{}).Draw(m, v, s) })
	keep(t, "ring", with)
	s.Face = nil
	bare := picture(t, 640, 480, func(m *ebiten.Image) { (&Bench{}).Draw(m, v, s) })
	hole, corner, metal := v.pixels(70, 47, 80, 53), v.pixels(2, 2, 6, 6), v.pixels(100, 45, 115, 55)
	for name, place := range map[string]image.Rectangle{"hole": hole, "corner": corner} {
		if d := mean(with, place) - mean(bare, place); d > 3 {
			t.Errorf("the %s is brighter than the plate by %.1f", name, d)
		}
	}
	if d := mean(with, metal) - mean(bare, metal); d < 20 {
		t.Errorf("the ring is brighter than the plate by %.1f only", d)
	}
}

func TestNothingIsStaleThatWasDrawn(t *testing.T) {
	a, r := scraped(200, 150, .5, nil)
	f := NewFace(a)
	b := &Bench{}
	v := Fit(window, 0, 0, 100, 75, 10)
	s := onBench(f, v)
	if !b.Stale(v, s) {
		t.Error("never drawn and not stale")
	}
	picture(t, 640, 480, func(m *ebiten.Image) { b.Draw(m, v, s) })
	if b.Stale(v, s) {
		t.Error("stale when just drawn")
	}
	f.Print(r, image.Rect(10, 10, 20, 20))
	if !b.Stale(v, s) {
		t.Error("not stale when the face has changed")
	}
	picture(t, 640, 480, func(m *ebiten.Image) { b.Draw(m, v, s) })
	s.Lamp.X++
	if !b.Stale(v, s) {
		t.Error("not stale when the lamp has moved")
	}
}

// A map paints high and low in the colours of its scale, and nothing where it has
// no value.
func TestMapPaintsItsScale(t *testing.T) {
	f := NewFace(lays())
	values := make([]float32, 200*100)
	for k := range values {
		switch x := k % 200; {
		case x < 60:
			values[k] = -6
		case x < 120:
			values[k] = 6
		default:
			values[k] = float32(math.NaN())
		}
	}
	m, err := NewMap(f, values)
	if err != nil {
		t.Fatal(err)
	}
	v, scale := Fit(window, 0, 0, 100, 50, 10), Scale{Range: 10}
	p := picture(t, 640, 480, func(dst *ebiten.Image) { m.Draw(dst, v, scale, 1) })
	for x, um := range map[float64]float64{15: -6, 45: 6} {
		px, py := v.Px(x, 25)
		r, g, b := scale.Colour(um)
		if got := p.RGBAAt(int(px), int(py)); math.Abs(float64(got.R)-float64(r))+math.Abs(float64(got.G)-float64(g))+math.Abs(float64(got.B)-float64(b)) > 6 {
			t.Errorf("%g um is painted %v, its colour is %d %d %d", um, got, r, g, b)
		}
	}
	px, py := v.Px(80, 25)
	if got := p.RGBAAt(int(px), int(py)); got != (color.RGBA{255, 0, 255, 255}) {
		t.Errorf("no value is painted %v", got)
	}
	if _, err := NewMap(f, values[1:]); err == nil {
		t.Error("a map of the wrong size was taken")
	}
}

// A master shows pigment on its blued side as long as it is up and a film is on it, and
// covers what it lies on; no pixel beyond its shadow changes.
func TestAMasterCoversAndShowsItsBlue(t *testing.T) {
	v := Fit(window, 0, 0, 100, 75, 20)
	lamp := LampOver(v, 60, 80)
	ground := color.RGBA{200, 40, 40, 255}
	for _, m := range []Master{
		{X0: 10, Y0: 20, X1: 90, Y1: 50}, {X0: 10, Y0: 20, X1: 90, Y1: 50, Prism: true},
		{X0: 10, Y0: 20, X1: 90, Y1: 50, Up: true}, {X0: 10, Y0: 20, X1: 90, Y1: 50, Up: true, Film: 8},
	} {
		seen := picture(t, window.Dx(), window.Dy(), func(dst *ebiten.Image) {
			dst.Fill(ground)
			m.Draw(dst, v, lamp, Look{Metal: Dark, Pigment: Blue})
		})
		for _, at := range [][2]float64{{30, 28}, {50, 35}, {80, 46}} {
			x, y := v.Px(at[0], at[1])
			c := seen.RGBAAt(int(x), int(y))
			if blued := int(c.B) > int(c.R)+25; blued != (m.Film > 0) {
				t.Errorf("%+v shows %v at %v", m, c, at)
			}
			if int(c.R) > int(c.G)+60 {
				t.Errorf("%+v lets what is under it be seen at %v: %v", m, at, c)
			}
		}
		x, y := v.Px(50, 50+1.3*masterShadow)
		if c := seen.RGBAAt(int(x), int(y)); c != ground {
			t.Errorf("%+v changes what is far from it: %v", m, c)
		}
	}
}

// Strokes leave nothing behind in the memory, in the levels of a face either that a view
// does not look at.
func TestStrokesThatWereDrawnCostNoMemory(t *testing.T) {
	a, r := scraped(500, 375, .2, nil)
	f := NewFace(a)
	f.Print(r, f.all())
	v := View{window, 50, 37, 1.1} // from so far that a further level is looked at
	b := &Bench{}
	m := ebiten.NewImage(640, 480)
	at := 0.
	strokes := func(n int) uint64 {
		for range n {
			inFrames(1, func(*ebiten.Image) {
				for k := range 20 {
					x := 20 + 3*float64(k)
					f.Show(a, f.Cells(x, at, x+9, at+9, 6))
					at += .05 // one that lies over another takes its place
				}
				b.Draw(m, v, onBench(f, v))
			})
		}
		runtime.GC()
		runtime.GC() // what is given back in the first is free in the second
		var s runtime.MemStats
		runtime.ReadMemStats(&s)
		return s.HeapAlloc
	}
	before := strokes(2)
	const most = 8 << 20
	if after := strokes(40); after > before+most {
		t.Errorf("800 strokes left %d MB behind", (after-before)>>20)
	}
}
