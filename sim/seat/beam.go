package seat

import (
	"errors"
	"math"
	"slices"
)

// Section is what a slender part is made of and how thick it is.
type Section struct {
	ThicknessMM float64 // through the face
	WidthMM     float64 // across the length
	YoungGPa    float64
}

// EI is the bending stiffness of the section, N mm^2: E b t^3/12.
func (s Section) EI() float64 {
	t := s.ThicknessMM
	return float64(float64(s.YoungGPa*1000*s.WidthMM) * float64(float64(t*t)*t) / 12)
}

// Beam is a part that bends along x between its ends, free at both, after Euler
// and Bernoulli: without shear, so that it says nothing of bends shorter than a
// few thicknesses. Its shape is a cubic between nodes.
type Beam struct {
	nodes []float64 // mm, rising
	ei    float64   // N mm^2
}

// NewBeam is a beam from x0 to x1 mm of bending stiffness ei, N mm^2, with nodes
// no farther than step mm apart.
func NewBeam(x0, x1, ei, step float64) *Beam {
	n := max(2, min(maxElements, int(math.Ceil((x1-x0)/step-1e-9))))
	b := &Beam{ei: ei}
	for k := range n + 1 {
		b.nodes = append(b.nodes, x0+float64(float64(k)*(x1-x0)/float64(n)))
	}
	return b
}

// maxElements bounds the cost of a beam.
const maxElements = 40

// with is the beam with further nodes at the places x.
func (b *Beam) with(x []float64) *Beam {
	nodes := slices.Concat(b.nodes, x)
	slices.Sort(nodes)
	tiny := 1e-9 * (b.nodes[len(b.nodes)-1] - b.nodes[0])
	nodes = slices.CompactFunc(nodes, func(p, q float64) bool { return math.Abs(q-p) <= tiny })
	return &Beam{nodes: nodes, ei: b.ei}
}

// unknowns of a beam: height, um, and slope, um/mm, of each node.
func (b *Beam) unknowns() int { return 2 * len(b.nodes) }

// shares are the weights with which the four unknowns from number first on make
// up the height at x mm; beyond the ends the beam goes on straight.
func (b *Beam) shares(x float64) (first int, n [4]float64) {
	last := len(b.nodes) - 1
	switch {
	case x < b.nodes[0]:
		return 0, [4]float64{1, x - b.nodes[0], 0, 0}
	case x > b.nodes[last]:
		return 2*last - 2, [4]float64{0, 0, 1, x - b.nodes[last]}
	}
	e, _ := slices.BinarySearch(b.nodes, x)
	e = max(0, min(e-1, last-1))
	h := b.nodes[e+1] - b.nodes[e]
	t := (x - b.nodes[e]) / h
	t2 := float64(t * t)
	t3 := float64(t2 * t)
	return 2 * e, [4]float64{
		1 - 3*t2 + 2*t3, float64(h * (t - 2*t2 + t3)), 3*t2 - 2*t3, float64(h * (t3 - t2)),
	}
}

// stiffness adds the bending stiffness to a, a matrix of n by n, N per um.
func (b *Beam) stiffness(a []float64, n int) {
	for e := range len(b.nodes) - 1 {
		h := b.nodes[e+1] - b.nodes[e]
		s := b.ei / (1000 * float64(float64(h*h)*h))
		hh := float64(h * h)
		k := [4][4]float64{
			{12, 6 * h, -12, 6 * h},
			{6 * h, 4 * hh, -6 * h, 2 * hh},
			{-12, -6 * h, 12, -6 * h},
			{6 * h, 2 * hh, -6 * h, 4 * hh},
		}
		for r := range k {
			for c := range k[r] {
				a[(2*e+r)*n+2*e+c] += float64(s * k[r][c])
			}
		}
	}
}

// Shape is a beam as it lies.
type Shape struct {
	beam *Beam
	q    []float64
}

// At is the height of the beam at x mm, um.
func (s *Shape) At(x float64) float64 {
	first, n := s.beam.shares(x)
	h := 0.0
	for c, w := range n {
		h += float64(w * s.q[first+c])
	}
	return h
}

// Support is a place under a beam: X mm along it, H um high.
type Support struct{ X, H float64 }

// Errors of OnSupports.
var (
	errSupports = errors.New("the part needs supports at two places along its length, within its ends")
	ErrTips     = errors.New("the part tips off these supports: its weight must lie between them")
)

