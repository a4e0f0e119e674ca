package envelope

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Zone is a pair of parallel planes that holds a set.
type Zone struct {
	Width float64       // their distance, um: vertical, or along the normal
	Mid   surface.Plane // the plane half way between them
}

// MinimumZone is the pair of planes of least vertical distance that holds the
// set (the minimum zone of ISO 12781-1 for a face that lies level).
func (s *Set) MinimumZone() (Zone, error) { return s.zone(false) }

// MinimumZoneNormal is the pair of planes of least distance along their common
// normal, by descent from the vertical answer. For a face, whose heights are
// small against its sides, that is the least distance of all.
func (s *Set) MinimumZoneNormal() (Zone, error) { return s.zone(true) }

func (s *Set) zone(normal bool) (Zone, error) {
	w, err := s.fourApart()
	if err != nil {
		return Zone{}, err
	}
	member := make(map[int]struct{}, 4)
	for _, p := range w {
		member[p.k] = struct{}{}
	}
	tol := s.tolerance()
	e := exchange{rows: 4, rhs: [4]float64{0, 0, 0, 1}}
	frame := tilted{s: s}
	var ext []extreme
	for {
		if !e.straddle(w) {
			return Zone{}, ErrOnOneLine
		}
		e.settle(w, true, tol)
		b, c := e.plane[1], e.plane[2]
		if normal {
			b, c = frame.descend(w, e.basis, tol)
		}
		ext = s.scan(b, c, ext[:0])
		hi, lo := math.Inf(-1), math.Inf(1)
		for _, x := range ext {
			hi, lo = max(hi, x.hi), min(lo, x.lo)
		}
		whi, wlo := math.Inf(-1), math.Inf(1)
		for k := range w {
			r := w[k].z - float64(b*w[k].u) - float64(c*w[k].v)
			whi, wlo = max(whi, r), min(wlo, r)
		}
		grew := false
		for _, x := range ext {
			if x.hi > whi+tol {
				w, grew = join(w, s.at(x.khi), member, grew)
			}
			if x.lo < wlo-tol {
				w, grew = join(w, s.at(x.klo), member, grew)
			}
		}
		if !grew {
			z := Zone{Width: hi - lo, Mid: s.plane((hi+lo)/2, b, c)}
			if normal {
				z.Width *= s.cosine(b, c)
			}
			return z, nil
		}
	}
}

// cosine is that of the tilt of a plane of scaled slopes b, c (um).
func (s *Set) cosine(b, c float64) float64 {
	p, q := s.slopes(b/1000, c/1000)
	return 1 / math.Sqrt(1+float64(p*p)+float64(q*q))
}

// fourApart begins a working set: three points far apart that are not on one
// line, and a fourth (the third again where the set has only three).
func (s *Set) fourApart() ([]point, error) {
	if s.n < 3 {
		return nil, ErrOnOneLine
	}
	rim := s.rim()
	p0 := rim[0]
	p1, far := p0, 0.0
	for _, p := range rim {
		if d := math.Abs(p.u-p0.u) + math.Abs(p.v-p0.v); d > far {
			far, p1 = d, p
		}
	}
	// Scaled coordinates are of order one, and their rounding is 1e-16.
	p2, off := p0, 1e-13
	for _, p := range rim {
		if d := math.Abs(twiceArea(p0, p1, p)); d > off {
			off, p2 = d, p
		}
	}
	if p2.k == p0.k {
		return nil, ErrOnOneLine
	}
	p3 := p2
	for _, p := range rim {
		if p.k != p0.k && p.k != p1.k && p.k != p2.k {
			p3 = p
			break
		}
	}
	return []point{p0, p1, p2, p3}, nil
}

// twiceArea is twice the signed area of a triangle, positive anticlockwise.
func twiceArea(a, b, c point) float64 {
	return float64((b.u-a.u)*(c.v-a.v)) - float64((b.v-a.v)*(c.u-a.u))
}

