// Package blue is the marking colour: the film on the master, what of it comes
// over to the part, what rubbing does to it, and the reading that is left for
// the eye. A reading is all that a hand may see of a face; it is never the
// truth.
package blue

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Parameters of the colour; the table in sim/PHYSICS.md gives ranges and
// sources. No published measurement of film or transfer was found: all are
// assumed unless a source is named.
const (
	// RolledPerFilm is the rolled thickness over the film, the gap at which
	// colour still takes (assumed).
	RolledPerFilm = 1 / 0.8
	// FaintShare is the strength of colour at the edge of a spot, where the gap
	// is the whole film; at no gap it is 1.
	FaintShare = 0.25
	// HardShare of the film is the gap under which rubbing wipes a summit.
	HardShare = 0.1
	// WipeMM is the length of rub over which a summit loses 63 % of its colour.
	WipeMM = 120.0
	// RimShare of the film is the gap up to which wiped colour heaps, and
	// RimGain the strength that it adds at the most.
	RimShare = 0.4
	RimGain  = 0.35
	// SmearMM is the length of rub over which smear comes to 63 %; SmearGain is
	// the share of the film by which colour pushed along thickens it at the most.
	SmearMM   = 400.0
	SmearGain = 0.5
	// PaleAt is the shine from which an eye takes a place for a pale summit.
	PaleAt = 64
)

// Rub is what moves while colour passes: the length of the whole path, mm, and
// how far it reaches along x and y, mm.
type Rub struct {
	LengthMM, ReachX, ReachY float64
}

// Reading is what the eye gets of a print: for each cell the strength of colour
// and the shine of metal rubbed bare, 0 to 255. No colour and no shine is
// uncoloured metal.
type Reading struct {
	surface.Grid
	Film   float64 // um, the gap at which colour took
	Colour []uint8
	Shine  []uint8
	Mask   []bool // true where there is metal; nil when everywhere
}

// Coloured reports whether cell k counts as coloured: it took colour, or is a
// pale summit inside a rim.
func (r *Reading) Coloured(k int) bool { return r.Colour[k] > 0 || r.Shine[k] >= PaleAt }

// Marks writes the coloured cells to mask (allocated when nil) and returns it
// with their number.
func (r *Reading) Marks(mask []bool) ([]bool, int) {
	if len(mask) != len(r.Colour) {
		mask = make([]bool, len(r.Colour))
	}
	n := 0
	for k := range mask {
		mask[k] = r.Coloured(k)
		if mask[k] {
			n++
		}
	}
	return mask, n
}

// Print is the reading of a part whose tops (um; burr and master's error added)
// lie under the master's plane: colour where the gap is within the film,
// stronger where it is smaller; rubbed, summits wiped pale, their colour heaped
// in a rim and pushed along the path to where the bare film would not reach.
func Print(tops *surface.Map, plane surface.Plane, film float64, rub Rub) *Reading {
	r := &Reading{
		Grid: tops.Grid, Film: film,
		Colour: make([]uint8, tops.Cells()), Shine: make([]uint8, tops.Cells()),
	}
	wipe := saturate(rub.LengthMM / WipeMM)
	smear := SmearGain * saturate(rub.LengthMM/SmearMM)

	ink := newInk(film, wipe)
	// Gaps in steps of a 1/256 of the film look the strength up.
	scale := inkSteps / film
	thick := film * (1 + smear)
	near := make([]uint8, tops.Cells())
	rise := make([]float64, tops.NX)
	for i := range rise {
		rise[i] = float64(plane.B * tops.X(i))
	}
	for j := 0; j < tops.NY; j++ {
		base := plane.A + float64(plane.C*tops.Y(j))
		row := j * tops.NX
		for i, z := range tops.Z[row : row+tops.NX] {
			gap := base + rise[i] - z
			if !(gap <= thick) {
				continue
			}
			k := row + i
			if gap > film+TakeSlack {
				near[k] = reached
				continue
			}
			s := max(0, min(inkSteps, int(gap*scale+.5)))
			r.Colour[k], r.Shine[k] = ink.colour[s], ink.shine[s]
			if ink.pushes[s] {
				near[k] = pushing
			}
		}
	}
	if smear > 0 {
		r.smear(near, tops, plane, smear, rub)
	}
	return r
}

// TakeSlack is the rounding allowed, um, when a gap is held against the film.
const TakeSlack = 1e-6

const (
	pushing = 1 // colour is pushed along from here
	reached = 2 // within the thickened film, if colour is pushed here
)

