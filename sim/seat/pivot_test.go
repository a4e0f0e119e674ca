package seat

import (
	"math"
	"testing"
)

// far is how far from the far end a bar from 0 to length turns when it is
// pushed across at the end x = length, as a share of its length.
func far(t *testing.T, pressed []Load, length, width float64) float64 {
	t.Helper()
	p, err := Swing(pressed, length, width/2, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	return p.X / length
}

// Even pressure: the slender limit is 1 - 1/sqrt 2 (closed form: the moments of
// friction about the push cancel); broader outlines were computed by an
// independent route: W/L .1 .290, .25 .280, .5 .251, .75 .211.
func TestEvenPressurePivots(t *testing.T) {
	for _, c := range []struct{ ratio, want float64 }{{.001, 1 - 1/math.Sqrt2}, {.1, .290}, {.25, .280}, {.5, .251}, {.75, .211}} {
		const length = 300.0
		nx := 160
		if c.ratio < .05 { // one row of cells
			nx = 1200
		}
		width := c.ratio * length
		ny := max(1, int(float64(nx)*c.ratio))
		var pressed []Load
		for j := range ny {
			for i := range nx {
				pressed = append(pressed, Load{X: (float64(i) + .5) * length / float64(nx), Y: (float64(j) + .5) * width / float64(ny), N: 1})
			}
		}
		if got := far(t, pressed, length, width); math.Abs(got-c.want) > 6e-4 {
			t.Errorf("W/L %g: pivot at %.4f, want %.4f", c.ratio, got, c.want)
		}
	}
}

// line is a slender bar of unit length with pressure p(u) along it.
func line(p func(u float64) float64) []Load {
	const n = 1000
	var out []Load
	for k := range n {
		u := (float64(k) + .5) / n
		out = append(out, Load{X: u, N: math.Max(0, p(u))})
	}
	return out
}

// Slender bars: the pivot where the moment of friction about the push vanishes,
// by hand for each pressure (figures rounded to .01).
func TestPivotsByPressure(t *testing.T) {
	inside := func(a, b float64) func(float64) float64 {
		return func(u float64) float64 {
			if u >= a && u <= b {
				return 1
			}
			return 0
		}
	}
	ends := func(w float64) func(float64) float64 {
		return func(u float64) float64 { return inside(0, w)(u) + inside(1-w, 1)(u) }
	}
	for _, c := range []struct {
		name string
		p    func(float64) float64
		want float64
	}{
		{"parabolic crown", func(u float64) float64 { return u * (1 - u) }, .39},
		{"centre 60 %", inside(.2, .8), .42},
		{"centre 40 %", inside(.3, .7), .46},
		{"centre 20 %", inside(.4, .6), .49},
		{"outer third each end", ends(1. / 3), .18},
		{"outer 20 % each", ends(.2), .11},
		{"outer 10 % each", ends(.1), .05},
		{"outer 5 % each", ends(.05), .025},
		{"concave parabola", func(u float64) float64 { return (2*u - 1) * (2*u - 1) }, .11},
	} {
		if got := far(t, line(c.p), 1, 0); math.Abs(got-c.want) > .0065 {
			t.Errorf("%s: pivot at %.4f, want %.3f", c.name, got, c.want)
		}
	}
}

// On two points a and b that bear alike, pushed across at the end 1, friction takes
// the power (|a-p| + |b-p|)/2(1-p) at unit speed of the push. That falls up to p = a
// and rises from there: the part turns about the far point itself, .25 at the
// quarters. On pads of width w the moment about the push vanishes where two thirds
// of the far pad lie behind the pivot, at .25 + w/6 for a narrow one: .267 for
// pads of a tenth of the length. So the figure .27 that is taught belongs to
// pads of a seventh to an eighth, and not to points.
func TestPivotOnTwoSupports(t *testing.T) {
	for _, a := range []float64{.1, .2232, .25, .4} {
		got := far(t, []Load{{X: a, N: 1}, {X: 1 - a, N: 1}}, 1, 0)
		if math.Abs(got-a) > 1e-3 {
			t.Errorf("points at %g and %g: pivot at %.4f", a, 1-a, got)
		}
	}
	for _, w := range []float64{.02, .1, .12} {
		// (1-b)/2 of the near pad and what of the far pad lies before the pivot hold
		// against what lies behind it: u^2 - 2 u c + d = 0 with u = 1 - p.
		lo, hi := .25-w/2, .25+w/2
		square := func(u float64) float64 { return u * u }
		u := math.Sqrt((square(1-lo) + square(1-hi) - .25*2*w) / 2)
		want := 1 - u
		if math.Abs(want-(.25+w/6)) > .2*w*w {
			t.Fatalf("pads of %g: %.5f by hand, %.5f to first order", w, want, .25+w/6)
		}
		pads := line(func(x float64) float64 {
			if math.Abs(x-.25) <= w/2 || math.Abs(x-.75) <= w/2 {
				return 1
			}
			return 0
		})
		if got := far(t, pads, 1, 0); math.Abs(got-want) > 1.5e-3 {
			t.Errorf("pads of %g: pivot at %.4f, want %.4f", w, got, want)
		}
	}
}

// At the pivot forces and moments balance: what is left of friction's moment
// about the push, and of its force across the push, vanishes.
func TestPivotBalances(t *testing.T) {
	m := rough(120, 60, 1, 5)
	pressed := Even(m)
	for k := range pressed {
		pressed[k].N = float64(1 + k*k%7)
	}
	const x, y, dx, dy = 118.0, 9.0, .28, .96
	p, err := Swing(pressed, x, y, dx, dy)
	if err != nil {
		t.Fatal(err)
	}
	var fx, fy, moment, total float64
	for _, q := range pressed {
		// The pushed point moves along the push: that sets the sense of turning.
		u, v := -(q.Y - p.Y), q.X-p.X
		if (-(y-p.Y))*dx+(x-p.X)*dy < 0 {
			u, v = -u, -v
		}
		speed := math.Hypot(u, v)
		fx -= q.N * u / speed
		fy -= q.N * v / speed
		moment += -q.N*v/speed*(q.X-x) + q.N*u/speed*(q.Y-y)
		total += q.N
	}
	if across := (fy*dx - fx*dy) / total; math.Abs(across) > 1e-4 {
		t.Errorf("%.2g of the load is left across the push", across)
	}
	if moment /= total * 60; math.Abs(moment) > 1e-4 {
		t.Errorf("%.2g of the load's moment is left", moment)
	}
	if along := -(fx*dx + fy*dy) / total; math.Abs(along-p.Push) > 1e-4 {
		t.Errorf("it takes %.5f to push, said %.5f", along, p.Push)
	}
}

// A push through the middle of an even part does not turn it.
func TestPushThroughTheMiddleSlides(t *testing.T) {
	if p, err := Swing(line(func(float64) float64 { return 1 }), .5, 0, 0, 1); err == nil {
		t.Errorf("it turns about %v", p)
	}
}
