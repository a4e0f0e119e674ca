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

	n      int     // points in the set
	cx, cy float64 // centre of their bounding box, mm
	sx, sy float64 // half its sides, mm; 1 where a side is nought
	zAbs   float64 // greatest magnitude of a height, um

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
	s.setBox(m.X(i0), m.X(i1), m.Y(j0), m.Y(j1))
	s.us = make([]float64, m.NX)
	for i := range s.us {
		s.us[i] = (m.X(i) - s.cx) / s.sx
	}
	s.vs = make([]float64, m.NY)
	for j := range s.vs {
		s.vs[j] = (m.Y(j) - s.cy) / s.sy
	}
	return s
}

// OfCloud is the set of the points of c, known by their index.
func OfCloud(c surface.Cloud) *Set {
	s := &Set{cloud: c, n: len(c.Z)}
	if s.n == 0 {
		return s
	}
	x0, x1, y0, y1 := c.X[0], c.X[0], c.Y[0], c.Y[0]
	for k, z := range c.Z {
		x0, x1 = min(x0, c.X[k]), max(x1, c.X[k])
		y0, y1 = min(y0, c.Y[k]), max(y1, c.Y[k])
		if a := math.Abs(z); a > s.zAbs {
			s.zAbs = a
		}
	}
	s.setBox(x0, x1, y0, y1)
	return s
}

func (s *Set) setBox(x0, x1, y0, y1 float64) {
	s.cx, s.cy = (x0+x1)/2, (y0+y1)/2
	s.sx, s.sy = (x1-x0)/2, (y1-y0)/2
	if s.sx == 0 {
		s.sx = 1
	}
	if s.sy == 0 {
		s.sy = 1
	}
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
	return point{(s.cloud.X[k] - s.cx) / s.sx, (s.cloud.Y[k] - s.cy) / s.sy, s.cloud.Z[k], k}
}

// plane turns a height and two slopes over scaled coordinates into a plane
// over mm.
func (s *Set) plane(a, b, c float64) surface.Plane {
	bx, cy := b/s.sx, c/s.sy
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
	b, c = b/s.sx, c/s.sy
	x, y, z := s.cloud.X, s.cloud.Y, s.cloud.Z
	for k0 := 0; k0 < len(z); k0 += blockLen {
		e := extreme{math.Inf(-1), math.Inf(1), -1, -1}
		for k := k0; k < min(k0+blockLen, len(z)); k++ {
			r := z[k] - float64(b*(x[k]-s.cx)) - float64(c*(y[k]-s.cy))
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
