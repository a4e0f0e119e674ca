package bench

import (
	"cmp"
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
)

// rub is the part being dragged over the master by hand.
type rub struct {
	at   [2]float64 // of the part from where it was put down, mm
	hold [2]float64 // where the hand holds it, from there
	path [][2]int
	seen int // ticks that the rub of the routine has been seen
}

// rubTicks is how long the rub of the routine is seen, ticks.
const rubTicks = 36

// play moves the part along the rub that comes next, and reports whether there is
// still something to see of it. A rub by hand has been seen already.
func (r *rub) play(b *Bench) bool {
	next, ok := b.work.Next()
	if !ok || next.Rub == nil || b.tool == rubTool || r.seen >= rubTicks {
		r.seen = 0
		return false
	}
	path := next.Rub.Path
	at := float64(r.seen) / rubTicks * float64(len(path))
	k := int(at)
	from := [2]int{}
	if k > 0 {
		from = path[k-1]
	}
	for c := range r.at {
		r.at[c] = (float64(from[c]) + (at-float64(k))*float64(path[k][c]-from[c])) / 100
	}
	r.seen++
	return true
}

// rubbing reports whether the part is on the master, or about to be put there.
func (b *Bench) rubbing() bool { return b.tool == rubTool || b.work.OnMaster() }

// byHand reports whether it is a hand that rubs, and not the routine.
func (b *Bench) byHand() bool { return b.rubbing() && (b.tool == rubTool || !b.work.Busy()) }

// masterOnPart reports whether the master, a straightedge or a prism, is laid on the
// part and not the part on it.
func (b *Bench) masterOnPart() bool { return b.work.Run.Header().Setup.Master.OnPart() }

// say is the desk's Say of what names the master, {master}: there may be other words, with
// onpart behind their key, for one that is laid on the part.
func (b *Bench) say(key string, blanks ...any) string {
	if b.masterOnPart() && words.Has(key+".onpart") {
		key += ".onpart"
	}
	kind := cmp.Or(b.work.Run.Header().Setup.Master.Kind, seat.SurfacePlate)
	return b.desk.Say(key, append(blanks, "master", words.Say("bench.master."+string(kind)))...)
}

// handsWay is 1 or -1 along x and y: how a path, which is that of the part over the
// master, runs to the way of the hand. A hand that moves a master over the part moves
// the part the other way under it, in the mirror in which a face lies on a master.
func (b *Bench) handsWay() [2]float64 {
	switch {
	case !b.masterOnPart():
		return [2]float64{1, 1}
	case b.work.Run.Turned():
		return [2]float64{1, -1}
	}
	return [2]float64{-1, 1}
}

// master is a master that is laid on the part: over it while it is rubbed; else beside
// it, with the side up that is blued.
func (r *rub) master(b *Bench) *iron.Master {
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	m, way := b.work.Run.Header().Setup.Master, b.handsWay()
	out := iron.Master{Prism: m.Kind == seat.Prism}
	x, y := (x0+x1)/2, y1+besideMM+m.WidthMM/2
	if b.rubbing() {
		x += way[0] * (r.at[0] + b.routine.off[0])
		y = (y0+y1)/2 + way[1]*(r.at[1]+b.routine.off[1])
	} else {
		out.Up, out.Film = true, b.work.Run.Film()
	}
	out.X0, out.Y0, out.X1, out.Y1 = x-m.LengthMM/2, y-m.WidthMM/2, x+m.LengthMM/2, y+m.WidthMM/2
	return &out
}

// A master that lies beside the part: how far from it, mm, and how much of its width,
// and of that of the part, is seen beside the whole part at the most.
const (
	besideMM    = 8.0
	seenOfIt    = .5
	seenPerPart = .3
)

// beside is the room at the lower edge of the whole part, mm, for the master that lies
// there.
func (b *Bench) beside() float64 {
	if !b.masterOnPart() {
		return 0
	}
	_, y0, _, y1 := b.work.Run.Grid().Edges()
	return besideMM + min(seenOfIt*b.work.Run.Header().Setup.Master.WidthMM, seenPerPart*(y1-y0))
}

// rubView is the view while the part is rubbed: from so far that the plate round
// it is seen.
func (b *Bench) rubView() iron.View {
	v := b.whole
	v.PxPerMM *= .66
	return v
}

// rubStep is how far the part moves between two steps of a path, mm, and by how
// much a key moves it.
const (
	rubStep    = 1.0
	rubByKey   = 5.0
	mostOfPath = 1000
)

// follow drags the part: it is put down when a hand takes it, and rubs until it
// is let go.
func (r *rub) follow(b *Bench, u *kit.UI, h kit.Hand) {
	x, y := b.rubView().MM(h.X, h.Y)
	way := b.handsWay()
	switch {
	case b.noPrintLeft():
		return // the guidance says it
	case b.work.Run.Film() == 0:
		if h.Start {
			b.guide.trouble = b.say("bench.rub.bare")
		}
		return
	case h.Start:
		r.hold = [2]float64{x - way[0]*r.at[0], y - way[1]*r.at[1]}
		r.path = nil
	case h.Down:
		r.moveTo(way[0]*(x-r.hold[0]), way[1]*(y-r.hold[1]))
	case h.Let:
		r.done(b)
	}
	if !h.Focus {
		return
	}
	for key, by := range map[kit.Key][2]float64{kit.Left: {-rubByKey, 0}, kit.Right: {rubByKey, 0}, kit.Up: {0, -rubByKey}, kit.Down: {0, rubByKey}} {
		if u.Acts(key) {
			r.moveTo(r.at[0]+way[0]*by[0], r.at[1]+way[1]*by[1])
		}
	}
	if u.Pressed(kit.Enter) || u.Pressed(kit.Space) {
		r.done(b)
	}
}

func (r *rub) moveTo(x, y float64) {
	if math.Hypot(x-r.at[0], y-r.at[1]) < rubStep || len(r.path) == mostOfPath {
		return
	}
	r.at = [2]float64{x, y}
	r.path = append(r.path, lattice(r.at))
}

// done hands the path to the run.
func (r *rub) done(b *Bench) {
	if len(r.path) == 0 {
		return
	}
	var acts []run.Act
	if !b.work.OnMaster() {
		acts = append(acts, b.routine.place())
	}
	b.work.Do(append(acts, b.routine.rub(r.path))...)
	r.path = nil
}

// show turns the part face down on the master while it is rubbed, and shows the
// film there. Under a master that is laid on it the part stays as it is.
func (r *rub) show(b *Bench, s *stage.Stage) {
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	if film := b.work.Run.Film(); film > 0 && !b.masterOnPart() {
		const beyond = 12
		s.Film = iron.Film{X0: x0 - beyond, Y0: y0 - beyond, X1: x1 + beyond, Y1: y1 + beyond, UM: film}
	}
	if !b.rubbing() {
		r.at = [2]float64{}
		return
	}
	s.View = b.rubView()
	if b.masterOnPart() {
		return
	}
	s.Back = true
	s.View.X -= r.at[0]
	s.View.Y -= r.at[1]
	s.PlateX, s.PlateY = r.at[0], r.at[1]
}
