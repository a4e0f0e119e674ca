package review

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Field is a small picture of a face as values, x fastest, first row y = 0; no
// number where there is no metal.
type Field struct {
	W, H int
	V    []float32
}

// fieldSide is the most elements that a field has along its longer side.
const fieldSide = 200

// sampler makes fields of the cells of a face.
type sampler struct {
	nx, ny, w, h int
}

func newSampler(g surface.Grid) sampler {
	x, y := float64(g.NX)*g.DX, float64(g.NY)*g.DY
	s := sampler{nx: g.NX, ny: g.NY, w: min(fieldSide, g.NX), h: min(fieldSide, g.NY)}
	if x >= y {
		s.h = max(1, min(g.NY, int(math.Round(float64(s.w)*y/x))))
	} else {
		s.w = max(1, min(g.NX, int(math.Round(float64(s.h)*x/y))))
	}
	return s
}

// mean is a field of the means of a value over the cells under each element,
// cells for which it is no number left out.
func (s sampler) mean(value func(cell int) float64) *Field {
	f := &Field{W: s.w, H: s.h, V: make([]float32, s.w*s.h)}
	for j := range s.h {
		j0, j1 := j*s.ny/s.h, max(j*s.ny/s.h+1, (j+1)*s.ny/s.h)
		for i := range s.w {
			sum, n := 0.0, 0
			for y := j0; y < j1; y++ {
				for x := i * s.nx / s.w; x < max(i*s.nx/s.w+1, (i+1)*s.nx/s.w); x++ {
					if v := value(y*s.nx + x); v == v {
						sum += v
						n++
					}
				}
			}
			f.V[j*s.w+i] = float32(sum / float64(n))
		}
	}
	return f
}

// share is the share of the cells under each element for which on is true.
func (s sampler) share(on []bool) *Field {
	return s.mean(func(cell int) float64 {
		if on[cell] {
			return 1
		}
		return 0
	})
}

// level is a field of heights, um, from their least-squares plane.
func (s sampler) level(m *surface.Map) *Field {
	f := s.mean(func(cell int) float64 { return m.Z[cell] })
	var n, sx, sy, sz, sxx, syy, sxy, sxz, syz float64
	for k, v := range f.V {
		if v != v {
			continue
		}
		x, y, z := float64(k%f.W), float64(k/f.W), float64(v)
		n++
		sx, sy, sz = sx+x, sy+y, sz+z
		sxx, syy, sxy = sxx+float64(x*x), syy+float64(y*y), sxy+float64(x*y)
		sxz, syz = sxz+float64(x*z), syz+float64(y*z)
	}
	cxx, cyy, cxy := sxx-float64(sx*sx)/n, syy-float64(sy*sy)/n, sxy-float64(sx*sy)/n
	cxz, cyz := sxz-float64(sx*sz)/n, syz-float64(sy*sz)/n
	det := float64(cxx*cyy) - float64(cxy*cxy)
	if det == 0 {
		return f
	}
	b, c := (float64(cxz*cyy)-float64(cyz*cxy))/det, (float64(cyz*cxx)-float64(cxz*cxy))/det
	a := (sz - float64(b*sx) - float64(c*sy)) / n
	for k := range f.V {
		f.V[k] -= float32(a + float64(b*float64(k%f.W)) + float64(c*float64(k/f.W)))
	}
	return f
}

// Range is the least and the greatest value of a field.
func (f *Field) Range() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range f.V {
		if v == v {
			low, high = math.Min(low, float64(v)), math.Max(high, float64(v))
		}
	}
	return low, high
}
