package gauge

import "math"

// ClarkEvans is the ratio of the mean distance of n points to their nearest
// neighbours to what a random scatter over areaMM2 would show, 0.5
// sqrt(area/n): below 1 clustered, 1 random, 2 a square lattice, 2.149 a
// hexagonal one (Clark and Evans 1954). Points near the edge have their
// neighbours cut off, which this does not correct. ok is false for fewer than
// two points.
func ClarkEvans(x, y []float64, areaMM2 float64) (ratio float64, ok bool) {
	n := len(x)
	if n < 2 || areaMM2 <= 0 {
		return 0, false
	}
	return meanNearest(x, y) / (0.5 * math.Sqrt(areaMM2/float64(n))), true
}

// meanNearest is the mean distance of the points to their nearest neighbours.
func meanNearest(x, y []float64) float64 {
	sum := 0.0
	for _, d := range nearest(x, y) {
		sum += d
	}
	return sum / float64(len(x))
}

// nearest is the distance of every point to its nearest neighbour. Points are
// sorted into strips a mean spacing wide, so that only near ones are compared.
func nearest(x, y []float64) []float64 {
	n := len(x)
	x0, x1, y0, y1 := x[0], x[0], y[0], y[0]
	for k := range x {
		x0, x1 = min(x0, x[k]), max(x1, x[k])
		y0, y1 = min(y0, y[k]), max(y1, y[k])
	}
	side := max(math.Sqrt((x1-x0)*(y1-y0)/float64(n)), max(x1-x0, y1-y0)/float64(n))
	if side == 0 {
		return make([]float64, n) // all in one place
	}
	nx, ny := int((x1-x0)/side)+1, int((y1-y0)/side)+1
	cell := func(k int) (int, int) { return int((x[k] - x0) / side), int((y[k] - y0) / side) }
	bins := make([][]int, nx*ny)
	for k := range x {
		i, j := cell(k)
		bins[j*nx+i] = append(bins[j*nx+i], k)
	}
	out := make([]float64, n)
	for k := range x {
		best := math.Inf(1) // squared
		ci, cj := cell(k)
		// Ring r holds nothing nearer than r-1 sides.
		for r := 0; r <= max(nx, ny); r++ {
			if d := float64(r-1) * side; r > 0 && float64(d*d) >= best {
				break
			}
			for j := max(cj-r, 0); j <= min(cj+r, ny-1); j++ {
				step := 1
				if j != cj-r && j != cj+r {
					step = 2 * r
				}
				for i := ci - r; i <= ci+r; i += max(step, 1) {
					if i < 0 || i >= nx {
						continue
					}
					for _, q := range bins[j*nx+i] {
						if q != k {
							dx, dy := x[q]-x[k], y[q]-y[k]
							best = min(best, float64(dx*dx)+float64(dy*dy))
						}
					}
				}
			}
		}
		out[k] = math.Sqrt(best)
	}
	return out
}

// QuadratVMR is the ratio of variance to mean of the numbers of points in nx by
// ny equal rectangles of the window x0..x1, y0..y1 (variance with n-1): 0 for a
// lattice, 1 for a random scatter, more when clustered. The first edges of a
// rectangle belong to it. ok is false without points or with one rectangle.
func QuadratVMR(x, y []float64, x0, y0, x1, y1 float64, nx, ny int) (ratio float64, ok bool) {
	cells := nx * ny
	if len(x) == 0 || cells < 2 {
		return 0, false
	}
	counts := make([]int, cells)
	bin := func(v, lo, hi float64, n int) int {
		k := int(math.Floor(float64(n)*((v-lo)/(hi-lo)) + hair))
		return min(max(k, 0), n-1)
	}
	for k := range x {
		counts[bin(y[k], y0, y1, ny)*nx+bin(x[k], x0, x1, nx)]++
	}
	mean := float64(len(x)) / float64(cells)
	ss := 0.0
	for _, c := range counts {
		d := float64(c) - mean
		ss += float64(d * d)
	}
	return ss / float64(cells-1) / mean, true
}
