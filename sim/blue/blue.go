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
	// TurnFilm is the film, um, from which thick colour can turn a reading over;
	// at twice as much it does so to the full. TurnMM is the length of rub, times
	// the share by which the part is pressed harder than by its own weight, over
	// which it comes to 63 %. Turned to the full, colour squeezed out spreads as
	// far again as TurnedSpread of the film.
	TurnFilm     = 5.0
	TurnMM       = 400.0
	TurnedSpread = 1.0
	// PaleAt is the shine from which an eye takes a place for a pale summit.
	PaleAt = 64
)

// Rub is what moves while colour passes: the length of the whole path, mm, and
// how far it reaches along x and y, mm. Steps, where they are known, are places
// along it, mm on the master from where the part was put: colour is then used up
// and pushed along the path itself and not merely within its reach.
type Rub struct {
	LengthMM, ReachX, ReachY float64
	Steps                    [][2]float64
}

// steps are those of the rub; a part that is not moved stays where it is.
func (r Rub) steps() [][2]float64 {
	if len(r.Steps) == 0 {
		return [][2]float64{{}}
	}
	return r.Steps
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
	// OnPart is set when the part carried the colour and the master was clean:
	// then what touched is bright on a coloured ground.
	OnPart bool
	// Contrast is the colour under the film, empty when there is none.
	Contrast string

	taken tiles // share of each square that took colour, on an uneven film
}

// Coloured reports whether cell k counts as marked: it took colour, or is a
// pale summit inside a rim; with the colour on the part, it was rubbed bright.
func (r *Reading) Coloured(k int) bool { return r.marked(r.Colour[k], r.Shine[k]) }

func (r *Reading) marked(colour, shine uint8) bool {
	return shine >= PaleAt || colour > 0 && !r.OnPart
}

// ColouredIn is the number of coloured cells from one up to another, and of those
// that are metal.
func (r *Reading) ColouredIn(from, to int) (coloured, metal int) {
	shine := r.Shine[from:to]
	metal = to - from
	for i, c := range r.Colour[from:to] {
		switch {
		case r.Mask != nil && !r.Mask[from+i]:
			metal--
		case r.marked(c, shine[i]):
			coloured++
		}
	}
	return coloured, metal
}

// Marks writes the coloured cells to mask (allocated when nil) and returns it
// with their number.
func (r *Reading) Marks(mask []bool) ([]bool, int) {
	if len(mask) != len(r.Colour) {
		mask = make([]bool, len(r.Colour))
	}
	n := 0
	shine := r.Shine[:len(mask)]
	for k, c := range r.Colour[:len(mask)] {
		mask[k] = r.marked(c, shine[k])
		if mask[k] {
			n++
		}
	}
	return mask, n
}

// Print is the reading of a part whose tops (um; burr and master's error added)
// lie under the master's plane, on an even film: colour where the gap is within
// the film, stronger where it is smaller; rubbed, summits wiped pale, their
// colour heaped in a rim and pushed along the path to where the bare film would
// not reach.
func Print(tops *surface.Map, plane surface.Plane, film float64, rub Rub) *Reading {
	return Marking{Film: film, Rub: rub}.Print(tops, plane)
}

// Marking is how colour passes in one print.
type Marking struct {
	Film float64 // um, the gap at which colour takes
	Rub  Rub
	// Layer is the film as it lies under the part; nil when it is even.
	Layer *Layer
	// Turned is how far, 0 to 1, thick colour and hard rubbing turn the reading
	// over (Turnover).
	Turned float64
	// Thicker is the film, um, by which something lets colour take at a wider
	// gap: oil on the face, or a face that drags.
	Thicker float64
}

// Print is the reading that the marking leaves on a part, as the function of
// that name says for an even film.
func (m Marking) Print(tops *surface.Map, plane surface.Plane) *Reading {
	r := &Reading{
		Grid: tops.Grid, Film: m.Film,
		Colour: make([]uint8, tops.Cells()), Shine: make([]uint8, tops.Cells()),
	}
	wipe := saturate(m.Rub.LengthMM / WipeMM)
	smear := float64(SmearGain*saturate(m.Rub.LengthMM/SmearMM)) + float64(TurnedSpread*m.Turned)

	p := printer{
		Reading: r, tops: tops, ink: newInk(wipe, m.Turned), smear: smear,
		film: m.Film + m.Thicker, near: make([]uint8, tops.Cells()), rise: make([]float64, tops.NX),
		smeared: uint8(math.Round(smearColour + float64((255-smearColour)*m.Turned))),
	}
	for i := range p.rise {
		p.rise[i] = float64(plane.B * tops.X(i))
	}
	if m.Layer != nil {
		p.sheet = m.Layer.over(tops.Grid, m.Thicker)
	}
	for j := 0; j < tops.NY; j++ {
		base := plane.A + float64(plane.C*tops.Y(j))
		if p.sheet == nil {
			p.even(j, base)
		} else {
			p.layered(j, base)
		}
	}
	if p.sheet != nil {
		pushed := p.passed(pushing)
		r.taken = p.passed(coloured)
		p.spreadLayered(p.along(pushed, m.Rub))
	} else if smear > 0 {
		p.spread(plane, p.pushed(m.Rub))
	}
	return r
}

