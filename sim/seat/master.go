package seat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"github.com/before-iron/beforeiron/sim/surface"
)

// Master is what a part is blued against, as a lesson or a run names it.
type Master struct {
	Grade    Grade   `yaml:"grade" json:"grade"`
	LengthMM float64 `yaml:"length_mm" json:"length_mm,omitempty"` // along its x; 0 only for a true plane
	WidthMM  float64 `yaml:"width_mm" json:"width_mm,omitempty"`   // along its y
	Seed     uint64  `yaml:"seed" json:"seed,omitempty"`
	// Share is how much of its grade's tolerance the master uses up; 0 is
	// DefaultShare.
	Share float64 `yaml:"share" json:"share,omitempty"`
	// Kind is plate, straightedge or prism; empty is a plate. The part is laid on
	// a plate; a straightedge and a prism are laid on the part.
	Kind Kind `yaml:"kind" json:"kind,omitempty"`
	// DepthMM is how deep a straightedge or prism is: what it weighs. 0 is
	// DefaultDepthMM.
	DepthMM float64 `yaml:"depth_mm" json:"depth_mm,omitempty"`
	// WornUM is the hollow that years of prints in its middle have worn, um,
	// beyond its grade.
	WornUM float64 `yaml:"worn_um" json:"worn_um,omitempty"`
}

// Kind of a master.
type Kind string

// The kinds of masters.
const (
	SurfacePlate Kind = "plate"
	Straightedge Kind = "straightedge"
	Prism        Kind = "prism"
)

// DefaultDepthMM is the depth of a straightedge or prism of unknown depth
// (assumed).
const DefaultDepthMM = 50.0

// WearPerMetre is what a rub of one metre under own weight wears off an iron
// master, um (assumed: a busy, dirty plate wears a few um in a year of some hundred
// metres).
const WearPerMetre = 0.01

// OnPart reports whether the master is laid on the part and not the part on it.
func (m Master) OnPart() bool { return m.Kind == Straightedge || m.Kind == Prism }

// Weight of a master that is laid on a part, N, of solid iron; a prism is half
// of the bar around it.
func (m Master) Weight() float64 {
	depth := m.DepthMM
	if depth == 0 {
		depth = DefaultDepthMM
	}
	n := float64(WeightPerArea / 25 * depth * float64(m.LengthMM*m.WidthMM))
	if m.Kind == Prism {
		n /= 2
	}
	return n
}

func (m Master) check() error {
	switch m.Kind {
	case "", SurfacePlate:
	case Straightedge, Prism:
		if !(m.LengthMM > 0 && m.WidthMM > 0) {
			return fmt.Errorf("master: a %s is %g x %g mm: give length_mm and width_mm", m.Kind, m.LengthMM, m.WidthMM)
		}
	default:
		return fmt.Errorf("master kind %q is unknown: take %s, %s or %s", m.Kind, SurfacePlate, Straightedge, Prism)
	}
	if !(m.Share >= 0 && m.Share <= 1) {
		return fmt.Errorf("master share is %g: give 0 (for %g) to 1", m.Share, DefaultShare)
	}
	if !(m.DepthMM >= 0 && m.DepthMM <= 1000) {
		return fmt.Errorf("master depth_mm is %g: give 0 (for %g) to 1000", m.DepthMM, DefaultDepthMM)
	}
	if !(m.WornUM >= 0 && m.WornUM <= 1000) {
		return fmt.Errorf("master worn_um is %g: give 0 to 1000", m.WornUM)
	}
	if m.WornUM > 0 && !(m.LengthMM > 0 && m.WidthMM > 0) {
		return fmt.Errorf("master worn_um is %g on a boundless plane: give length_mm and width_mm", m.WornUM)
	}
	return nil
}

// DefaultShare of the tolerance that a master of unknown history is out of
// flat (assumed: plates are sold within their grade, not at its limit).
const DefaultShare = 0.5

// Grade is the class of a master.
type Grade string

