package run

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// litter is what lies on part and master besides the metal: what makes a print
// lie until it is wiped, rolled or broken off.
type litter struct {
	coat     *blue.Coat   // the film square by square; nil when it lies even
	onPart   float64      // um of colour rolled on the part, 0 when it carries none
	soiled   bool         // the master took colour off the part and was not wiped
	contrast string       // colour under the film
	chips    int          // strokes since the part was wiped
	oily     bool         // cut wet since it was wiped
	specks   []blue.Speck // chips that lie between part and master
	sharp    []uint16     // burr of the unbroken edge, steps; nil when there is none
	chamfer  int          // width of the chamfer, 10 um
	stuck    bool         // the placed part wrings
	accepted bool         // a print was good enough, and nothing was cut since
}

// lie sets up what the effects of a run need.
func (r *Run) lie() {
	e := r.header.Setup.Effects
	if e.Film {
		m := r.header.Setup.Master
		x1, y1 := m.LengthMM, m.WidthMM
		x0, y0 := 0.0, 0.0
		if x1 == 0 || y1 == 0 { // a boundless master: as far as a rub goes
			const room = 150
			px0, py0, px1, py1 := r.face.Edges()
			x1, y1 = (px1-px0)/2+room, (py1-py0)/2+room
			x0, y0 = -x1, -y1
		}
		r.coat = blue.NewCoat(x0, y0, x1, y1)
	}
	if e.Edges {
		r.sharp = blade.SharpEdges(r.face, rand.New(rand.NewPCG(r.header.PartSeed, 0x65646765)))
		for k, b := range r.sharp {
			r.face.Burr[k] = max(r.face.Burr[k], b)
		}
	}
}

// roll spreads colour on the master or the part.
func (j *Job) roll() error {
	r, a := j.run, j.act.Roll
	ms := rollMS
	if a.Passes > 0 {
		ms = rollMS * a.Passes / blue.DefaultPasses
	}
	film := float64(a.Film) / 100
	return j.simple(ms, func() {
		if a.On == onPart {
			r.onPart = film
			r.pigment = blue.Ground(r.face.Grid, film)
			r.pigment.Mask = r.face.Mask
			// Printed on a master that carries colour too, all of it stays.
			r.fresh, r.dirty = false, true
			return
		}
		r.film = film
		if r.coat != nil {
			passes := a.Passes
			if passes == 0 {
				passes = blue.DefaultPasses
			}
			r.coat.Roll(film, passes, r.random("roll"))
		}
	})
}

// wipe cleans master or part of all that lies on them.
func (r *Run) wipe(what string) {
	if what == onMaster {
		r.film, r.soiled = 0, false
		if r.coat != nil {
			r.coat.Wipe()
		}
		return
	}
	r.pigment, r.fresh, r.dirty = nil, false, false
	r.onPart, r.contrast, r.chips, r.oily = 0, "", 0, false
}

// mark lets colour pass between the seated part and the master.
func (r *Run) mark(tops *surface.Map, plane surface.Plane, rub blue.Rub, a *Rub, pressed float64, out *Outcome) {
	e := r.header.Setup.Effects
	m := blue.Marking{Film: r.film, Rub: rub}
	if e.Wringing {
		if share := blue.Touching(tops, plane, blue.WringGap); share > blue.WringShare {
			r.stuck = true
			out.Drag = int(math.Round(1000 * share))
			m.Thicker = blue.WringDrag
		}
	}
	if r.onPart > 0 && r.film == 0 {
		p := blue.PrintBright(tops, plane, r.onPart+m.Thicker, rub, r.soiled)
		p.Film = r.onPart
		r.soiled, r.dirty = true, false
		r.printed(p)
		return
	}
	m.Film += r.onPart
	if e.Film {
		pose := r.pose(*r.placed)
		m.Rub.Steps = along(a.Path)
		m.Layer = r.coat.Under(tops.Grid, pose, m.Rub)
		m.Turned = blue.Turnover(m.Film, rub.LengthMM, pressed)
		if r.oily {
			m.Thicker += blue.OilUM
		}
		p := m.Print(tops, plane)
		r.coat.Spend(p, pose, m.Rub)
		r.printed(p)
		return
	}
	r.printed(m.Print(tops, plane))
}

// pathSteps is how many places along a rub stand for all of it.
const pathSteps = 16

// along are places on a path, mm from where the part was put, spread over its
// length so that no back and forth keeps time with them.
func along(path [][2]int) [][2]float64 {
	total := 0.0
	each := make([]float64, len(path))
	at := [2]int{}
	for n, p := range path {
		dx, dy := float64(p[0]-at[0]), float64(p[1]-at[1])
		each[n] = math.Sqrt(float64(dx*dx) + float64(dy*dy))
		total += each[n]
		at = p
	}
	if total == 0 {
		return [][2]float64{{}}
	}
	out := make([][2]float64, pathSteps)
	for n := range out {
		const golden = 0.6180339887
		u := float64((float64(n) + .5) * golden)
		left := float64((u - math.Floor(u)) * total)
		at := [2]int{}
		for k, p := range path {
			if left <= each[k] || k == len(path)-1 {
				t := 0.0
				if each[k] > 0 {
					t = min(1, left/each[k])
				}
				out[n] = [2]float64{
					(float64(at[0]) + float64(t*float64(p[0]-at[0]))) / 100,
					(float64(at[1]) + float64(t*float64(p[1]-at[1]))) / 100,
				}
				break
			}
			left -= each[k]
			at = p
		}
	}
	return out
}

