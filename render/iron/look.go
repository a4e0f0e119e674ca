package iron

import "math"

// Lamp is the one lamp of the bench.
type Lamp struct {
	X, Y, Height float64 // mm on the face and over it
	Reach        float64 // mm from the lamp at which its light has halved, twice over
	Power        float64 // 1 is usual
}

// LampOver is the lamp as a hand holds it over a view: its foot at a pixel, low
// enough to rake, and lighting most of what is seen.
func LampOver(v View, px, py float64) Lamp {
	x, y := v.MM(px, py)
	across := math.Hypot(float64(v.Dst.Dx()), float64(v.Dst.Dy())) / v.PxPerMM
	return Lamp{X: x, Y: y, Height: .17 * across, Reach: .9 * across, Power: 1}
}

// lampColour is warm, linear: about 2900 K beside a cool room.
var lampColour = [3]float32{1.36, 1.13, .82}

// Metal is a kind of iron.
type Metal struct {
	Reflects [3]float32 // linear
	Level    float32    // 0 dark to 1 light
}

// Dark and Light iron: a foundry's grey iron in a dim shop, and the same under a
// bright one.
var (
	Dark  = Metal{Reflects: [3]float32{.52, .53, .54}, Level: 0}
	Light = Metal{Reflects: [3]float32{.80, .81, .82}, Level: 1}
)

// contrasts are the colours that dull metal under the film, by the names that acts
// use: the share of each colour of light, linear, that metal still throws back. What
// is drawn of them ends with the print that they lie under; marks cut since are
// drawn dull as well.
var contrasts = map[string][3]float32{"red": {.95, .34, .24}, "yellow": {1, .80, .26}}

// under is metal with a contrast colour on it: it shines less.
func (m Metal) under(contrast string) (dulled Metal, shine float32) {
	by, ok := contrasts[contrast]
	if !ok {
		return m, 1
	}
	for c := range by {
		m.Reflects[c] *= by[c]
	}
	return m, .45
}

// Pigment is a marking colour: how much of each colour of light a film takes
// away, in powers of e per um, and the colour, linear, that a thick film throws
// back.
type Pigment struct {
	Absorb, Body [3]float32
}

// hides is how much a um of pigment hides, in powers of e: the root of what the
// screen's green loses, for light is mixed as its root.
func (p Pigment) hides() float64 { return float64(p.Absorb[1]) / 2 }

// taken is the share of the root of each colour that a film of cover u takes away,
// as faint u + strong u^2. Cover is 1 - T, with T the root of what green keeps; a
// colour taken away q times as fast keeps T^q, of which this is the parabola
// through u = 0, a half and 1.
func (p Pigment) taken() (faint, strong [3]float32) {
	for c := range faint {
		half := 1 - math.Pow(.5, float64(p.Absorb[c]/p.Absorb[1]))
		faint[c], strong[c] = float32(4*half-1), float32(2-4*half)
	}
	return faint, strong
}

// The pigments, by the names that settings use.
var (
	Blue  = Pigment{Absorb: [3]float32{1.7, .87, .38}, Body: [3]float32{.007, .026, .085}}
	Red   = Pigment{Absorb: [3]float32{.15, 1.3, 1.65}, Body: [3]float32{.42, .045, .012}}
	Black = Pigment{Absorb: [3]float32{1.6, 1.55, 1.5}, Body: [3]float32{.012, .012, .013}}
)

// Look is how metal and pigment are drawn.
type Look struct {
	Metal   Metal
	Pigment Pigment
	// Hatch draws pigment with lines and bare summits with crossing ones, so
	// that colour is never the only thing that tells them.
	Hatch bool
	// Scale is pixels a point, for the width of lines; 0 is 1.
	Scale float64
}

func (l Look) scale() float32 {
	if l.Scale <= 0 {
		return 1
	}
	return float32(l.Scale)
}
