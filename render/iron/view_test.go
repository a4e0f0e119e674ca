package iron

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"
)

func TestViewKeepsPlaces(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		v := View{image.Rect(rng.IntN(50), rng.IntN(50), 400+rng.IntN(900), 300+rng.IntN(700)), 100 * rng.Float64(), 80 * rng.Float64(), .5 + 40*rng.Float64()}
		px, py := 1000*rng.Float64(), 700*rng.Float64()
		x, y := v.MM(px, py)
		if bx, by := v.Px(x, y); math.Abs(bx-px)+math.Abs(by-py) > 1e-6 {
			t.Fatalf("%v: pixel %g %g came back as %g %g", v, px, py, bx, by)
		}
		z := v.Zoom(.5+2*rng.Float64(), px, py)
		if bx, by := z.Px(x, y); math.Abs(bx-px)+math.Abs(by-py) > 1e-6 {
			t.Fatalf("zoom about %g %g moved that place to %g %g", px, py, bx, by)
		}
	}
}

func TestFitShowsAllWithItsMargin(t *testing.T) {
	v := Fit(image.Rect(100, 50, 900, 650), 10, 20, 110, 95, 30)
	x0, y0 := v.Px(10, 20)
	x1, y1 := v.Px(110, 95)
	if x0 < 130-1e-9 || y0 < 80-1e-9 || x1 > 870+1e-9 || y1 > 620+1e-9 {
		t.Fatalf("shown from %g %g to %g %g", x0, y0, x1, y1)
	}
	if math.Abs(x0-130) > 1e-9 && math.Abs(y0-80) > 1e-9 {
		t.Fatalf("no side fills its space: from %g %g", x0, y0)
	}
}

func TestShiftIsByWholePixels(t *testing.T) {
	v := View{image.Rect(0, 0, 640, 480), 50, 40, 8}
	w := v
	w.X += 3.0 / 8
	w.Y -= 5.0 / 8
	if dx, dy, ok := v.shift(w); !ok || dx != -3 || dy != 5 {
		t.Fatalf("moved by %d %d, %v", dx, dy, ok)
	}
	w.X += .4 / 8
	if _, _, ok := v.shift(w); ok {
		t.Fatal("four tenths of a pixel were taken for none")
	}
	w = v
	w.X += 700.0 / 8
	if _, _, ok := v.shift(w); ok {
		t.Fatal("nothing is left in sight, and yet it moved along")
	}
	w = v
	w.PxPerMM *= 1.01
	if _, _, ok := v.shift(w); ok {
		t.Fatal("a zoom was taken for a move")
	}
}

func TestLensStaysInView(t *testing.T) {
	v := Fit(image.Rect(0, 0, 1280, 800), 0, 0, 100, 75, 20)
	for x := 0.0; x <= 74.6; x += 4.7 {
		for y := 0.0; y <= 49.6; y += 4.1 {
			l := v.Lens(x, y, 25.4, 300)
			if !l.Dst.In(v.Dst) || l.Dst.Dx() != 300 || l.Dst.Dy() != 300 {
				t.Fatalf("lens for %g %g at %v", x, y, l.Dst)
			}
			if px, py := l.Px(x, y); math.Abs(px-float64(l.Dst.Min.X))+math.Abs(py-float64(l.Dst.Min.Y)) > 1e-6 {
				t.Fatalf("the frame's corner shows at %g %g of %v", px, py, l.Dst)
			}
		}
	}
}

func TestOutsideCoversAllButTheHole(t *testing.T) {
	r := image.Rect(0, 0, 40, 30)
	for _, hole := range []image.Rectangle{image.Rect(10, 5, 20, 25), image.Rect(-5, -5, 20, 60), image.Rect(0, 0, 40, 30), image.Rect(50, 50, 60, 60), image.Rect(30, 10, 60, 20)} {
		count := map[image.Point]int{}
		for _, s := range outside(r, hole) {
			for y := s.Min.Y; y < s.Max.Y; y++ {
				for x := s.Min.X; x < s.Max.X; x++ {
					count[image.Pt(x, y)]++
				}
			}
		}
		for y := range 30 {
			for x := range 40 {
				want := 1
				if image.Pt(x, y).In(hole) {
					want = 0
				}
				if got := count[image.Pt(x, y)]; got != want {
					t.Fatalf("hole %v: (%d, %d) covered %d times", hole, x, y, got)
				}
			}
		}
	}
}
