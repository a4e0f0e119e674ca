package gauge

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// RoughnessCutoffMM is the cutoff by which form is told from texture where none is
// given, mm: of the cutoffs of ISO 16610-61 in common use the shortest that leaves
// nearly all of a scraping mark 5 mm wide in the texture (83 % of that wave).
const RoughnessCutoffMM = 8

// Roughness is the short-wave part of m: m less its least-squares plane and less
// the areal Gaussian filter of what that leaves, cutoff mm. Within 0.75 cutoffs of
// an edge the filter leans to the side that has metal, so a form that bends there
// stays in part in what is left.
func Roughness(m *surface.Map, cutoff float64) (*surface.Map, error) {
	plane, err := surface.LeastSquares(m)
	if err != nil {
		return nil, err
	}
	out := surface.NewMap(m.Grid)
	for k, z := range m.Z {
		out.Z[k] = z - plane.At(m.X(k%m.NX), m.Y(k/m.NX))
	}
	for k, long := range GaussianFilter(out, cutoff).Z {
		out.Z[k] -= long
	}
	return out, nil
}

// MeasuredTexture is the texture of heights that were read from a file, for a part
// whose pitch is dx by dy mm. Half a cutoff along every edge is left out, where the
// filter has too little metal on one side and would leave the form as a ridge.
func MeasuredTexture(d *surface.Data, file string, cutoff, dx, dy float64) (*surface.Texture, error) {
	m := d.Map
	if m == nil {
		return nil, fmt.Errorf("points that form no grid have no texture: give a grid of at most %g mm", surface.FinePitchMM)
	}
	x0, y0, x1, y1 := m.Edges()
	switch {
	case !(cutoff > 0):
		return nil, fmt.Errorf("a cutoff of %g mm: give a length above 0", cutoff)
	case min(x1-x0, y1-y0) < 2*cutoff*(1-1e-9):
		return nil, fmt.Errorf("%.4g x %.4g mm were measured, less than two cutoffs of %g mm: measure more, or give a shorter cutoff", x1-x0, y1-y0, cutoff)
	}
	rough, err := Roughness(m, cutoff)
	if err != nil {
		return nil, err
	}
	t, err := surface.NewTexture(inside(rough, cutoff/2), dx, dy)
	if err != nil {
		return nil, err
	}
	t.File, t.CutoffMM = file, cutoff
	return t, nil
}

// inside is m without a band of mm along its edges.
func inside(m *surface.Map, mm float64) *surface.Map {
	bx, by := int(math.Ceil(mm/m.DX-1e-9)), int(math.Ceil(mm/m.DY-1e-9))
	g := m.Grid
	g.NX, g.NY, g.X0, g.Y0 = m.NX-2*bx, m.NY-2*by, m.X(bx), m.Y(by)
	out := surface.NewMap(g)
	for j := range g.NY {
		copy(out.Z[j*g.NX:(j+1)*g.NX], m.Z[(j+by)*m.NX+bx:])
	}
	return out
}