// OnSupports lays the beam, face up, on supports under the forces of weights
// (N, downward, at X; Y counts for nothing). Clamped, it is held down on all of
// them; else it stands on those that it reaches. It returns its shape, and the
// upward force of each support, N.
func (b *Beam) OnSupports(weights []Load, supports []Support, clamped bool) (*Shape, []float64, error) {
	places := []float64{}
	for _, s := range supports {
		if s.X < b.nodes[0]-1e-6 || s.X > b.nodes[len(b.nodes)-1]+1e-6 {
			return nil, nil, errSupports
		}
		places = append(places, s.X)
	}
	b = b.with(places)
	n := b.unknowns()
	k := make([]float64, n*n)
	b.stiffness(k, n)
	f := make([]float64, n)
	for _, w := range weights {
		first, share := b.shares(w.X)
		for c, s := range share {
			f[first+c] -= float64(s * w.N)
		}
	}
	at := make([]int, len(supports)) // the unknown of each support
	bears := make([]bool, len(supports))
	for i, s := range supports {
		at[i] = 2 * b.nearest(s.X)
		bears[i] = true
	}
	force := make([]float64, len(supports))
	// Let go of the support that pulls most, or take up that which is sunk
	// into most, until each either carries or is clear.
	for range 8 * (len(supports) + 1) {
		q, ok := b.held(k, f, n, supports, at, bears)
		if !ok {
			if clamped {
				return nil, nil, errSupports
			}
			return nil, nil, ErrTips
		}
		worst, by := -1, 1e-9
		for i, s := range supports {
			force[i] = 0
			if bears[i] {
				force[i] = residual(k, f, q, n, at[i])
			}
			if clamped {
				continue
			}
			off := -force[i] / math.Max(1, math.Abs(total(weights)))
			if !bears[i] {
				off = s.H - q[at[i]]
			}
			if off > by {
				worst, by = i, off
			}
		}
		if worst < 0 {
			return &Shape{b, q}, force, nil
		}
		bears[worst] = !bears[worst]
	}
	return nil, nil, ErrTips
}

func total(loads []Load) float64 {
	n := 0.0
	for _, l := range loads {
		n += l.N
	}
	return n
}

func (b *Beam) nearest(x float64) int {
	best := 0
	for k, at := range b.nodes {
		if math.Abs(at-x) < math.Abs(b.nodes[best]-x) {
			best = k
		}
	}
	return best
}

// residual is row r of k q - f: the force that holds unknown r.
func residual(k, f, q []float64, n, r int) float64 {
	sum := -f[r]
	for c, v := range q {
		sum += float64(k[r*n+c] * v)
	}
	return sum
}

// held solves the beam with the heights of the bearing supports given; ok is
// false when they do not hold it.
func (b *Beam) held(k, f []float64, n int, supports []Support, at []int, bears []bool) (q []float64, ok bool) {
	a := slices.Clone(k)
	r := slices.Clone(f)
	fix := func(u int, h float64) {
		for c := range n {
			r[c] -= float64(a[c*n+u] * h)
			a[c*n+u], a[u*n+c] = 0, 0
		}
		a[u*n+u] = k[u*n+u]
		r[u] = float64(k[u*n+u] * h)
	}
	done := map[int]bool{}
	for i, s := range supports {
		if bears[i] && !done[at[i]] {
			done[at[i]] = true
			fix(at[i], s.H)
		}
	}
	if len(done) < 2 {
		return nil, false
	}
	if !cholesky(a, n) {
		return nil, false
	}
	back(a, n, r)
	return r, true
}

// cholesky factors the symmetric matrix a, n by n, in place into its lower
// triangle; false when it is not positive definite to working precision.
func cholesky(a []float64, n int) bool {
	for j := range n {
		rj := a[j*n : j*n+j+1]
		d := rj[j]
		start := d
		for _, v := range rj[:j] {
			d -= float64(v * v)
		}
		if !(d > 1e-13*start) {
			return false
		}
		d = math.Sqrt(d)
		rj[j] = d
		for i := j + 1; i < n; i++ {
			ri := a[i*n : i*n+j+1]
			s := ri[j]
			if s == 0 && zeros(ri[:j]) {
				continue
			}
			for c, v := range rj[:j] {
				s -= float64(ri[c] * v)
			}
			ri[j] = s / d
		}
	}
	return true
}

func zeros(v []float64) bool {
	for _, x := range v {
		if x != 0 {
			return false
		}
	}
	return true
}

// back solves with the factor of cholesky: r becomes the solution.
func back(a []float64, n int, r []float64) {
	for i := range n {
		s := r[i]
		for c, v := range a[i*n : i*n+i] {
			s -= float64(v * r[c])
		}
		r[i] = s / a[i*n+i]
	}
	for i := n - 1; i >= 0; i-- {
		s := r[i]
		for c := i + 1; c < n; c++ {
			s -= float64(a[c*n+i] * r[c])
		}
		r[i] = s / a[i*n+i]
	}
}
