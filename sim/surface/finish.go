package surface

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"github.com/ojrac/opensimplex-go"
)

// The finishes that a part can come with.
const (
	Milled = "milled" // face milled: feed arcs, tram dish, droop where the cutter runs in and out
	Ground = "ground" // surface ground: fine lay, faint chatter, table-wear hump, clamp springback
	Worn   = "worn"   // scraped long ago, the summits gone and the middle of the way hollow
	Fine   = "fine"   // lapped or fine ground: little but a trace of noise
)

// Finishes lists them in the order in which a user is told of them.
func Finishes() []string { return []string{Milled, Ground, Worn, Fine} }

// Parameter is one figure of a finish.
type Parameter struct {
	Finish  string
	Name    string // as in Recipe.Adjust
	Unit    string
	Default float64
	Min     float64
	Max     float64
	Source  string // where the default comes from, or "assumed"
	Shape   bool   // shapes the part as a whole: left out where readings give the form
	What    string
}

// FinishParameters lists every figure of every finish. Those marked assumed
// are plausible for the process and were measured nowhere.
func FinishParameters() []Parameter {
	return append([]Parameter(nil), finishParameters...)
}

var finishParameters = []Parameter{
	{Milled, "feed_mm", "mm", 0.5, 0.3, 2, "assumed (finishing feed a revolution of a single-point face mill)", false, "distance of the feed arcs"},
	{Milled, "scallop_um", "um", 3, 0, 20, "assumed", false, "height of the ridge between two feed arcs"},
	{Milled, "cutter_mm", "mm", 63, 20, 315, "assumed (a common size of face mill)", false, "diameter of the face mill"},
	{Milled, "tram_um", "um", 3, 0, 20, "assumed", true, "hollow across each pass, from a spindle out of square"},
	{Milled, "step_um", "um", 1.5, 0, 10, "assumed", true, "greatest height difference between passes"},
	{Milled, "droop_um", "um", 5, 0, 30, "assumed", true, "fall of the end where the cutter leaves; half of it where it enters"},
	{Milled, "droop_mm", "mm", 12, 1, 100, "assumed", true, "length over which that end falls"},
	{Milled, "waviness_um", "um", 1.5, 0, 20, "assumed", false, "amplitude of the 40 mm octave of noise; those of 20 and 10 mm have a half and a quarter"},
	{Milled, "roughness_um", "um", 0.6, 0, 5, "assumed", false, "amplitude of the 3 mm octave of noise; those of 1.5 and 0.75 mm have a half and a quarter"},

	{Ground, "lay_um", "um", 0.35, 0, 3, "assumed", false, "amplitude of the lines along x"},
	{Ground, "lay_mm", "mm", 0.5, 0.2, 3, "assumed", false, "width of those lines"},
	{Ground, "chatter_um", "um", 0.2, 0, 3, "assumed", false, "amplitude of the wheel's chatter"},
	{Ground, "chatter_mm", "mm", 4, 1, 30, "assumed (table speed over wheel vibration)", false, "wavelength of the chatter along x"},
	{Ground, "hump_um", "um", 2.5, 0, 20, "assumed", true, "crown along the length from worn table ways"},
	{Ground, "spring_um", "um", 2, 0, 20, "assumed", true, "hollow across the width once the clamps let go"},
	{Ground, "waviness_um", "um", 0.6, 0, 20, "assumed", false, "amplitude of the 40 mm octave of noise"},
	{Ground, "roughness_um", "um", 0.15, 0, 5, "assumed", false, "amplitude of the 3 mm octave of noise"},

	{Worn, "mark_um", "um", 5, 0, 25, "common practice (last marks of a way, 2 to 10 um)", false, "depth of the old scraping marks"},
	{Worn, "mark_mm", "mm", 5, 2, 15, "common practice (second-stage mark about 6 x 5 mm)", false, "width of the old marks; they are 1.4 times as long"},
	{Worn, "summit_um", "um", 1, 0, 10, "assumed", false, "height worn off the summits everywhere"},
	{Worn, "hollow_um", "um", 12, 0, 200, "assumed", true, "depth worn out of the middle of the travel"},
	{Worn, "scratch_um", "um", 0.5, 0, 5, "assumed", false, "amplitude of the scratches along the travel"},
	{Worn, "waviness_um", "um", 0.8, 0, 20, "assumed", false, "amplitude of the 40 mm octave of noise"},
	{Worn, "roughness_um", "um", 0.2, 0, 5, "assumed", false, "amplitude of the 3 mm octave of noise"},

	{Fine, "waviness_um", "um", 0.25, 0, 20, "assumed", false, "amplitude of the 40 mm octave of noise"},
	{Fine, "roughness_um", "um", 0.1, 0, 5, "assumed", false, "amplitude of the 3 mm octave of noise"},
}

// share of a finish: with what shapes the part, or the texture alone.
type share bool

