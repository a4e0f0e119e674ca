package gauge

import (
	"math"
	"slices"
	"sort"

	"github.com/before-iron/beforeiron/sim/surface"
)

// TextureFigures are height parameters of ISO 25178-2 over the whole face,
// taken from its vertical least-squares plane; no filter is applied. um unless
// said otherwise.
type TextureFigures struct {
	Sa, Sq     float64
	Sp, Sv, Sz float64  // highest peak, deepest pit, and both together
	Ssk, Sku   *float64 // skewness and kurtosis; nil on a flat face
	Sdq        *float64 // root mean square slope, um/um; nil without a stretch of seven cells
	Core       CoreFigures
	Curve      MaterialCurve
}

// Texture is that of the valid cells of m. It errs where they span no plane.
func Texture(m *surface.Map) (TextureFigures, error) {
	p, err := surface.LeastSquares(m)
	if err != nil {
		return TextureFigures{}, err
	}
	r := surface.NewMap(m.Grid)
	slope := columnSlopes(m, p)
	heights := make([]float64, 0, m.Cells())
	zAbs := 0.0
	for j := 0; j < m.NY; j++ {
		base := p.A + float64(p.C*m.Y(j))
		row := r.Z[j*m.NX : (j+1)*m.NX]
		for i, z := range m.Z[j*m.NX : (j+1)*m.NX] {
			row[i] = z - base - slope[i]
			if z == z {
				heights = append(heights, row[i])
				zAbs = max(zAbs, math.Abs(z))
			}
		}
	}
	f := TextureFigures{Curve: newMaterialCurve(heights)}
	var sum1, sum2, sum3, sum4 float64
	for _, h := range heights {
		h2 := float64(h * h)
		sum1 += math.Abs(h)
		sum2 += h2
		sum3 += float64(h2 * h)
		sum4 += float64(h2 * h2)
	}
	n := float64(len(heights))
	f.Sa, f.Sq = sum1/n, math.Sqrt(sum2/n)
	f.Sp, f.Sv = max(f.Curve.z[0], 0), max(-f.Curve.z[len(f.Curve.z)-1], 0)
	f.Sz = f.Sp + f.Sv
	// What is left of a flat face is the rounding of its heights.
	if f.Sq > 64*0x1p-52*zAbs {
		ssk := sum3 / n / (f.Sq * f.Sq * f.Sq)
		sku := sum4 / n / (f.Sq * f.Sq * f.Sq * f.Sq)
		f.Ssk, f.Sku = &ssk, &sku
	}
	f.Sdq = rmsSlope(r)
	f.Core = f.Curve.Core()
	return f, nil
}

// rmsSlope is the root mean square of the slope, by the seven-point formula for
// local slope of ISO 4287, over the cells that have three neighbours on each
// side in both directions.
func rmsSlope(m *surface.Map) *float64 {
	slope := func(k, step int, pitch float64) float64 {
		z := m.Z
		d := z[k+3*step] - z[k-3*step] - float64(9*(z[k+2*step]-z[k-2*step])) + float64(45*(z[k+step]-z[k-step]))
		return d / (60 * pitch * 1000)
	}
	sum, n := 0.0, 0
	for j := 3; j < m.NY-3; j++ {
		for i := 3; i < m.NX-3; i++ {
			k := j*m.NX + i
			x, y := slope(k, 1, m.DX), slope(k, m.NX, m.DY)
			if s := float64(x*x) + float64(y*y); s == s {
				sum += s
				n++
			}
		}
	}
	if n == 0 {
		return nil
	}
	rms := math.Sqrt(sum / float64(n))
	return &rms
}

// MaterialCurve is the material-ratio (Abbott) curve of a face: its heights
// above the least-squares plane, um, against the share of the area that is at
// least as high.
type MaterialCurve struct{ z []float64 } // falling

func newMaterialCurve(heights []float64) MaterialCurve {
	z := slices.Clone(heights)
	slices.Sort(z)
	slices.Reverse(z)
	return MaterialCurve{z}
}

// Ratio is the share of the area, 0 to 1, at or above height c, um.
func (m MaterialCurve) Ratio(c float64) float64 {
	above := sort.Search(len(m.z), func(k int) bool { return m.z[k] < c })
	return float64(above) / float64(len(m.z))
}

// Height is the inverse: the height, um, that the share ratio of the area
// reaches. Between the middles of two cells' shares it is interpolated.
func (m MaterialCurve) Height(ratio float64) float64 {
	n := len(m.z)
	at := float64(ratio*float64(n)) - 0.5
	k := int(math.Floor(at))
	if k < 0 {
		return m.z[0]
	}
	if k >= n-1 {
		return m.z[n-1]
	}
	return m.z[k] + float64((at-float64(k))*(m.z[k+1]-m.z[k]))
}

// CoreFigures part a face into core, peaks and valleys (ISO 25178-2, by the
// rule of ISO 13565-2): heights um, ratios percent.
type CoreFigures struct {
	Sk, Spk, Svk float64
	Smr1, Smr2   float64
}

// Core looks for the 40 % of the area over which the curve falls least, the
// first such stretch where there are several, lays a least-squares line through
// it and draws it out to 0 and 100 %: the fall is Sk. Peaks above and valleys
// below that are turned into triangles of equal area on their share of the
// face, whose heights are Spk and Svk.
func (m MaterialCurve) Core() CoreFigures {
	n := len(m.z)
	span := max(int(math.Round(0.4*float64(n))), 1)
	tiny := 1e-12 * (m.z[0] - m.z[n-1])
	first, least := 0, math.Inf(1)
	for k := 0; k+span < n; k++ {
		if fall := m.z[k] - m.z[k+span]; fall < least-tiny {
			first, least = k, fall
		}
	}
	last := min(first+span, n-1)
	mid := float64(first+last) / 2 // in cells
	mean, down, weight := 0.0, 0.0, 0.0
	for k := first; k <= last; k++ {
		d := float64(k) - mid
		mean += m.z[k]
		down -= float64(d * m.z[k])
		weight += float64(d * d)
	}
	mean /= float64(last - first + 1)
	if weight > 0 {
		down /= weight // fall a cell
	}
	top := mean + float64(down*(mid+0.5))
	bottom := top - float64(down*float64(n))
	f := CoreFigures{Sk: top - bottom, Smr2: 100}

	// Ratios where the curve crosses the two levels, in cells; each cell's
	// height stands for the middle of its share.
	over := sort.Search(n, func(k int) bool { return m.z[k] <= top+tiny })
	if over > 0 {
		at := m.crossing(over, top)
		f.Smr1 = 100 * at / float64(n)
		area := 0.0
		for _, z := range m.z[:over] {
			area += z - top
		}
		f.Spk = 2 * area / at
	}
	under := sort.Search(n, func(k int) bool { return m.z[k] < bottom-tiny })
	if under < n {
		at := m.crossing(under, bottom)
		f.Smr2 = 100 * at / float64(n)
		area := 0.0
		for _, z := range m.z[under:] {
			area += bottom - z
		}
		f.Svk = 2 * area / (float64(n) - at)
	}
	return f
}

// crossing is where between the cells k-1 and k the curve passes level, in
// cells from the start.
func (m MaterialCurve) crossing(k int, level float64) float64 {
	if k == 0 {
		return 0
	}
	if k == len(m.z) {
		return float64(k)
	}
	hi, lo := m.z[k-1], m.z[k]
	return float64(k) - 0.5 + min(max((hi-level)/(hi-lo), 0), 1)
}
