package gauge

import (
	"math"
	"slices"

	"github.com/before-iron/beforeiron/sim/surface"
)

// SizeDistribution is how large the patches or the points of a face are.
type SizeDistribution struct{ areas []float64 } // mm^2, rising

// PatchSizes is the distribution of the areas of the patches before splitting.
func (c *PointCount) PatchSizes() SizeDistribution {
	areas := make([]float64, len(c.Patches))
	for k, p := range c.Patches {
		areas[k] = p.AreaMM2
	}
	return newSizeDistribution(areas)
}

// PointSizes is the distribution of the areas of the points, each with the
// cells of its patch that are nearest to it. Only where HasPoints.
func (c *PointCount) PointSizes() SizeDistribution {
	areas := make([]float64, c.Points)
	for _, p := range c.PointImage(nil) {
		if p > 0 {
			areas[p-1] += c.grid.CellArea()
		}
	}
	return newSizeDistribution(areas)
}

func newSizeDistribution(areas []float64) SizeDistribution {
	slices.Sort(areas)
	return SizeDistribution{areas}
}

// N is how many there are; the figures below mean nothing where that is 0.
func (s SizeDistribution) N() int { return len(s.areas) }

// Mean area, mm^2.
func (s SizeDistribution) Mean() float64 {
	sum := 0.0
	for _, a := range s.areas {
		sum += a
	}
	return sum / float64(len(s.areas))
}

// Variation is the standard deviation (n-1) over the mean: 0 where all are of
// one size.
func (s SizeDistribution) Variation() float64 {
	mean, ss := s.Mean(), 0.0
	for _, a := range s.areas {
		ss += float64((a - mean) * (a - mean))
	}
	return math.Sqrt(ss/float64(len(s.areas)-1)) / mean
}

// Quantile is the area, mm^2, that the share p (0 to 1) of them does not
// exceed, interpolated between neighbours.
func (s SizeDistribution) Quantile(p float64) float64 {
	at := p * float64(len(s.areas)-1)
	k := min(int(at), max(len(s.areas)-2, 0))
	a := s.areas[k]
	if k+1 < len(s.areas) {
		a += float64((at - float64(k)) * (s.areas[k+1] - a))
	}
	return a
}

// Circle is a place on a face, mm.
type Circle struct{ X, Y, Diameter float64 }

// LargestBald is the largest circle wholly on the face with no coloured cell in
// it: its centre is that of a cell, and it reaches to the centre of the nearest
// cell that is coloured or not metal (beyond an edge included), the first in
// raster order where there are several. ok is false where every cell is
// coloured. mask and valid (nil: all) as in CountPoints.
func LargestBald(mask, valid []bool, g surface.Grid) (c Circle, ok bool) {
	open := make([]bool, len(mask))
	for k, on := range mask {
		open[k] = !on && (valid == nil || valid[k])
	}
	best := 0.0
	for k, d := range clearance(open, g) {
		if d > best {
			best = d
			c = Circle{X: g.X(k % g.NX), Y: g.Y(k / g.NX), Diameter: 2 * math.Sqrt(d)}
		}
	}
	return c, best > 0
}

// clearance is, for every cell, the squared distance, mm^2, from its centre to
// that of the nearest cell that is not open, the ring of cells around the grid
// included: along columns first, then along rows the lower envelope of the
// parabolas that stand on the columns' answers (Felzenszwalb and Huttenlocher,
// Theory of Computing 8, 2012).
func clearance(open []bool, g surface.Grid) []float64 {
	nx, ny := g.NX, g.NY
	column := make([]int, nx*ny) // cells to the nearest that is not open
	for i := 0; i < nx; i++ {
		run := 0
		for j := 0; j < ny; j++ {
			run++
			if !open[j*nx+i] {
				run = 0
			}
			column[j*nx+i] = run
		}
		run = 0
		for j := ny - 1; j >= 0; j-- {
			run++
			column[j*nx+i] = min(run, column[j*nx+i])
			run = column[j*nx+i]
		}
	}
	out := make([]float64, nx*ny)
	height := make([]float64, nx+2) // of the parabola at column i-1, in dx^2
	apex := make([]int, nx+2)
	from := make([]float64, nx+3) // parabola apex[k] is lowest from from[k] on
	ratio := g.DY / g.DX
	for j := 0; j < ny; j++ {
		for i := 0; i < nx; i++ {
			d := float64(column[j*nx+i]) * ratio
			height[i+1] = float64(d * d)
		}
		top := -1
		for q := 0; q < nx+2; q++ {
			meet := math.Inf(-1)
			for top >= 0 {
				p := apex[top]
				meet = (height[q] - height[p] + float64(q*q-p*p)) / float64(2*(q-p))
				if meet > from[top] {
					break
				}
				top--
			}
			if top < 0 {
				meet = math.Inf(-1)
			}
			top++
			apex[top], from[top] = q, meet
		}
		from[top+1] = math.Inf(1)
		k := 0
		for i := 0; i < nx; i++ {
			for from[k+1] < float64(i+1) {
				k++
			}
			d := float64(i + 1 - apex[k])
			out[j*nx+i] = (float64(d*d) + height[apex[k]]) * float64(g.DX*g.DX)
		}
	}
	return out
}

// HollowFigures say how deep the face lies around its points, um.
type HollowFigures struct {
	Depth []float64 // of each point in List; NaN where it has no surroundings
	// Mean, Least and Greatest are over the points that have a depth.
	Mean, Least, Greatest float64
	N                     int // points that have one
}

// Hollows measures the depth of the hollows around the points of a count: by
// how much the median height of the bare cells around a point lies below the
// median height of its own cells, from the seated plane. Around a point are the
// cells that are nearer to its centroid than to any other's and no farther than
// the mean spacing, the root of face per point. (No published measure fixes the
// surroundings: assumed.) Only where HasPoints.
func (c *PointCount) Hollows(m *surface.Map, plane surface.Plane) HollowFigures {
	f := HollowFigures{Mean: math.NaN(), Least: math.NaN(), Greatest: math.NaN()}
	if c.Points == 0 {
		return f
	}
	tops, around := make([][]float64, c.Points), make([][]float64, c.Points)
	x, y := c.xy()
	at := sorted(x, y)
	reach2 := c.ValidMM2 / float64(c.Points)
	own := c.PointImage(nil)
	for j := 0; j < m.NY; j++ {
		for i := 0; i < m.NX; i++ {
			k := j*m.NX + i
			h := m.Z[k] - plane.At(m.X(i), m.Y(j))
			switch {
			case h != h:
			case own[k] > 0:
				tops[own[k]-1] = append(tops[own[k]-1], h)
			case !c.blue.at(i, j):
				if p, d2 := at.nearest(m.X(i), m.Y(j), -1); d2 <= reach2 {
					around[p] = append(around[p], h)
				}
			}
		}
	}
	f.Depth = make([]float64, c.Points)
	sum := 0.0
	for p := range f.Depth {
		f.Depth[p] = math.NaN()
		if len(around[p]) == 0 {
			continue
		}
		d := median(tops[p]) - median(around[p])
		f.Depth[p] = d
		sum += d
		if f.N == 0 {
			f.Least, f.Greatest = d, d
		}
		f.Least, f.Greatest = min(f.Least, d), max(f.Greatest, d)
		f.N++
	}
	if f.N > 0 {
		f.Mean = sum / float64(f.N)
	}
	return f
}

// median of v, which it sorts.
func median(v []float64) float64 {
	slices.Sort(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}
