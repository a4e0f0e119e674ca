package surface

import (
	"errors"
	"math"
	"sort"
)

// tensorSpline evaluates the natural bicubic spline through z on the grid of
// readings at the cell centres of g.
func tensorSpline(from Grid, z []float64, g Grid) []float64 {
	// Along x through every row of readings, then along y through the columns
	// that this gives.
	rows := make([]float64, from.NY*g.NX)
	s := newNaturalSpline(from.NX)
	for j := range from.NY {
		s.fit(z[j*from.NX : (j+1)*from.NX])
		for i := range g.NX {
			rows[j*g.NX+i] = s.at((g.X(i) - from.X0) / from.DX)
		}
	}
	out := make([]float64, g.Cells())
	s = newNaturalSpline(from.NY)
	column := make([]float64, from.NY)
	for i := range g.NX {
		for j := range from.NY {
			column[j] = rows[j*g.NX+i]
		}
		s.fit(column)
		for j := range g.NY {
			out[j*g.NX+i] = s.at((g.Y(j) - from.Y0) / from.DY)
		}
	}
	return out
}

// naturalSpline is the cubic spline through values at 0, 1, 2 ... whose second
// derivative m is zero at both ends.
type naturalSpline struct {
	y, m []float64
	w    []float64 // of the elimination: the same for every set of values
}

func newNaturalSpline(n int) *naturalSpline {
	s := &naturalSpline{m: make([]float64, n), w: make([]float64, n)}
	for k := 1; k < n-1; k++ {
		s.w[k] = 1 / (4 - s.w[k-1])
	}
	return s
}

// fit solves m[k-1] + 4 m[k] + m[k+1] = 6 (y[k-1] - 2 y[k] + y[k+1]).
func (s *naturalSpline) fit(y []float64) {
	s.y = y
	n := len(y)
	for k := 1; k < n-1; k++ {
		rhs := float64(6 * ((y[k+1] - y[k]) - (y[k] - y[k-1])))
		s.m[k] = float64((rhs - s.m[k-1]) * s.w[k])
	}
	s.m[n-1] = 0
	for k := n - 2; k >= 1; k-- {
		s.m[k] -= float64(s.w[k] * s.m[k+1])
	}
}

func (s *naturalSpline) at(t float64) float64 {
	k := max(0, min(int(math.Floor(t)), len(s.y)-2))
	b := t - float64(k)
	a := 1 - b
	bend := float64(float64(float64(a*a)*a-a)*s.m[k]) + float64(float64(float64(b*b)*b-b)*s.m[k+1])
	return float64(a*s.y[k]) + float64(b*s.y[k+1]) + bend/6
}

// fill replaces missing heights by those that bend least: they minimise the
// sum of squared second differences over the grid (conjugate gradients from
// the least-squares plane). Heights that are there stay as they are.
func fill(g Grid, z []float64) {
	plane, err := LeastSquares(&Map{Grid: g, Z: z})
	if err != nil {
		plane = Plane{}
	}
	var gaps []int
	for k := range z {
		if z[k] != z[k] {
			gaps = append(gaps, k)
			z[k] = plane.At(g.X(k%g.NX), g.Y(k/g.NX))
		}
	}
	stiff := newBending(g)
	force := make([]float64, len(z))
	residual := make([]float64, len(gaps))
	stiff.apply(z, force)
	for q, k := range gaps {
		residual[q] = -force[k]
	}
	step := append([]float64(nil), residual...)
	wide := make([]float64, len(z))
	energy := dot(residual, residual)
	enough := float64(energy * 1e-24)
	for range min(10*len(gaps), 500) {
		if energy <= enough {
			return
		}
		for q, k := range gaps {
			wide[k] = step[q]
		}
		stiff.apply(wide, force)
		curve := 0.0
		for q, k := range gaps {
			curve += float64(step[q] * force[k])
		}
		if !(curve > 0) {
			return
		}
		a := energy / curve
		for q, k := range gaps {
			z[k] += float64(a * step[q])
			residual[q] -= float64(a * force[k])
		}
		next := dot(residual, residual)
		b := next / energy
		energy = next
		for q := range step {
			step[q] = residual[q] + float64(b*step[q])
		}
	}
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for k := range a {
		sum += float64(a[k] * b[k])
	}
	return sum
}

// bending is the gradient of the energy sum(zxx^2 + 2 zxy^2 + zyy^2) of a thin
// plate over a grid, as second differences.
type bending struct {
	nx, ny     int
	xx, xy, yy float64 // weights of the three terms
}

func newBending(g Grid) bending {
	r := g.DX / g.DY
	return bending{g.NX, g.NY, 1, float64(2 * float64(r*r)), float64(float64(r*r) * float64(r*r))}
}

func (b bending) apply(z, out []float64) {
	clear(out)
	nx := b.nx
	for j := range b.ny {
		for i := range nx {
			k := j*nx + i
			if i > 0 && i < nx-1 {
				d := float64(b.xx * ((z[k-1] - z[k]) - (z[k] - z[k+1])))
				out[k-1] += d
				out[k] -= 2 * d
				out[k+1] += d
			}
			if j > 0 && j < b.ny-1 {
				d := float64(b.yy * ((z[k-nx] - z[k]) - (z[k] - z[k+nx])))
				out[k-nx] += d
				out[k] -= 2 * d
				out[k+nx] += d
			}
			if i < nx-1 && j < b.ny-1 {
				d := float64(b.xy * ((z[k] - z[k+1]) - (z[k+nx] - z[k+nx+1])))
				out[k] += d
				out[k+1] -= d
				out[k+nx] -= d
				out[k+nx+1] += d
			}
		}
	}
}

