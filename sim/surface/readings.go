package surface

import (
	"errors"
	"fmt"
	"math"
)

// FinePitchMM is the pitch up to which measured heights are a face as they
// stand; coarser ones are readings of its form.
const FinePitchMM = 0.5

// MaxScattered bounds the readings that stand on no grid: their spline solves
// one equation for each.
const MaxScattered = 1000

// usualCells is how many cells a face of the default pitch may have.
const usualCells = 750_000

// FromReadings makes a part of measured heights.
//
// A map of at most FinePitchMM pitch is taken cell for cell; pitchMM is not
// used, and a skin is added only where one is named.
//
// Coarser readings give the form: a smooth surface that passes through every
// one of them, a natural bicubic spline on a grid, a cubic radial spline
// through scattered points. The skin (a finish without figures of its own, or a
// measured texture) gives the texture alone, shifted so that its mean about each
// reading is zero.
// pitchMM is the pitch of the face; 0 takes the finest of 0.2 to 0.5 mm that
// needs no more than 750 000 cells.
//
// The face reaches from the outermost reading to the outermost reading, not
// beyond. An empty cell of a matrix is no metal: it takes away what lies nearer
// to it than to any other reading. Points written one by one leave no holes:
// the face is all that lies between them (their convex hull).
//
// Heights of more than MaxHeightUM are taken about their least-squares plane;
// it is an error when one is still beyond MaxHeightUM from it.
func FromReadings(d *Data, skin Skin, pitchMM float64, seed uint64) (*Face, error) {
	if err := skin.check(); err != nil {
		return nil, err
	}
	if !(pitchMM >= 0) || math.IsInf(pitchMM, 0) {
		return nil, fmt.Errorf("pitch %g mm: give a pitch above 0", pitchMM)
	}
	if err := d.check(); err != nil {
		return nil, err
	}
	switch {
	case d.Map == nil:
		return fromCloud(d.Cloud, skin, pitchMM, seed)
	case max(d.Map.DX, d.Map.DY) <= FinePitchMM:
		return fromFine(d.Map, skin, seed)
	default:
		return fromGrid(d, skin, pitchMM, seed)
	}
}

func fromFine(m *Map, skin Skin, seed uint64) (*Face, error) {
	if m.Cells() > MaxFaceCells {
		return nil, fmt.Errorf("%d x %d heights are more than a face can be worked with (%d): thin them out", m.NX, m.NY, MaxFaceCells)
	}
	z, err := level(m)
	if err != nil {
		return nil, err
	}
	if skin.Finish != "" || skin.Measured != nil {
		size := extent{float64(m.NX) * m.DX, float64(m.NY) * m.DY}
		own := Grid{NX: m.NX, NY: m.NY, DX: m.DX, DY: m.DY, X0: m.DX / 2, Y0: m.DY / 2}
		t, err := texture(own, size, skin, seed, textureOnly)
		if err != nil {
			return nil, err
		}
		sum, n := 0.0, 0.0
		for k := range z {
			if z[k] == z[k] {
				sum, n = sum+t[k], n+1
			}
		}
		for k := range z {
			z[k] += t[k] - sum/n
		}
	}
	return faceOf(m.Grid, z)
}

// fromGrid makes the face of a coarse grid of readings.
func fromGrid(d *Data, skin Skin, pitchMM float64, seed uint64) (*Face, error) {
	m := d.Map
	z, err := level(m)
	if err != nil {
		return nil, err
	}
	g, err := faceGrid(m.X0, m.Y0, float64(m.NX-1)*m.DX, float64(m.NY-1)*m.DY, pitchMM)
	if err != nil {
		return nil, err
	}
	t, err := readingTexture(g, skin, seed)
	if err != nil {
		return nil, err
	}
	for k := range z {
		z[k] -= localMean(g, t, m.X(k%m.NX), m.Y(k/m.NX), m.DX/2, m.DY/2)
	}
	missing := m.Valid() < m.Cells()
	if missing {
		fill(m.Grid, z)
	}
	out := tensorSpline(m.Grid, z, g)
	for k := range out {
		out[k] += t[k]
	}
	switch {
	case missing && d.Cloud != nil:
		punchOutside(g, out, convexHull(d.Cloud.X, d.Cloud.Y))
	case missing:
		for k := range out {
			i, j, _ := m.Nearest(g.X(k%g.NX), g.Y(k/g.NX))
			if r := m.At(min(i, m.NX-1), min(j, m.NY-1)); r != r {
				out[k] = math.NaN()
			}
		}
	}
	return faceOf(g, out)
}

// fromCloud makes the face of scattered readings.
func fromCloud(c *Cloud, skin Skin, pitchMM float64, seed uint64) (*Face, error) {
	n := len(c.Z)
	if n > MaxScattered {
		return nil, fmt.Errorf("%d readings that form no grid: at most %d; measure on a grid", n, MaxScattered)
	}
	z, err := levelled(c.Z, func(k int) (x, y float64) { return c.X[k], c.Y[k] }, c.LeastSquares)
	if err != nil {
		return nil, err
	}
	x0, y0, x1, y1 := c.Reach()
	g, err := faceGrid(x0, y0, x1-x0, y1-y0, pitchMM)
	if err != nil {
		return nil, err
	}
	t, err := readingTexture(g, skin, seed)
	if err != nil {
		return nil, err
	}
	foot := min(math.Sqrt((x1-x0)*(y1-y0)/float64(n))/2, 10)
	for k := range z {
		z[k] -= localMean(g, t, c.X[k], c.Y[k], foot, foot)
	}
	s, err := fitRadial(c.X, c.Y, z)
	if err != nil {
		return nil, err
	}
	out := make([]float64, g.Cells())
	for k := range out {
		out[k] = math.NaN()
	}
	hull := convexHull(c.X, c.Y)
	for k := range out {
		if x, y := g.X(k%g.NX), g.Y(k/g.NX); hull.holds(x, y) {
			out[k] = s.at(x, y) + t[k]
		}
	}
	return faceOf(g, out)
}

