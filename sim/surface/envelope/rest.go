package envelope

import (
	"errors"
	"sort"

	"github.com/before-iron/beforeiron/sim/surface"
)

// ErrOutside says that a load lies outside the convex hull of the points.
var ErrOutside = errors.New("outside the convex hull of the points that could carry it")

// Rest is the plane that rests on the set under a load at (x, y) mm: of all
// planes that lie nowhere below a point, the one lowest at the load (the seat
// of a rigid body). Where the load lies on a line between two supports the
// plane may still rock about it; one of the two ends of that rocking is
// returned.
func (s *Set) Rest(x, y float64) (surface.Plane, error) {
	u0, v0 := s.scaled(x, y)
	e := exchange{rows: 3, rhs: [4]float64{1}}
	w, err := s.stand(&e, u0, v0)
	if err != nil {
		return surface.Plane{}, err
	}
	tol := s.tolerance()
	member := make(map[int]struct{})
	for grew := true; grew; {
		e.settle(w, false, tol)
		grew = false
		a := e.plane[0] - float64(e.plane[1]*u0) - float64(e.plane[2]*v0)
		for _, x := range s.scan(e.plane[1], e.plane[2], nil) {
			if x.hi-a > tol {
				w, grew = join(w, s.at(x.khi).from(u0, v0), member, grew)
			}
		}
	}
	a := e.plane[0] - float64(e.plane[1]*u0) - float64(e.plane[2]*v0)
	return s.plane(a, e.plane[1], e.plane[2]), nil
}

// join adds p to the working set unless it is a member already.
func join(w []point, p point, member map[int]struct{}, grew bool) ([]point, bool) {
	if _, ok := member[p.k]; ok {
		return w, grew
	}
	member[p.k] = struct{}{}
	return append(w, p), true
}

// from is p in coordinates about (u0, v0).
func (p point) from(u0, v0 float64) point {
	p.u, p.v = p.u-u0, p.v-v0
	return p
}

// stand begins the exchange on three corners of the hull whose triangle holds
// the load, and returns them in coordinates about it.
func (s *Set) stand(e *exchange, u0, v0 float64) ([]point, error) {
	hull, err := s.hull()
	if err != nil {
		return nil, err
	}
	// Rounding may put a load that lies on an edge a hair outside it.
	const hair = 1e-9
	best, pick := -hair, -1
	for k := 1; k+1 < len(hull); k++ {
		for c, h := range [3]int{hull[0], hull[k], hull[k+1]} {
			e.basis[c] = above(s.at(h).from(u0, v0))
		}
		if least, ok := e.leastShare(); ok && least >= best {
			best, pick = least, k
		}
	}
	if pick < 0 {
		return nil, ErrOutside
	}
	w := make([]point, 3)
	for c, h := range [3]int{hull[0], hull[pick], hull[pick+1]} {
		w[c] = s.at(h).from(u0, v0)
		e.basis[c] = above(w[c])
	}
	if !e.begin() {
		return nil, ErrOnOneLine
	}
	return w, nil
}

// leastShare is the least share of the load among the three supports.
func (e *exchange) leastShare() (float64, bool) {
	if !e.solve() {
		return 0, false
	}
	return min(e.inverse[0][0], e.inverse[1][0], e.inverse[2][0]), true
}

// rim lists points among which are all corners of the convex hull of the set:
// the ends of the rows of a map, all points of a cloud.
func (s *Set) rim() []point {
	var ps []point
	if s.m == nil {
		ps = make([]point, s.n)
		for k := range ps {
			ps[k] = s.at(k)
		}
		return ps
	}
	for j := 0; j < s.m.NY; j++ {
		row := s.m.Z[j*s.m.NX : (j+1)*s.m.NX]
		first, last := 0, len(row)-1
		for first <= last && row[first] != row[first] {
			first++
		}
		if first > last {
			continue
		}
		for row[last] != row[last] {
			last--
		}
		ps = append(ps, s.at(j*s.m.NX+first))
		if last > first {
			ps = append(ps, s.at(j*s.m.NX+last))
		}
	}
	return ps
}

// hull lists the corners of the convex hull of the set, anticlockwise.
func (s *Set) hull() ([]int, error) {
	ps := s.rim()
	sort.Slice(ps, func(i, k int) bool {
		if ps[i].u != ps[k].u {
			return ps[i].u < ps[k].u
		}
		if ps[i].v != ps[k].v {
			return ps[i].v < ps[k].v
		}
		return ps[i].k < ps[k].k
	})
	// Corners that turn by less than this are on a line: scaled coordinates
	// are of order one, and their rounding is 1e-16.
	const straight = 1e-13
	half := func(from, to, step int) []point {
		var h []point
		for i := from; i != to; i += step {
			for len(h) >= 2 && twiceArea(h[len(h)-2], h[len(h)-1], ps[i]) <= straight {
				h = h[:len(h)-1]
			}
			h = append(h, ps[i])
		}
		return h[:max(len(h)-1, 0)]
	}
	var out []int
	for _, h := range [2][]point{half(0, len(ps), 1), half(len(ps)-1, -1, -1)} {
		for _, p := range h {
			out = append(out, p.k)
		}
	}
	if len(out) < 3 {
		return nil, ErrOnOneLine
	}
	return out, nil
}
