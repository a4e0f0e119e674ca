package gauge

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// GaussianSigma is the standard deviation of the Gaussian weighting function of
// ISO 16610-21 and -61 as a share of its cutoff: a wave of the length of the
// cutoff passes by half, one of length l by 2^-(cutoff/l)^2.
//
// It is sqrt(ln 2 / 2) / pi.
const GaussianSigma = 0.187390625

// gaussianReach is where the weighting function is cut off, in cutoffs: at that
// distance it has fallen to 3e-4 of its middle. 0.75 cutoffs are 4 sigma.
const gaussianReach = 0.75

// GaussianFilter is the long-wave part of m (waviness and form) by the areal
// Gaussian filter of ISO 16610-61, cutoff mm in both directions; m less that is
// the short-wave part.
//
// Edge effects: within 0.75 cutoffs of an edge, or of a missing cell, the
// weights that fall on metal are scaled up to one, so that a level face stays
// level; a sloping one bends towards its mean there, which is why form is taken
// away first. Missing cells stay missing.
func GaussianFilter(m *surface.Map, cutoff float64) *surface.Map {
	kx := gaussianWeights(cutoff, m.DX)
	ky := gaussianWeights(cutoff, m.DY)
	out := surface.NewMap(m.Grid)
	if m.Valid() == m.Cells() {
		smooth(out.Z, m.Z, m.NX, m.NY, kx, ky)
		return out
	}
	there, metal := make([]float64, m.Cells()), make([]float64, m.Cells())
	for k, z := range m.Z {
		if z == z {
			there[k], metal[k] = 1, z
		}
	}
	weight := make([]float64, m.Cells())
	smooth(out.Z, metal, m.NX, m.NY, kx, ky)
	smooth(weight, there, m.NX, m.NY, kx, ky)
	for k, z := range m.Z {
		out.Z[k] /= weight[k]
		if z != z {
			out.Z[k] = z
		}
	}
	return out
}

// GaussianProfile is the long-wave part of heights z um at an even pitch mm, by
// the profile filter of ISO 16610-21; edges as in GaussianFilter. None of z may
// be missing.
func GaussianProfile(z []float64, pitch, cutoff float64) []float64 {
	line := &surface.Map{Grid: surface.Grid{NX: len(z), NY: 1, DX: pitch, DY: cutoff}, Z: z}
	return GaussianFilter(line, cutoff).Z
}

// gaussianWeights are the weights of a cell and of its neighbours at 1, 2 ...
// pitches on either side, of sum one; noughts round their number up to what
// weigh takes at a time.
func gaussianWeights(cutoff, pitch float64) []float64 {
	sigma := GaussianSigma * cutoff / pitch
	reach := int(gaussianReach*cutoff/pitch + 0.5)
	w := make([]float64, 1+(reach+3)/4*4)
	sum := 0.0
	for k := 0; k <= reach; k++ {
		x := float64(k) / sigma
		w[k] = math.Exp(-x * x / 2)
		sum += 2 * w[k]
	}
	sum -= w[0]
	for k := range w {
		w[k] /= sum
	}
	return w
}

// edgeGain is what the weighted sum at each of n places must be multiplied by
// because some of the weights fall beyond the ends.
func edgeGain(n int, k []float64) []float64 {
	gain := make([]float64, n)
	for i := range gain {
		sum := k[0]
		for d := 1; d < len(k); d++ {
			if i-d >= 0 {
				sum += k[d]
			}
			if i+d < n {
				sum += k[d]
			}
		}
		gain[i] = 1 / sum
	}
	return gain
}

// smooth writes the means of z, nx by ny, weighted along x and along y, into
// out. Columns are taken a strip at a time, so narrow that the rows which a sum
// along y needs, smoothed along x already, stay in a near cache: they go round
// in a ring.
func smooth(out, z []float64, nx, ny int, kx, ky []float64) {
	rx, ry := len(kx)-1, len(ky)-1
	gx, gy := edgeGain(nx, kx), edgeGain(ny, ky)
	width := min(nx, 1024)
	ring := make([][]float64, 2*ry+1)
	for k := range ring {
		ring[k] = make([]float64, width)
	}
	none := make([]float64, width)
	pad := make([]float64, width+2*rx)
	for i0 := 0; i0 < nx; i0 += width {
		w := min(width, nx-i0)
		for j := 0; j < ny+ry; j++ {
			if j < ny {
				clear(pad)
				from, to := max(i0-rx, 0), min(i0+w+rx, nx)
				copy(pad[from-(i0-rx):], z[j*nx+from:j*nx+to])
				row := ring[j%len(ring)][:w]
				weigh(row, kx, func(k int) []float64 { return pad[rx+k:] })
				for i := range row {
					row[i] *= gx[i0+i]
				}
			}
			if j < ry {
				continue
			}
			row := out[(j-ry)*nx+i0 : (j-ry)*nx+i0+w]
			weigh(row, ky, func(k int) []float64 {
				if at := j - ry + k; at >= 0 && at < ny {
					return ring[at%len(ring)]
				}
				return none
			})
			if g := gy[j-ry]; g != 1 {
				for i := range row {
					row[i] *= g
				}
			}
		}
	}
}

// weigh writes w[0] at(0) + sum w[k] (at(-k) + at(k)) into row, at(k) being the
// values k places on. Four pairs are added in each pass, which spares the
// traffic of the sums; w is as long as that needs.
func weigh(row, w []float64, at func(k int) []float64) {
	n := len(row)
	here := at(0)[:n]
	for i := range row {
		row[i] = float64(w[0] * here[i])
	}
	for k := 1; k < len(w); k += 4 {
		a0, b0, w0 := at(-k)[:n], at(k)[:n], w[k]
		a1, b1, w1 := at(-k - 1)[:n], at(k + 1)[:n], w[k+1]
		a2, b2, w2 := at(-k - 2)[:n], at(k + 2)[:n], w[k+2]
		a3, b3, w3 := at(-k - 3)[:n], at(k + 3)[:n], w[k+3]
		for i := range row {
			row[i] += (float64(w0*(a0[i]+b0[i])) + float64(w1*(a1[i]+b1[i]))) +
				(float64(w2*(a2[i]+b2[i])) + float64(w3*(a3[i]+b3[i])))
		}
	}
}