// The grades that a master can have.
const (
	True    Grade = "true" // an ideal plane, boundless unless it has a size
	DIN8760 Grade = "din876-0"
	DIN8761 Grade = "din876-1"
	DIN8762 Grade = "din876-2"
	DIN8763 Grade = "din876-3"
	GGGAA   Grade = "ggg-p-463c-aa"
	GGGA    Grade = "ggg-p-463c-a"
	GGGB    Grade = "ggg-p-463c-b"
)

// DIN876 is the flatness tolerance, um, of a plate whose longest side is
// longestMM: t = k (1 + L/1000 mm) with k = 4, 10, 20, 40 um for grades 0 to 3
// (DIN 876).
func DIN876(grade int, longestMM float64) float64 {
	k := [...]float64{4, 10, 20, 40}[grade]
	return float64(k * (1 + longestMM/1000))
}

// Microinch is 1e-6 in, um.
const Microinch = 0.0254

// gggPrinted are the sizes, in, for which the printed table of GGG-P-463c rules
// over its formula, and the tolerance of grade AA, microinch. The table holds
// further sizes, 24 x 36 in among them, whose printed value is not known here;
// they follow the formula.
var gggPrinted = []struct{ width, length, aa float64 }{
	{12, 12, 50}, {12, 18, 50}, {18, 24, 75}, {36, 48, 200}, {48, 72, 350}, {48, 96, 500},
}

// GGGP463c is the flatness tolerance of a grade AA plate by Fed. Spec.
// GGG-P-463c, um: as printed for the listed sizes, else 40 + D^2/25 microinch
// with the diagonal D in inches. Grade A has twice, grade B four times as much.
func GGGP463c(lengthMM, widthMM float64) float64 {
	a, b := lengthMM/25.4, widthMM/25.4
	if a > b {
		a, b = b, a
	}
	for _, p := range gggPrinted {
		if math.Abs(a-p.width) < 0.01 && math.Abs(b-p.length) < 0.01 {
			return p.aa * Microinch
		}
	}
	return float64((40 + (float64(a*a)+float64(b*b))/25) * Microinch)
}

// ToleranceUM is the flatness tolerance of the master's grade at its size, um.
func (m Master) ToleranceUM() (float64, error) {
	if m.Grade == True {
		return 0, nil
	}
	if !(m.LengthMM > 0 && m.WidthMM > 0) || math.IsInf(m.LengthMM+m.WidthMM, 0) {
		return 0, fmt.Errorf("master %s is %g x %g mm: give length_mm and width_mm", m.Grade, m.LengthMM, m.WidthMM)
	}
	longest := max(m.LengthMM, m.WidthMM)
	switch m.Grade {
	case DIN8760:
		return DIN876(0, longest), nil
	case DIN8761:
		return DIN876(1, longest), nil
	case DIN8762:
		return DIN876(2, longest), nil
	case DIN8763:
		return DIN876(3, longest), nil
	case GGGAA:
		return GGGP463c(m.LengthMM, m.WidthMM), nil
	case GGGA:
		return 2 * GGGP463c(m.LengthMM, m.WidthMM), nil
	case GGGB:
		return 4 * GGGP463c(m.LengthMM, m.WidthMM), nil
	}
	return 0, fmt.Errorf("master grade %q is unknown: take true, din876-0 to din876-3, or ggg-p-463c-aa, -a, -b", m.Grade)
}

// plateNodes is how many nodes of the coarse lattice lie along each side of a
// plate. Its error has at most three half waves along a side: straight lines
// between the nodes follow them to 0.3 % of their height.
const plateNodes = 65

// Plate is the surface of a master: what its own error adds to a print.
type Plate struct {
	master Master
	z      []float64 // um at the nodes, x fastest; nil for a true plane
}

