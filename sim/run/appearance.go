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
	a.Mask = f.Mask
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
	rx, ry := reach(f.DX), reach(f.DY)
	// Slopes per step of height, from neighbours two cells apart, and their mean
	// over the neighbourhood, from heights at its ends.
	nearX, nearY := 1/(2*surface.StepsPerUM*f.DX*SlopeStep), 1/(2*surface.StepsPerUM*f.DY*SlopeStep)
	farX, farY := nearX/float64(rx), nearY/float64(ry)
	row := func(j int) []int32 {
		j = max(0, min(j, f.NY-1))
		return f.H[j*f.NX : (j+1)*f.NX]
	}
	for j := j0; j < j1; j++ {
		at := j * f.NX
		copy(a.LayCos[at+i0:at+i1], f.LayCos[at+i0:at+i1])
		copy(a.LaySin[at+i0:at+i1], f.LaySin[at+i0:at+i1])
		h, up, down, above, below := row(j), row(j-1), row(j+1), row(j-ry), row(j+ry)
		for i := i0; i < i1; i++ {
			k := at + i
			if !f.Metal(k) {
				continue
			}
			left, right := max(0, i-1), min(f.NX-1, i+1)
			first, last := max(0, i-rx), min(f.NX-1, i+rx)
			a.SlopeX[k] = slope(float64(float64(h[right]-h[left])*nearX) - float64(float64(h[last]-h[first])*farX))
			a.SlopeY[k] = slope(float64(float64(down[i]-up[i])*nearY) - float64(float64(below[i]-above[i])*farY))
		}
	}
}

// reach is formReach in cells of a pitch, mm.
func reach(pitch float64) int { return max(1, int(math.Round(formReach/pitch))) }

// slope rounds a rise to its step and holds it to the range.
func slope(rise float64) int8 {
	return int8(math.Floor(max(-127, min(127, rise)) + .5))
}
