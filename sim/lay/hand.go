package lay

import (
	"math"
	"math/rand/v2"

	"github.com/before-iron/beforeiron/sim/blade"
)

// Hand is how steady a hand is. The zero Hand is exact.
type Hand struct {
	// DepthSpread is the standard deviation of a mark's depth as a share of it:
	// .35 for a novice, .12 for a skilled hand (common practice, no source).
	DepthSpread float64 `yaml:"depth_spread" json:"depth_spread"`
	// PlaceMM is the standard deviation of a mark's place along either axis, mm,
	// and Angle that of its direction, rad (both assumed).
	PlaceMM float64 `yaml:"place_mm" json:"place_mm"`
	Angle   float64 `yaml:"angle_rad" json:"angle_rad"`
	// Misread is the share of spots that the hand takes for the other kind when
	// it works by example (assumed).
	Misread float64 `yaml:"misread" json:"misread"`
}

// Skilled and Novice are the two hands that lessons usually name.
var (
	Skilled = Hand{DepthSpread: .12, PlaceMM: .15, Angle: .03, Misread: .03}
	Novice  = Hand{DepthSpread: .35, PlaceMM: .4, Angle: .08, Misread: .1}
)

// Tool is what a hand works with: the blade, the depth that it means to cut, um,
// and its source of scatter.
type Tool struct {
	Blade   blade.Blade
	DepthUM float64
	Hand    Hand
	Power   bool // a power scraper and not the hand alone pushes the blade
	Random  *rand.Rand
}

// A power scraper strokes at one length and evenly deep, and is harder to place
// than a blade that the hand feels (common practice; the figures are assumed).
const (
	PowerMostMM = 15  // longest stroke
	PowerDepth  = 0.6 // of the hand's scatter of depth
	PowerPlace  = 1.8 // of its scatter of place
)

// driven is the hand's scatter with the tool that it guides.
func (t Tool) driven() Hand {
	h := t.Hand
	if t.Power {
		h.DepthSpread *= PowerDepth
		h.PlaceMM *= PowerPlace
	}
	return h
}

// meant is a stroke as the hand means it, mm.
type meant struct{ x0, y0, x1, y1 float64 }

// lay scatters a meant stroke into the one that the hand makes, on the lattice
// of 10 um.
func (t Tool) lay(m meant) blade.Stroke {
	h := t.driven()
	dx, dy := float64(h.PlaceMM*t.normal()), float64(h.PlaceMM*t.normal())
	turn := h.Angle * t.normal()
	depth := t.DepthUM * math.Max(.2, 1+float64(h.DepthSpread*t.normal()))
	burr := blade.BurrLow + float64((blade.BurrHigh-blade.BurrLow)*t.Random.Float64())
	// A small turn about the middle of the stroke.
	cx, cy := (m.x0+m.x1)/2+dx, (m.y0+m.y1)/2+dy
	hx, hy := (m.x1-m.x0)/2, (m.y1-m.y0)/2
	tx, ty := hx-float64(turn*hy), hy+float64(turn*hx)
	return blade.Stroke{
		X0: units(cx - tx), Y0: units(cy - ty), X1: units(cx + tx), Y1: units(cy + ty),
		DepthUM: depth, BurrUM: burr,
	}
}

func units(mm float64) int { return int(math.Round(mm * blade.UnitsPerMM)) }

// normal is a standard normal number, rounded so that its last bit, which may
// differ between processors, decides nothing.
func (t Tool) normal() float64 {
	return math.Round(t.Random.NormFloat64()*(1<<20)) / (1 << 20)
}

// direction is the unit vector at an angle in mrad, rounded likewise.
func direction(mrad int) (x, y float64) {
	s, c := math.Sincos(float64(mrad) / 1000)
	return math.Round(c*(1<<24)) / (1 << 24), math.Round(s*(1<<24)) / (1 << 24)
}
