package blade

import (
	"math"
	"slices"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Stroke is one pass of the blade from (X0, Y0) to (X1, Y1), in units of 10 um,
// the lattice on which runs place things, DepthUM deep between its ramps.
type Stroke struct {
	X0, Y0, X1, Y1 int
	DepthUM        float64
	// BurrUM is the height of the burr that a mark of full depth throws here;
	// the hand that lays the stroke draws it.
	BurrUM float64
	// TearUM is the depth, um, to which the stroke tears pits into its mark, and
	// Grain draws where.
	TearUM float64
	Grain  uint64
}

// Length of the stroke, mm.
func (s Stroke) Length() float64 {
	dx, dy := float64(s.X1-s.X0), float64(s.Y1-s.Y0)
	return math.Sqrt(float64(dx*dx)+float64(dy*dy)) / UnitsPerMM
}

// Chip is what a stroke took.
type Chip struct {
	VolumeMM3 float64
	Cells     int
	DeepestUM float64 // deepest cut below the surface it met
}

// UnitsPerMM is the number of lattice units, 10 um, in a millimetre.
const UnitsPerMM = 100.0

// stationMM is the spacing of stations along a stroke at which the ride is
// taken, or the pitch where that is coarser.
const stationMM = 0.25

// layFull is the length of a lay as a face keeps it.
const layFull = 127

// Cutter cuts strokes into one face and keeps the scratch space for it.
type Cutter struct {
	face *surface.Face
	// Each is called, when set, for every cell that a stroke lowers, with the
	// cut in steps.
	Each func(cell int, cut int32)

	// Dyadic positions of the lattice in 10 um units, so that mirrored and
	// turned acts meet mirrored and turned numbers.
	pitchX, pitchY, firstX, firstY float64

	stations []station
	cells    []touched
	line     []float64 // um
}

type station struct {
	heights []float64 // under the blade, less the blade's own curve, um
	ride    float64   // um
	bottom  float64   // lowest line of the tool before the depth is taken, um
	metal   bool
}

// touched is a cell within reach of the blade.
type touched struct {
	k     int
	along float64 // mm from the start
	side  float64 // mm from the middle line
	curve float64 // rise of the blade's arc over its lowest line, um
}

// pass is one stroke as the cutter works on it.
type pass struct {
	Stroke
	blade                 Blade
	length, ux, uy        float64 // mm; unit direction
	depth                 float64 // um, what the worn edge reaches
	radius, half, spacing float64 // mm: effective radius, half mark width, stations
	cos2, sin2            float64 // direction, as a lay has it
}

// NewCutter is a cutter for f.
func NewCutter(f *surface.Face) *Cutter {
	dyadic := func(mm float64) float64 { return math.Round(mm*UnitsPerMM*4096) / 4096 }
	return &Cutter{
		face: f, pitchX: dyadic(f.DX), pitchY: dyadic(f.DY),
		firstX: dyadic(f.X0), firstY: dyadic(f.Y0),
	}
}

// Cut lays one stroke of blade b: the edge rides the highs under its width,
// lifts in and out, and leaves min(z, tool) behind; burr stands up beside and
// behind the mark. It returns what was taken. The metal is nowhere raised.
func (c *Cutter) Cut(b Blade, s Stroke) Chip {
	p := pass{Stroke: s, blade: b, length: s.Length(), radius: b.EffectiveRadius()}
	if p.length <= 0 || s.DepthUM <= 0 {
		return Chip{}
	}
	p.depth = s.DepthUM * (1 - BluntDepth*b.Bluntness())
	p.half = math.Sqrt(2 * p.radius * p.depth / 1000)
	p.ux = float64(s.X1-s.X0) / UnitsPerMM / p.length
	p.uy = float64(s.Y1-s.Y0) / UnitsPerMM / p.length
	p.cos2, p.sin2 = float64(p.ux*p.ux)-float64(p.uy*p.uy), 2*float64(p.ux*p.uy)
	p.spacing = math.Max(stationMM, math.Max(c.face.DX, c.face.DY))

	c.gather(p)
	c.ride(p)
	c.chatter(p)
	return c.take(p)
}

// gather finds the cells within reach of the blade and sorts the heights of
// those under a full mark to their stations.
func (c *Cutter) gather(p pass) {
	n := max(1, int(math.Ceil(p.length/p.spacing)))
	for len(c.stations) < n {
		c.stations = append(c.stations, station{})
	}
	c.stations, c.cells = c.stations[:n], c.cells[:0]
	for i := range c.stations {
		c.stations[i].heights = c.stations[i].heights[:0]
	}

	f := c.face
	// Beyond a few widths the arc stands clear of anything that the edge rides.
	reach := math.Min(p.blade.WidthMM/2, 2*p.half+BurrReach)
	grow := reach * UnitsPerMM
	i0, i1 := span(float64(min(p.X0, p.X1))-grow, float64(max(p.X0, p.X1))+grow, c.firstX, c.pitchX, f.NX)
	j0, j1 := span(float64(min(p.Y0, p.Y1))-grow, float64(max(p.Y0, p.Y1))+grow, c.firstY, c.pitchY, f.NY)
	for j := j0; j < j1; j++ {
		dy := (c.firstY + float64(float64(j)*c.pitchY) - float64(p.Y0)) / UnitsPerMM
		from, to := c.rowReach(p, dy, reach, i0, i1)
		for i := from; i < to; i++ {
			dx := (c.firstX + float64(float64(i)*c.pitchX) - float64(p.X0)) / UnitsPerMM
			along := float64(dx*p.ux) + float64(dy*p.uy)
			side := float64(dy*p.ux) - float64(dx*p.uy)
			k := j*f.NX + i
			if along < 0 || along > p.length+BurrReach || side > reach || side < -reach || !f.Metal(k) {
				continue
			}
			curve := float64(side*side) / (2 * p.radius) * 1000
			c.cells = append(c.cells, touched{k, along, side, curve})
			if side <= p.half && side >= -p.half && along <= p.length {
				st := c.station(along, p)
				st.heights = append(st.heights, surface.FromSteps(f.H[k])-curve)
			}
		}
	}
}

func (c *Cutter) station(along float64, p pass) *station {
	return &c.stations[min(int(along/p.spacing), len(c.stations)-1)]
}

// rowReach narrows the columns i0 to i1 of a row dy mm off the start of a stroke
// to those that can lie within its reach; it errs on the wide side.
func (c *Cutter) rowReach(p pass, dy, reach float64, i0, i1 int) (from, to int) {
	lo, hi := math.Inf(-1), math.Inf(1)
	narrow := func(slope, a, b float64) { // a <= slope dx <= b
		if math.Abs(slope) < 1e-9 {
			return
		}
		a, b = a/slope, b/slope
		lo, hi = math.Max(lo, math.Min(a, b)), math.Min(hi, math.Max(a, b))
	}
	narrow(p.uy, dy*p.ux-reach, dy*p.ux+reach)
	narrow(p.ux, -dy*p.uy, p.length+BurrReach-dy*p.uy)
	column := func(dx float64) float64 { return (float64(p.X0) + dx*UnitsPerMM - c.firstX) / c.pitchX }
	return max(i0, int(math.Max(column(lo), -1))-1), min(i1, int(math.Min(column(hi), float64(i1)))+2)
}

// span is the half-open range of lattice indices whose centres lie in [lo, hi].
func span(lo, hi, first, pitch float64, n int) (int, int) {
	a := int(math.Ceil((lo - first) / pitch))
	b := int(math.Floor((hi-first)/pitch)) + 1
	return max(a, 0), min(b, n)
}

// ride finds on what height the edge rides at each station: the mean of the
// highest share of the profile under it, evened along the stroke. On an even
// face that is the face itself.
func (c *Cutter) ride(p pass) {
	// What the highest share of the bare arc averages on an even face: its flat
	// middle, |v| < half x share.
	middle := p.half * RidingShare
	bias := float64(middle*middle) / 3 / (2 * p.radius) * 1000
	for i := range c.stations {
		st := &c.stations[i]
		st.metal = len(st.heights) > 0
		if !st.metal {
			continue
		}
		slices.Sort(st.heights)
		n := max(1, int(float64(len(st.heights))*RidingShare+.5))
		sum := 0.0
		for _, z := range st.heights[len(st.heights)-n:] {
			sum += z
		}
		st.ride = sum/float64(n) + bias
	}
	c.smooth(RidingReach / p.spacing)
	for i := range c.stations {
		c.stations[i].ride = c.stations[i].bottom
	}
}

// smooth sets each station's bottom to the mean ride of its neighbours, weighted
// down to nothing at the reach, which counts stations.
func (c *Cutter) smooth(reach float64) {
	n := int(reach)
	for i := range c.stations {
		sum, weight := 0.0, 0.0
		for o := -n; o <= n; o++ {
			if k := i + o; k >= 0 && k < len(c.stations) && c.stations[k].metal {
				w := 1 - math.Abs(float64(o))/(reach+1)
				sum += float64(w * c.stations[k].ride)
				weight += w
			}
		}
		if weight > 0 {
			c.stations[i].bottom = sum / weight
		}
	}
}

// chatter lets the tool follow the ripple along the stroke more than it should,
// by the gain that earlier strokes in its own direction have bred.
func (c *Cutter) chatter(p pass) {
	f := c.face
	followed, n := 0, 0
	for _, t := range c.cells {
		if t.side > p.half || t.side < -p.half {
			continue
		}
		n++
		if p.follows(f, t.k) {
			followed += int(f.Ripple[t.k])
		}
	}
	if followed == 0 {
		return
	}
	gain := math.Min(ChatterLimit, ChatterGain*float64(followed)/float64(n))
	c.smooth(ChatterReach / p.spacing)
	for i := range c.stations {
		s := &c.stations[i]
		// A blade that chatters leaves the work at its worst: it digs deeper by
		// no more than a share of the depth it was pressed to.
		limit := ChatterDepth * p.depth
		s.bottom = s.ride + math.Max(-limit, math.Min(limit, gain*(s.ride-s.bottom)))
	}
}

// follows reports whether the stroke runs along the lay of cell k.
func (p pass) follows(f *surface.Face, k int) bool {
	return float64(p.cos2*float64(f.LayCos[k]))+float64(p.sin2*float64(f.LaySin[k])) > layFull*AlignedLay
}

// ramp is the share of the full depth at the share t of a stroke's length: up
// over the entry, down over the exit, smooth at both ends of each.
func ramp(t float64) float64 {
	ease := func(u float64) float64 {
		u = math.Max(0, math.Min(1, u))
		return float64(u*u) * (3 - 2*u)
	}
	return math.Min(ease(t/EntryShare), ease((1-t)/ExitShare))
}

// take cuts the gathered cells to the tool, throws the burr and marks the lay.
func (c *Cutter) take(p pass) Chip {
	f := c.face
	burr := min(math.MaxUint16, surface.ToSteps(p.BurrUM*math.Min(1, p.depth/BurrDepth)*(1+(BluntBurr-1)*p.blade.Bluntness())))
	layCos, laySin := int8(math.Round(layFull*p.cos2)), int8(math.Round(layFull*p.sin2))

	c.drawLine(p)
	// Burr stands where the edge bears with some force.
	from, to := burrFrom*p.length, burrTo*p.length
	besideUM := BurrReach / p.radius * 1000

	var chip Chip
	var deepest, removed int64
	for _, t := range c.cells {
		u := t.along / lineMM
		n := min(int(u), len(c.line)-2)
		low := c.line[n] + float64((u-float64(n))*(c.line[n+1]-c.line[n]))
		tool := surface.ToSteps(low + t.curve)
		over := f.H[t.k] - tool
		if over > 0 && t.along < p.length {
			if p.TearUM > 0 {
				over += c.torn(p, t.k)
				tool = f.H[t.k] - over
			}
			f.H[t.k] = tool
			f.Burr[t.k] = 0
			removed += int64(over)
			deepest = max(deepest, int64(over))
			chip.Cells++
			if c.Each != nil {
				c.Each(t.k, over)
			}
			switch {
			case !p.follows(f, t.k):
				f.Ripple[t.k] = 1
			case f.Ripple[t.k] < math.MaxUint8:
				f.Ripple[t.k]++
			}
			f.LayCos[t.k], f.LaySin[t.k] = layCos, laySin
			continue
		}
		// Beside the mark the arc stands clear of the metal by no more than it
		// rises over the burr's reach; behind the exit the last chip stands.
		side := math.Abs(t.side)
		beside := t.along > from && t.along < to && float64(-over) < side*besideUM*surface.StepsPerUM
		behind := t.along > p.length-BurrReach && side < BurrReach
		if beside || behind {
			f.Burr[t.k] = uint16(max(int32(f.Burr[t.k]), burr))
		}
	}
	chip.DeepestUM = surface.FromSteps(int32(deepest))
	chip.VolumeMM3 = float64(removed) / surface.StepsPerUM / 1000 * f.CellArea()
	return chip
}

// torn is how far below the tool the stroke tears cell k, steps.
func (c *Cutter) torn(p pass, k int) int32 {
	i, j := int(c.face.X(k%c.face.NX)/TornMM), int(c.face.Y(k/c.face.NX)/TornMM)
	return surface.ToSteps(float64(p.TearUM * pit(i, j, p.Grain)))
}

// lineMM is the spacing at which the tool's lowest line is drawn between the
// stations and its ramps.
const lineMM = 0.05

// Burr is thrown beside a stroke between these shares of its length, where the
// ramps have reached about a third of the depth.
const (
	burrFrom = 0.36 * EntryShare
	burrTo   = 1 - 0.36*ExitShare
)

// drawLine draws the tool's lowest line, um, from the start of the stroke to
// beyond its end, where it is lifted.
func (c *Cutter) drawLine(p pass) {
	c.line = c.line[:0]
	for n := 0; n <= int((p.length+BurrReach)/lineMM)+1; n++ {
		along := float64(lineMM * float64(n))
		c.line = append(c.line, c.bottomAt(along, p.spacing)-float64(p.depth*ramp(along/p.length)))
	}
}

// liftedUM is where the tool counts as standing when it has nothing under it:
// above any face.
const liftedUM = 1e4

// bottomAt is the tool's lowest line before the depth is taken off, um, between
// the stations.
func (c *Cutter) bottomAt(along, spacing float64) float64 {
	u := along/spacing - .5
	i := int(math.Floor(u))
	w := u - float64(i)
	last := len(c.stations) - 1
	a, b := &c.stations[max(0, min(i, last))], &c.stations[max(0, min(i+1, last))]
	if !a.metal {
		if !b.metal {
			return liftedUM
		}
		return b.bottom
	}
	if !b.metal {
		return a.bottom
	}
	return a.bottom + float64(w*(b.bottom-a.bottom))
}
