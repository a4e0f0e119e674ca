// Package envelope finds the planes that touch a set of heights from outside:
// the one that rests on top of them under a load, and the closest pair of
// parallel planes that holds them all (the minimum zone), measured vertically
// or along the normal.
//
// All three are linear programmes in three or four unknowns over many points,
// and all three are solved the same way: by exchange of supports on a small
// working set, to which full sweeps add the worst point of every row until no
// point lies outside.
//
// Units: lateral mm, height um.
package envelope

import (
	"errors"
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// ErrOnOneLine says that the points span no plane.
var ErrOnOneLine = errors.New("fewer than three points that are not all on one line: they span no plane")

// Set is a set of heights to be enveloped: the valid cells of a map, or the
// points of a cloud.
type Set struct {
	m     *surface.Map
	cloud surface.Cloud

	n    int     // points in the set
	zAbs float64 // greatest magnitude of a height, um

	// Scaled coordinates within about -1..1: (u, v) = scale (x - cx, y - cy),
	// and back. A map is scaled by its sides, a cloud along its own axes, so
	// that points close to a slanting line are no closer to it than others.
	cx, cy      float64
	scale, back [2][2]float64

	us, vs []float64 // map only: scaled coordinates of the columns and rows
}

// OfMap is the set of the valid cells of m; points are known by their index in
// m.Z.
func OfMap(m *surface.Map) *Set {
	s := &Set{m: m}
	i0, i1, j0, j1 := m.NX, -1, m.NY, -1
	for j := 0; j < m.NY; j++ {
		row := m.Z[j*m.NX : (j+1)*m.NX]
		first, last := -1, -1
		for i, z := range row {
			if z != z {
				continue
			}
			if first < 0 {
				first = i
			}
			last = i
			s.n++
			if a := math.Abs(z); a > s.zAbs {
				s.zAbs = a
			}
		}
		if first >= 0 {
			i0, i1 = min(i0, first), max(i1, last)
			j0, j1 = min(j0, j), j
		}
	}
	if s.n == 0 {
		return s
	}
	s.cx, s.cy = (m.X(i0)+m.X(i1))/2, (m.Y(j0)+m.Y(j1))/2
	s.setAxes(1, 0, half(m.X(i0), m.X(i1)), half(m.Y(j0), m.Y(j1)))
	s.us = make([]float64, m.NX)
	for i := range s.us {
		s.us[i] = (m.X(i) - s.cx) * s.scale[0][0]
	}
	s.vs = make([]float64, m.NY)
	for j := range s.vs {
		s.vs[j] = (m.Y(j) - s.cy) * s.scale[1][1]
	}
	return s
}

// OfCloud is the set of the points of c, known by their index.
func OfCloud(c surface.Cloud) *Set {
	s := &Set{cloud: c, n: len(c.Z)}
	if s.n == 0 {
		return s
	}
	n := float64(s.n)
	for k, z := range c.Z {
		s.cx += c.X[k] / n
		s.cy += c.Y[k] / n
		s.zAbs = max(s.zAbs, math.Abs(z))
	}
	var xx, xy, yy float64
	for k := range c.Z {
		x, y := c.X[k]-s.cx, c.Y[k]-s.cy
		xx += float64(x * x)
		xy += float64(x * y)
		yy += float64(y * y)
	}
	// The longer axis, (cos, sin), turns through half the angle of (xx-yy, 2xy).
	cos, sin := 1.0, 0.0
	if d := xx - yy; d != 0 || xy != 0 {
		r := math.Sqrt(float64(d*d) + float64(4*xy*xy))
		cos = math.Sqrt((1 + d/r) / 2)
		sin = math.Copysign(math.Sqrt((1-d/r)/2), xy)
	}
	l0, l1, w0, w1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for k := range c.Z {
		x, y := c.X[k]-s.cx, c.Y[k]-s.cy
		l, w := float64(cos*x)+float64(sin*y), float64(cos*y)-float64(sin*x)
		l0, l1, w0, w1 = min(l0, l), max(l1, l), min(w0, w), max(w1, w)
	}
	length, width := half(l0, l1), half(w0, w1)
	// Points on a line have a width of rounding alone, which must stay small.
	if width <= 64*0x1p-52*(math.Abs(s.cx)+math.Abs(s.cy)+length) {
		width = length
	}
	s.setAxes(cos, sin, length, width)
	return s
}

// half is half of a span, or 1 where it is nought.
func half(lo, hi float64) float64 {
	if hi > lo {
		return (hi - lo) / 2
	}
	return 1
}

// setAxes scales by half the length along (cos, sin) and half the width across.
func (s *Set) setAxes(cos, sin, length, width float64) {
	s.scale = [2][2]float64{{cos / length, sin / length}, {-sin / width, cos / width}}
	s.back = [2][2]float64{{cos * length, -sin * width}, {sin * length, cos * width}}
}

// scaled is the place (x, y) mm in scaled coordinates.
func (s *Set) scaled(x, y float64) (u, v float64) {
	x, y = x-s.cx, y-s.cy
	return float64(s.scale[0][0]*x) + float64(s.scale[0][1]*y),
		float64(s.scale[1][0]*x) + float64(s.scale[1][1]*y)
}

// slopes turns slopes over scaled coordinates into slopes over mm.
func (s *Set) slopes(b, c float64) (bx, cy float64) {
	return float64(b*s.scale[0][0]) + float64(c*s.scale[1][0]),
		float64(b*s.scale[0][1]) + float64(c*s.scale[1][1])
}

// scaledSlopes is the inverse of slopes.
func (s *Set) scaledSlopes(bx, cy float64) (b, c float64) {
	return float64(bx*s.back[0][0]) + float64(cy*s.back[1][0]),
		float64(bx*s.back[0][1]) + float64(cy*s.back[1][1])
}

// point is a member of the set in scaled coordinates: u, v within -1..1.
type point struct {
	u, v, z float64
	k       int
}

func (s *Set) at(k int) point {
	if s.m != nil {
		return point{s.us[k%s.m.NX], s.vs[k/s.m.NX], s.m.Z[k], k}
	}
	u, v := s.scaled(s.cloud.X[k], s.cloud.Y[k])
	return point{u, v, s.cloud.Z[k], k}
}

// plane turns a height and two slopes over scaled coordinates into a plane
// over mm.
func (s *Set) plane(a, b, c float64) surface.Plane {
	bx, cy := s.slopes(b, c)
	return surface.Plane{A: a - float64(bx*s.cx) - float64(cy*s.cy), B: bx, C: cy}
}

// tolerance is what rounding alone can put a point outside a plane, um.
func (s *Set) tolerance() float64 { return 64 * 0x1p-52 * s.zAbs }

// extreme holds the highest and the lowest member of one block of the set
// above a sloping plane through the centre: residuals, um, and indices.
type extreme struct {
	hi, lo   float64
	khi, klo int
}

// blockLen is how many points of a cloud stand for a row.
const blockLen = 1024

// scan appends to out the extremes of every block (a row of a map, a run of
// points of a cloud) above b u + c v, blocks without a point left out.
func (s *Set) scan(b, c float64, out []extreme) []extreme {
	if s.m == nil {
		return s.scanCloud(b, c, out)
	}
	nx := s.m.NX
	slope := make([]float64, nx)
	for i, u := range s.us {
		slope[i] = float64(b * u)
	}
	for j := 0; j < s.m.NY; j++ {
		row := s.m.Z[j*nx : (j+1)*nx]
		hi, lo := math.Inf(-1), math.Inf(1)
		khi, klo := -1, -1
		for i, z := range row {
			r := z - slope[i]
			if r > hi {
				hi, khi = r, i
			}
			if r < lo {
				lo, klo = r, i
			}
		}
		if khi < 0 {
			continue
		}
		lift := float64(c * s.vs[j])
		out = append(out, extreme{hi - lift, lo - lift, khi + j*nx, klo + j*nx})
	}
	return out
}

func (s *Set) scanCloud(b, c float64, out []extreme) []extreme {
	x, y, z := s.cloud.X, s.cloud.Y, s.cloud.Z
	for k0 := 0; k0 < len(z); k0 += blockLen {
		e := extreme{math.Inf(-1), math.Inf(1), -1, -1}
		for k := k0; k < min(k0+blockLen, len(z)); k++ {
			u, v := s.scaled(x[k], y[k])
			r := z[k] - float64(b*u) - float64(c*v)
			if r > e.hi {
				e.hi, e.khi = r, k
			}
			if r < e.lo {
				e.lo, e.klo = r, k
			}
		}
		out = append(out, e)
	}
	return out
}
