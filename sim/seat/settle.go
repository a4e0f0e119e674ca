package seat

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Bed holds the heights of a part for several seats, each of them found under
// other circumstances: at another place on the master, bowed, bending. OnBed
// finds the seat of a rigid part at one place, exact to the cell; Settle draws
// what is smooth (master, bow, bending) straight between every eighth cell.
type Bed struct {
	m      *surface.Map
	bx, by int
	top    []float64 // highest cell of each block, -Inf where it has no metal
	lo, hi float64
	// cols and rows are the cells at the corners of the blocks.
	cols, rows []int
	blocks     []blockSums // scratch, one a column of blocks
}

// settleBlock is the side, in cells, of the blocks of a Bed.
const settleBlock = 8

// NewBed prepares the heights of m, um, burr included; NaN is no metal. m must
// not change until the last seat is found.
func NewBed(m *surface.Map) *Bed {
	b := &Bed{
		m: m, bx: (m.NX + settleBlock - 1) / settleBlock, by: (m.NY + settleBlock - 1) / settleBlock,
		lo: math.Inf(1), hi: math.Inf(-1),
	}
	b.top = make([]float64, b.bx*b.by)
	for k := range b.top {
		b.top[k] = math.Inf(-1)
	}
	for j := range m.NY {
		row := m.Z[j*m.NX : (j+1)*m.NX]
		tops := b.top[(j/settleBlock)*b.bx:]
		for k := range b.bx {
			high := math.Inf(-1)
			for _, z := range row[k*settleBlock : min((k+1)*settleBlock, m.NX)] {
				if z > high {
					high = z
				}
				if z < b.lo {
					b.lo = z
				}
			}
			if high > tops[k] {
				tops[k] = high
			}
		}
	}
	for _, t := range b.top {
		b.hi = math.Max(b.hi, t)
	}
	b.cols, b.rows = corners(m.NX, b.bx), corners(m.NY, b.by)
	b.blocks = make([]blockSums, b.bx)
	return b
}

// corners are the first cells of n blocks over cells cells, and the last cell.
func corners(cells, n int) []int {
	out := make([]int, n+1)
	for k := range out {
		out[k] = min(k*settleBlock, cells-1)
	}
	return out
}

// Case is the circumstances of one seat.
type Case struct {
	// Smooth is what stands on the part's heights at (x, y) mm, um: the height of
	// the master there, bow, sag. nil adds nothing.
	Smooth func(x, y float64) float64
	// Under are the cells that have the master under them: from column Under[0]
	// and row Under[1] up to, and without, column Under[2] and row Under[3].
	Under [4]int
	// Forces press part and master together: the weight of what lies on top, in
	// pieces along a beam, and the hand.
	Forces []Load
	// Beam is the part as it bends along x; nil leaves it rigid.
	Beam *Beam
	// From is an earlier seat on the same Bed to start from; nil starts anew.
	From *Lie
}

// Lie is a part at rest.
type Lie struct {
	bed     *Bed
	under   [4]int
	q       []float64
	rigid   bool
	load    Load
	surface []float64 // um at the corners of the blocks: added to the heights, the overlap
	Sweeps  int       // how often the field was visited, whole or in part
}

// blockSums are what one Newton step needs of the cells in contact in a column
// of blocks: t is the share of the way from the block's first cell to the next
// corner, y the scaled height, n counts, o is overlap.
type blockSums struct {
	n, t, tt, y, ty, yy float64
	o, ot, oy           float64
}

// settler finds one seat.
type settler struct {
	*Bed
	Case
	k      float64
	load   Load      // resultant
	scale  float64   // half diagonal, mm
	n      int       // unknowns, the last of them the rise along y
	width  int       // unknowns that make up the height at one x
	xAt    []xShares // of the corners
	yAt    []float64 // of the rows' corners, scaled
	y      []float64 // of the rows, scaled
	smooth []float64 // at the corners
	force  []float64 // work of the forces per unknown
	bend   []float64 // stiffness of the beam
	span   float64
	q      []float64
	s      []float64 // surface at the corners
	oo     float64   // sum of squared overlap
	sweeps int
	h, g   []float64
}