const (
	wholePart   share = true
	textureOnly share = false
)

// CheckFinish reports what is wrong with the name of a finish or with the
// figures that replace its defaults; nil when nothing is.
func CheckFinish(finish string, adjust map[string]float64) error {
	_, err := figures(finish, adjust, wholePart)
	return err
}

// figures are the parameters of a finish by name.
func figures(finish string, adjust map[string]float64, s share) (map[string]float64, error) {
	known := finish == ""
	for _, name := range Finishes() {
		known = known || name == finish
	}
	if !known {
		return nil, fmt.Errorf("finish %q is unknown: take one of %s", finish, strings.Join(Finishes(), ", "))
	}
	out := map[string]float64{}
	var names []string
	for _, p := range finishParameters {
		if p.Finish != finish {
			continue
		}
		names = append(names, p.Name)
		out[p.Name] = p.Default
		v, given := adjust[p.Name]
		if given {
			if !(v >= p.Min && v <= p.Max) {
				return nil, fmt.Errorf("finish %s: %s is %g: give %g to %g %s", finish, p.Name, v, p.Min, p.Max, p.Unit)
			}
			out[p.Name] = v
		}
		if p.Shape && s == textureOnly && strings.HasSuffix(p.Name, "_um") {
			out[p.Name] = 0
		}
	}
	var strange []string
	for name := range adjust {
		if _, ok := out[name]; !ok {
			strange = append(strange, name)
		}
	}
	if len(strange) > 0 {
		sort.Strings(strange)
		return nil, fmt.Errorf("finish %q has no %s: it has %s", finish, strange[0], strings.Join(names, ", "))
	}
	return out, nil
}

// texture is the skin at the cell centres of g, um, rounded to height steps
// so that nothing computed from it depends on the processor. Coordinates of g
// are those of the part: its corner lies at (0, 0).
func texture(g Grid, size extent, skin Skin, seed uint64, s share) ([]float64, error) {
	if err := skin.check(); err != nil {
		return nil, err
	}
	if skin.Measured != nil {
		return skin.Measured.cover(g, seed)
	}
	p, err := figures(skin.Finish, skin.Adjust, s)
	if err != nil {
		return nil, err
	}
	z := make([]float64, g.Cells())
	switch skin.Finish {
	case Milled:
		mill(g, size, p, seed, z)
	case Ground:
		grind(g, size, p, seed, z)
	case Worn:
		wear(g, size, p, seed, z)
	case Fine:
		addNoise(g, p, seed, z)
	}
	for k := range z {
		z[k] = FromSteps(ToSteps(z[k]))
	}
	return z, nil
}

// mill writes the face mill's passes along x, side by side across the width. A
// point keeps the deepest of the passes that swept it. The spindle leans so
// far that the trailing edge clears: one family of arcs, no cross-hatch.
func mill(g Grid, size extent, p map[string]float64, seed uint64, z []float64) {
	rng := stream(seed, streamFinish)
	radius := p["cutter_mm"] / 2
	passes := int(math.Ceil(size.width / (1.4 * radius)))
	spacing := size.width / float64(passes)
	type pass struct{ y, phase, step float64 }
	tool := make([]pass, passes)
	for i := range tool {
		tool[i] = pass{spacing * (float64(i) + 0.5), rng.Float64(), float64(p["step_um"] * rng.Float64())}
	}
	back := rng.Uint64()&1 == 1 // fed towards x = 0
	feed, scallop, tram, droop, over := p["feed_mm"], p["scallop_um"], p["tram_um"], p["droop_um"], p["droop_mm"]
	half := spacing / 2
	sagAtHalf := radius - math.Sqrt(float64(radius*radius)-float64(half*half))

	for j := range g.NY {
		y := g.Y(j)
		for i := range g.NX {
			x := g.X(i)
			if back {
				x = size.length - x
			}
			low := math.Inf(1)
			for _, t := range tool {
				dy := y - t.y
				if math.Abs(dy) >= radius {
					continue
				}
				arc := math.Sqrt(float64(radius*radius) - float64(dy*dy))
				turn := (x-arc)/feed + t.phase
				f := turn - math.Floor(turn) - 0.5
				low = min(low, t.step+float64(4*scallop*float64(f*f))+float64(tram*(radius-arc)/sagAtHalf))
			}
			if t := 1 - (size.length-x)/over; t > 0 {
				low -= float64(droop * float64(t*t))
			}
			if t := 1 - x/over; t > 0 {
				low -= float64(droop / 2 * float64(t*t))
			}
			z[j*g.NX+i] = low
		}
	}
	addNoise(g, p, seed, z)
}

