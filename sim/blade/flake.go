package blade

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"github.com/before-iron/beforeiron/sim/surface"
)

// The patterns of oil pockets that can be flaked into an accepted face.
const (
	HalfMoon    = "half-moon"
	QuarterMoon = "quarter-moon"
	Checker     = "checker"
)

// Patterns lists them in the order in which a user is told of them.
func Patterns() []string { return []string{HalfMoon, QuarterMoon, Checker} }

// Parameters of flaking. Depths of half a thousandth to two thousandths of an
// inch and a fifth to two fifths of the area are common practice; the sizes of
// the pockets are assumed.
const (
	FlakeLow    = 12.0 // um
	FlakeHigh   = 50.0 // um
	FlakePitch  = 8.0  // mm between pockets along a row and between rows
	HalfMoonMM  = 3.5  // radius, mm
	QuarterMM   = 5.0  // radius, mm
	CheckerMM   = 4.4  // side, mm
	FlakeJitter = 0.3  // mm, scatter of a pocket's place
)

// Pocket is one oil pocket: its middle, mm, and its depth, um.
type Pocket struct {
	X, Y, DepthUM float64
}

// CheckFlake reports what is wrong with a pattern or a depth, um.
func CheckFlake(pattern string, depthUM float64) error {
	known := false
	for _, p := range Patterns() {
		known = known || p == pattern
	}
	if !known {
		return fmt.Errorf("pattern %q is unknown: take one of %s", pattern, strings.Join(Patterns(), ", "))
	}
	if !(depthUM >= FlakeLow && depthUM <= FlakeHigh) {
		return fmt.Errorf("depth is %g um: flaking is %g to %g um deep", depthUM, FlakeLow, FlakeHigh)
	}
	return nil
}

// Pockets sets out the pockets of a pattern over the part of a face that is
// wanted, in rows, every second one half a pitch on, as a hand that scatters
// sets them.
func Pockets(f *surface.Face, depthUM float64, wanted func(x, y float64) bool, rng *rand.Rand) []Pocket {
	x0, y0, x1, y1 := f.Edges()
	var out []Pocket
	for n, y := 0, y0+FlakePitch/2; y < y1; n, y = n+1, y+FlakePitch {
		for x := x0 + FlakePitch/4 + float64(FlakePitch/2*float64(n%2)); x < x1; x += FlakePitch {
			p := Pocket{
				X: x + float64(FlakeJitter*(2*rng.Float64()-1)), Y: y + float64(FlakeJitter*(2*rng.Float64()-1)),
				DepthUM: depthUM * (.85 + float64(.3*rng.Float64())),
			}
			if wanted(x, y) {
				out = append(out, p)
			}
		}
	}
	return out
}

// Flake cuts one pocket of a pattern into the cutter's face, from the metal that
// it meets, and raises the burr that stands round it.
func (c *Cutter) Flake(pattern string, p Pocket) Chip {
	f := c.face
	const reach = QuarterMM + BurrReach
	i0, j0, _ := f.Nearest(p.X-reach, p.Y-reach)
	i1, j1, _ := f.Nearest(p.X+reach, p.Y+reach)
	var chip Chip
	var removed int64
	for j := max(j0, 0); j <= min(j1, f.NY-1); j++ {
		for i := max(i0, 0); i <= min(i1, f.NX-1); i++ {
			k := j*f.NX + i
			if !f.Metal(k) {
				continue
			}
			share, beside := profile(pattern, f.X(i)-p.X, f.Y(j)-p.Y)
			if cut := surface.ToSteps(float64(p.DepthUM * share)); cut > 0 {
				f.H[k] -= cut
				f.Burr[k] = 0
				removed += int64(cut)
				chip.Cells++
				chip.DeepestUM = max(chip.DeepestUM, surface.FromSteps(cut))
				if c.Each != nil {
					c.Each(k, cut)
				}
			} else if beside {
				f.Burr[k] = max(f.Burr[k], uint16(surface.ToSteps(BurrHigh)))
			}
		}
	}
	chip.VolumeMM3 = float64(removed) / surface.StepsPerUM / 1000 * f.CellArea()
	return chip
}

// profile is the share of a pocket's depth at (x, y) mm from its middle, and
// whether burr stands there. Moons are dug in at their straight side and run out
// to their arc; a square is as the blade's arc leaves it, run in and out along x.
func profile(pattern string, x, y float64) (share float64, beside bool) {
	switch pattern {
	case HalfMoon:
		y += HalfMoonMM / 2
		return moon(x, y, HalfMoonMM, y >= 0, y >= -BurrReach)
	case QuarterMoon:
		x, y = x+QuarterMM/2, y+QuarterMM/2
		return moon(x, y, QuarterMM, x >= 0 && y >= 0, x >= -BurrReach && y >= -BurrReach)
	}
	u, v := math.Abs(x)/(CheckerMM/2), math.Abs(y)/(CheckerMM/2)
	if u < 1 && v < 1 {
		return (1 - float64(v*v)) * ramp((x+CheckerMM/2)/CheckerMM), false
	}
	const edge = 1 + BurrReach/(CheckerMM/2)
	return 0, u < edge && v < edge
}

func moon(x, y, radius float64, in, near bool) (share float64, beside bool) {
	r2 := (float64(x*x) + float64(y*y)) / (radius * radius)
	if in && r2 < 1 {
		return 1 - r2, false
	}
	const edge = 1 + BurrReach/HalfMoonMM
	return 0, near && r2 < edge*edge
}