// printer is a print being taken.
type printer struct {
	*Reading
	tops    *surface.Map
	ink     *ink
	film    float64 // um
	smear   float64 // share by which colour pushed along thickens the film
	smeared uint8   // strength of colour where only smear reaches
	near    []uint8
	rise    []float64 // um, of the plane along a row
	sheet   *sheet    // nil on an even film
}

// even prints row j on an even film; base is the plane at its beginning.
func (p *printer) even(j int, base float64) {
	// Gaps in steps of a 1/256 of the film look the strength up.
	scale := inkSteps / p.film
	thick := p.film * (1 + p.smear)
	row := j * p.NX
	rise := p.rise
	for i, z := range p.tops.Z[row : row+len(rise)] {
		gap := base + rise[i] - z
		if !(gap <= thick) {
			continue
		}
		if gap > p.film+TakeSlack {
			p.near[row+i] = reached
			continue
		}
		p.take(row+i, int(float64(gap*scale)+.5))
	}
}

// layered does the same on an uneven one. How far beyond the film a cell lies it
// notes in near, in steps of reached up to beyond of them at the full smear.
func (p *printer) layered(j int, base float64) {
	thick := (p.sheet.layer.greatest + p.sheet.thicker) * (1 + p.smear)
	row := j * p.NX
	rise := p.rise
	p.sheet.row(j)
	column, share, node := p.sheet.column[:len(rise)], p.sheet.share[:len(rise)], p.sheet.node
	near := p.near[row : row+len(rise)]
	steps := beyond / max(p.smear, 1e-9)
	for i, z := range p.tops.Z[row : row+len(rise)] {
		gap := base + rise[i] - z
		if !(gap <= thick) {
			continue
		}
		n := node[column[i]:]
		u := float64(gap * (n[0] + float64(share[i]*(n[1]-n[0]))))
		if u > 1+TakeSlack {
			if u <= 1+p.smear {
				near[i] = reached + reached*uint8((u-1)*steps)
			}
			continue
		}
		p.take(row+i, int(float64(u*inkSteps)+.5))
	}
}

// beyond is the number of steps in which a layered print tells how far beyond
// the film a cell lies.
const beyond = 62

// take colours cell k, whose gap is s steps of the film.
func (p *printer) take(k, s int) {
	s = max(0, min(inkSteps, s))
	p.Colour[k], p.Shine[k] = p.ink.colour[s], p.ink.shine[s]
	p.near[k] = p.ink.near[s]
}

// Turnover is how far, 0 to 1, a reading is turned over by thick colour rubbed
// hard: film um, rubbed length mm, pressed so many times as hard as by the part's
// own weight.
func Turnover(film, lengthMM, pressed float64) float64 {
	rich := max(0, min(1, film/TurnFilm-1))
	return float64(rich * saturate(max(0, pressed-1)*lengthMM/TurnMM))
}

// TakeSlack is the rounding allowed, um, when a gap is held against the film.
const TakeSlack = 1e-6

const (
	pushing  = 1 // colour is pushed along from here
	coloured = 2 // colour was taken here
	reached  = 4 // from here on: within the thickened film, if colour is pushed here
)

// inkSteps is the number of steps in which the gap, from 0 to the film, looks up
// the colour.
const inkSteps = 256

// ink holds strength and shine over the gap, and from which gaps colour is
// pushed along.
type ink struct {
	colour, shine [inkSteps + 1]uint8
	near          [inkSteps + 1]uint8
}

func newInk(wipe, turned float64) *ink {
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
		c = math.Min(1, float64(c*(1-bare))+rim)
		if turned > 0 {
			// Squeezed out of the contact, colour stands where the gap is wide.
			c += float64(turned * (FaintShare + float64((1-FaintShare)*g) - c))
			bare += float64(turned * (math.Max(0, 1-g/RimShare) - bare))
		}
		t.colour[s] = uint8(math.Round(255 * c))
		t.shine[s] = uint8(math.Round(255 * bare))
		t.near[s] = coloured
		if g < RimShare {
			t.near[s] |= pushing
		}
	}
	return t
}

// spread colours cells within the thickened film where enough colour is pushed
// along the rub.
func (p *printer) spread(plane surface.Plane, pushed tiles) {
	for j := 0; j < p.NY; j++ {
		y := p.Y(j)
		for i := 0; i < p.NX; i++ {
			k := j*p.NX + i
			if p.near[k] != reached {
				continue
			}
			// Half of the neighbourhood pushing thickens the film to the full.
			thick := p.film * (1 + float64(p.smear*math.Min(1, 2*pushed.at(i, j))))
			if plane.At(p.X(i), y)-p.tops.Z[k] <= thick {
				p.Colour[k] = p.smeared
			}
		}
	}
}

