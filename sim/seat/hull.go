package seat

import "github.com/before-iron/beforeiron/sim/surface"

// insideHull reports whether (x, y) mm lies inside, or on the edge of, the
// convex hull of the centres of the valid cells.
func insideHull(m *surface.Map, x, y float64) bool {
	return insideHullOf(m, [4]int{0, 0, m.NX, m.NY}, x, y)
}

// insideHullOf is insideHull of the cells from column r[0] and row r[1] up to,
// and without, column r[2] and row r[3].
func insideHullOf(m *surface.Map, r [4]int, x, y float64) bool {
	// The first and last valid cell of each row hold all hull vertices.
	var left, right [][2]float64
	for j := r[1]; j < r[3]; j++ {
		row := m.Z[j*m.NX : (j+1)*m.NX]
		i0, i1 := r[0], r[2]-1
		for i0 < r[2] && row[i0] != row[i0] {
			i0++
		}
		if i0 >= r[2] {
			continue
		}
		for row[i1] != row[i1] {
			i1--
		}
		left = pushTurn(left, [2]float64{m.X(i0), m.Y(j)}, -1)
		right = pushTurn(right, [2]float64{m.X(i1), m.Y(j)}, 1)
	}
	if len(left) == 0 {
		return false
	}
	tol := 1e-9 * (m.DX + m.DY)
	if y < left[0][1]-tol || y > left[len(left)-1][1]+tol {
		return false
	}
	return x >= chainX(left, y)-tol && x <= chainX(right, y)+tol
}

// pushTurn appends p to a chain of rising y, dropping points that would make it
// bend inwards: side is -1 for the left chain and +1 for the right.
func pushTurn(chain [][2]float64, p [2]float64, side float64) [][2]float64 {
	for len(chain) >= 2 {
		a, b := chain[len(chain)-2], chain[len(chain)-1]
		turn := float64((b[0]-a[0])*(p[1]-a[1])) - float64((b[1]-a[1])*(p[0]-a[0]))
		if side*turn > 0 {
			break
		}
		chain = chain[:len(chain)-1]
	}
	return append(chain, p)
}

// chainX is the x of a chain at height y, its ends held.
func chainX(chain [][2]float64, y float64) float64 {
	for n := 1; n < len(chain); n++ {
		if a, b := chain[n-1], chain[n]; y <= b[1] {
			t := max(0, (y-a[1])/(b[1]-a[1]))
			return a[0] + float64(t*(b[0]-a[0]))
		}
	}
	return chain[len(chain)-1][0]
}