// radialSpline is sum(w |p - p_k|^3) + a + b x + c y: the cubic radial spline,
// which is exact at its points and, unlike the thin plate's r^2 log r, is made
// of products and square roots alone and so is the same on every processor.
type radialSpline struct {
	x, y, w []float64 // scaled to the unit square
	a, b, c float64
	x0, y0  float64
	scale   float64
}

func fitRadial(x, y, z []float64) (*radialSpline, error) {
	n := len(x)
	s := &radialSpline{x: make([]float64, n), y: make([]float64, n), x0: x[0], y0: y[0]}
	for k := range n {
		s.scale = max(s.scale, math.Abs(x[k]-s.x0), math.Abs(y[k]-s.y0))
	}
	for k := range n {
		s.x[k], s.y[k] = (x[k]-s.x0)/s.scale, (y[k]-s.y0)/s.scale
	}
	rows := make([][]float64, n+3)
	for k := range rows {
		rows[k] = make([]float64, n+4)
	}
	for k := range n {
		row := rows[k]
		for q := range n {
			row[q] = cube(s.x[k]-s.x[q], s.y[k]-s.y[q])
		}
		row[n], row[n+1], row[n+2], row[n+3] = 1, s.x[k], s.y[k], z[k]
		rows[n][k], rows[n+1][k], rows[n+2][k] = 1, s.x[k], s.y[k]
	}
	w, ok := solve(rows)
	if ok {
		s.w, s.a, s.b, s.c = w[:n], w[n], w[n+1], w[n+2]
		for k := range n {
			ok = ok && math.Abs(s.at(x[k], y[k])-z[k]) <= 0.01
		}
	}
	if !ok {
		return nil, errors.New("no smooth surface passes through the readings: some lie too close together; leave one of each pair out")
	}
	return s, nil
}

func cube(dx, dy float64) float64 {
	q := float64(dx*dx) + float64(dy*dy)
	return float64(q * math.Sqrt(q))
}

func (s *radialSpline) at(x, y float64) float64 {
	x, y = (x-s.x0)/s.scale, (y-s.y0)/s.scale
	sum := s.a + float64(s.b*x) + float64(s.c*y)
	for k, w := range s.w {
		sum += float64(w * cube(x-s.x[k], y-s.y[k]))
	}
	return sum
}

// solve eliminates an augmented square system in place, with row exchanges.
func solve(rows [][]float64) ([]float64, bool) {
	n := len(rows)
	for c := range n {
		best := c
		for r := c + 1; r < n; r++ {
			if math.Abs(rows[r][c]) > math.Abs(rows[best][c]) {
				best = r
			}
		}
		rows[c], rows[best] = rows[best], rows[c]
		pivot := rows[c]
		if pivot[c] == 0 {
			return nil, false
		}
		for r := c + 1; r < n; r++ {
			row := rows[r]
			f := row[c] / pivot[c]
			if f == 0 {
				continue
			}
			for k := c + 1; k <= n; k++ {
				row[k] -= float64(f * pivot[k])
			}
		}
	}
	out := make([]float64, n)
	for c := n - 1; c >= 0; c-- {
		v := rows[c][n]
		for k := c + 1; k < n; k++ {
			v -= float64(rows[c][k] * out[k])
		}
		out[c] = v / rows[c][c]
	}
	return out, true
}

// hull is a convex polygon, counter-clockwise.
type hull struct{ x, y []float64 }

// convexHull is the hull of points (Andrew's monotone chain).
func convexHull(x, y []float64) hull {
	order := make([]int, len(x))
	for k := range order {
		order[k] = k
	}
	sort.Slice(order, func(a, b int) bool {
		a, b = order[a], order[b]
		if x[a] != x[b] {
			return x[a] < x[b]
		}
		return y[a] < y[b]
	})
	var h hull
	chain := func(order []int) {
		base := len(h.x)
		for _, k := range order {
			for len(h.x)-base >= 2 && h.side(len(h.x)-2, len(h.x)-1, x[k], y[k]) <= 0 {
				h.x, h.y = h.x[:len(h.x)-1], h.y[:len(h.y)-1]
			}
			h.x, h.y = append(h.x, x[k]), append(h.y, y[k])
		}
		h.x, h.y = h.x[:len(h.x)-1], h.y[:len(h.y)-1] // the next chain begins with it
	}
	chain(order)
	for a, b := 0, len(order)-1; a < b; a, b = a+1, b-1 {
		order[a], order[b] = order[b], order[a]
	}
	chain(order)
	return h
}

// side is positive where (x, y) lies left of the line from corner a to b.
func (h hull) side(a, b int, x, y float64) float64 {
	return float64((h.x[b]-h.x[a])*(y-h.y[a])) - float64((h.y[b]-h.y[a])*(x-h.x[a]))
}

func (h hull) holds(x, y float64) bool {
	for a := range h.x {
		b := (a + 1) % len(h.x)
		slack := 1e-9 * (math.Abs(h.x[b]-h.x[a]) + math.Abs(h.y[b]-h.y[a])) * (1 + math.Abs(x-h.x[a]) + math.Abs(y-h.y[a]))
		if h.side(a, b, x, y) < -slack {
			return false
		}
	}
	return true
}

// punchOutside makes the cells outside h missing.
func punchOutside(g Grid, z []float64, h hull) {
	for k := range z {
		if !h.holds(g.X(k%g.NX), g.Y(k/g.NX)) {
			z[k] = math.NaN()
		}
	}
}
