package gauge

import (
	"errors"
	"math"
	"slices"

	"github.com/before-iron/beforeiron/sim/surface"
)

// ReferenceLine is a line laid to a profile, A + B x um over mm (1 um/mm is
// 1 mm/m), and how far the profile reaches on either side of it, measured
// vertically, um.
type ReferenceLine struct {
	A, B         float64
	Peak, Valley float64
}

// Width is the deviation from straightness by this line, um.
func (l ReferenceLine) Width() float64 { return l.Peak + l.Valley }

// StraightnessFigures are deviations from straightness by the three reference
// lines in use: through the end points, of least squares, and in the middle of
// the minimum zone (ISO 12780-1).
type StraightnessFigures struct {
	EndPoint, LeastSquares, MinimumZone ReferenceLine
}

// Straightness is that of heights z um at positions x mm, in any order. It errs
// for fewer than two distinct positions.
func Straightness(x, z []float64) (StraightnessFigures, error) {
	p := make([]profilePoint, len(x))
	for k := range p {
		p[k] = profilePoint{x[k], z[k]}
	}
	slices.SortFunc(p, func(a, b profilePoint) int {
		switch {
		case a.x < b.x || a.x == b.x && a.z < b.z:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	if len(p) == 0 || p[0].x == p[len(p)-1].x {
		return StraightnessFigures{}, errors.New("a profile needs two positions that differ")
	}
	first, last := p[0], p[len(p)-1]
	var f StraightnessFigures
	f.EndPoint = lay(p, first, (last.z-first.z)/(last.x-first.x))

	var mx, mz, xx, xz float64
	n := float64(len(p))
	for _, q := range p {
		mx, mz = mx+q.x, mz+q.z
	}
	mx, mz = mx/n, mz/n
	for _, q := range p {
		xx += float64((q.x - mx) * (q.x - mx))
		xz += float64((q.x - mx) * (q.z - mz))
	}
	f.LeastSquares = lay(p, profilePoint{mx, mz}, xz/xx)
	f.MinimumZone = minimumZoneLine(p)
	return f, nil
}

type profilePoint struct{ x, z float64 }

// lay is the line of slope b through at.
func lay(p []profilePoint, at profilePoint, b float64) ReferenceLine {
	l := ReferenceLine{A: at.z - float64(b*at.x), B: b, Peak: math.Inf(-1), Valley: math.Inf(-1)}
	for _, q := range p {
		r := q.z - at.z - float64(b*(q.x-at.x))
		l.Peak, l.Valley = max(l.Peak, r), max(l.Valley, -r)
	}
	return l
}

// minimumZoneLine is the line half way between the closest two parallel ones
// that hold p, sorted by x. One of the two passes through two neighbouring
// corners of the convex hull: the width is convex in the slope, so the best of
// the hull's slopes is the best of all.
func minimumZoneLine(p []profilePoint) ReferenceLine {
	best := ReferenceLine{Peak: math.Inf(1)}
	for _, side := range [2]float64{1, -1} {
		hull := chain(p, side)
		for k := 1; k < len(hull); k++ {
			b := (hull[k].z - hull[k-1].z) / (hull[k].x - hull[k-1].x)
			if l := lay(chain(p, -side), hull[k-1], b); max(l.Peak, l.Valley) < best.Width() {
				half := max(l.Peak, l.Valley) / 2
				best = ReferenceLine{A: l.A - float64(side*half), B: b, Peak: half, Valley: half}
			}
		}
	}
	return best
}

// chain is the upper (side 1) or lower (side -1) convex hull of p, sorted by x.
func chain(p []profilePoint, side float64) []profilePoint {
	var h []profilePoint
	for _, q := range p {
		if len(h) > 0 && h[len(h)-1].x == q.x {
			if float64(side*(q.z-h[len(h)-1].z)) <= 0 {
				continue
			}
			h = h[:len(h)-1]
		}
		for len(h) >= 2 {
			a, b := h[len(h)-2], h[len(h)-1]
			if float64(side*(float64((b.x-a.x)*(q.z-a.z))-float64((b.z-a.z)*(q.x-a.x)))) < 0 {
				break
			}
			h = h[:len(h)-1]
		}
		h = append(h, q)
	}
	return h
}

// ParallelismFigures say how a face lies to a datum plane, such as the rest of
// the part's back face on a plate.
type ParallelismFigures struct {
	// ZoneUM is the distance of two planes parallel to the datum that hold the
	// face (ISO 1101).
	ZoneUM float64
	// RiseX and RiseY are how much the least-squares plane of the face climbs
	// from the datum over the whole length and width, um: the wedge.
	RiseX, RiseY float64
}

// Parallelism is that of the valid cells of m to a datum plane in the same
// coordinates. It errs where the cells span no plane.
func Parallelism(m *surface.Map, datum surface.Plane) (ParallelismFigures, error) {
	p, err := surface.LeastSquares(m)
	if err != nil {
		return ParallelismFigures{}, err
	}
	slope := columnSlopes(m, datum)
	hi, lo := math.Inf(-1), math.Inf(1)
	for j := 0; j < m.NY; j++ {
		base := datum.A + float64(datum.C*m.Y(j))
		for i, z := range m.Z[j*m.NX : (j+1)*m.NX] {
			if r := z - base - slope[i]; r == r {
				hi, lo = max(hi, r), min(lo, r)
			}
		}
	}
	length, width := Reach(m.Grid)
	b, c := datum.B/1000, datum.C/1000
	return ParallelismFigures{
		ZoneUM: (hi - lo) / math.Sqrt(1+float64(b*b)+float64(c*c)),
		RiseX:  (p.B - datum.B) * length,
		RiseY:  (p.C - datum.C) * width,
	}, nil
}

// Reach is the length and width of a face, mm: of cells, to their outer edges; of
// readings farther apart than surface.FinePitchMM, which are of places and not of
// cells, from the first to the last.
func Reach(g surface.Grid) (length, width float64) {
	if max(g.DX, g.DY) > surface.FinePitchMM {
		return float64(g.NX-1) * g.DX, float64(g.NY-1) * g.DY
	}
	return float64(g.NX) * g.DX, float64(g.NY) * g.DY
}

// Twist is how far, um, the fourth corner of the face rises above the plane
// through the other three, by the least-squares surface a + bx + cy + dxy: d
// times length times width. Positive where the corners at both greatest and
// both least x and y are the high ones. It errs where the cells determine no
// such surface.
func Twist(m *surface.Map) (float64, error) {
	p, err := surface.LeastSquares(m)
	if err != nil {
		return 0, err
	}
	x0, y0, x1, y1 := m.Edges()
	cx, cy := (x0+x1)/2, (y0+y1)/2
	// What of xy the plane leaves, against what of z it leaves.
	xy := surface.NewMap(m.Grid)
	for k, z := range m.Z {
		xy.Z[k] = float64((m.X(k%m.NX) - cx) * (m.Y(k/m.NX) - cy))
		if z != z {
			xy.Z[k] = z
		}
	}
	q, err := surface.LeastSquares(xy)
	if err != nil {
		return 0, err
	}
	num, den, whole := 0.0, 0.0, 0.0
	for k, z := range m.Z {
		if z != z {
			continue
		}
		x, y := m.X(k%m.NX), m.Y(k/m.NX)
		u := xy.Z[k] - q.At(x, y)
		num += float64(u * (z - p.At(x, y)))
		den += float64(u * u)
		whole += float64(xy.Z[k] * xy.Z[k])
	}
	if den <= 1e-12*whole {
		return 0, errors.New("the cells lie on too few lines to tell twist")
	}
	length, width := Reach(m.Grid)
	return num / den * length * width, nil
}