type xShares struct {
	first int
	w     [4]float64
}

// Settle finds the seat in case c on a bed of stiffness k, N/mm^2 per um: heave,
// two tilts and, with a beam, its bending balance the forces where part and
// master overlap. It is the minimum of the convex energy
// k/2 sum max(0, height + smooth - s)^2 dA + EI/2 integral s”^2 dx + sum N s(x, y)
// over the surface s = s(x) + c y. Errors: ErrLoadOutside, ErrNoBalance.
func (b *Bed) Settle(c Case, k float64) (*Lie, error) {
	s := &settler{Bed: b, Case: c, k: k}
	for _, f := range c.Forces {
		s.load = s.load.Plus(f)
	}
	if !insideHullOf(b.m, c.Under, s.load.X, s.load.Y) {
		return nil, ErrLoadOutside
	}
	s.prepare()
	started := c.From != nil && c.From.rigid == (c.Beam == nil) && len(c.From.q) == s.n
	if started {
		s.from(c.From)
		started = s.balance(k, false, s.tolerance())
	}
	if !started {
		s.start()
		soft := 2 * s.load.N / (s.area() * s.span)
		blocky := b.m.NX >= 16*settleBlock && b.m.NY >= 16*settleBlock
		for stage := soft; stage < k; stage *= 8 {
			s.balance(stage, blocky, 1e-3)
		}
		if !s.balance(k, false, s.tolerance()) {
			return nil, ErrNoBalance
		}
	}
	return &Lie{bed: b, under: c.Under, q: s.q, rigid: c.Beam == nil, load: s.load, surface: s.s, Sweeps: s.sweeps}, nil
}

func (s *settler) tolerance() float64 {
	if s.Beam != nil {
		return 1e-7
	}
	return 1e-10
}

func (s *settler) area() float64 {
	return float64((s.Under[2]-s.Under[0])*(s.Under[3]-s.Under[1])) * s.m.CellArea()
}

func (s *settler) prepare() {
	m := s.m
	x0, y0, x1, y1 := m.Edges()
	s.scale = math.Sqrt(float64((x1-x0)*(x1-x0))+float64((y1-y0)*(y1-y0))) / 2
	s.n, s.width = 3, 2
	if s.Beam != nil {
		s.n, s.width = s.Beam.unknowns()+1, 4
	}
	s.q, s.h, s.g = make([]float64, s.n), make([]float64, s.n*s.n), make([]float64, s.n)
	s.force, s.bend = make([]float64, s.n), make([]float64, s.n*s.n)
	if s.Beam != nil {
		s.Beam.stiffness(s.bend, s.n)
	}
	for _, f := range s.Forces {
		x := s.at(f.X)
		for c, w := range x.w[:s.width] {
			s.force[x.first+c] += float64(w * f.N)
		}
		s.force[s.n-1] += float64(f.N * (f.Y - s.load.Y) / s.scale)
	}
	s.xAt = make([]xShares, len(s.cols))
	for b, i := range s.cols {
		s.xAt[b] = s.at(m.X(i))
	}
	s.y = make([]float64, m.NY)
	for j := range s.y {
		s.y[j] = (m.Y(j) - s.load.Y) / s.scale
	}
	s.yAt = make([]float64, len(s.rows))
	s.smooth, s.s = make([]float64, len(s.cols)*len(s.rows)), make([]float64, len(s.cols)*len(s.rows))
	for b, j := range s.rows {
		s.yAt[b] = s.y[j]
		if s.Smooth == nil {
			continue
		}
		for a, i := range s.cols {
			s.smooth[b*len(s.cols)+a] = s.Smooth(m.X(i), m.Y(j))
		}
	}
	lo, hi := s.lo, s.hi
	if s.Smooth != nil {
		least, most := math.Inf(1), math.Inf(-1)
		for _, v := range s.smooth {
			least, most = math.Min(least, v), math.Max(most, v)
		}
		lo, hi = lo+least, hi+most
	}
	s.span = math.Max(hi-lo, 4*s.load.N/(s.k*s.area()))
}

