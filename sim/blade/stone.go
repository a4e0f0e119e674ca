package blade

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Parameters of the stone; the table in sim/PHYSICS.md gives ranges and sources.
const (
	// StoneReach is the half side, mm, of the flat stone that rides on the highs
	// around a place (assumed: a fine stone of 20 mm).
	StoneReach = 10.0
	// StoneTrace is what one pass takes off the highest tops, um: it must knock
	// burrs and not polish (common practice; the figure is assumed).
	StoneTrace = 0.05
	// BurrLeft is the share of a burr's height that a pass leaves (assumed).
	BurrLeft = 0.02
)

// Stone runs a flat fine stone over the whole face: burrs go down to a trace,
// and the tops that the stone rides on lose StoneTrace. It returns the volume of
// metal taken, burr aside, mm^3.
func Stone(f *surface.Face) float64 {
	highs := make([]int32, len(f.H))
	for k, h := range f.H {
		highs[k] = nothing
		if f.Metal(k) {
			highs[k] = h
		}
	}
	highestAround(highs, f.NX, f.NY, int(math.Round(StoneReach/f.DX)), int(math.Round(StoneReach/f.DY)))
	trace := surface.ToSteps(StoneTrace)
	var removed int64
	for k, h := range f.H {
		if b := f.Burr[k]; b > 0 {
			f.Burr[k] = uint16(float64(b) * BurrLeft)
		}
		if limit := highs[k] - trace; h > limit && f.Metal(k) {
			f.H[k] = limit
			removed += int64(h - limit)
		}
	}
	return float64(removed) / surface.StepsPerUM / 1000 * f.CellArea()
}
