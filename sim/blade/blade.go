// Package blade is what the scraper and the stone do to a face: one stroke of an
// arc-ended blade, its burr, the wear of its edge, chatter, and the stone that
// takes the burr off again.
package blade

import "math"

// Parameters of the blade; the table in sim/PHYSICS.md gives ranges and sources.
const (
	// A hand of ForceRef newtons drives a blade of RadiusRef mm held at AngleRef
	// rad to a mark DepthRef um deep: 178 N was measured for fine cuts of a
	// skilled man (Fujii et al., c. 1990); the depth that goes with it is assumed,
	// and forces of shallower marks come out far below it.
	ForceRef  = 180.0
	DepthRef  = 10.0
	RadiusRef = 60.0
	AngleRef  = math.Pi / 6
	// Depth goes with force^DepthExponent: chip area with depth^1.5 and specific
	// force with depth^-0.28 (Kienzle) give F ~ d^1.22.
	DepthExponent = 0.82
	// At equal force depth goes with (effective radius)^-RadiusExponent, from
	// chip area ~ sqrt(R) d^1.5.
	RadiusExponent = 0.41

	// EntryShare and ExitShare of a stroke's length are its lift in and out
	// (three stages of a cut: Fujii et al.; the shares are assumed).
	EntryShare = 0.25
	ExitShare  = 0.35

	// RidingShare is the share of the profile under the blade, the highest part
	// of it, on whose mean the edge rides (assumed).
	RidingShare = 0.25
	// RidingReach is the half length, mm, over which the edge evens its ride
	// along a stroke (assumed: the land of a hand-held blade).
	RidingReach = 1.0

	// EdgeLife is the length of cut, mm, after which an edge is blunt: carbide is
	// honed every hour or two of strokes (common practice, assumed).
	EdgeLife = 30000.0
	// BluntDepth is the share of depth that a blunt edge fails to reach, and
	// BluntBurr the factor on its burr (both assumed).
	BluntDepth = 0.25
	BluntBurr  = 2.0

	// ChatterGain is how much of the ripple along a stroke each earlier stroke in
	// the same direction adds to it, and ChatterLimit the most that it can reach
	// (both assumed); ChatterReach is the half length, mm, of the mean from which
	// ripple is told, and ChatterDepth the share of the depth that it changes at
	// the most (both assumed).
	ChatterGain  = 0.5
	ChatterLimit = 1.5
	ChatterReach = 3.0
	ChatterDepth = 1.0

	// AlignedLay is cos 2a from which a stroke counts as following the lay that it
	// meets, a being the angle between them: 23 degrees (assumed).
	AlignedLay = 0.7

	// BurrLow and BurrHigh bound the height of a sharp edge's burr, um, for marks
	// of BurrDepth um and more; shallower marks throw less (1-3 um in grey iron:
	// from memory of trade texts, low confidence).
	BurrLow   = 1.0
	BurrHigh  = 3.0
	BurrDepth = 4.0
	// BurrReach is how far beside a mark its burr stands, mm (assumed).
	BurrReach = 0.25
)

// Blade is a scraper: an arc of radius RadiusMM on the end of a blade of WidthMM,
// held at Handle rad to the work, after CutMM mm of cutting since it was honed.
// Force is the specific force of the metal it cuts over that of grey iron; 0
// counts as 1.
type Blade struct {
	RadiusMM, WidthMM, Handle, CutMM float64
	Force                            float64
}

// force is Force with its default.
func (b Blade) force() float64 {
	if b.Force == 0 {
		return 1
	}
	return b.Force
}

// Bluntness is 0 for a honed edge and 1 for a blunt one.
func (b Blade) Bluntness() float64 { return min(1, b.CutMM/EdgeLife) }

// EffectiveRadius is R / sin phi, mm: the arc as the work sees it.
func (b Blade) EffectiveRadius() float64 { return b.RadiusMM / coarse(math.Sin(b.Handle)) }

// MarkWidth is the width, mm, of a mark depth um deep in an even face:
// sqrt(8 R d / sin phi), the chord of a flat arc.
func (b Blade) MarkWidth(depthUM float64) float64 {
	return math.Sqrt(8 * b.EffectiveRadius() * depthUM / 1000)
}

// DepthFromForce is the depth, um, that a force of n newtons is expected to cut:
// d = 10 um (F/180 N)^0.82 ((R/60 mm)(sin 30/sin phi))^-0.41 in grey iron, F taken
// over the metal's specific force.
func (b Blade) DepthFromForce(n float64) float64 {
	return coarse(DepthRef * math.Pow(n/(ForceRef*b.force()), DepthExponent) *
		math.Pow(b.breadth(), -RadiusExponent))
}

// ForceFromDepth is the inverse of DepthFromForce, N.
func (b Blade) ForceFromDepth(depthUM float64) float64 {
	return coarse(ForceRef * b.force() * math.Pow(depthUM/DepthRef*math.Pow(b.breadth(), RadiusExponent), 1/DepthExponent))
}

// breadth is the effective radius over that of the reference blade.
func (b Blade) breadth() float64 {
	return b.EffectiveRadius() * math.Sin(AngleRef) / RadiusRef
}

// coarse rounds to 2^-24, so that the last bit of a sine or a power, which
// differs between processors, does not reach a height.
func coarse(v float64) float64 { return math.Round(v*(1<<24)) / (1 << 24) }