// at are the shares of the unknowns in the height at x mm.
func (s *settler) at(x float64) xShares {
	if s.Beam == nil {
		return xShares{0, [4]float64{1, (x - s.load.X) / s.scale}}
	}
	first, w := s.Beam.shares(x)
	return xShares{first, w}
}

// start lays the surface level half way down the heights.
func (s *settler) start() {
	for c := range s.q {
		s.q[c] = 0
	}
	s.sink((s.hi + s.lo) / 2)
}

// from begins at an earlier seat, whose unknowns count from another load's place.
func (s *settler) from(l *Lie) {
	copy(s.q, l.q)
	up := float64(l.q[s.n-1] * (s.load.Y - l.load.Y) / s.scale)
	if s.Beam == nil {
		up += float64(l.q[1] * (s.load.X - l.load.X) / s.scale)
	}
	s.sink(up)
}

// sink raises the whole surface by d, um.
func (s *settler) sink(d float64) {
	if s.Beam == nil {
		s.q[0] += d
		return
	}
	for c := 0; c < s.n-1; c += 2 {
		s.q[c] += d
	}
}

// balance runs damped Newton at bed stiffness k until the forces balance within
// tol of the load; it reports whether they do.
func (s *settler) balance(k float64, blocky bool, tol float64) bool {
	ks := k * s.m.CellArea()
	e := s.sweep(s.q, ks, blocky)
	q := make([]float64, s.n)
	d := make([]float64, s.n)
	for range 300 {
		r := s.gradient(ks)
		if r <= float64(tol*s.load.N) {
			return true
		}
		n := s.touching()
		s.hessian(ks)
		ok := cholesky(s.h, s.n)
		if ok {
			for c, g := range s.g {
				d[c] = -g
			}
			back(s.h, s.n, d)
		} else {
			// Too few cells touch for a step: sink until more do.
			for c := range d {
				d[c] = 0
			}
			d[0] = -s.span
			for c := 0; s.Beam != nil && c < s.n-1; c += 2 {
				d[c] = -s.span
			}
		}
		// A few cells give too little stiffness and too long a step; the sweeps
		// that follow an overshoot are the dear ones.
		overlap := 0.0
		for _, b := range s.blocks {
			overlap += b.o
		}
		reach := math.Max(s.span/100, 4*overlap/math.Max(n, 1))
		if move := s.move(d); move > reach {
			for c := range d {
				d[c] *= reach / move
			}
		}
		slope := 0.0
		for c, g := range s.g {
			slope += float64(g * d[c])
		}
		t := 1.0
		for halvings := 0; ; halvings++ {
			for c := range q {
				q[c] = s.q[c] + float64(t*d[c])
			}
			en := s.sweep(q, ks, blocky)
			if en <= e+float64(1e-4*t*slope) || (!ok && halvings == 0) {
				copy(s.q, q)
				e = en
				break
			}
			if halvings >= 30 {
				s.sweep(s.q, ks, blocky)
				return r <= 1e-5*s.load.N
			}
			t /= 2
		}
	}
	return false
}

// move is how far a step moves the surface at the most, um.
func (s *settler) move(d []float64) float64 {
	if s.Beam == nil {
		return math.Abs(d[0]) + math.Abs(d[1]) + math.Abs(d[2])
	}
	far := 0.0
	for c := 0; c < s.n-1; c += 2 {
		far = math.Max(far, math.Abs(d[c]))
	}
	return far + math.Abs(d[s.n-1])
}

