// Package surface holds what a face is: a lattice of cells, the heights on it,
// which of the cells are metal, how such a face comes to be (form, machining
// signature, noise, or somebody's own readings) and the open files it is read
// from and written to.
//
// Units: lateral mm, height um. Positive height is out of the metal; x runs
// along the length of a part and y across it.
package surface

import "math"

// Grid is a regular lattice of cells. Cell (i, j), 0 <= i < NX, 0 <= j < NY,
// is the rectangle DX by DY mm centred on (X0 + i DX, Y0 + j DY); arrays over a
// grid store x fastest, at index j*NX + i.
type Grid struct {
	NX, NY int
	DX, DY float64 // pitch, mm
	X0, Y0 float64 // centre of cell (0, 0), mm
}

// Cells is the number of cells of the grid.
func (g Grid) Cells() int { return g.NX * g.NY }

// X is the centre of column i, mm.
func (g Grid) X(i int) float64 { return g.X0 + float64(float64(i)*g.DX) }

// Y is the centre of row j, mm.
func (g Grid) Y(j int) float64 { return g.Y0 + float64(float64(j)*g.DY) }

// Edges are the outer edges of the grid, mm: half a pitch outside the centres
// of the first and last cells.
func (g Grid) Edges() (x0, y0, x1, y1 float64) {
	return g.X0 - g.DX/2, g.Y0 - g.DY/2, g.X(g.NX-1) + g.DX/2, g.Y(g.NY-1) + g.DY/2
}

// CellArea is the area of one cell, mm^2.
func (g Grid) CellArea() float64 { return g.DX * g.DY }

// Nearest is the cell whose centre is nearest to (x, y) mm; ok is false where
// that point lies outside the edges of the grid.
func (g Grid) Nearest(x, y float64) (i, j int, ok bool) {
	i = int(math.Floor((x-g.X0)/g.DX + 0.5))
	j = int(math.Floor((y-g.Y0)/g.DY + 0.5))
	return i, j, i >= 0 && j >= 0 && i < g.NX && j < g.NY
}

// Map is a measured or computed height map in float64 um over a grid; NaN marks
// a missing cell.
type Map struct {
	Grid
	Z []float64 // um, len NX*NY, x fastest; NaN is missing
}

// NewMap is a map of zeros over g.
func NewMap(g Grid) *Map { return &Map{Grid: g, Z: make([]float64, g.Cells())} }

// At is the height of cell (i, j), um.
func (m *Map) At(i, j int) float64 { return m.Z[j*m.NX+i] }

// Valid counts the cells that are not missing.
func (m *Map) Valid() int {
	n := 0
	for _, z := range m.Z {
		if z == z {
			n++
		}
	}
	return n
}

// Cloud is a set of measured points that need not form a grid: x, y in mm, z in
// um, all of one length, none of them NaN.
type Cloud struct {
	X, Y, Z []float64
}

// Plane is the height A + B x + C y, um over mm.
type Plane struct{ A, B, C float64 }

// At is the height of the plane at (x, y) mm, um.
func (p Plane) At(x, y float64) float64 {
	return p.A + float64(p.B*x) + float64(p.C*y)
}
