package gauge

import "github.com/before-iron/beforeiron/sim/surface"

// BearingFigures says how a face bears at a film: nothing of it means anything
// without that film and the seat it was taken on. Figures that have no meaning
// are nil.
type BearingFigures struct {
	FilmUM   float64
	Cells    int // cells with a gap of at most the film
	AreaPct  float64
	Spots    int
	Points   *int
	PerIn2   *float64
	FrameMin *int
	FrameMax *int
	// ClarkEvans is without edge correction; VMR3x3 over the bounding window.
	ClarkEvans *float64
	VMR3x3     *float64
}

// gapRounding is what rounding may add to a gap that equals the film, um.
const gapRounding = 1e-6

// BearingMask marks the cells of m whose gap under the seated plane is at most
// film um, and the valid cells (nil when all are).
func BearingMask(m *surface.Map, plane surface.Plane, film float64) (mask, valid []bool) {
	mask = make([]bool, m.Cells())
	slope := columnSlopes(m, plane)
	missing := false
	for j := 0; j < m.NY; j++ {
		base := plane.A + float64(plane.C*m.Y(j))
		row, out := m.Z[j*m.NX:(j+1)*m.NX], mask[j*m.NX:(j+1)*m.NX]
		for i, z := range row {
			out[i] = base+slope[i]-z <= film+gapRounding
			missing = missing || z != z
		}
	}
	if missing {
		valid = make([]bool, len(mask))
		for k, z := range m.Z {
			valid[k] = z == z
		}
	}
	return mask, valid
}

// columnSlopes is the x part of a plane at every column of m.
func columnSlopes(m *surface.Map, p surface.Plane) []float64 {
	s := make([]float64, m.NX)
	for i := range s {
		s[i] = float64(p.B * m.X(i))
	}
	return s
}

// Bearing is the bearing of m on its seated plane at a film of film um, and the
// count of points behind it.
func Bearing(m *surface.Map, plane surface.Plane, film float64, rule PointRule) (BearingFigures, PointCount) {
	mask, valid := BearingMask(m, plane, film)
	c := CountPoints(mask, valid, m.Grid, rule)
	return c.Bearing(film), c
}

// Bearing sums up a count that was taken at a film of film um.
func (c *PointCount) Bearing(film float64) BearingFigures {
	f := BearingFigures{FilmUM: film, Cells: c.Cells, Spots: c.Spots}
	f.AreaPct = 100 * float64(f.Cells) / float64(c.ValidCells)
	if !c.HasPoints {
		return f
	}
	// Copies: a pointer into c would keep its image of the face alive.
	points, perIn2, fewest, most := c.Points, c.PerIn2, c.FrameMin, c.FrameMax
	f.Points, f.PerIn2 = &points, &perIn2
	if c.HasFrames {
		f.FrameMin, f.FrameMax = &fewest, &most
	}
	x, y := c.xy()
	if r, ok := ClarkEvans(x, y, c.ValidMM2); ok {
		f.ClarkEvans = &r
	}
	if len(x) > 0 {
		w := c.window()
		if r, ok := QuadratVMR(x, y, w.x0, w.y0, w.x1, w.y1, 3, 3); ok {
			f.VMR3x3 = &r
		}
	}
	return f
}

func (c *PointCount) xy() (x, y []float64) {
	for _, p := range c.List {
		x, y = append(x, p.X), append(y, p.Y)
	}
	return x, y
}
