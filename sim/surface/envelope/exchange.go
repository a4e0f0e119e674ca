package envelope

import "math"

// column is one possible support: the coefficients of its weight in the
// conditions of balance, and the height that it carries.
type column struct {
	a    [4]float64
	cost float64
	p    point
}

// exchange is a simplex method on the weights of the supports: rows conditions
// (three of balance; for a zone a fourth that the weights sum to one), as many
// supports as conditions. Supports on one line and loads on an edge make
// weights of nought; a lexicographic ratio test keeps such a seat from going
// round in circles.
type exchange struct {
	rows    int
	rhs     [4]float64
	basis   [4]column
	first   [4][4]float64 // the basis it began with: what the tie-break perturbs along
	inverse [4][4]float64
	weight  [4]float64
	plane   [4]float64 // a, b, c over scaled coordinates, and the half zone
}

// begin records the starting basis and solves it; false when it is singular.
func (e *exchange) begin() bool {
	for r := 0; r < e.rows; r++ {
		for c := 0; c < e.rows; c++ {
			e.first[r][c] = e.basis[c].a[r]
		}
	}
	return e.solve()
}

// solve refreshes inverse, weights and plane from the basis.
func (e *exchange) solve() bool {
	m := e.rows
	var a [4][8]float64
	for r := 0; r < m; r++ {
		for c := 0; c < m; c++ {
			a[r][c] = e.basis[c].a[r]
		}
		a[r][m+r] = 1
	}
	for c := 0; c < m; c++ {
		p := c
		for r := c + 1; r < m; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		if math.Abs(a[p][c]) < 1e-14 {
			return false
		}
		a[c], a[p] = a[p], a[c]
		inv := 1 / a[c][c]
		for k := c; k < 2*m; k++ {
			a[c][k] = float64(a[c][k] * inv)
		}
		for r := 0; r < m; r++ {
			if f := a[r][c]; r != c && f != 0 {
				for k := c; k < 2*m; k++ {
					a[r][k] -= float64(f * a[c][k])
				}
			}
		}
	}
	for r := 0; r < m; r++ {
		w := 0.0
		for c := 0; c < m; c++ {
			e.inverse[r][c] = a[r][m+c]
			w += float64(a[r][m+c] * e.rhs[c])
		}
		e.weight[r] = max(w, 0)
	}
	for c := 0; c < m; c++ {
		v := 0.0
		for r := 0; r < m; r++ {
			v += float64(e.basis[r].cost * e.inverse[r][c])
		}
		e.plane[c] = v
	}
	return true
}

// enter brings a support in and takes out the one whose weight first falls to
// nought; false when rounding leaves none to take out.
func (e *exchange) enter(in column) bool {
	const small = 1e-11
	m := e.rows
	var d [4]float64
	for r := 0; r < m; r++ {
		for c := 0; c < m; c++ {
			d[r] += float64(e.inverse[r][c] * in.a[c])
		}
	}
	out := -1
	for r := 0; r < m; r++ {
		if d[r] > small && (out < 0 || e.before(r, out, d)) {
			out = r
		}
	}
	if out < 0 {
		return false
	}
	kept := *e
	e.basis[out] = in
	if !e.solve() {
		*e = kept
		return false
	}
	return true
}

// before reports whether the weight of row r falls to nought before that of
// row q, ties broken as if the load had been moved by ever smaller amounts
// along the supports that it began on.
func (e *exchange) before(r, q int, d [4]float64) bool {
	const same = 1e-12
	if t := e.weight[r]/d[r] - e.weight[q]/d[q]; math.Abs(t) > same {
		return t < 0
	}
	for c := 0; c < e.rows; c++ {
		lr, lq := 0.0, 0.0
		for k := 0; k < e.rows; k++ {
			lr += float64(e.inverse[r][k] * e.first[k][c])
			lq += float64(e.inverse[q][k] * e.first[k][c])
		}
		if t := lr/d[r] - lq/d[q]; math.Abs(t) > same {
			return t < 0
		}
	}
	return false
}

// maxExchanges bounds the exchanges on one working set; some tens are usual.
const maxExchanges = 2000

// settle exchanges supports until no point of w lies outside by more than tol.
// With zone the plane is a pair of planes, else the points lie below it.
func (e *exchange) settle(w []point, zone bool, tol float64) {
	for n := 0; n < maxExchanges; n++ {
		a, b, c := e.plane[0], e.plane[1], e.plane[2]
		worst, at, sign := tol, -1, 1.0
		for k := range w {
			p := &w[k]
			r := p.z - a - float64(b*p.u) - float64(c*p.v)
			if zone {
				if -r-e.plane[3] > worst {
					worst, at, sign = -r-e.plane[3], k, -1
				}
				r -= e.plane[3]
			}
			if r > worst {
				worst, at, sign = r, k, 1
			}
		}
		if at < 0 {
			return
		}
		in := above(w[at])
		if zone {
			in = within(w[at], sign)
		}
		if !e.enter(in) {
			return
		}
	}
}

// above is the column of a support under a plane whose load is at the origin.
func above(p point) column {
	return column{a: [4]float64{1, p.u, p.v}, cost: p.z, p: p}
}

// within is the column of a support of a zone: sign +1 for the upper plane, -1
// for the lower.
func within(p point, sign float64) column {
	return column{a: [4]float64{sign, sign * p.u, sign * p.v, 1}, cost: sign * p.z, p: p}
}
