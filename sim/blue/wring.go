package blue

import "github.com/before-iron/beforeiron/sim/surface"

// Parameters of wringing: gauge blocks stick at gaps of hundredths of a
// micrometre, and standards for plates warn of a bearing so high that it wrings
// (ISO 8512-1); the share and the gap from which a marked part drags are assumed.
const (
	WringGap   = 0.5 // um, the gap that counts as touching
	WringShare = 0.3 // of the face touching, from which it sticks and drags
	WringDrag  = 4.0 // um by which dragged colour takes at a wider gap
)

// Touching is the share of a face within um of the master's plane.
func Touching(tops *surface.Map, plane surface.Plane, um float64) float64 {
	n, all := 0, 0
	// Every eighth row tells it to a few thousandths; of a small face, every one.
	step := max(1, min(8, tops.NY/40))
	for j := 0; j < tops.NY; j += step {
		base := plane.A + float64(plane.C*tops.Y(j)) - um
		row := tops.Z[j*tops.NX : (j+1)*tops.NX]
		for i, z := range row {
			if z == z {
				all++
				if z >= base+float64(plane.B*tops.X(i)) {
					n++
				}
			}
		}
	}
	if all == 0 {
		return 0
	}
	return float64(n) / float64(all)
}
