package lay

import (
	"math"

	"github.com/before-iron/beforeiron/sim/blade"
)

// Single is one stroke from (x0, y0) to (x1, y1), 10 um units, laid by t.
func Single(t Tool, from, to [2]int) []blade.Stroke {
	return []blade.Stroke{t.lay(meant{mm(from[0]), mm(from[1]), mm(to[0]), mm(to[1])})}
}

func mm(units int) float64 { return float64(units) / blade.UnitsPerMM }

// Style is how marks are set: their direction, mrad from the x axis, their
// length, mm, and the spacing of rows as a share of the width of a mark.
type Style struct {
	Dir      int
	LengthMM float64
	Spacing  float64
}

// Row is a row of strokes of the style's length, end to end, along the line
// from one point to another, 10 um units.
func Row(t Tool, from, to [2]int, s Style) []blade.Stroke {
	x0, y0, x1, y1 := mm(from[0]), mm(from[1]), mm(to[0]), mm(to[1])
	dx, dy := x1-x0, y1-y0
	length := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	if length == 0 {
		return nil
	}
	return t.chain(nil, frame{x0, y0, dx / length, dy / length}, 0, 0, length, s.LengthMM)
}

// Rows takes everything in the region: rows across it in the style's direction,
// just overlapping where the spacing is below one, out of step with each other
// and with those of any other pass.
func Rows(t Tool, r Region, s Style) []blade.Stroke {
	if len(r.Runs) == 0 {
		return nil
	}
	ux, uy := direction(s.Dir)
	f := frame{0, 0, ux, uy}
	x0, y0, x1, y1 := r.bounds()
	a0, a1, b0, b1 := f.extent(x0, y0, x1, y1)

	pitch := s.Spacing * t.Blade.MarkWidth(t.DepthUM)
	var out []blade.Stroke
	for side := b0 + float64(pitch*t.Random.Float64()); side < b1; side += pitch {
		length := s.LengthMM * (.8 + .4*t.Random.Float64())
		if t.Power {
			length = s.LengthMM
		}
		for _, in := range f.inside(r, side, a0, a1) {
			out = t.chain(out, f, side, in[0], in[1], length)
		}
	}
	return out
}

// frame has its origin at (x, y) mm and its first axis along (ux, uy).
type frame struct{ x, y, ux, uy float64 }

func (f frame) point(along, side float64) (x, y float64) {
	return f.x + float64(along*f.ux) - float64(side*f.uy), f.y + float64(along*f.uy) + float64(side*f.ux)
}

func (f frame) along(x, y float64) float64 {
	return float64((x-f.x)*f.ux) + float64((y-f.y)*f.uy)
}

func (f frame) side(x, y float64) float64 {
	return float64((y-f.y)*f.ux) - float64((x-f.x)*f.uy)
}

// extent is the reach of a rectangle along and aside.
func (f frame) extent(x0, y0, x1, y1 float64) (a0, a1, b0, b1 float64) {
	a0, b0 = math.Inf(1), math.Inf(1)
	a1, b1 = math.Inf(-1), math.Inf(-1)
	for _, p := range [4][2]float64{{x0, y0}, {x1, y0}, {x0, y1}, {x1, y1}} {
		a, b := f.along(p[0], p[1]), f.side(p[0], p[1])
		a0, a1 = math.Min(a0, a), math.Max(a1, a)
		b0, b1 = math.Min(b0, b), math.Max(b1, b)
	}
	return a0, a1, b0, b1
}

// lookMM is the step in which a row is followed through a region.
const lookMM = 0.25

// inside lists the stretches of a row that lie in the region.
func (f frame) inside(r Region, side, a0, a1 float64) [][2]float64 {
	var out [][2]float64
	open := false
	for n := 0; ; n++ {
		a := a0 + float64(lookMM*float64(n))
		x, y := f.point(a, side)
		in := a <= a1 && r.Contains(x, y)
		switch {
		case in && !open:
			out = append(out, [2]float64{a, a})
			open = true
		case in:
			out[len(out)-1][1] = a
		case open:
			open = false
		}
		if a > a1 {
			return out
		}
	}
}

// Strokes of a chain overlap by their ramps: each begins ChainStep of a length
// after the one before, and the chain reaches beyond its ends by half an entry
// ramp and half an exit ramp, so that the stretch between is cut to the depth.
const (
	ChainStep     = 0.6
	shortestMM    = 2.5
	leadOfStretch = blade.EntryShare / 2
)

// chain appends strokes of about the given length, mm, that cover the stretch of
// a row from a0 to a1.
func (t Tool) chain(out []blade.Stroke, f frame, side, a0, a1, length float64) []blade.Stroke {
	stretch := a1 - a0
	n := max(1, int(math.Ceil(stretch/(ChainStep*length)-.25)))
	l := math.Max(shortestMM, math.Min(length, stretch/(ChainStep*float64(n))))
	step := stretch / float64(n)
	for i := 0; i < n; i++ {
		// The deep part of a stroke lies nearer to its entry than to its exit.
		middle := a0 + float64(step*(float64(i)+.5))
		start := middle - float64(l*(leadOfStretch+ChainStep/2))
		x0, y0 := f.point(start, side)
		x1, y1 := f.point(start+l, side)
		out = append(out, t.lay(meant{x0, y0, x1, y1}))
	}
	return out
}