// faceGrid is the grid of a face whose outer edges begin at (x0, y0).
func faceGrid(x0, y0, length, width, pitchMM float64) (Grid, error) {
	p := pitchMM
	if p == 0 {
		p = usualPitch(length, width)
	}
	nx, ny := math.Round(length/p), math.Round(width/p)
	if nx < 2 || ny < 2 {
		return Grid{}, fmt.Errorf("readings over %.4g x %.4g mm are too few for a face at a pitch of %g mm", length, width, p)
	}
	if nx*ny > MaxFaceCells {
		return Grid{}, fmt.Errorf("readings over %.4g x %.4g mm at a pitch of %g mm are %.3g cells, more than %d", length, width, p, nx*ny, MaxFaceCells)
	}
	return Grid{NX: int(nx), NY: int(ny), DX: p, DY: p, X0: x0 + p/2, Y0: y0 + p/2}, nil
}

// usualPitch is the finest pitch that a face of that size, mm, takes by default.
func usualPitch(length, width float64) float64 {
	p := 0.0
	for _, p = range []float64{0.2, 0.25, 0.3, 0.4, 0.5} {
		if length/p*width/p <= usualCells {
			break
		}
	}
	return p
}

// FacePitch is the pitch, mm, of the face that FromReadings makes of d by default.
func (d *Data) FacePitch() (dx, dy float64) {
	if m := d.Map; m != nil {
		if max(m.DX, m.DY) <= FinePitchMM {
			return m.DX, m.DY
		}
		p := usualPitch(float64(m.NX-1)*m.DX, float64(m.NY-1)*m.DY)
		return p, p
	}
	x0, y0, x1, y1 := d.Cloud.Reach()
	p := usualPitch(x1-x0, y1-y0)
	return p, p
}

// Reach is the smallest rectangle that holds c, mm.
func (c *Cloud) Reach() (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = c.X[0], c.Y[0], c.X[0], c.Y[0]
	for k := range c.X {
		x0, x1 = min(x0, c.X[k]), max(x1, c.X[k])
		y0, y1 = min(y0, c.Y[k]), max(y1, c.Y[k])
	}
	return x0, y0, x1, y1
}

// readingTexture is the texture of a skin on a face that may lie anywhere.
func readingTexture(g Grid, skin Skin, seed uint64) ([]float64, error) {
	own := g
	own.X0, own.Y0 = g.DX/2, g.DY/2
	return texture(own, extent{float64(g.NX) * g.DX, float64(g.NY) * g.DY}, skin, seed, textureOnly)
}

// localMean is the mean of t over the cells within (hx, hy) of (x, y), at least
// the nearest one.
func localMean(g Grid, t []float64, x, y, hx, hy float64) float64 {
	clampI := func(i int) int { return max(0, min(i, g.NX-1)) }
	clampJ := func(j int) int { return max(0, min(j, g.NY-1)) }
	i0, j0, _ := g.Nearest(x-hx, y-hy)
	i1, j1, _ := g.Nearest(x+hx, y+hy)
	sum, n := 0.0, 0.0
	for j := clampJ(j0); j <= clampJ(j1); j++ {
		for i := clampI(i0); i <= clampI(i1); i++ {
			sum, n = sum+t[j*g.NX+i], n+1
		}
	}
	return sum / n
}

func level(m *Map) ([]float64, error) {
	return levelled(m.Z, func(k int) (x, y float64) { return m.X(k % m.NX), m.Y(k / m.NX) },
		func() (Plane, error) { return LeastSquares(m) })
}

// levelled is a copy of z, less its least-squares plane when a height is too
// high for a face.
func levelled(z []float64, at func(k int) (x, y float64), plane func() (Plane, error)) ([]float64, error) {
	z = append([]float64(nil), z...)
	if tooHigh(z) < 0 {
		return z, nil
	}
	p, err := plane()
	if err != nil {
		return nil, err
	}
	for k := range z {
		z[k] -= p.At(at(k))
	}
	if k := tooHigh(z); k >= 0 {
		x, y := at(k)
		return nil, fmt.Errorf("the height at (%.6g, %.6g) mm lies %.4g um off the least-squares plane, more than %d: is the unit right?", x, y, z[k], MaxHeightUM)
	}
	return z, nil
}

// tooHigh is the first height beyond what a face holds, or -1.
func tooHigh(z []float64) int {
	for k, v := range z {
		if math.Abs(v) > MaxHeightUM {
			return k
		}
	}
	return -1
}

// faceOf rounds heights to a face; NaN is no metal.
func faceOf(g Grid, z []float64) (*Face, error) {
	if k := tooHigh(z); k >= 0 {
		return nil, fmt.Errorf("the surface through the readings rises to %.4g um at (%.6g, %.6g) mm, beyond %d: add readings near there", z[k], g.X(k%g.NX), g.Y(k/g.NX), MaxHeightUM)
	}
	f := NewFace(g)
	metal := 0
	for k, v := range z {
		if v != v {
			if f.Mask == nil {
				f.Mask = make([]bool, len(z))
				for q := range k {
					f.Mask[q] = true
				}
			}
			continue
		}
		metal++
		if f.Mask != nil {
			f.Mask[k] = true
		}
		f.H[k] = ToSteps(v)
	}
	if metal < 3 {
		return nil, errors.New("no metal is left between the readings: take a finer pitch")
	}
	return f, nil
}