func (s *settler) touching() float64 {
	n := 0.0
	for _, b := range s.blocks {
		n += b.n
	}
	return n
}

// sweep lays the surface of unknowns q out and sums what overlaps it; it returns
// the energy.
func (s *settler) sweep(q []float64, ks float64, blocky bool) float64 {
	s.sweeps++
	s.lay(q)
	for b := range s.blocks {
		s.blocks[b] = blockSums{}
	}
	s.oo = 0
	if blocky {
		s.sweepBlocks()
	} else {
		s.sweepCells()
	}
	e := float64(ks / 2 * s.oo)
	for c, f := range s.force {
		e += float64(f * q[c])
	}
	if s.Beam != nil {
		e += s.bending(q)
	}
	return e
}

// bending is the energy of the beam, N um. It is taken from the shape less its
// straight part, which carries none and would cost digits.
func (s *settler) bending(q []float64) float64 {
	w := s.curved(q)
	sum := 0.0
	for r := range s.n - 1 {
		row := s.bend[r*s.n : (r+1)*s.n]
		part := 0.0
		for c := max(0, r-3); c < min(s.n-1, r+4); c++ {
			part += float64(row[c] * w[c])
		}
		sum += float64(w[r] * part)
	}
	return sum / 2
}

// curved is the shape of the beam less the straight line through its ends.
func (s *settler) curved(q []float64) []float64 {
	x := s.Beam.nodes
	last := len(x) - 1
	rise := (q[2*last] - q[0]) / (x[last] - x[0])
	w := make([]float64, s.n)
	for k, at := range x {
		w[2*k] = q[2*k] - q[0] - float64(rise*(at-x[0]))
		w[2*k+1] = q[2*k+1] - rise
	}
	return w
}

// lay computes the surface at the corners: smooth less s.
func (s *settler) lay(q []float64) {
	line := make([]float64, len(s.cols))
	for a, x := range s.xAt {
		for c, w := range x.w[:s.width] {
			line[a] += float64(w * q[x.first+c])
		}
	}
	for b, y := range s.yAt {
		up := float64(q[s.n-1] * y)
		row := s.s[b*len(line) : (b+1)*len(line)]
		smooth := s.smooth[b*len(line):]
		for a, h := range line {
			row[a] = smooth[a] - h - up
		}
	}
}

var steps = [settleBlock]float64{0, 1, 2, 3, 4, 5, 6, 7}

// sweepCells sums over the cells that overlap.
func (s *settler) sweepCells() {
	nc := len(s.cols)
	for bj := range s.by {
		j0, j1 := max(s.rows[bj], s.Under[1]), min((bj+1)*settleBlock, s.Under[3])
		deep := 1 / float64(max(1, s.rows[bj+1]-s.rows[bj]))
		for bi := range s.bx {
			c := s.s[bj*nc+bi:]
			s00, s10, s01, s11 := c[0], c[1], c[nc], c[nc+1]
			if !(s.top[bj*s.bx+bi]+max(max(s00, s10), max(s01, s11)) > 0) {
				continue
			}
			i0, i1 := max(s.cols[bi], s.Under[0]), min((bi+1)*settleBlock, s.Under[2])
			if i0 >= i1 {
				continue
			}
			wide := 1 / float64(max(1, s.cols[bi+1]-s.cols[bi]))
			ramp := steps[i0-bi*settleBlock : i1-bi*settleBlock]
			sums := &s.blocks[bi]
			for j := j0; j < j1; j++ {
				v := float64(j-s.rows[bj]) * deep
				left := s00 + float64((s01-s00)*v)
				step := float64((s10 + float64((s11-s10)*v) - left) * wide)
				row := s.m.Z[j*s.m.NX+i0 : j*s.m.NX+i1]
				ramp := ramp[:len(row)]
				var n, t, tt, o, ot, oo float64
				for i, z := range row {
					if d := z + (left + float64(step*ramp[i])); d > 0 {
						u := ramp[i]
						n++
						t += u
						tt += float64(u * u)
						o += d
						ot += float64(d * u)
						oo += float64(d * d)
					}
				}
				if n == 0 {
					continue
				}
				y := s.y[j]
				t, tt, ot = float64(t*wide), float64(float64(tt*wide)*wide), float64(ot*wide)
				sums.n += n
				sums.t += t
				sums.tt += tt
				sums.y += float64(n * y)
				sums.ty += float64(t * y)
				sums.yy += float64(float64(n*y) * y)
				sums.o += o
				sums.ot += ot
				sums.oy += float64(o * y)
				s.oo += oo
			}
		}
	}
}

