package surface

import (
	"errors"
	"math"
)

// LeastSquares is the plane that leaves the least sum of squared vertical
// residuals to the cells of m that are not missing, um over mm. It is an error
// when fewer than three cells have a height or when all of them lie on one
// line.
func LeastSquares(m *Map) (Plane, error) {
	return leastSquares(len(m.Z), func(k int) (x, y, z float64) {
		return m.X(k % m.NX), m.Y(k / m.NX), m.Z[k]
	})
}

// LeastSquares is the same plane for scattered points.
func (c *Cloud) LeastSquares() (Plane, error) {
	return leastSquares(len(c.Z), func(k int) (x, y, z float64) { return c.X[k], c.Y[k], c.Z[k] })
}

var errOneLine = errors.New("the points lie on one line: a plane needs three that do not")

// leastSquares works on coordinates about their mean, so that a part far from
// its origin loses no digits. Products are rounded by conversion: a fused
// multiply-add would give another last bit on another processor.
func leastSquares(n int, at func(k int) (x, y, z float64)) (Plane, error) {
	var mx, my, mz, count float64
	for k := range n {
		x, y, z := at(k)
		if z != z {
			continue
		}
		mx, my, mz, count = mx+x, my+y, mz+z, count+1
	}
	if count < 3 {
		return Plane{}, errors.New("a plane needs three points with heights")
	}
	mx, my, mz = mx/count, my/count, mz/count
	var sxx, sxy, syy, sxz, syz float64
	for k := range n {
		x, y, z := at(k)
		if z != z {
			continue
		}
		x, y, z = x-mx, y-my, z-mz
		sxx += float64(x * x)
		sxy += float64(x * y)
		syy += float64(y * y)
		sxz += float64(x * z)
		syz += float64(y * z)
	}
	det := float64(sxx*syy) - float64(sxy*sxy)
	if scale := (sxx + syy) / 2; det <= 1e-18*float64(scale*scale) {
		return Plane{}, errOneLine
	}
	b := (float64(sxz*syy) - float64(syz*sxy)) / det
	c := (float64(syz*sxx) - float64(sxz*sxy)) / det
	return Plane{A: mz - float64(b*mx) - float64(c*my), B: b, C: c}, nil
}

// spread is the greatest less the least of z, missing values left out.
func spread(z []float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range z {
		if v < lo {
			lo = v
		}
		if v > hi {
			hi = v
		}
	}
	if hi < lo {
		return 0
	}
	return hi - lo
}
