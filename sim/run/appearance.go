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
	overX, overY := over(nearX, rx), over(nearY, ry)
	for j := j0; j < j1; j++ {
		at := j * f.NX
		copy(a.LayCos[at+i0:at+i1], f.LayCos[at+i0:at+i1])
		copy(a.LaySin[at+i0:at+i1], f.LaySin[at+i0:at+i1])
		if f.Mask == nil {
			a.updateRow(f, j, i0, i1, overX, overY)
			continue
		}
		for i := i0; i < i1; i++ {
			k := at + i
			if !f.Metal(k) {
				continue
			}
			left, right, up, down := max(0, i-1), min(f.NX-1, i+1), max(0, j-1), min(f.NY-1, j+1)
			first, last, above, below := max(0, i-rx), min(f.NX-1, i+rx), max(0, j-ry), min(f.NY-1, j+ry)
			// Slope and form end where the metal does.
			left, right = onMetal(f, left, i, j, true), onMetal(f, right, i, j, true)
			first, last = onMetal(f, first, i, j, true), onMetal(f, last, i, j, true)
			up, down = onMetal(f, up, i, j, false), onMetal(f, down, i, j, false)
			above, below = onMetal(f, above, i, j, false), onMetal(f, below, i, j, false)
			x, y := f.H[at:at+f.NX], func(j int) int32 { return f.H[j*f.NX+i] }
			a.SlopeX[k] = slope(float64(float64(x[right]-x[left])*overX[right-left]) - float64(float64(x[last]-x[first])*overX[last-first]))
			a.SlopeY[k] = slope(float64(float64(y(down)-y(up))*overY[down-up]) - float64(float64(y(below)-y(above))*overY[below-above]))
		}
	}
}

// updateRow is update for cells i0 to i1 of row j of a face that is metal throughout:
// a print waits for it, so what a row has in common is found once.
func (a *Appearance) updateRow(f *surface.Face, j, i0, i1 int, overX, overY []float64) {
	rx, ry := len(overX)/2, len(overY)/2
	row := func(j int) []int32 { return f.H[j*f.NX : (j+1)*f.NX] }
	up, down, above, below := max(0, j-1), min(f.NY-1, j+1), max(0, j-ry), min(f.NY-1, j+ry)
	near, far := overY[down-up], overY[below-above]
	h, hUp, hDown, hAbove, hBelow := row(j), row(up), row(down), row(above), row(below)
	slopeX, slopeY := a.SlopeX[j*f.NX:(j+1)*f.NX], a.SlopeY[j*f.NX:(j+1)*f.NX]
	for i := i0; i < i1; i++ {
		left, right, first, last := max(0, i-1), min(f.NX-1, i+1), max(0, i-rx), min(f.NX-1, i+rx)
		slopeX[i] = slope(float64(float64(h[right]-h[left])*overX[right-left]) - float64(float64(h[last]-h[first])*overX[last-first]))
		slopeY[i] = slope(float64(float64(hDown[i]-hUp[i])*near) - float64(float64(hBelow[i]-hAbove[i])*far))
	}
}

// onMetal is the column (or row) from that of cell (i, j) towards to at which there
// is metal, to itself or the first nearer one.
func onMetal(f *surface.Face, to, i, j int, column bool) int {
	from := j
	if column {
		from = i
	}
	for to != from {
		k := to*f.NX + i
		if column {
			k = j*f.NX + to
		}
		if f.Mask[k] {
			break
		}
		if to < from {
			to++
		} else {
			to--
		}
	}
	return to
}

// over is the slope of a step of height over each number of cells, up to twice
// reach; near is that over two.
func over(near float64, reach int) []float64 {
	out := make([]float64, 2*reach+1)
	for cells := 1; cells < len(out); cells++ {
		out[cells] = 2 * near / float64(cells)
	}
	return out
}

// reach is formReach in cells of a pitch, mm.
func reach(pitch float64) int { return max(1, int(math.Round(formReach/pitch))) }

// slope rounds a rise to its step and holds it to the range.
func slope(rise float64) int8 {
	return int8(math.Floor(max(-127, min(127, rise)) + .5))
}
