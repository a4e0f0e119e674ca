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

// cascadeSigma is from how many cells of sigma on the weighting function is made
// of two: a narrow one, and one with gaps that the narrow one fills.
const cascadeSigma = 6

// GaussianFilter is the long-wave part of m (waviness and form) by the areal
// Gaussian filter of ISO 16610-61, cutoff mm in both directions; m less that is
// the short-wave part.
//
// Edge effects: within some 0.75 cutoffs of an edge, or of a missing cell, the
// weights that fall on metal are scaled up to one, so that a level face stays
// level; a sloping one bends towards its mean there, which is why form is taken
// away first. Missing cells stay missing.
func GaussianFilter(m *surface.Map, cutoff float64) *surface.Map {
	kx, ky := gaussian(cutoff/m.DX), gaussian(cutoff/m.DY)
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

// comb are weights of a cell and of those 1, 2 ... steps to either side of it.
type comb struct {
	step int
	w    []float64
}

// reach is how many cells a comb reaches to either side.
func (c comb) reach() int { return c.step * (len(c.w) - 1) }

// gaussian are combs that one after the other weigh as the Gaussian function of a
// cutoff given in cells. A wide one is a narrow Gaussian of sigma d after one that
// takes every d-th cell only: variances add, and what the gaps let through of
// waves of d cells the narrow one holds back to exp(-2 pi^2) = 3e-9. With d about
// the root of sigma that takes 8 root sigma pairs of cells instead of 4 sigma. Each
// comb is cut off at 4 sigma; the whole is as near to the function as one comb cut
// off there (1e-4 of its area, for any sigma from 6 to 100).
func gaussian(cutoff float64) []comb {
	sigma := GaussianSigma * cutoff
	if sigma < cascadeSigma {
		return []comb{gaussianComb(sigma, gaussianReach*cutoff, 1)}
	}
	d := math.Round(math.Sqrt(sigma))
	const four = gaussianReach / GaussianSigma
	wide := math.Sqrt(float64(sigma*sigma) - float64(d*d))
	return []comb{gaussianComb(d, four*d, 1), gaussianComb(wide, four*wide, int(d))}
}

// gaussianComb is a Gaussian of sigma cells cut off at reach cells, of sum one.
func gaussianComb(sigma, reach float64, step int) comb {
	w := make([]float64, 1+int(reach/float64(step)+0.5))
	sum := 0.0
	for k := range w {
		x := float64(k*step) / sigma
		w[k] = math.Exp(-x * x / 2)
		sum += 2 * w[k]
	}
	sum -= w[0]
	for k := range w {
		w[k] /= sum
	}
	return comb{step, w}
}

// liner weighs lines of n cells by combs, nothing lying beyond their ends.
type liner struct {
	n, margin int // cells that the combs reach beyond the line
	combs     []comb
	from, to  []float64
	gain      []float64 // what each sum is multiplied by for the weights beyond the ends
}

func newLiner(n int, combs []comb) *liner {
	l := &liner{n: n, combs: combs}
	for _, c := range combs {
		l.margin += c.reach()
	}
	l.from, l.to = make([]float64, n+2*l.margin), make([]float64, n+2*l.margin)
	ones := make([]float64, n)
	for i := range ones {
		ones[i] = 1
	}
	l.gain = make([]float64, n)
	l.weigh(l.gain, ones)
	for i, g := range l.gain {
		l.gain[i] = 1 / g
	}
	return l
}

// weigh writes the weighted sums of z into out, without the gain.
func (l *liner) weigh(out, z []float64) {
	clear(l.from[:l.margin])
	copy(l.from[l.margin:], z)
	clear(l.from[l.margin+l.n:])
	lost := 0 // cells at either end that no longer count
	for _, c := range l.combs {
		lost += c.reach()
		to := l.to[lost : len(l.to)-lost]
		if lost == l.margin {
			to = out
		}
		weigh(to, c.w, func(k int) []float64 { return l.from[lost+k*c.step:] })
		l.from, l.to = l.to, l.from
	}
}

// strip is how many columns are weighed along y at a time: the rows that a sum
// needs then stay in a near cache.
const strip = 256

// smooth writes the means of z, nx by ny, weighted along x and along y, into out.
func smooth(out, z []float64, nx, ny int, kx, ky []comb) {
	along := newLiner(nx, kx)
	for j := range ny {
		row := out[j*nx : (j+1)*nx]
		along.weigh(row, z[j*nx:(j+1)*nx])
		for i, g := range along.gain {
			row[i] *= g
		}
	}
	gain := newLiner(ny, ky).gain
	last := ky[len(ky)-1]
	first := comb{1, []float64{1}}
	if len(ky) > 1 {
		first = ky[0]
	}
	for i0 := 0; i0 < nx; i0 += strip {
		w := min(strip, nx-i0)
		none := make([]float64, w)
		below := combed(first, w, last.reach(), func(j int) []float64 {
			if j < 0 || j >= ny {
				return none
			}
			return out[j*nx+i0 : j*nx+i0+w]
		})
		for j := range ny {
			below(j + last.reach()) // before the row is written over
			row := out[j*nx+i0 : j*nx+i0+w]
			weigh(row, last.w, func(k int) []float64 { return below(j + k*last.step) })
			if g := gain[j]; g != 1 {
				for i := range row {
					row[i] *= g
				}
			}
		}
	}
}

// combed are the rows of a strip w wide weighed down by c, which reaches no farther
// than reach. Rows are asked for within reach of one that moves on downwards from
// 0, and are kept in a ring: a row that is that far behind may be written over.
func combed(c comb, w, reach int, rows func(j int) []float64) func(j int) []float64 {
	ring := make([][]float64, 2*reach+1)
	for k := range ring {
		ring[k] = make([]float64, w)
	}
	next := -reach
	return func(j int) []float64 {
		for ; next <= j; next++ {
			at := next
			weigh(ring[(at+reach)%len(ring)], c.w, func(k int) []float64 { return rows(at + k*c.step) })
		}
		return ring[(j+reach)%len(ring)]
	}
}

// weigh writes w[0] at(0) + sum w[k] (at(-k) + at(k)) into row, at(k) being the
// values k places on. Four pairs are added in each pass, which spares the
// traffic of the sums; those that are over go into the first.
func weigh(row, w []float64, at func(k int) []float64) {
	n := len(row)
	h, w0 := at(0)[:n], w[0]
	over := (len(w) - 1) % 4
	switch over {
	case 0:
		for i := range row {
			row[i] = float64(w0 * h[i])
		}
	case 1:
		a1, b1, w1 := at(-1)[:n], at(1)[:n], w[1]
		for i := range row {
			row[i] = float64(w0*h[i]) + float64(w1*(a1[i]+b1[i]))
		}
	case 2:
		a1, b1, w1 := at(-1)[:n], at(1)[:n], w[1]
		a2, b2, w2 := at(-2)[:n], at(2)[:n], w[2]
		for i := range row {
			row[i] = float64(w0*h[i]) + (float64(w1*(a1[i]+b1[i])) + float64(w2*(a2[i]+b2[i])))
		}
	case 3:
		a1, b1, w1 := at(-1)[:n], at(1)[:n], w[1]
		a2, b2, w2 := at(-2)[:n], at(2)[:n], w[2]
		a3, b3, w3 := at(-3)[:n], at(3)[:n], w[3]
		for i := range row {
			row[i] = (float64(w0*h[i]) + float64(w1*(a1[i]+b1[i]))) +
				(float64(w2*(a2[i]+b2[i])) + float64(w3*(a3[i]+b3[i])))
		}
	}
	for k := 1 + over; k < len(w); k += 4 {
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
