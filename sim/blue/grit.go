package blue

import (
	"math"
	"math/rand/v2"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Parameters of grit; all assumed: chips of a scraper, crushed between two faces.
const (
	GritLow  = 4.0  // um, height of the least speck that holds a part up
	GritHigh = 16.0 // um, of the greatest
	GritMM   = 0.3  // diameter of a speck, mm
	// GritPerStrokes is the number of strokes that leave one such speck on a face
	// that is not wiped; GritMost is the most that lie under a part.
	GritPerStrokes = 60
	GritMost       = 6
)

// Speck is a chip under a part: where it lies on the face, mm, and its height, um.
type Speck struct{ X, Y, UM float64 }

// Strew draws the specks that so many strokes left on a face.
func Strew(g surface.Grid, strokes int, rng *rand.Rand) []Speck {
	if strokes <= 0 {
		return nil
	}
	x0, y0, x1, y1 := g.Edges()
	out := make([]Speck, min(GritMost, 1+strokes/GritPerStrokes))
	for n := range out {
		out[n] = Speck{
			X: x0 + float64((x1-x0)*rng.Float64()), Y: y0 + float64((y1-y0)*rng.Float64()),
			UM: GritLow + float64((GritHigh-GritLow)*rng.Float64()),
		}
	}
	return out
}

// Raise puts specks on the tops of a part, um: the metal under each counts as so
// much higher.
func Raise(tops *surface.Map, specks []Speck) {
	for _, s := range specks {
		rx, ry := int(GritMM/2/tops.DX)+1, int(GritMM/2/tops.DY)+1
		ci, cj := int(math.Round((s.X-tops.X0)/tops.DX)), int(math.Round((s.Y-tops.Y0)/tops.DY))
		for j := max(0, cj-ry); j <= min(cj+ry, tops.NY-1); j++ {
			for i := max(0, ci-rx); i <= min(ci+rx, tops.NX-1); i++ {
				dx, dy := tops.X(i)-s.X, tops.Y(j)-s.Y
				// At least the cell that it lies on.
				if i == ci && j == cj || float64(dx*dx)+float64(dy*dy) <= GritMM*GritMM/4 {
					tops.Z[j*tops.NX+i] += s.UM
				}
			}
		}
	}
}