// inkSteps is the number of steps in which the gap, from 0 to the film, looks up
// the colour.
const inkSteps = 256

// ink holds strength and shine over the gap, and from which gaps colour is
// pushed along.
type ink struct {
	colour, shine [inkSteps + 1]uint8
	pushes        [inkSteps + 1]bool
}

func newInk(film, wipe float64) *ink {
	t := &ink{}
	for s := range t.colour {
		g := float64(s) / inkSteps
		c := 1 - float64((1-FaintShare)*g)
		hard := math.Max(0, 1-g/HardShare)
		bare := math.Sqrt(hard) * wipe
		rim := 0.0
		if g >= HardShare/2 && g < RimShare {
			rim = RimGain * wipe * (RimShare - g) / RimShare
		}
		c = math.Min(1, c*(1-bare)+rim)
		t.colour[s] = uint8(math.Round(255 * c))
		t.shine[s] = uint8(math.Round(255 * bare))
		t.pushes[s] = g < RimShare
	}
	return t
}

// smear colours cells within the thickened film where enough colour is pushed
// along within reach of the rub.
func (r *Reading) smear(near []uint8, tops *surface.Map, plane surface.Plane, smear float64, rub Rub) {
	pushed := r.pushed(near, rub)
	for j := 0; j < r.NY; j++ {
		y := r.Y(j)
		for i := 0; i < r.NX; i++ {
			k := j*r.NX + i
			if near[k] != reached {
				continue
			}
			// Half of the neighbourhood pushing thickens the film to the full.
			thick := r.Film * (1 + float64(smear*math.Min(1, 2*pushed.at(i, j))))
			if plane.At(r.X(i), y)-tops.Z[k] <= thick {
				r.Colour[k] = smearColour
			}
		}
	}
}

// smearColour is the strength of colour where only smear reaches: fainter than
// the edge of a spot.
const smearColour = 51

// tiles are shares over squares of about tileMM.
type tiles struct {
	nx, ny     int
	perX, perY int // cells a tile
	share      []float64
}

const tileMM = 1.0

func (t tiles) at(i, j int) float64 { return t.share[j/t.perY*t.nx+i/t.perX] }

// pushed is the share of cells that push colour within the rub's reach of each
// tile.
func (r *Reading) pushed(near []uint8, rub Rub) tiles {
	t := tiles{perX: max(1, int(math.Round(tileMM/r.DX))), perY: max(1, int(math.Round(tileMM/r.DY)))}
	t.nx, t.ny = (r.NX+t.perX-1)/t.perX, (r.NY+t.perY-1)/t.perY
	// sums[(j+1)*(nx+1)+i+1] is the number of pushing cells in tiles up to (i, j).
	sums := make([]int32, (t.nx+1)*(t.ny+1))
	for j := 0; j < r.NY; j++ {
		out := sums[(j/t.perY+1)*(t.nx+1)+1:]
		row := near[j*r.NX : (j+1)*r.NX]
		for bi := 0; bi < t.nx; bi++ {
			for _, v := range row[bi*t.perX : min((bi+1)*t.perX, r.NX)] {
				out[bi] += int32(v & pushing)
			}
		}
	}
	for j := 1; j <= t.ny; j++ {
		run := int32(0)
		for i := 1; i <= t.nx; i++ {
			run += sums[j*(t.nx+1)+i]
			sums[j*(t.nx+1)+i] = run + sums[(j-1)*(t.nx+1)+i]
		}
	}
	wx, wy := int(math.Round(rub.ReachX/2/tileMM)), int(math.Round(rub.ReachY/2/tileMM))
	t.share = make([]float64, t.nx*t.ny)
	for j := 0; j < t.ny; j++ {
		j0, j1 := max(0, j-wy), min(t.ny, j+wy+1)
		for i := 0; i < t.nx; i++ {
			i0, i1 := max(0, i-wx), min(t.nx, i+wx+1)
			n := sums[j1*(t.nx+1)+i1] - sums[j0*(t.nx+1)+i1] - sums[j1*(t.nx+1)+i0] + sums[j0*(t.nx+1)+i0]
			t.share[j*t.nx+i] = float64(n) / float64((j1-j0)*t.perY*(i1-i0)*t.perX)
		}
	}
	return t
}

// saturate is 1 - e^-u, rounded to 2^-24 so that the last bit of the exponential
// reaches no reading.
func saturate(u float64) float64 {
	return math.Round((1-math.Exp(-u))*(1<<24)) / (1 << 24)
}
