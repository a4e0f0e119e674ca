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
	a := &Appearance{
		Grid: f.Grid, SlopeX: make([]int8, f.Cells()), SlopeY: make([]int8, f.Cells()),
		LayCos: append([]int8(nil), f.LayCos...), LaySin: append([]int8(nil), f.LaySin...),
		Mask: f.Mask,
	}
	a.slopes(f, a.SlopeX, 1, 0)
	a.slopes(f, a.SlopeY, 0, 1)
	return a
}

// slopes writes the slope along one axis, less its mean over the neighbourhood,
// which is the difference of heights across it.
func (a *Appearance) slopes(f *surface.Face, out []int8, di, dj int) {
	pitch, reach := f.DX, int(math.Round(formReach/f.DX))
	if dj == 1 {
		pitch, reach = f.DY, int(math.Round(formReach/f.DY))
	}
	height := func(i, j int) int64 {
		i, j = max(0, min(i, f.NX-1)), max(0, min(j, f.NY-1))
		return int64(f.H[j*f.NX+i])
	}
	for j := 0; j < f.NY; j++ {
		for i := 0; i < f.NX; i++ {
			k := j*f.NX + i
			if !f.Metal(k) {
				continue
			}
			near := float64(height(i+di, j+dj)-height(i-di, j-dj)) / 2
			far := float64(height(i+reach*di, j+reach*dj)-height(i-reach*di, j-reach*dj)) / float64(2*reach)
			rise := (near - far) / surface.StepsPerUM / pitch / SlopeStep
			out[k] = int8(math.Round(math.Max(-127, math.Min(127, rise))))
		}
	}
}