// sweepBlocks takes each block's highest cell, at the middle of the block, for
// all of it.
func (s *settler) sweepBlocks() {
	const n = settleBlock * settleBlock
	nc := len(s.cols)
	for bj := range s.by {
		if s.rows[bj+1] <= s.Under[1] || s.rows[bj] >= s.Under[3] {
			continue
		}
		y := (s.yAt[bj] + s.yAt[bj+1]) / 2
		for bi := range s.bx {
			if s.cols[bi+1] <= s.Under[0] || s.cols[bi] >= s.Under[2] {
				continue
			}
			c := s.s[bj*nc+bi:]
			d := s.top[bj*s.bx+bi] + (c[0]+c[1]+c[nc]+c[nc+1])/4
			if !(d > 0) {
				continue
			}
			sums := &s.blocks[bi]
			sums.n += n
			sums.t += n / 2
			sums.tt += n / 4
			sums.y += float64(n * y)
			sums.ty += float64(n / 2 * y)
			sums.yy += float64(float64(n*y) * y)
			o := float64(n * d)
			sums.o += o
			sums.ot += o / 2
			sums.oy += float64(o * y)
			s.oo += float64(o * d)
		}
	}
}

// gradient fills in the gradient of the energy and returns its size, N.
func (s *settler) gradient(ks float64) float64 {
	copy(s.g, s.force)
	if s.Beam != nil {
		w := s.curved(s.q)
		for r := range s.n - 1 {
			for c := max(0, r-3); c < min(s.n-1, r+4); c++ {
				s.g[r] += float64(s.bend[r*s.n+c] * w[c])
			}
		}
	}
	for b := range s.blocks {
		sums := &s.blocks[b]
		if sums.n == 0 {
			continue
		}
		u, v := &s.xAt[b], &s.xAt[b+1]
		o0, o1 := float64(ks*(sums.o-sums.ot)), float64(ks*sums.ot)
		for c := range s.width {
			s.g[u.first+c] -= float64(o0 * u.w[c])
			s.g[v.first+c] -= float64(o1 * v.w[c])
		}
		s.g[s.n-1] -= float64(ks * sums.oy)
	}
	sum := 0.0
	for c, g := range s.g {
		if s.Beam != nil && c%2 == 1 {
			g /= s.Beam.nodes[1] - s.Beam.nodes[0] // a moment
		}
		sum += math.Abs(g)
	}
	return sum
}

// hessian fills in the stiffness of bed and beam.
func (s *settler) hessian(ks float64) {
	n := s.n
	copy(s.h, s.bend)
	add := func(a, b *xShares, f float64) {
		for r := range s.width {
			row := s.h[(a.first+r)*n+b.first:]
			for c := range s.width {
				row[c] += float64(float64(f*a.w[r]) * b.w[c])
			}
		}
	}
	for k := range s.blocks {
		b := &s.blocks[k]
		if b.n == 0 {
			continue
		}
		u, v := &s.xAt[k], &s.xAt[k+1]
		add(u, u, ks*(b.n-2*b.t+b.tt))
		add(u, v, ks*(b.t-b.tt))
		add(v, u, ks*(b.t-b.tt))
		add(v, v, ks*b.tt)
		y0, y1 := float64(ks*(b.y-b.ty)), float64(ks*b.ty)
		last := s.h[(n-1)*n:]
		for c := range s.width {
			last[u.first+c] += float64(y0 * u.w[c])
			last[v.first+c] += float64(y1 * v.w[c])
		}
		last[n-1] += float64(ks * b.yy)
	}
}

