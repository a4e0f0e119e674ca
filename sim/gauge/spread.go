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

// nearest is the distance of every point to its nearest neighbour.
func nearest(x, y []float64) []float64 {
	s := sorted(x, y)
	out := make([]float64, len(x))
	for k := range x {
		_, d2 := s.nearest(x[k], y[k], k)
		out[k] = math.Sqrt(d2)
	}
	return out
}

// places are points sorted into square boxes about a mean spacing wide, so that
// a search for the nearest looks at a few of them.
type places struct {
	x, y         []float64
	x0, y0, side float64
	nx, ny       int
	boxes        [][]int
}

func sorted(x, y []float64) *places {
	s := &places{x: x, y: y, x0: x[0], y0: y[0]}
	x1, y1 := x[0], y[0]
	for k := range x {
		s.x0, x1 = min(s.x0, x[k]), max(x1, x[k])
		s.y0, y1 = min(s.y0, y[k]), max(y1, y[k])
	}
	w, h, n := x1-s.x0, y1-s.y0, float64(len(x))
	s.side = max(math.Sqrt(w*h/n), max(w, h)/n)
	if s.side == 0 {
		s.side = 1 // all in one place
	}
	s.nx, s.ny = int(w/s.side)+1, int(h/s.side)+1
	s.boxes = make([][]int, s.nx*s.ny)
	for k := range x {
		i, j := s.box(x[k], y[k])
		s.boxes[j*s.nx+i] = append(s.boxes[j*s.nx+i], k)
	}
	return s
}

func (s *places) box(x, y float64) (i, j int) {
	i, j = int((x-s.x0)/s.side), int((y-s.y0)/s.side)
	return min(max(i, 0), s.nx-1), min(max(j, 0), s.ny-1)
}

// nearest is the place nearest to (x, y), place skip left out, and its squared
// distance; -1 and +Inf where there is none.
func (s *places) nearest(x, y float64, skip int) (k int, d2 float64) {
	k, d2 = -1, math.Inf(1)
	ci, cj := s.box(x, y)
	// Ring r of boxes holds nothing nearer than r-1 sides, wherever in its box,
	// or beside the boxes, (x, y) lies.
	for r := 0; r <= max(s.nx, s.ny); r++ {
		if d := float64(r-1) * s.side; r > 0 && float64(d*d) >= d2 {
			break
		}
		for j := max(cj-r, 0); j <= min(cj+r, s.ny-1); j++ {
			step := 1
			if r > 0 && j != cj-r && j != cj+r {
				step = 2 * r
			}
			for i := ci - r; i <= ci+r; i += step {
				if i < 0 || i >= s.nx {
					continue
				}
				for _, q := range s.boxes[j*s.nx+i] {
					dx, dy := s.x[q]-x, s.y[q]-y
					if d := float64(dx*dx) + float64(dy*dy); d < d2 && q != skip {
						k, d2 = q, d
					}
				}
			}
		}
	}
	return k, d2
}

// ClarkEvansDonnelly is ClarkEvans with the correction for the edge of a
// rectangular window of Donnelly 1978 (from memory): what a random scatter
// would show grows by (0.0514 + 0.041/sqrt(n)) perimeter/n.
func ClarkEvansDonnelly(x, y []float64, areaMM2, perimeterMM float64) (ratio float64, ok bool) {
	n := float64(len(x))
	if n < 2 || areaMM2 <= 0 {
		return 0, false
	}
	random := 0.5*math.Sqrt(areaMM2/n) + (0.0514+0.041/math.Sqrt(n))*perimeterMM/n
	return meanNearest(x, y) / random, true
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
		k := int(math.Floor(float64(float64(n)*((v-lo)/(hi-lo))) + hair))
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