// spreadLayered does the same on an uneven film.
func (p *printer) spreadLayered(pushed tiles) {
	limit := make([]uint8, len(pushed.share))
	for t, share := range pushed.share {
		limit[t] = reached * uint8(beyond*math.Min(1, 2*share))
	}
	for j := 0; j < p.NY; j++ {
		near := p.near[j*p.NX : (j+1)*p.NX]
		colour := p.Colour[j*p.NX : (j+1)*p.NX]
		tile := limit[j/pushed.perY*pushed.nx:]
		for from, t := 0, 0; from < p.NX; from, t = from+pushed.perX, t+1 {
			for i := from; i < min(from+pushed.perX, p.NX); i++ {
				if n := near[i]; n >= reached && n <= tile[t] {
					colour[i] = p.smeared
				}
			}
		}
	}
}

// smearColour is the strength of colour where only smear reaches: fainter than
// the edge of a spot.
const smearColour = 51

// tiles are shares over squares.
type tiles struct {
	nx, ny     int
	perX, perY int // cells a tile
	share      []float64
}

// Sides of the squares, mm: fine where colour is merely pushed within a reach,
// those of the coat where it is pushed along a path.
const tileMM = 1.0

func (t tiles) at(i, j int) float64 { return t.share[j/t.perY*t.nx+i/t.perX] }

// counted is the number of cells of a kind in tiles of about side mm.
func (p *printer) counted(side float64, kind uint8) (t tiles, sums []int32) {
	t = tiles{perX: max(1, int(math.Round(side/p.DX))), perY: max(1, int(math.Round(side/p.DY)))}
	t.nx, t.ny = (p.NX+t.perX-1)/t.perX, (p.NY+t.perY-1)/t.perY
	// sums[(j+1)*(nx+1)+i+1] is the number in tile (i, j), times kind.
	sums = make([]int32, (t.nx+1)*(t.ny+1))
	for j := 0; j < p.NY; j++ {
		out := sums[(j/t.perY+1)*(t.nx+1)+1:]
		row := p.near[j*p.NX : (j+1)*p.NX]
		for bi := 0; bi < t.nx; bi++ {
			n := int32(0)
			for _, v := range row[bi*t.perX : min((bi+1)*t.perX, p.NX)] {
				n += int32(v & kind)
			}
			out[bi] += n
		}
	}
	t.share = make([]float64, t.nx*t.ny)
	return t, sums
}

// passed is the share of cells of a kind in squares as large as the coat's.
func (p *printer) passed(kind uint8) tiles {
	t, sums := p.counted(CoatMM, kind)
	full := float64(int(kind) * t.perX * t.perY)
	for j := range t.ny {
		for i := range t.nx {
			t.share[j*t.nx+i] = float64(sums[(j+1)*(t.nx+1)+i+1]) / full
		}
	}
	return t
}

// pushed is the share of cells that push colour within the rub's reach of each
// tile.
func (p *printer) pushed(rub Rub) tiles {
	t, sums := p.counted(tileMM, pushing)
	// From here sums[(j+1)*(nx+1)+i+1] is the number in tiles up to (i, j).
	for j := 1; j <= t.ny; j++ {
		run := int32(0)
		for i := 1; i <= t.nx; i++ {
			run += sums[j*(t.nx+1)+i]
			sums[j*(t.nx+1)+i] = run + sums[(j-1)*(t.nx+1)+i]
		}
	}
	wx, wy := int(math.Round(rub.ReachX/2/tileMM)), int(math.Round(rub.ReachY/2/tileMM))
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

// along is what comes past each tile of colour pushed from elsewhere: what was
// squeezed out at one step of the rub is met at another.
func (p *printer) along(t tiles, rub Rub) tiles {
	met := t
	met.share = make([]float64, len(t.share))
	n := make([]float64, len(t.share))
	for _, o := range rub.between(float64(t.perX)*p.DX, float64(t.perY)*p.DY) {
		i0, i1 := max(0, -o[0]), min(t.nx, t.nx-o[0])
		for j := max(0, -o[1]); j < min(t.ny, t.ny-o[1]) && i0 < i1; j++ {
			from := t.share[(j+o[1])*t.nx+i0+o[0] : (j+o[1])*t.nx+i1+o[0]]
			to, count := met.share[j*t.nx+i0:j*t.nx+i1], n[j*t.nx+i0:j*t.nx+i1]
			for i, v := range from {
				to[i] += v
				count[i]++
			}
		}
	}
	for k, v := range n {
		if v > 0 {
			met.share[k] /= v
		}
	}
	return met
}

// between are the ways from one step to another, in tiles of dx by dy mm, both
// ways about. The part lies face down: its y runs against the master's; a half
// turn only swaps each way for its opposite.
func (r Rub) between(dx, dy float64) [][2]int {
	steps := r.steps()
	out := make([][2]int, 0, 2*len(steps))
	for n, a := range steps {
		b := steps[(n+1)%len(steps)]
		o := [2]int{int(math.Round((a[0] - b[0]) / dx)), int(math.Round((b[1] - a[1]) / dy))}
		out = append(out, o, [2]int{-o[0], -o[1]})
	}
	return out
}

// saturate is 1 - e^-u, rounded to 2^-24 so that the last bit of the exponential
// reaches no reading.
func saturate(u float64) float64 {
	return math.Round((1-math.Exp(-u))*(1<<24)) / (1 << 24)
}
