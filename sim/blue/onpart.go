package blue

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Colour on the part against a clean master, the marking for the last prints:
// where metal touches metal the colour is rubbed off, and a bright spot on a
// coloured ground is high.
const (
	// GroundColour is the strength of colour rolled on a part.
	GroundColour = 200
	// BrightShare of the film is the gap within which a rub takes it off
	// (assumed: it has to be squeezed out first).
	BrightShare = 0.5
	// SoiledShare is how much of its brightness a spot keeps on a master that
	// took colour in an earlier print and was not wiped (assumed).
	SoiledShare = 0.3
)

// Ground is the reading of a part that was rolled with colour and not yet put on
// the master.
func Ground(g surface.Grid, film float64) *Reading {
	r := &Reading{
		Grid: g, Film: film, OnPart: true,
		Colour: make([]uint8, g.Cells()), Shine: make([]uint8, g.Cells()),
	}
	for k := range r.Colour {
		r.Colour[k] = GroundColour
	}
	return r
}

// PrintBright is the reading of a part that carries a film of um and was rubbed
// on a clean master, or on one soiled by an earlier print.
func PrintBright(tops *surface.Map, plane surface.Plane, film float64, rub Rub, soiled bool) *Reading {
	r := Ground(tops.Grid, film)
	wipe := saturate(rub.LengthMM / WipeMM)
	if soiled {
		wipe *= SoiledShare
	}
	bright := BrightShare * film
	for j := 0; j < tops.NY; j++ {
		base := plane.A + float64(plane.C*tops.Y(j))
		for i := 0; i < tops.NX; i++ {
			k := j*tops.NX + i
			gap := base + float64(plane.B*tops.X(i)) - tops.Z[k]
			switch {
			case gap <= bright+TakeSlack:
				// Rubbed clean to the edge of the contact, brightest in its middle.
				bare := float64(wipe * (1 - max(0, gap)/(2*bright)))
				r.Shine[k] = uint8(math.Round(255 * bare))
				r.Colour[k] = uint8(math.Round(GroundColour * (1 - bare)))
			case tops.Z[k] != tops.Z[k]:
				r.Colour[k] = 0
			}
		}
	}
	return r
}