// grind writes lines along x (the table's travel), chatter across them, and
// what the table's worn ways and the clamps leave behind.
func grind(g Grid, size extent, p map[string]float64, seed uint64, z []float64) {
	rng := stream(seed, streamFinish)
	lay := opensimplex.New(int64(rng.Uint64()))
	drift := opensimplex.New(int64(rng.Uint64()))
	phase := rng.Float64()
	for j := range g.NY {
		y := g.Y(j)
		v := 2*y/size.width - 1
		for i := range g.NX {
			x := g.X(i)
			u := 2*x/size.length - 1
			h := float64(p["hump_um"]*(1-float64(u*u))) + float64(p["spring_um"]*float64(v*v))
			h += float64(p["lay_um"] * lay.Eval2(x/30, y/p["lay_mm"]))
			// The chatter's phase wanders across the width as the wheel is fed.
			turns := x/p["chatter_mm"] + phase + drift.Eval2(x/60, y/6)
			h += float64(p["chatter_um"] * wave(turns))
			z[j*g.NX+i] = h
		}
	}
	addNoise(g, p, seed, z)
}

// wear writes two crossed layers of old scraping marks, then takes off all
// that stands above the worn level: the summits a little everywhere, and a
// hollow in the middle half of the travel in which the marks are gone.
func wear(g Grid, size extent, p map[string]float64, seed uint64, z []float64) {
	rng := stream(seed, streamFinish)
	width, depth := p["mark_mm"], p["mark_um"]
	for layer := range 2 {
		across := 1.0
		if layer == 1 {
			across = -1
		}
		pitch := 1.1 * width
		for cy := -pitch; cy < size.width+pitch; cy += pitch {
			for cx := -pitch; cx < size.length+pitch; cx += pitch {
				m := oldMark{
					x: cx + between(rng, -0.35*pitch, 0.35*pitch), y: cy + between(rng, -0.35*pitch, 0.35*pitch),
					lean: across, width: width, length: 1.4 * width,
					depth: float64(depth * between(rng, 0.6, 1)),
				}
				m.cut(g, z)
			}
		}
	}
	addNoise(g, p, seed, z)
	scratch := opensimplex.New(int64(rng.Uint64()))
	for j := range g.NY {
		y := g.Y(j)
		for i := range g.NX {
			x := g.X(i)
			u := 2*x/size.length - 1
			hollow := 0.0
			if q := 1 - float64(u*u); q > 0 {
				hollow = float64(q * q)
			}
			level := -p["summit_um"] - float64(p["hollow_um"]*hollow) + float64(p["scratch_um"]*scratch.Eval2(x/25, y/0.6))
			z[j*g.NX+i] = min(z[j*g.NX+i], level)
		}
	}
}

// oldMark is a mark at 45 degrees to the length: a parabola across, tapering
// to both ends.
type oldMark struct {
	x, y                 float64
	lean                 float64 // +1 or -1: which diagonal
	width, length, depth float64
}

func (m oldMark) cut(g Grid, z []float64) {
	reach := m.length / 2
	i0, j0, _ := g.Nearest(m.x-reach, m.y-reach)
	i1, j1, _ := g.Nearest(m.x+reach, m.y+reach)
	for j := max(j0, 0); j <= min(j1, g.NY-1); j++ {
		for i := max(i0, 0); i <= min(i1, g.NX-1); i++ {
			dx, dy := g.X(i)-m.x, g.Y(j)-m.y
			along := (dx + float64(m.lean*dy)) * (math.Sqrt2 / 2) / (m.length / 2)
			aside := (dx - float64(m.lean*dy)) * (math.Sqrt2 / 2) / (m.width / 2)
			q := 1 - float64(along*along)
			if q <= 0 {
				continue
			}
			if d := float64(m.depth * (q - float64(aside*aside))); d > 0 {
				z[j*g.NX+i] = min(z[j*g.NX+i], -d)
			}
		}
	}
}

// addNoise adds octaves of simplex noise: waviness at 40, 20 and 10 mm,
// roughness at 3, 1.5 and 0.75 mm, each half the amplitude of the one before.
func addNoise(g Grid, p map[string]float64, seed uint64, z []float64) {
	rng := stream(seed, streamNoise)
	for _, band := range []struct{ um, mm float64 }{{p["waviness_um"], 40}, {p["roughness_um"], 3}} {
		for range 3 {
			noise := opensimplex.New(int64(rng.Uint64()))
			if band.um > 0 {
				for k := range z {
					z[k] += float64(band.um * noise.Eval2(g.X(k%g.NX)/band.mm, g.Y(k/g.NX)/band.mm))
				}
			}
			band.um, band.mm = band.um/2, band.mm/2
		}
	}
}

// wave is a sine of period 1 to about a part in a thousand, from products
// alone: the library's sine may differ in its last bit between processors.
func wave(turns float64) float64 {
	t := turns - math.Floor(turns)
	u := 2*t - 1 // sin(2 pi t) = -sin(pi u)
	y := float64(4 * u * (1 - math.Abs(u)))
	return -(y + float64(0.225*(float64(y*math.Abs(y))-y)))
}
