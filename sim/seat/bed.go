// Package seat finds how a part rests on a master: exactly, as rigid bodies
// that touch in points (Rest), or on the stiff bed that real metal is (OnBed).
// It also holds the masters themselves, with their own errors by grade.
//
// The face lies in its own frame, heights pointing out of the metal; the
// master's true plane is sought in that frame as the height A + B x + C y, so a
// gap is plane minus height, and a negative gap is overlap.
package seat

import (
	"errors"
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Parameters of the bed; the table in sim/PHYSICS.md gives their sources.
const (
	// Stiffness is the bed modulus k of p = k max(0, -gap), N/mm^2 per um. Its
	// order is the rigid circular punch, F = 2 a E* d (Johnson, Contact
	// Mechanics, 3.36): mean pressure per depth 2 E*/(pi a) for spots of 2 mm
	// radius in iron.
	Stiffness = 20.0
	// WeightPerArea is the default load, N/mm^2 of face: 25 mm of iron,
	// 7200 kg/m^3 x 9.80665 m/s^2 x 0.025 m = 1765 N/m^2.
	WeightPerArea = 0.00177
)

// Load is a force of N newtons pressing the part on the master at (X, Y) mm.
type Load struct{ X, Y, N float64 }

// Weight is the part's own weight at the centroid of its valid cells.
func Weight(m *surface.Map) Load {
	var n, sx, sy float64
	for j := 0; j < m.NY; j++ {
		row := m.Z[j*m.NX : (j+1)*m.NX]
		count, sum := 0, 0
		for i, z := range row {
			if z == z {
				count++
				sum += i
			}
		}
		n += float64(count)
		sx += float64(sum)
		sy += float64(count * j)
	}
	if n == 0 {
		return Load{}
	}
	return Load{
		X: m.X0 + float64(sx/n*m.DX), Y: m.Y0 + float64(sy/n*m.DY),
		N: float64(WeightPerArea * float64(n*m.CellArea())),
	}
}

// Plus is the resultant of two parallel forces.
func (l Load) Plus(o Load) Load {
	n := l.N + o.N
	if n == 0 {
		return Load{}
	}
	return Load{
		X: (float64(l.X*l.N) + float64(o.X*o.N)) / n,
		Y: (float64(l.Y*l.N) + float64(o.Y*o.N)) / n,
		N: n,
	}
}

// Seat is a part at rest on a bed.
type Seat struct {
	Plane  surface.Plane
	Load   Load
	Sweeps int // how often the field was visited, whole or in part
}

// ErrNoBalance says that no equilibrium was found; it does not happen for a
// load inside the hull of the part and finite heights.
var ErrNoBalance = errors.New("the part finds no rest under this load: move the load towards the middle")

// OnBed finds the plane on which heave and two tilts of the part balance the
// load on a unilateral bed of stiffness k, N/mm^2 per um, under each valid cell
// of tops (um; burr and the master's own error already added): the minimum of
// the convex energy k/2 sum max(0, z - plane)^2 dA + N plane(load).
//
// The bed starts so soft that half of the height range sinks in and is hardened
// eightfold at a time, each stage a damped Newton iteration. While it is soft
// the highest cell of each block stands for the whole block; from then on the
// blocks that the plane clears are passed over. Errors: ErrLoadOutside,
// ErrNoBalance.
func OnBed(tops *surface.Map, load Load, k float64) (Seat, error) {
	if !insideHull(tops, load.X, load.Y) {
		return Seat{}, ErrLoadOutside
	}
	s := newBedSolver(tops, load)
	if s.lo >= s.hi && s.count == 0 {
		return Seat{}, ErrNoBalance
	}
	area := float64(s.count) * tops.CellArea()
	s.span = math.Max(s.hi-s.lo, 4*load.N/(k*area))
	soft := 2 * load.N / (area * s.span)
	// At the load the plane starts half way down the height range.
	s.p = [3]float64{(s.hi + s.lo) / 2, 0, 0}

	blocky := tops.NX >= 8*bedBlock && tops.NY >= 8*bedBlock
	for stage := soft; stage < k; stage *= 8 {
		s.balance(stage, blocky, 1e-3)
	}
	if !s.balance(k, false, 1e-10) {
		return Seat{}, ErrNoBalance
	}
	b, c := s.p[1]/s.scale, s.p[2]/s.scale
	return Seat{
		Plane: surface.Plane{
			A: s.p[0] - float64(b*load.X) - float64(c*load.Y), B: b, C: c,
		},
		Load: load, Sweeps: s.sweeps,
	}, nil
}

// bedBlock is the side, in cells, of the blocks whose maxima let whole blocks be
// passed over when the plane clears them.
const bedBlock = 16

// bedSolver holds the field as Newton sees it: coordinates from the load point
// in units of the part's half diagonal, p = plane height at the load and rise
// over one such unit along x and y, um.
type bedSolver struct {
	m      *surface.Map
	load   Load
	scale  float64
	x, y   []float64 // scaled coordinates of columns and rows
	bx, by int
	top    []float64 // block maxima, -Inf where a block has no metal
	lo, hi float64
	span   float64 // height range, or the sinking of a flat face if that is more
	count  int
	p      [3]float64
	rise   []float64 // p[1]*x of the plane under trial
	sweeps int
}

func newBedSolver(m *surface.Map, load Load) *bedSolver {
	x0, y0, x1, y1 := m.Edges()
	s := &bedSolver{
		m: m, load: load, scale: math.Sqrt(float64((x1-x0)*(x1-x0))+float64((y1-y0)*(y1-y0))) / 2,
		x: make([]float64, m.NX), y: make([]float64, m.NY), rise: make([]float64, m.NX),
		bx: (m.NX + bedBlock - 1) / bedBlock, by: (m.NY + bedBlock - 1) / bedBlock,
		lo: math.Inf(1), hi: math.Inf(-1),
	}
	for i := range s.x {
		s.x[i] = (m.X(i) - load.X) / s.scale
	}
	for j := range s.y {
		s.y[j] = (m.Y(j) - load.Y) / s.scale
	}
	s.top = make([]float64, s.bx*s.by)
	for b := range s.top {
		s.top[b] = math.Inf(-1)
	}
	for j := 0; j < m.NY; j++ {
		row := m.Z[j*m.NX : (j+1)*m.NX]
		tops := s.top[(j/bedBlock)*s.bx:]
		for b := 0; b < s.bx; b++ {
			i1 := min((b+1)*bedBlock, m.NX)
			high := math.Inf(-1)
			for _, z := range row[b*bedBlock : i1] {
				if z > high {
					high = z
				}
				if z < s.lo {
					s.lo = z
				}
				if z == z {
					s.count++
				}
			}
			if high > tops[b] {
				tops[b] = high
			}
			if high > s.hi {
				s.hi = high
			}
		}
	}
	return s
}

// moments are the sums that one Newton step needs over the cells in contact:
// overlap o and its moments, the second moments of the contact area, and o^2.
type moments struct {
	o, ox, oy          float64
	n, nx, ny          float64
	nxx, nxy, nyy, oo2 float64
}

// epsilon is the relative rounding of a float64.
const epsilon = 1.0 / (1 << 52)

// balance runs damped Newton at bed stiffness k until force and moments are
// within tol of the load; it reports whether they are.
func (s *bedSolver) balance(k float64, blocks bool, tol float64) bool {
	dA, sweep := s.m.CellArea(), s.sweepCells
	if blocks {
		dA, sweep = dA*bedBlock*bedBlock, s.sweepBlocks
	}
	ks := k * dA
	q := sweep(s.p)
	off := math.Inf(1)
	for iter := 0; iter < 200; iter++ {
		// Residuals of force (N) and moments (N x half diagonal).
		r0 := s.load.N - float64(ks*q.o)
		r1, r2 := -float64(ks*q.ox), -float64(ks*q.oy)
		off = math.Abs(r0) + math.Abs(r1) + math.Abs(r2)
		// No closer than the rounding of an overlap, the small difference of two
		// heights, lets the forces be known.
		rounding := float64(4 * ks * q.n * epsilon * math.Max(math.Abs(s.hi), math.Abs(s.lo)))
		if off <= float64(tol*s.load.N)+rounding {
			return true
		}
		d, ok := solve3(
			float64(ks*q.n), float64(ks*q.nx), float64(ks*q.ny),
			float64(ks*q.nxx), float64(ks*q.nxy), float64(ks*q.nyy), -r0, -r1, -r2)
		switch {
		case !ok && q.n == 0:
			// Nothing touches: sink until something does.
			d = [3]float64{-s.span, 0, 0}
		case !ok:
			// Too few cells touch to hold the part: it rolls over them, towards the
			// load, until more do.
			soften := float64(1e-9 * ks * q.n)
			d, ok = solve3(
				float64(ks*q.n)+soften, float64(ks*q.nx), float64(ks*q.ny),
				float64(ks*q.nxx)+soften, float64(ks*q.nxy), float64(ks*q.nyy)+soften, -r0, -r1, -r2)
			if !ok {
				d = [3]float64{-s.span, 0, 0}
			}
		}
		// A few cells give too little stiffness and too long a step; the sweeps
		// that follow an overshoot are the dear ones.
		reach := math.Max(s.span/100, 4*q.o/math.Max(q.n, 1))
		if move := math.Abs(d[0]) + math.Abs(d[1]) + math.Abs(d[2]); move > reach {
			for c := range d {
				d[c] *= reach / move
			}
		}
		slope := float64(r0*d[0]) + float64(r1*d[1]) + float64(r2*d[2])
		t := 1.0
		for halvings := 0; ; halvings++ {
			p := [3]float64{s.p[0] + float64(t*d[0]), s.p[1] + float64(t*d[1]), s.p[2] + float64(t*d[2])}
			qn := sweep(p)
			// The gain in energy, taken as a difference: the energy itself is large
			// where the part stands high, and the last steps are small.
			gain := float64(ks/2*(qn.oo2-q.oo2)) + float64(s.load.N*float64(t*d[0]))
			if gain <= float64(1e-4*t*slope) || halvings >= 30 || (!ok && halvings == 0) {
				if halvings >= 30 {
					return off <= 1e-6*s.load.N
				}
				s.p, q = p, qn
				break
			}
			t /= 2
		}
	}
	// Thousands of cells in one plane lie so near the bed that the last steps are
	// lost in the rounding of their sums.
	return off <= 1e-6*s.load.N
}

// sweepCells sums the moments of the cells that overlap the plane p.
func (s *bedSolver) sweepCells(p [3]float64) moments {
	s.tilt(p)
	var q moments
	for bj := 0; bj < s.by; bj++ {
		j0, j1 := bj*bedBlock, min((bj+1)*bedBlock, s.m.NY)
		low := p[0] + math.Min(float64(p[2]*s.y[j0]), float64(p[2]*s.y[j1-1]))
		for bi := 0; bi < s.bx; bi++ {
			i0, i1 := bi*bedBlock, min((bi+1)*bedBlock, s.m.NX)
			if s.top[bj*s.bx+bi] <= low+math.Min(s.rise[i0], s.rise[i1-1]) {
				continue
			}
			for j := j0; j < j1; j++ {
				row := s.m.Z[j*s.m.NX+i0 : j*s.m.NX+i1]
				q.row(row, p[0]+float64(p[2]*s.y[j]), s.rise[i0:i1], s.x[i0:i1], s.y[j])
			}
		}
	}
	return q
}

// sweepBlocks does the same with each block's highest cell, taken at the middle
// of the block, for all of the block.
func (s *bedSolver) sweepBlocks(p [3]float64) moments {
	s.tilt(p)
	var q moments
	rise, x := make([]float64, s.bx), make([]float64, s.bx)
	for bi := range x {
		i := min(bi*bedBlock+bedBlock/2, s.m.NX-1)
		rise[bi], x[bi] = s.rise[i], s.x[i]
	}
	for bj := 0; bj < s.by; bj++ {
		y := s.y[min(bj*bedBlock+bedBlock/2, s.m.NY-1)]
		q.row(s.top[bj*s.bx:(bj+1)*s.bx], p[0]+float64(p[2]*y), rise, x, y)
	}
	return q
}

// tilt lays out how far the plane p rises along the columns.
func (s *bedSolver) tilt(p [3]float64) {
	s.sweeps++
	for i, x := range s.x {
		s.rise[i] = float64(p[1] * x)
	}
}

// row adds the cells z of one row that overlap the plane base + rise.
func (q *moments) row(z []float64, base float64, rise, x []float64, y float64) {
	rise, x = rise[:len(z)], x[:len(z)]
	var n, nx, nxx, o, ox, oo float64
	for i, h := range z {
		if d := h - (base + rise[i]); d > 0 {
			n++
			nx += x[i]
			nxx += float64(x[i] * x[i])
			o += d
			ox += float64(d * x[i])
			oo += float64(d * d)
		}
	}
	if n == 0 {
		return
	}
	q.n += n
	q.nx += nx
	q.nxx += nxx
	q.o += o
	q.ox += ox
	q.oo2 += oo
	q.ny += float64(n * y)
	q.nxy += float64(nx * y)
	q.nyy += float64(float64(n*y) * y)
	q.oy += float64(o * y)
}

// solve3 solves the symmetric 3x3 system [a b c; b d e; c e f] v = r by
// elimination; ok is false when it is singular to working precision.
func solve3(a, b, c, d, e, f, r0, r1, r2 float64) (v [3]float64, ok bool) {
	if a <= 0 {
		return v, false
	}
	lb, lc := b/a, c/a
	d2 := d - float64(lb*b)
	e2 := e - float64(lb*c)
	f2 := f - float64(lc*c)
	if d2 <= 1e-13*a {
		return v, false
	}
	le := e2 / d2
	f3 := f2 - float64(le*e2)
	if f3 <= 1e-13*a {
		return v, false
	}
	s1 := r1 - float64(lb*r0)
	s2 := r2 - float64(lc*r0) - float64(le*s1)
	v[2] = s2 / f3
	v[1] = (s1 - float64(e2*v[2])) / d2
	v[0] = (r0 - float64(b*v[1]) - float64(c*v[2])) / a
	return v, true
}

// Overlap is how far cell (i, j) of tops is pressed into the bed, um; zero where
// it does not touch.
func (s Seat) Overlap(tops *surface.Map, i, j int) float64 {
	o := tops.At(i, j) - s.Plane.At(tops.X(i), tops.Y(j))
	if o > 0 {
		return o
	}
	return 0
}