// rows visits the cells under the master, a row of a block at a time: the cells
// from column i0 of row j on have the heights z, and left + step i is what stands
// on the i-th of them.
func (l *Lie) rows(visit func(z []float64, i0, j int, left, step float64)) {
	b := l.bed
	nc := len(b.cols)
	for bj := range b.by {
		deep := 1 / float64(max(1, b.rows[bj+1]-b.rows[bj]))
		for j := max(b.rows[bj], l.under[1]); j < min((bj+1)*settleBlock, l.under[3]); j++ {
			v := float64(j-b.rows[bj]) * deep
			for bi := range b.bx {
				i0, i1 := max(b.cols[bi], l.under[0]), min((bi+1)*settleBlock, l.under[2])
				if i0 >= i1 {
					continue
				}
				c := l.surface[bj*nc+bi:]
				left := c[0] + float64((c[nc]-c[0])*v)
				step := (c[1] + float64((c[nc+1]-c[1])*v) - left) / float64(max(1, b.cols[bi+1]-b.cols[bi]))
				visit(b.m.Z[j*b.m.NX+i0:j*b.m.NX+i1], i0, j, left+float64(step*float64(i0-b.cols[bi])), step)
			}
		}
	}
}

// Overlap writes, for each cell, how far it overlaps the master, um, at that of
// several lies on one Bed in which it does so most: minus the gap, NaN where it
// never had the master under it. Seated on a plane at 0 the result behaves as the
// part did along the way. out may be the very map of the Bed, which is then used
// up; nil allocates.
func Overlap(out *surface.Map, lies ...*Lie) *surface.Map {
	b := lies[0].bed
	if out == nil {
		out = surface.NewMap(b.m.Grid)
	}
	out.Grid = b.m.Grid
	same := true
	for _, l := range lies {
		same = same && l.under == lies[0].under
	}
	if same {
		// What is smooth can be compared at the corners of the blocks.
		most := *lies[0]
		most.surface = append([]float64(nil), most.surface...)
		for _, l := range lies[1:] {
			for k, v := range l.surface {
				most.surface[k] = math.Max(most.surface[k], v)
			}
		}
		lies = []*Lie{&most}
	}
	z := out.Z
	if !same || lies[0].under != [4]int{0, 0, b.m.NX, b.m.NY} {
		z = make([]float64, len(out.Z))
		for k := range z {
			z[k] = math.NaN()
		}
	}
	for _, l := range lies {
		l.rows(func(heights []float64, i0, j int, left, step float64) {
			row := z[j*b.m.NX+i0:][:len(heights)]
			for i, h := range heights {
				if o := h + (left + float64(step*steps[i])); !(o <= row[i]) || same {
					row[i] = o
				}
			}
		})
	}
	out.Z = z
	return out
}

// Pressed are the places at which part and master bear on each other, the cells
// of one row of a block taken together, N being the force there on a bed of
// stiffness k.
func (l *Lie) Pressed(k float64) []Load {
	var out []Load
	m := l.bed.m
	ks := k * m.CellArea()
	l.rows(func(z []float64, i0, j int, left, step float64) {
		var o, ox float64
		for i, h := range z {
			if d := h + (left + float64(step*steps[i])); d > 0 {
				o += d
				ox += float64(d * m.X(i0+i))
			}
		}
		if o > 0 {
			out = append(out, Load{X: ox / o, Y: m.Y(j), N: float64(ks * o)})
		}
	})
	return out
}
