package blue

import (
	"math"
	"math/rand/v2"
	"slices"

	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Parameters of the coat; the table in sim/PHYSICS.md gives ranges. No
// measurement of any of them was found: all are assumed unless a source is named.
const (
	// CoatMM is the side of the squares in which the film on a master is kept,
	// mm: colour flows level within less.
	CoatMM = 2.0
	// DefaultPasses of the roller, crossed, spread a film well.
	DefaultPasses = 4
	// RollEvens is the share of any unevenness that one pass of the roller leaves.
	RollEvens = 0.45
	// DabShare and DabMM are the unevenness of colour as it is dabbed on, as a
	// share of the film, and the size of its patches, mm.
	DabShare = 0.8
	DabMM    = 40.0
	// StreakShare and StreakMM are the unevenness that a pass of the roller adds,
	// as a share of the film it passes over, and the breadth of its streaks, mm.
	StreakShare = 0.6
	StreakMM    = 12.0
	// TakenShare is the share of the film that a place coloured all the while
	// takes off the master: a film between two faces splits about in half
	// (from memory of printing).
	TakenShare = 0.5
	// LeastShare of the film is left in the poorest streak.
	LeastShare = 0.1
	// OilUM is the gap, um, that oil left on a face lets colour float across.
	OilUM = 2.0
)

// ContrastMisread is the share of its misreadings that a hand still makes with
// contrast colour under the film (assumed).
const ContrastMisread = 0.5

// coatSteps is the resolution in which a coat keeps its thickness, per um.
const coatSteps = 1024

// Coat is the colour that lies on a master: the gap at which it takes, square by
// square.
type Coat struct {
	nx, ny int
	x0, y0 float64 // mm, corner on the plate
	film   []int32 // steps
	taken  []int32 // scratch of Spend
}

// NewCoat is a bare master that reaches from (x0, y0) to (x1, y1), mm.
func NewCoat(x0, y0, x1, y1 float64) *Coat {
	c := &Coat{x0: x0, y0: y0, nx: max(1, int(math.Ceil((x1-x0)/CoatMM))), ny: max(1, int(math.Ceil((y1-y0)/CoatMM)))}
	c.film, c.taken = make([]int32, c.nx*c.ny), make([]int32, c.nx*c.ny)
	return c
}

// Clone is a deep copy.
func (c *Coat) Clone() *Coat {
	d := *c
	d.film, d.taken = slices.Clone(c.film), slices.Clone(c.taken)
	return &d
}

// Wipe takes all colour off.
func (c *Coat) Wipe() { clear(c.film) }

// At is the gap, um, at which colour takes at (x, y) mm of the plate.
func (c *Coat) At(x, y float64) float64 { return float64(c.film[c.square(x, y)]) / coatSteps }

func (c *Coat) square(x, y float64) int {
	i := max(0, min(int((x-c.x0)/CoatMM), c.nx-1))
	j := max(0, min(int((y-c.y0)/CoatMM), c.ny-1))
	return j*c.nx + i
}

// Roll dabs colour for a film of um on and spreads it with so many passes of the
// roller, along x and across in turn. Each pass evens what lies there, dabs and
// older colour alike, and leaves streaks of its own.
func (c *Coat) Roll(um float64, passes int, rng *rand.Rand) {
	// Unevenness as a share of the film, at the squares.
	uneven := make([]float64, len(c.film))
	dabs := field{mm: DabMM}
	dabs.draw(c, rng)
	for k := range uneven {
		uneven[k] = float64(DabShare * dabs.at(k%c.nx, k/c.nx))
	}
	old, streak := 1.0, StreakShare
	for pass := range passes {
		along := pass%2 == 0
		n := c.ny
		if !along {
			n = c.nx
		}
		s := streaks(n, rng)
		for k := range uneven {
			lane := k / c.nx
			if !along {
				lane = k % c.nx
			}
			uneven[k] = float64(RollEvens*uneven[k]) + float64(streak*s[lane])
		}
		old *= RollEvens
		streak *= RollEvens
	}
	for k, u := range uneven {
		was := float64(c.film[k])/coatSteps - um
		share := max(LeastShare, 1+u)
		c.film[k] = max(0, int32(math.Round((float64(um*share)+float64(old*was))*coatSteps)))
		if !(was > -um) { // bare before: nothing older to be spread
			c.film[k] = int32(math.Round(float64(um*share) * coatSteps))
		}
	}
}

// streaks are values from -1 to 1 over n squares, smooth over StreakMM.
func streaks(n int, rng *rand.Rand) []float64 {
	per := StreakMM / CoatMM
	node := make([]float64, int(float64(n)/per)+2)
	for i := range node {
		node[i] = 2*rng.Float64() - 1
	}
	out := make([]float64, n)
	for i := range out {
		u := float64(i) / per
		a := int(u)
		out[i] = node[a] + float64((u-float64(a))*(node[a+1]-node[a]))
	}
	return out
}

// field is a random field from -1 to 1, smooth over mm in both directions.
type field struct {
	mm   float64
	nx   int
	node []float64
}

func (f *field) draw(c *Coat, rng *rand.Rand) {
	per := f.mm / CoatMM
	f.nx = int(float64(c.nx)/per) + 2
	f.node = make([]float64, f.nx*(int(float64(c.ny)/per)+2))
	for k := range f.node {
		f.node[k] = 2*rng.Float64() - 1
	}
}

func (f *field) at(i, j int) float64 {
	per := f.mm / CoatMM
	u, v := float64(i)/per, float64(j)/per
	a, b := int(u), int(v)
	s, t := u-float64(a), v-float64(b)
	k := b*f.nx + a
	low := f.node[k] + float64(s*(f.node[k+1]-f.node[k]))
	high := f.node[k+f.nx] + float64(s*(f.node[k+f.nx+1]-f.node[k+f.nx]))
	return low + float64(t*(high-low))
}

// Layer is the film as it lies under a part through a rub, averaged over the
// path at each place of the part: its inverse, 1/um, at the middles of squares.
type Layer struct {
	nx, ny   int
	inverse  []float64
	greatest float64 // um
}

// thinnest is what counts as no film, um.
const thinnest = 0.02

// Under averages the coat over the path of a rub under each place of a part that
// lies on the plate as pose says.
func (c *Coat) Under(g surface.Grid, pose seat.Pose, rub Rub) *Layer {
	x0, y0, x1, y1 := g.Edges()
	l := &Layer{nx: int(math.Ceil((x1-x0)/CoatMM)) + 1, ny: int(math.Ceil((y1-y0)/CoatMM)) + 1}
	l.inverse = make([]float64, l.nx*l.ny)
	steps := rub.steps()
	for j := range l.ny {
		for i := range l.nx {
			px, py := pose.On(g, x0+float64(CoatMM*float64(i)), y0+float64(CoatMM*float64(j)))
			sum := int64(0)
			for _, s := range steps {
				sum += int64(c.film[c.square(px+s[0], py+s[1])])
			}
			um := max(thinnest, float64(sum)/float64(len(steps))/coatSteps)
			l.inverse[j*l.nx+i] = 1 / um
			l.greatest = max(l.greatest, um)
		}
	}
	return l
}

// sheet is a layer laid out over the cells of a part, row by row.
type sheet struct {
	layer   *Layer
	grid    surface.Grid
	thicker float64 // um on top of the layer
	column  []int32 // node left of each column of cells
	share   []float64
	node    []float64
}

func (l *Layer) over(g surface.Grid, thicker float64) *sheet {
	s := &sheet{
		layer: l, grid: g, thicker: thicker, column: make([]int32, g.NX), share: make([]float64, g.NX),
		node: make([]float64, l.nx),
	}
	for i := range s.column {
		u := float64((float64(i) + .5) * (g.DX / CoatMM))
		a := min(int(u), l.nx-2)
		s.column[i], s.share[i] = int32(a), u-float64(a)
	}
	return s
}

// row sets the nodes to the inverse of the film, 1/um, along row j; between node
// n = column[i] and the next it lies at share[i].
func (s *sheet) row(j int) {
	l := s.layer
	v := float64((float64(j) + .5) * (s.grid.DY / CoatMM))
	b := min(int(v), l.ny-2)
	t := v - float64(b)
	for i := range s.node {
		low, high := l.inverse[b*l.nx+i], l.inverse[(b+1)*l.nx+i]
		s.node[i] = low + float64(t*(high-low))
		if s.thicker > 0 {
			s.node[i] = 1 / (1/s.node[i] + s.thicker)
		}
	}
}

// Spend takes off the coat what the part took in a print: the more, the more of
// the rub a place lay under colour taken.
func (c *Coat) Spend(r *Reading, pose seat.Pose, rub Rub) {
	t := r.taken
	steps := rub.steps()
	clear(c.taken)
	for j := range t.ny {
		for i := range t.nx {
			share := int32(math.Round(t.share[j*t.nx+i] * 1024))
			if share == 0 {
				continue
			}
			x := r.X0 - r.DX/2 + float64((float64(i)+.5)*float64(t.perX)*r.DX)
			y := r.Y0 - r.DY/2 + float64((float64(j)+.5)*float64(t.perY)*r.DY)
			px, py := pose.On(r.Grid, x, y)
			for _, s := range steps {
				c.taken[c.square(px+s[0], py+s[1])] += share
			}
		}
	}
	full := float64(1024 * len(steps))
	for k, t := range c.taken {
		if t > 0 {
			c.film[k] -= int32(math.Round(float64(c.film[k]) * TakenShare * min(1, float64(t)/full)))
		}
	}
}