// straddle begins the exchange on its present four supports where it has them
// and they are among w, else on the first four of w: the weights that balance
// four points tell which of them the upper plane touches and which the lower.
func (e *exchange) straddle(w []point) bool {
	four := [4]point{w[0], w[1], w[2], w[3]}
	if e.basis[0].a[3] != 0 {
		for k := range four {
			four[k] = e.basis[k].p
		}
		if e.between(four) {
			return true
		}
		four = [4]point{w[0], w[1], w[2], w[3]}
	}
	return e.between(four)
}

func (e *exchange) between(four [4]point) bool {
	bal := [4]float64{
		twiceArea(four[1], four[2], four[3]), -twiceArea(four[0], four[2], four[3]),
		twiceArea(four[0], four[1], four[3]), -twiceArea(four[0], four[1], four[2]),
	}
	// The heights decide which way round: a negative half zone is none.
	up := 0.0
	for k, b := range bal {
		up += float64(b * four[k].z)
	}
	for k, b := range bal {
		sign := 1.0
		if (b < 0) != (up < 0) {
			sign = -1
		}
		e.basis[k] = within(four[k], sign)
	}
	return e.begin()
}

// tilted is the set as seen square to a plane.
type tilted struct {
	s *Set
	w []point
}

// descend turns the zone of w from the vertical answer that e reached until no
// plane near it is closer along its normal, and returns its slopes over scaled
// coordinates. Over the planes between two changes of support the distance is
// that between two fixed points along a turning normal, which is least at the
// ends: so the answer is held by four points, and the same exchange finds it.
func (t *tilted) descend(w []point, basis [4]column, tol float64) (b, c float64) {
	s := t.s
	e := exchange{rows: 4, rhs: [4]float64{0, 0, 0, 1}, basis: basis}
	e.solve()
	// Slopes in mm per mm from here on.
	b, c = s.slopes(e.plane[1]/1000, e.plane[2]/1000)
	const turns = 50
	for n := 0; n < turns; n++ {
		h := math.Sqrt(1 + float64(b*b))
		g := math.Sqrt(1 + float64(b*b) + float64(c*c))
		// Axes in the plane, (1, 0, b)/h and normal x that, and the normal.
		ax, az := 1/h, b/h
		nx, ny, nz := -b/g, -c/g, 1/g
		bx, by, bz := float64(ny*az), float64(nz*ax)-float64(nx*az), -float64(ny*ax)
		t.w = t.w[:0]
		for _, p := range w {
			x := float64(s.back[0][0]*p.u) + float64(s.back[0][1]*p.v)
			y := float64(s.back[1][0]*p.u) + float64(s.back[1][1]*p.v)
			z := p.z / 1000
			fx := float64(ax*x) + float64(az*z)
			fy := float64(bx*x) + float64(by*y) + float64(bz*z)
			t.w = append(t.w, point{
				u: float64(s.scale[0][0]*fx) + float64(s.scale[0][1]*fy),
				v: float64(s.scale[1][0]*fx) + float64(s.scale[1][1]*fy),
				z: (p.z - float64(1000*(float64(b*x)+float64(c*y)))) / g,
				k: p.k,
			})
		}
		var four [4]point
		for k := range four {
			for _, p := range t.w {
				if p.k == e.basis[k].p.k {
					four[k] = p
				}
			}
		}
		if !e.between(four) {
			break
		}
		e.settle(t.w, true, tol)
		db, dc := s.slopes(e.plane[1]/1000, e.plane[2]/1000)
		// The new normal: the old one less what the zone leans in its own axes.
		mx := nx - float64(db*ax) - float64(dc*bx)
		my := ny - float64(dc*by)
		mz := nz - float64(db*az) - float64(dc*bz)
		if mz <= 0 {
			break
		}
		b, c = -mx/mz, -my/mz
		if math.Abs(db)+math.Abs(dc) < 1e-13 {
			break
		}
	}
	b, c = s.scaledSlopes(b, c)
	return 1000 * b, 1000 * c
}