// NewPlate makes the surface of a master: a smooth long-wave error, cosine
// modes of at most three half waves drawn from the seed, whose range about its
// least-squares plane is Share of the tolerance.
func NewPlate(m Master) (*Plate, error) {
	tolerance, err := m.ToleranceUM()
	if err != nil {
		return nil, err
	}
	if err := m.check(); err != nil {
		return nil, err
	}
	p := &Plate{master: m}
	if m.Grade == True {
		p.hollow(m.WornUM)
		return p, nil
	}
	share := m.Share
	if share == 0 {
		share = DefaultShare
	}
	lattice := surface.NewMap(surface.Grid{NX: plateNodes, NY: plateNodes, DX: m.LengthMM / (plateNodes - 1), DY: m.WidthMM / (plateNodes - 1)})
	rng := rand.New(rand.NewPCG(m.Seed, 0x706c617465))
	for _, mode := range [][2]int{{2, 0}, {0, 2}, {1, 1}, {3, 0}, {0, 3}, {2, 1}, {1, 2}} {
		// A mode falls off with its curvature, as sagging and wear do.
		a := (2*rng.Float64() - 1) / float64(mode[0]*mode[0]+mode[1]*mode[1])
		for k := range lattice.Z {
			lattice.Z[k] += float64(a * float64(halfWaves(mode[0], k%plateNodes)*halfWaves(mode[1], k/plateNodes)))
		}
	}
	plane, err := surface.LeastSquares(lattice)
	if err != nil {
		return nil, err
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for k := range lattice.Z {
		lattice.Z[k] -= plane.At(lattice.X(k%plateNodes), lattice.Y(k/plateNodes))
		lo, hi = min(lo, lattice.Z[k]), max(hi, lattice.Z[k])
	}
	scale := float64(share*tolerance) / (hi - lo)
	for k := range lattice.Z {
		lattice.Z[k] = float64(scale * lattice.Z[k])
	}
	p.z = lattice.Z
	p.hollow(m.WornUM)
	return p, nil
}

// hollow wears um off the middle, falling to nothing at the edges as
// (1-u^2)^2 (1-v^2)^2 does.
func (p *Plate) hollow(um float64) {
	if um == 0 {
		return
	}
	if p.z == nil {
		p.z = make([]float64, plateNodes*plateNodes)
	}
	share := func(node int) float64 {
		u := float64(2*node)/(plateNodes-1) - 1
		q := 1 - float64(u*u)
		return float64(q * q)
	}
	for k := range p.z {
		p.z[k] -= float64(float64(um*share(k%plateNodes)) * share(k/plateNodes))
	}
}

// Clone is a copy that wears by itself.
func (p *Plate) Clone() *Plate { return &Plate{p.master, slices.Clone(p.z)} }

// Wear takes um off the plate under a part whose grid is g. A boundless plane
// does not wear.
func (p *Plate) Wear(g surface.Grid, pose Pose, um float64) {
	if p.master.LengthMM == 0 || p.master.WidthMM == 0 {
		return
	}
	if p.z == nil {
		p.z = make([]float64, plateNodes*plateNodes)
	}
	x0, y0, x1, y1 := g.Edges()
	l, w := (x1-x0)/2, (y1-y0)/2
	um = math.Round(um*(1<<30)) / (1 << 30)
	for k := range p.z {
		x := float64(float64(k%plateNodes)*p.master.LengthMM) / (plateNodes - 1)
		y := float64(float64(k/plateNodes)*p.master.WidthMM) / (plateNodes - 1)
		if math.Abs(x-pose.XMM) <= l && math.Abs(y-pose.YMM) <= w {
			p.z[k] -= um
		}
	}
}

// Under are the cells of a part with grid g, lying so, that have the plate under
// them: from column [0] and row [1] up to, and without, column [2] and row [3].
// None gives an empty rectangle.
func (p *Plate) Under(g surface.Grid, pose Pose) (cells [4]int) {
	some := func(n int, on func(k int) bool) (from, to int) {
		for from < n && !on(from) {
			from++
		}
		for to = from; to < n && on(to); to++ {
		}
		return from, to
	}
	cells[0], cells[2] = some(g.NX, func(i int) bool {
		x, _ := pose.On(g, g.X(i), 0)
		_, _, ok := p.along(x, p.master.LengthMM)
		return ok
	})
	cells[1], cells[3] = some(g.NY, func(j int) bool {
		_, y := pose.On(g, 0, g.Y(j))
		_, _, ok := p.along(y, p.master.WidthMM)
		return ok
	})
	return cells
}

// HeightNear is the height of the plate at the place on it nearest to (x, y) mm
// from its corner, um.
func (p *Plate) HeightNear(x, y float64) float64 {
	if p.z == nil {
		return 0
	}
	return p.HeightAt(max(0, min(x, p.master.LengthMM)), max(0, min(y, p.master.WidthMM)))
}

// halfWaves is cos(pi n t) at a node, rounded so coarsely that every processor
// has the same.
func halfWaves(n, node int) float64 {
	c := math.Cos(math.Pi * float64(n*node) / (plateNodes - 1))
	return math.Round(c*(1<<24)) / (1 << 24)
}

// HeightAt is the height of the plate at (x, y) mm from its corner, um; NaN
// beyond its edges.
func (p *Plate) HeightAt(x, y float64) float64 {
	i, s, okX := p.along(x, p.master.LengthMM)
	j, t, okY := p.along(y, p.master.WidthMM)
	if !okX || !okY {
		return math.NaN()
	}
	if p.z == nil {
		return 0
	}
	k := j*plateNodes + i
	return blend(blend(p.z[k], p.z[k+plateNodes], t), blend(p.z[k+1], p.z[k+1+plateNodes], t), s)
}

// along is the node before a place along a side of the plate and the share of
// the way to the next.
func (p *Plate) along(x, side float64) (node int, share float64, ok bool) {
	if side == 0 {
		return 0, 0, true
	}
	slack := 1e-9 * side
	if x < -slack || x > side+slack {
		return 0, 0, false
	}
	t := x / side * (plateNodes - 1)
	node = max(0, min(int(t), plateNodes-2))
	return node, t - float64(node), true
}

func blend(a, b, t float64) float64 { return a + float64((b-a)*t) }

// Pose is how a part lies, face down, on a plate. (XMM, YMM) is the point of
// the plate under the middle of the part's grid. The part was tipped over its
// length: seen from above, its x runs along the plate's x and its y against
// the plate's y; HalfTurn turns it from there by 180 degrees where it lies.
type Pose struct {
	XMM      float64 `json:"x_mm"`
	YMM      float64 `json:"y_mm"`
	HalfTurn bool    `json:"half_turn,omitempty"`
}

// On is the point of the plate under the point (x, y) mm of a part whose grid
// is g.
func (q Pose) On(g surface.Grid, x, y float64) (px, py float64) {
	x0, y0, x1, y1 := g.Edges()
	u, v := x-(x0+x1)/2, y-(y0+y1)/2
	if q.HalfTurn {
		return q.XMM - u, q.YMM + v
	}
	return q.XMM + u, q.YMM - v
}

// Middle is the pose of a part in the middle of the plate; a boundless plate
// has it at (0, 0).
func (p *Plate) Middle() Pose { return Pose{XMM: p.master.LengthMM / 2, YMM: p.master.WidthMM / 2} }

// AddTo adds the height of the plate under each cell of a part to the part's
// own, um: seated on a true plane the sum behaves as the part does on this
// plate. A cell that overhangs the plate becomes missing, for nothing is under
// it.
func (p *Plate) AddTo(m *surface.Map, pose Pose) {
	if p.z == nil && p.master.LengthMM == 0 && p.master.WidthMM == 0 {
		return
	}
	type place struct {
		node  int
		share float64
		ok    bool
	}
	columns := make([]place, m.NX)
	for i := range columns {
		x, _ := pose.On(m.Grid, m.X(i), 0)
		c := &columns[i]
		c.node, c.share, c.ok = p.along(x, p.master.LengthMM)
	}
	line := make([]float64, plateNodes)
	for j := range m.NY {
		row := m.Z[j*m.NX : (j+1)*m.NX]
		_, y := pose.On(m.Grid, 0, m.Y(j))
		node, share, ok := p.along(y, p.master.WidthMM)
		if ok && p.z != nil {
			for i := range line {
				line[i] = blend(p.z[node*plateNodes+i], p.z[(node+1)*plateNodes+i], share)
			}
		}
		for i, c := range columns {
			if !ok || !c.ok {
				row[i] = math.NaN()
				continue
			}
			row[i] += blend(line[c.node], line[c.node+1], c.share)
		}
	}
}
