package run

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Appearance is what raking light shows of a face: slopes with the form taken
// out, so that waviness and marks are seen and the truth of the form is not.
type Appearance struct {
	surface.Grid
	// SlopeX and SlopeY are rises along x and y in steps of SlopeStep, held to
	// the int8 range.
	SlopeX, SlopeY []int8
	// LayCos and LaySin are cos 2a and sin 2a of the direction a of the last
	// stroke over each cell, times 127; both zero on the machined finish.
	LayCos, LaySin []int8
	Mask           []bool // true where there is metal; nil when everywhere
}

const (
	// SlopeStep is the rise, um per mm, of one step of an Appearance.
	SlopeStep = 0.25
	// formReach is the half side, mm, of the square whose mean slope counts as
	// form and is taken out.
	formReach = 6.0
)

// see is the appearance of a face.
func see(f *surface.Face) *Appearance {
	n := f.Cells()
	a := &Appearance{
		Grid: f.Grid, SlopeX: make([]int8, n), SlopeY: make([]int8, n), LayCos: make([]int8, n), LaySin: make([]int8, n),
		Mask: f.Mask,
	}
	a.update(f, 0, 0, f.NX, f.NY)
	return a
}

// Look brings an appearance of the run's face up to date after something
// happened to the cells i0 <= i < i1, j0 <= j < j1, and returns the cells that
// may look different now: taking the form out carries a change a little way.
func (r *Run) Look(a *Appearance, i0, j0, i1, j1 int) (p0, q0, p1, q1 int) {
	f := r.face
	rx, ry := reach(f.DX), reach(f.DY)
	p0, q0 = max(0, i0-rx), max(0, j0-ry)
	p1, q1 = min(f.NX, i1+rx), min(f.NY, j1+ry)
	if p0 < p1 && q0 < q1 {
		a.update(f, p0, q0, p1, q1)
	}
	return p0, q0, p1, q1
}

// update sees the cells i0 <= i < i1, j0 <= j < j1 again.
func (a *Appearance) update(f *surface.Face, i0, j0, i1, j1 int) {
	for j := j0; j < j1; j++ {
		row := j * f.NX
		copy(a.LayCos[row+i0:row+i1], f.LayCos[row+i0:row+i1])
		copy(a.LaySin[row+i0:row+i1], f.LaySin[row+i0:row+i1])
		a.slopes(f, a.SlopeX, j, i0, i1, 1, 0)
		a.slopes(f, a.SlopeY, j, i0, i1, 0, 1)
	}
}

// reach is formReach in cells of a pitch, mm.
func reach(pitch float64) int { return int(math.Round(formReach / pitch)) }

// slopes writes the slope along one axis of cells of row j, less its mean over
// the neighbourhood, which is the difference of heights across it.
func (a *Appearance) slopes(f *surface.Face, out []int8, j, i0, i1, di, dj int) {
	pitch := f.DX
	if dj == 1 {
		pitch = f.DY
	}
	far := reach(pitch)
	height := func(i, j int) int64 {
		i, j = max(0, min(i, f.NX-1)), max(0, min(j, f.NY-1))
		return int64(f.H[j*f.NX+i])
	}
	for i := i0; i < i1; i++ {
		k := j*f.NX + i
		if !f.Metal(k) {
			continue
		}
		near := float64(height(i+di, j+dj)-height(i-di, j-dj)) / 2
		form := float64(height(i+far*di, j+far*dj)-height(i-far*di, j-far*dj)) / float64(2*far)
		rise := (near - form) / surface.StepsPerUM / pitch / SlopeStep
		out[k] = int8(math.Round(math.Max(-127, math.Min(127, rise))))
	}
}
