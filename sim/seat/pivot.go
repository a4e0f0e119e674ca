package seat

import (
	"errors"
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Pivot is where a part turns when it is pushed sideways.
type Pivot struct {
	X, Y float64 // mm
	// Push is the force that just moves it, over friction coefficient times
	// load: 0.41 at the end of an even slender part.
	Push float64
}

// ErrNoPivot says that the part slides without turning, or spins in place.
var ErrNoPivot = errors.New("the part slides without turning: push it at one end, across its length")

// Swing finds the centre about which a part turns when it is pushed at (x, y)
// mm along the direction (dx, dy), a unit vector, so slowly that only Coulomb
// friction resists. pressed are the places at which it bears, N being the force
// there.
//
// Friction at each place has the size mu N and opposes the motion, so the
// balance of forces and moments is the minimum of the power that friction takes,
// sum N |v|, over all rigid motions that carry the pushed point along with unit
// speed. That is convex in the two motions left: the rate of turning, and the
// speed of the pushed point across the push.
func Swing(pressed []Load, x, y, dx, dy float64) (Pivot, error) {
	total, scale := 0.0, 0.0
	for _, p := range pressed {
		total += p.N
		u, v := p.X-x, p.Y-y
		scale = math.Max(scale, float64(u*u)+float64(v*v))
	}
	if !(total > 0) || !(scale > 0) {
		return Pivot{}, ErrNoPivot
	}
	scale = math.Sqrt(scale)
	s := swing{dx: dx, dy: dy}
	for _, p := range pressed {
		if p.N > 0 {
			s.at = append(s.at, Load{X: (p.X - x) / scale, Y: (p.Y - y) / scale, N: p.N / total})
		}
	}
	var q [2]float64
	for s.soft = .3; s.soft > 1e-5; s.soft /= 4 {
		q = s.least(q)
	}
	if math.Abs(q[1]) < 1e-3 {
		return Pivot{}, ErrNoPivot
	}
	// v = push direction + across + turn x r vanishes at the pivot.
	vx, vy := dx-float64(q[0]*dy), dy+float64(q[0]*dx)
	return Pivot{X: x - float64(vy/q[1]*scale), Y: y + float64(vx/q[1]*scale), Push: s.power(q)}, nil
}

// swing is the power that friction takes as a function of q: speed of the pushed
// point across the push, and rate of turning. soft rounds off |v| where it
// vanishes.
type swing struct {
	at     []Load
	dx, dy float64
	soft   float64
}

func (s *swing) power(q [2]float64) float64 {
	sum := 0.0
	soft := float64(s.soft * s.soft)
	for _, p := range s.at {
		vx := s.dx - float64(q[0]*s.dy) - float64(q[1]*p.Y)
		vy := s.dy + float64(q[0]*s.dx) + float64(q[1]*p.X)
		sum += float64(p.N * math.Sqrt(float64(vx*vx)+float64(vy*vy)+soft))
	}
	return sum
}

// least goes down from q to the least power by damped Newton steps.
func (s *swing) least(q [2]float64) [2]float64 {
	soft := float64(s.soft * s.soft)
	e := s.power(q)
	for range 60 {
		var g0, g1, h00, h01, h11 float64
		for _, p := range s.at {
			vx := s.dx - float64(q[0]*s.dy) - float64(q[1]*p.Y)
			vy := s.dy + float64(q[0]*s.dx) + float64(q[1]*p.X)
			speed := math.Sqrt(float64(vx*vx) + float64(vy*vy) + soft)
			// How v changes with the two motions, and along v itself.
			a0, a1 := float64(vy*s.dx)-float64(vx*s.dy), float64(vy*p.X)-float64(vx*p.Y)
			w := p.N / speed
			g0 += float64(w * a0)
			g1 += float64(w * a1)
			w3 := w / float64(speed*speed)
			cross := float64(s.dy*p.Y) + float64(s.dx*p.X)
			h00 += w - float64(w3*float64(a0*a0))
			h01 += float64(w*cross) - float64(w3*float64(a0*a1))
			h11 += float64(w*(float64(p.X*p.X)+float64(p.Y*p.Y))) - float64(w3*float64(a1*a1))
		}
		if math.Abs(g0)+math.Abs(g1) < 1e-9 {
			break
		}
		det := float64(h00*h11) - float64(h01*h01)
		if !(det > 1e-14*(float64(h00*h11)+1e-300)) {
			h00, h11 = h00+1e-6, h11+1e-6
			det = float64(h00*h11) - float64(h01*h01)
		}
		d := [2]float64{(float64(h01*g1) - float64(h11*g0)) / det, (float64(h01*g0) - float64(h00*g1)) / det}
		slope := float64(g0*d[0]) + float64(g1*d[1])
		if slope >= 0 {
			break
		}
		t := 1.0
		for ; t > 1e-9; t /= 2 {
			n := [2]float64{q[0] + float64(t*d[0]), q[1] + float64(t*d[1])}
			if en := s.power(n); en <= e+float64(1e-4*t*slope) {
				q, e = n, en
				break
			}
		}
		if t <= 1e-9 {
			break
		}
	}
	return q
}

// Even are the places at which a part bears whose pressure is the same
// everywhere on its metal: what its outline alone says of its pivot.
func Even(m *surface.Map) []Load {
	const tile = 4
	var out []Load
	for j0 := 0; j0 < m.NY; j0 += tile {
		for i0 := 0; i0 < m.NX; i0 += tile {
			var n, sx, sy float64
			for j := j0; j < min(j0+tile, m.NY); j++ {
				for i := i0; i < min(i0+tile, m.NX); i++ {
					if z := m.At(i, j); z == z {
						n, sx, sy = n+1, sx+m.X(i), sy+m.Y(j)
					}
				}
			}
			if n > 0 {
				out = append(out, Load{X: sx / n, Y: sy / n, N: n})
			}
		}
	}
	return out
}