// strew lets chips that were not wiped off come between part and master.
func (r *Run) strew() {
	r.specks, r.stuck = nil, false
	if r.header.Setup.Effects.Grit {
		r.specks = blue.Strew(r.face.Grid, r.chips, r.random("grit"))
	}
}

// stone runs the stone over the face once; an unbroken edge keeps some burr.
func (r *Run) stone() {
	blade.Stone(r.face)
	r.fresh = false
	for k, b := range r.sharp {
		if b > 0 {
			r.face.Burr[k] = max(r.face.Burr[k], uint16(float64(b)*blade.EdgeLeft))
		}
	}
}

// lay cuts one stroke: metal and the colour on it go, and the edge wears.
func (r *Run) lay(s blade.Stroke, wet bool) {
	s.BurrUM *= r.metal.Burr
	if r.header.Setup.Effects.Torn {
		s.TearUM = blade.Tear(r.blade, r.metal, wet)
	}
	r.cutter.Cut(r.blade, s)
	r.blade.CutMM += s.Length()
	r.fresh, r.accepted = false, false
	r.chips++
	if wet {
		r.oily = true
		// Iron's chips and graphite cling where it is wet.
		if r.metal.Name == blade.GreyIron.Name {
			r.chips++
		}
	}
}

// grain draws where the strokes of a cut tear.
func (r *Run) grain() uint64 {
	if !r.header.Setup.Effects.Torn {
		return 0
	}
	return r.random("grain").Uint64()
}

// strokeMS is the time that a stroke takes on iron.
func (r *Run) strokeMS() int {
	if r.power {
		return powerMS
	}
	return strokeMS
}

// suits reports whether the tool in hand can make a cut.
func (r *Run) suits(c *Cut) error {
	if !r.power {
		return nil
	}
	length := 0
	switch {
	case c.Row != nil:
		length = c.Row.Length
	case c.Area != nil:
		length = c.Area.Length
	}
	if length > lay.PowerMostMM*100 {
		return fmt.Errorf("cut: a power scraper strokes at most %d mm: give a length up to %d (10 um)", lay.PowerMostMM, lay.PowerMostMM*100)
	}
	return nil
}

// paint dulls the part under the next print.
func (j *Job) paint() error {
	r := j.run
	if r.pigment != nil {
		return errors.New("contrast: the colour of the last print is on the part: wipe it first")
	}
	return j.simple(contrastMS, func() { r.contrast = j.act.Contrast.Colour })
}

// breakEdges chamfers the part.
func (j *Job) breakEdges() error {
	r := j.run
	width := j.act.Chamfer.Width
	x0, y0, x1, y1 := r.face.Edges()
	if least := min(x1-x0, y1-y0); float64(width)/100 > least/4 {
		return fmt.Errorf("chamfer: a width of %g mm leaves too little of a face %g mm broad: take less", float64(width)/100, least)
	}
	return j.simple(chamferMS, func() {
		if width <= r.chamfer {
			return
		}
		blade.Chamfer(r.face, float64(width-r.chamfer)/100)
		r.chamfer, r.sharp = width, nil
		if r.pigment != nil {
			r.pigment.Mask = r.face.Mask
			for k, metal := range r.face.Mask {
				if !metal {
					r.pigment.Colour[k], r.pigment.Shine[k] = 0, 0
				}
			}
		}
	})
}

// flake plans the pockets; each is one step. Nothing on iron keeps a hand from
// flaking a face that was not accepted, so it is done, and called out.
func (j *Job) flake() error {
	r, a := j.run, j.act.Flake
	if r.accepted = r.accepted || r.acceptable(); !r.accepted {
		j.out.Early = 1
	}
	depth := float64(a.Depth) / 100
	pockets := blade.Pockets(r.face, depth, func(x, y float64) bool {
		i, k, ok := r.face.Nearest(x, y)
		return ok && r.face.Metal(k*r.face.NX+i) && a.Region.Contains(x, y)
	}, r.random("flake"))
	if len(pockets) == 0 {
		return errors.New("flake: no pocket falls on the face: paint a larger part of it")
	}
	j.total, j.each = len(pockets), flakeMS
	j.step = func(i int) error {
		r.cutter.Flake(a.Pattern, pockets[i])
		r.fresh = false
		return nil
	}
	return nil
}

// acceptable reports whether the last print shows the face as it is and meets
// the target at the target's film or a thinner one: all that a person who
// accepts a face by its print can know.
func (r *Run) acceptable() bool {
	t := r.header.Setup.Target
	if r.pigment == nil || !r.fresh || r.pigment.Film > t.FilmUM {
		return false
	}
	p := count(0, r.pigment)
	area := float64(p.Permille) / 10
	return float64(p.PerIn2)/100 >= t.PointsPerIn2 && p.FrameMin >= t.FrameMin &&
		area >= t.AreaPct[0] && (t.AreaPct[1] == 0 || area <= t.AreaPct[1])
}

// pressedBy is how many times its own weight the part is pressed with.
func pressedBy(weight seat.Load, a *Rub) float64 {
	if weight.N == 0 {
		return 1
	}
	return (weight.N + float64(a.Press)) / weight.N
}
