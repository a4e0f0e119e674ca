package run

import (
	"errors"
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/heat"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// posture is how the part stands, bends and bows besides its free shape.
type posture struct {
	stock     Stock    // with its defaults filled in
	columns   []column // of the part's metal while its chamfer is columnsOf
	columnsOf int
	supports  *seat.Shape // as it is bent on the bench; nil when it is not
	warmth    heat.State
}

// column is the metal over one x.
type column struct {
	x, y  float64 // mm, of its middle
	cells int
}

// Grey iron and steel as they bend: the table in sim/PHYSICS.md.
const (
	IronYoungGPa  = 110.0
	SteelYoungGPa = 206.0
	SteelDensity  = 7850.0
	ThicknessMM   = 25.0
	// PushFriction is the friction between part and master in a hinge test
	// (scraped iron, static: .15 to .25, from memory of machine-tool texts). It
	// tips the part about the pushing hand, which bears at half its thickness.
	PushFriction = 0.2
)

const gravity = 9.80665

// checkStock reports what is wrong with the stock of the part.
func (s Setup) checkStock() error {
	k := s.Part.Stock
	for _, q := range []struct {
		name   string
		v      float64
		lo, hi float64
	}{
		{"thickness_mm", k.ThicknessMM, 0, 2000}, {"e_gpa", k.YoungGPa, 0, 1000}, {"rho_kg_m3", k.Density, 0, 25000},
		{"back_bow_um", k.BackBowUM, -1000, 1000}, {"warm_k", k.WarmK, -50, 50},
	} {
		if !(q.v >= q.lo && q.v <= q.hi) {
			return fmt.Errorf("setup: part stock %s is %g: give %g to %g", q.name, q.v, q.lo, q.hi)
		}
	}
	for _, q := range []struct {
		name string
		v    float64
		lo   float64
	}{{"thickness_mm", k.ThicknessMM, 1}, {"e_gpa", k.YoungGPa, 1}, {"rho_kg_m3", k.Density, 100}} {
		if q.v != 0 && q.v < q.lo {
			return fmt.Errorf("setup: part stock %s is %g: give 0 for the usual, or %g and more", q.name, q.v, q.lo)
		}
	}
	return nil
}

// stand sets up how the part stands at the beginning.
func (r *Run) stand() error {
	s := r.header.Setup
	k := s.Part.Stock
	steel := r.metal.Name == blade.Steel.Name
	usual := func(v *float64, iron, other float64) {
		if *v == 0 {
			*v = iron
			if steel {
				*v = other
			}
		}
	}
	usual(&k.ThicknessMM, ThicknessMM, ThicknessMM)
	usual(&k.YoungGPa, IronYoungGPa, SteelYoungGPa)
	usual(&k.Density, heat.Density, SteelDensity)
	r.stock = k
	r.warmth = heat.State{BodyK: k.WarmK}
	x0, y0, x1, y1 := r.face.Edges()
	if s.Effects.Bending && y1-y0 > x1-x0 {
		return fmt.Errorf("setup: the bending effect is along x, and this part is %g mm along x and %g mm across: turn it", x1-x0, y1-y0)
	}
	if s.Effects.Dial && s.Master.OnPart() {
		return fmt.Errorf("setup: the dial effect needs a plate under the stand, and the master is a %s", s.Master.Kind)
	}
	return nil
}

// moves reports whether the seat needs more than a rigid part on one place.
func (r *Run) moves() bool {
	e := r.header.Setup.Effects
	return e.Path || e.Overhang || e.Bending || e.Heat || r.header.Setup.Master.OnPart()
}

// allColumns are the columns of all of the part's metal. It has less when its
// edges are broken.
func (r *Run) allColumns() []column {
	if r.columns == nil || r.columnsOf != r.chamfer {
		r.columns, r.columnsOf = r.metalColumns(0, r.face.NY), r.chamfer
	}
	return r.columns
}

// metalColumns are the columns of the part's metal in the rows from j0 to j1.
func (r *Run) metalColumns(j0, j1 int) []column {
	out := make([]column, r.face.NX)
	for i := range out {
		out[i].x = r.face.X(i)
	}
	if r.face.Mask == nil {
		for i := range out {
			out[i].y, out[i].cells = (r.face.Y(j0)+r.face.Y(j1-1))/2, j1-j0
		}
		return out
	}
	sum := make([]int, len(out))
	for j := j0; j < j1; j++ {
		for i, metal := range r.face.Mask[j*r.face.NX : (j+1)*r.face.NX] {
			if metal {
				out[i].cells++
				sum[i] += j
			}
		}
	}
	for i := range out {
		if n := out[i].cells; n > 0 {
			out[i].y = r.face.Y0 + float64(float64(sum[i])/float64(n)*r.face.DY)
		}
	}
	return out
}

// pieces is how many pieces along its length stand for the weight of a part.
const pieces = 64

// weights are the forces that press part and master together, the hand left out:
// the master's weight on the part, or the part's own, in pieces along its length.
// Without the overhang effect only what has the master under it counts.
func (r *Run) weights(pose seat.Pose, under [4]int) []seat.Load {
	s := r.header.Setup
	if s.Master.OnPart() {
		x, y := r.overPart(pose)
		return []seat.Load{{X: x, Y: y, N: s.Master.Weight()}}
	}
	columns := r.allColumns()
	if !s.Effects.Overhang && under != r.wholeFace() {
		columns = r.metalColumns(under[1], under[3])[under[0]:under[2]]
	}
	return r.ownWeight(columns)
}

// ownWeight is the weight of columns of the part in pieces along its length.
func (r *Run) ownWeight(columns []column) []seat.Load {
	perCell := float64(r.stock.Density*gravity*1e-9) * float64(r.stock.ThicknessMM*r.face.CellArea())
	var out []seat.Load
	for n := range pieces {
		var cells, sx, sy float64
		for _, c := range columns[n*len(columns)/pieces : (n+1)*len(columns)/pieces] {
			k := float64(c.cells)
			cells += k
			sx += float64(k * c.x)
			sy += float64(k * c.y)
		}
		if cells > 0 {
			out = append(out, seat.Load{X: sx / cells, Y: sy / cells, N: float64(cells * perCell)})
		}
	}
	return out
}

func (r *Run) wholeFace() [4]int { return [4]int{0, 0, r.face.NX, r.face.NY} }

// overPart is the place on the part over which the middle of the master is, mm.
func (r *Run) overPart(pose seat.Pose) (x, y float64) {
	x0, y0, x1, y1 := r.face.Edges()
	m := r.master.Middle()
	u, v := m.XMM-pose.XMM, pose.YMM-m.YMM
	if pose.HalfTurn {
		u, v = -u, -v
	}
	return (x0+x1)/2 + u, (y0+y1)/2 + v
}

// beam is the part as it bends; nil when it does not.
func (r *Run) beam() *seat.Beam {
	if !r.header.Setup.Effects.Bending {
		return nil
	}
	x0, _, x1, _ := r.face.Edges()
	cells := 0
	for _, c := range r.allColumns() {
		cells += c.cells
	}
	section := seat.Section{
		ThicknessMM: r.stock.ThicknessMM, YoungGPa: r.stock.YoungGPa,
		WidthMM: float64(float64(cells)*r.face.CellArea()) / (x1 - x0),
	}
	return seat.NewBeam(x0, x1, section.EI(), r.stock.ThicknessMM)
}

// bow is the height that warmth gives the face at (x, y) mm, um.
func (r *Run) bow(s heat.State) func(x, y float64) float64 {
	if s.AcrossK == 0 {
		return nil
	}
	x0, y0, x1, y1 := r.face.Edges()
	perMM2 := float64(4 * r.plateOfHeat().BowUM(1, s.AcrossK))
	cx, cy := (x0+x1)/2, (y0+y1)/2
	return func(x, y float64) float64 {
		u, v := x-cx, y-cy
		return -float64(perMM2 * (float64(u*u) + float64(v*v)))
	}
}

func (r *Run) plateOfHeat() heat.Plate {
	x0, y0, x1, y1 := r.face.Edges()
	return heat.NewPlate(x1-x0, y1-y0, r.stock.ThicknessMM)
}

// smooth is what stands on the free heights of the part that lies so: the
// master, the bow of its warmth, and, under a master that is laid on it, its
// sag on the bench.
func (r *Run) smooth(pose seat.Pose, s heat.State) func(x, y float64) float64 {
	bow := r.bow(s)
	sag := r.supports
	if !r.header.Setup.Master.OnPart() {
		sag = nil
	}
	return func(x, y float64) float64 {
		px, py := pose.On(r.face.Grid, x, y)
		h := r.master.HeightNear(px, py)
		if bow != nil {
			h += bow(x, y)
		}
		if sag != nil {
			h += sag.At(x)
		}
		return h
	}
}

// rubPlaces is at how many places along its path the seat of a rub is found.
const rubPlaces = 4

// onTheWay are the places of the part along the rub.
func (r *Run) onTheWay(path [][2]int) []seat.Pose {
	pose := r.pose(*r.placed)
	poses := []seat.Pose{pose}
	if !r.header.Setup.Effects.Path {
		return poses
	}
	places := along(path)
	for n := 0; n < len(places); n += len(places) / rubPlaces {
		p := pose
		p.XMM += places[n][0]
		p.YMM += places[n][1]
		if n == 0 {
			poses[0] = p
			continue
		}
		poses = append(poses, p)
	}
	return poses
}

// errNoneUnder says that part and master do not meet.
var errNoneUnder = errors.New("the part is nowhere over the master: place it nearer to the middle")

// seatAt finds how the part lies at one place. tipped says that it does not: it
// stands on the edge of the master.
func (r *Run) seatAt(bed *seat.Bed, c seat.Case, pose seat.Pose, press []seat.Load) (l *seat.Lie, tipped bool, err error) {
	c.Under = r.master.Under(r.face.Grid, pose)
	if c.Under[0] >= c.Under[2] || c.Under[1] >= c.Under[3] {
		return nil, false, errNoneUnder
	}
	c.Forces = append(r.weights(pose, c.Under), press...)
	l, err = bed.Settle(c, seat.Stiffness)
	if !errors.Is(err, seat.ErrLoadOutside) || !r.header.Setup.Effects.Overhang && !r.header.Setup.Master.OnPart() {
		return l, false, err
	}
	// It turns about the edge towards which its load lies, and bears there alone.
	var load seat.Load
	for _, f := range c.Forces {
		load = load.Plus(f)
	}
	g := r.face.Grid
	strip := func(lo, hi int, first, pitch, at float64) (int, int) {
		n := max(1, int(math.Round(tippedMM/pitch)))
		switch {
		case at < first+float64(float64(lo)*pitch):
			return lo, min(hi, lo+n)
		case at > first+float64(float64(hi-1)*pitch):
			return max(lo, hi-n), hi
		}
		return lo, hi
	}
	u := c.Under
	c.Under[0], c.Under[2] = strip(u[0], u[2], g.X0, g.DX, load.X)
	c.Under[1], c.Under[3] = strip(u[1], u[3], g.Y0, g.DY, load.Y)
	load.X = max(g.X(c.Under[0]), min(load.X, g.X(c.Under[2]-1)))
	load.Y = max(g.Y(c.Under[1]), min(load.Y, g.Y(c.Under[3]-1)))
	c.Forces, c.Beam, c.From = []seat.Load{load}, nil, nil
	l, err = bed.Settle(c, seat.Stiffness)
	return l, true, err
}

// tippedMM is how broad a line a tipped part bears on.
const tippedMM = 1.0

// tipsAt is 1000 when the part, put down so, tips.
func (r *Run) tipsAt(p Place) int {
	if e := r.header.Setup; !e.Effects.Overhang && !e.Master.OnPart() {
		return 0
	}
	pose := r.pose(p)
	under := r.master.Under(r.face.Grid, pose)
	var load seat.Load
	for _, f := range r.weights(pose, under) {
		load = load.Plus(f)
	}
	g := r.face.Grid
	if under[0] >= under[2] || under[1] >= under[3] ||
		load.X < g.X(under[0]) || load.X > g.X(under[2]-1) || load.Y < g.Y(under[1]) || load.Y > g.Y(under[3]-1) {
		return 1000
	}
	return 0
}

// rubMoving is a rub of a part that bends, bows, overhangs, or lies otherwise
// along the path.
func (j *Job) rubMoving(rub blue.Rub) error {
	r, a := j.run, j.act.Rub
	poses := r.onTheWay(a.Path)
	var press []seat.Load
	if a.Press > 0 {
		press = []seat.Load{{X: float64(a.Load[0]) / 100, Y: float64(a.Load[1]) / 100, N: float64(a.Press)}}
	}
	warmth := r.warmth
	if r.header.Setup.Effects.Heat {
		warmth = r.plateOfHeat().After(warmth, r.flow(j), float64(j.out.MS)/2000)
	}
	var bed *seat.Bed
	var lies []*seat.Lie
	beam := r.beam()
	j.total = len(poses) + 2
	j.step = func(n int) error {
		switch {
		case n == 0:
			r.tops = r.face.Tops(r.tops)
			blue.Raise(r.tops, r.specks)
			bed = seat.NewBed(r.tops)
		case n <= len(poses):
			pose := poses[n-1]
			c := seat.Case{Smooth: r.smooth(pose, warmth), Beam: beam}
			if len(lies) > 0 {
				c.From = lies[len(lies)-1]
			}
			l, tipped, err := r.seatAt(bed, c, pose, press)
			if err != nil {
				return fmt.Errorf("rub: %w", err)
			}
			if tipped {
				j.out.Tipped += 1000 / len(poses)
			}
			lies = append(lies, l)
		default:
			over := seat.Overlap(r.tops, lies...)
			pressed := 1.0
			if own := sum(r.weights(poses[0], r.master.Under(r.face.Grid, poses[0]))); own > 0 {
				pressed = (own + float64(a.Press)) / own
			}
			before := r.pigment
			r.mark(over, surface.Plane{}, rub, a, pressed, &j.out)
			if before != nil && !r.reached(poses) {
				r.keep(before, over)
			}
			r.wearMaster(rub, a.Path, pressed)
		}
		return nil
	}
	return nil
}

// reached tells whether the whole face had the master under it in all poses.
func (r *Run) reached(poses []seat.Pose) bool {
	for _, p := range poses {
		if r.master.Under(r.face.Grid, p) != r.wholeFace() {
			return false
		}
	}
	return r.face.Mask == nil
}

// keep leaves the colour of an earlier step as it was where this one did not
// reach.
func (r *Run) keep(before *blue.Reading, over *surface.Map) {
	for k, o := range over.Z {
		if o != o {
			r.pigment.Colour[k], r.pigment.Shine[k] = before.Colour[k], before.Shine[k]
		}
	}
}

func sum(loads []seat.Load) float64 {
	n := 0.0
	for _, l := range loads {
		n += l.N
	}
	return n
}

// wearMaster wears the master under the way of a rub.
func (r *Run) wearMaster(rub blue.Rub, path [][2]int, pressed float64) {
	if !r.header.Setup.Effects.Wear {
		return
	}
	places := along(path)
	pose := r.pose(*r.placed)
	for _, p := range places {
		at := pose
		at.XMM += p[0]
		at.YMM += p[1]
		r.master.Wear(r.face.Grid, at, float64(seat.WearPerMetre*rub.LengthMM/1000)*pressed/float64(len(places)))
	}
}

// support sets the part on the bench.
func (j *Job) support() error {
	r, a := j.run, j.act.Support
	if r.placed != nil {
		return errors.New("support: part and master lie on each other: lift it first")
	}
	shape, err := r.supported(a)
	if err != nil {
		return fmt.Errorf("support: %w", err)
	}
	return j.simple(supportMS, func() { r.supports = shape })
}

// supported is how the part bends on the supports; nil when it does not.
func (r *Run) supported(a *Support) (*seat.Shape, error) {
	beam := r.beam()
	if beam == nil || len(a.Points) == 0 && (!a.Clamp || r.stock.BackBowUM == 0) {
		return nil, nil
	}
	x0, _, x1, _ := r.face.Edges()
	back := func(x float64) float64 {
		u := float64(2*(x-x0))/(x1-x0) - 1
		return float64(r.stock.BackBowUM * (1 - float64(u*u)))
	}
	var supports []seat.Support
	for _, p := range a.Points {
		x := float64(p[0]) / 100
		supports = append(supports, seat.Support{X: x, H: -back(x)})
	}
	if len(a.Points) == 0 { // drawn down along all of its length
		const n = 16
		for k := range n + 1 {
			x := x0 + float64(float64(k)*(x1-x0)/n)
			supports = append(supports, seat.Support{X: x, H: -back(x)})
		}
	}
	shape, _, err := beam.OnSupports(r.ownWeight(r.allColumns()), supports, a.Clamp)
	return shape, err
}

// asItStands adds to heights what sag and warmth make of them on the bench.
func (r *Run) asItStands(m *surface.Map) {
	bow := r.bow(r.warmth)
	if r.supports == nil && bow == nil {
		return
	}
	sag := make([]float64, m.NX)
	for i := range sag {
		if r.supports != nil {
			sag[i] = r.supports.At(m.X(i))
		}
	}
	for j := range m.NY {
		row := m.Z[j*m.NX : (j+1)*m.NX]
		for i := range row {
			row[i] += sag[i]
			if bow != nil {
				row[i] += bow(m.X(i), m.Y(j))
			}
		}
	}
}

// dial makes of what a tip met what an indicator shows: its stand rides on the
// master beside the part.
func (r *Run) dial(t *Trace) {
	if !r.header.Setup.Effects.Dial {
		return
	}
	pose := r.master.Middle()
	_, y0, _, y1 := r.face.Edges()
	for k, x := range t.XMM {
		px, py := pose.On(r.face.Grid, x, (y0+y1)/2)
		t.UM[k] -= r.master.HeightNear(px, py+standMM)
	}
	r.header.Setup.Indicator.dial().Read(t.UM)
}

// standMM is how far beside the tip the stand of an indicator rides.
const standMM = 120.0

// Pivot is what the hinge test shows: where the part turned (10 um, on the
// part), how far that is from the end which was not pushed, and where it would
// turn under even pressure (thousandths of its length).
type Pivot struct {
	X    int `json:"x"`
	Y    int `json:"y"`
	Far  int `json:"far"`
	Even int `json:"even"`
}

// push swings the part on the master from one end.
func (j *Job) push() error {
	r, a := j.run, j.act.Push
	if r.placed == nil {
		return errors.New("push: the part is not on the master: place it first")
	}
	j.out.MS = pushMS
	j.step = func(int) error {
		p, err := r.hinge(a)
		if err != nil {
			return fmt.Errorf("push: %w", err)
		}
		j.out.Pivot = p
		return nil
	}
	return nil
}

func (r *Run) hinge(a *Push) (Pivot, error) {
	r.tops = r.face.Tops(r.tops)
	blue.Raise(r.tops, r.specks)
	bed := seat.NewBed(r.tops)
	pose := r.pose(*r.placed)
	c := seat.Case{Smooth: r.smooth(pose, r.warmth), Beam: r.beam()}
	x, y := float64(a.At[0])/100, float64(a.At[1])/100
	dx, dy := unit(a.Dir)
	l, _, err := r.seatAt(bed, c, pose, nil)
	if err != nil {
		return Pivot{}, err
	}
	p, err := seat.Swing(l.Pressed(seat.Stiffness), x, y, dx, dy)
	if err != nil {
		return Pivot{}, err
	}
	// The hand pushes above the face at which friction holds back: the part leans
	// the way it is pushed, which tells on one that rocks.
	lean := float64(p.Push*PushFriction) * r.stock.ThicknessMM / 2
	forces := r.weights(pose, r.master.Under(r.face.Grid, pose))
	for k := range forces {
		forces[k].X += float64(lean * dx)
		forces[k].Y += float64(lean * dy)
	}
	c.Under, c.Forces, c.From = r.master.Under(r.face.Grid, pose), forces, l
	if leaning, err := bed.Settle(c, seat.Stiffness); err == nil {
		if p, err = seat.Swing(leaning.Pressed(seat.Stiffness), x, y, dx, dy); err != nil {
			return Pivot{}, err
		}
	}
	even, err := seat.Swing(seat.Even(r.tops), x, y, dx, dy)
	if err != nil {
		return Pivot{}, err
	}
	// Shares are of the side that the push goes across.
	x0, y0, x1, y1 := r.face.Edges()
	far := func(p seat.Pivot) int {
		at, lo, hi, pushed := p.X, x0, x1, x
		if math.Abs(dx) > math.Abs(dy) {
			at, lo, hi, pushed = p.Y, y0, y1, y
		}
		share := (at - lo) / (hi - lo)
		if pushed < (lo+hi)/2 {
			share = 1 - share
		}
		return int(math.Round(1000 * share))
	}
	return Pivot{X: int(math.Round(100 * p.X)), Y: int(math.Round(100 * p.Y)), Far: far(p), Even: far(even)}, nil
}

// unit is the direction of an angle in mrad.
func unit(mrad int) (x, y float64) {
	coarse := func(v float64) float64 { return math.Round(v*(1<<24)) / (1 << 24) }
	return coarse(math.Cos(float64(mrad) / 1000)), coarse(math.Sin(float64(mrad) / 1000))
}

// WarmerK is what a contact thermometer shows of the part over the room and the
// master, K, to a tenth.
func (r *Run) WarmerK() float64 { return math.Round(10*r.warmth.BodyK) / 10 }

// warm lets the heat of an act that was done flow.
func (r *Run) warm(j *Job) {
	if r.header.Setup.Effects.Heat && j.out.MS > 0 {
		r.warmth = r.plateOfHeat().After(r.warmth, r.flow(j), float64(j.out.MS)/1000)
	}
}

// flow is the heat that an act brings and takes.
func (r *Run) flow(j *Job) heat.Flow {
	a := j.act
	onPlate := r.placed != nil && !r.header.Setup.Master.OnPart()
	f := heat.Flow{OnPlate: onPlate}
	switch {
	case a.Rub != nil && onPlate:
		f.Back = heat.RubFlux
	case a.Place != nil, a.Lift != nil, a.Turn != nil:
		f.OnPlate, f.Sides = false, heat.HandWatts
	case onPlate, a.Soak != nil:
	default:
		f.Face = heat.LampFlux
		if a.Wipe != nil && a.Wipe.What == onPart {
			f.Face -= heat.WashFlux
		}
		if a.Cut != nil && j.done > 0 {
			f.Face += r.workFlux(j)
		}
	}
	return f
}

// workFlux is the heat that cutting brings into the face, W/m^2.
func (r *Run) workFlux(j *Job) float64 {
	c := j.act.Cut
	force := float64(c.Force)
	if c.Depth > 0 {
		force = r.blade.ForceFromDepth(float64(c.Depth) / 100)
	}
	way := 0.0
	for _, s := range j.strokes[:j.done] {
		way += s.Length()
	}
	p := r.plateOfHeat()
	joules := float64(float64(heat.CutShare*force) * way / 1000)
	return joules / (float64(j.out.MS) / 1000) / (float64(p.LengthMM*p.WidthMM) * 1e-6)
}
