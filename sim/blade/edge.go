package blade

import (
	"math"
	"math/rand/v2"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Parameters of a sharp edge; all assumed: the burr that milling and grinding
// leave along an edge that nobody broke.
const (
	EdgeBurrLow  = 3.0  // um
	EdgeBurrHigh = 10.0 // um
	EdgeReach    = 0.5  // mm in from the edge over which it is turned up
	// EdgeWaveMM is the length, mm, over which its height changes.
	EdgeWaveMM = 8.0
	// EdgeLeft is the share that a stone leaves of it: it rolls the burr over
	// rather than off.
	EdgeLeft = 0.5
)

// Rim lists the metal cells of a face that lie within reach mm of its outline, at
// least the outermost ones; missing cells have an outline too.
func Rim(f *surface.Face, reach float64) []int32 {
	rx, ry := max(1, int(math.Round(reach/f.DX))), max(1, int(math.Round(reach/f.DY)))
	metal := make([]int32, f.Cells())
	for k := range metal {
		if f.Metal(k) {
			metal[k] = -1 // a missing cell is then the highest around
		}
	}
	highestAround(metal, f.NX, f.NY, rx, ry)
	var out []int32
	for k, m := range metal {
		i, j := k%f.NX, k/f.NX
		edge := i < rx || j < ry || i >= f.NX-rx || j >= f.NY-ry
		if (edge || m == 0) && f.Metal(k) {
			out = append(out, int32(k))
		}
	}
	return out
}

// SharpEdges draws the burr along the edges of a face: its height in steps for
// each cell, 0 away from the rim.
func SharpEdges(f *surface.Face, rng *rand.Rand) []uint16 {
	burr := make([]uint16, f.Cells())
	x0, y0, x1, y1 := f.Edges()
	nx := int((x1-x0)/EdgeWaveMM) + 2
	node := make([]float64, nx*(int((y1-y0)/EdgeWaveMM)+2))
	for k := range node {
		node[k] = EdgeBurrLow + float64((EdgeBurrHigh-EdgeBurrLow)*rng.Float64())
	}
	for _, k := range Rim(f, EdgeReach) {
		u, v := (f.X(int(k)%f.NX)-x0)/EdgeWaveMM, (f.Y(int(k)/f.NX)-y0)/EdgeWaveMM
		a, b := int(u), int(v)
		s, t := u-float64(a), v-float64(b)
		n := b*nx + a
		low := node[n] + float64(s*(node[n+1]-node[n]))
		high := node[n+nx] + float64(s*(node[n+nx+1]-node[n+nx]))
		burr[k] = uint16(min(math.MaxUint16, surface.ToSteps(low+float64(t*(high-low)))))
	}
	return burr
}

// Chamfer takes the metal within width mm of the outline out of the face, down by
// the mean of a slope of 45 degrees: what is sloped is no bearing. Burr that
// stood there is gone.
func Chamfer(f *surface.Face, width float64) {
	rim := Rim(f, width)
	mask := make([]bool, f.Cells())
	for k := range mask {
		mask[k] = f.Metal(k)
	}
	for _, k := range rim {
		mask[k] = false
		f.Burr[k] = 0
		f.H[k] -= surface.ToSteps(width * 1000 / 2)
	}
	f.Mask = mask
}
