package run

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Job is an act being done, in steps, so that a window or a browser stays alive
// meanwhile: a step is one stroke of a cut, or one part of a print.
type Job struct {
	run   *Run
	act   Act
	total int
	done  int
	step  func(i int) error
	out   Outcome
	ended bool

	strokes []blade.Stroke // of a cut, one a step
	each    int            // ms a stroke or pocket, 0 for other acts
}

// Apply opens the job of an act. The act is checked, a cut planned, but nothing
// has happened to the part until the job is stepped. Errors say what is wrong
// and how to mend it, and leave the run as it was.
func (r *Run) Apply(a Act) (*Job, error) {
	switch {
	case r.broken != nil:
		return nil, r.broken
	case r.open != nil:
		return nil, ErrBusy
	case r.signed:
		return nil, ErrSigned
	}
	if err := a.check(); err != nil {
		return nil, err
	}
	j := &Job{run: r, act: a, total: 1}
	if err := j.prepare(); err != nil {
		return nil, err
	}
	r.open = j
	return j, nil
}

// Do applies an act and finishes its job.
func (r *Run) Do(a Act) (Outcome, error) {
	j, err := r.Apply(a.On())
	if err != nil {
		return Outcome{}, err
	}
	return j.out, j.finishInto(&j.out)
}

func (j *Job) finishInto(out *Outcome) error {
	err := j.Finish()
	*out = j.out
	return err
}

// Total is the number of the job's steps, Done how many are done.
func (j *Job) Total() int { return j.total }

// Done is the number of steps done.
func (j *Job) Done() int { return j.done }

// Ended reports whether the job has ended.
func (j *Job) Ended() bool { return j.ended }

// Outcome is what came of the act; complete once the job has ended.
func (j *Job) Outcome() Outcome { return j.out }

// Step does up to budget steps and reports whether the job has ended. On an
// error the act is not recorded and the job is over.
func (j *Job) Step(budget int) (ended bool, err error) {
	for ; budget > 0 && j.done < j.total && !j.ended; budget-- {
		if err := j.step(j.done); err != nil {
			j.ended, j.run.open = true, nil
			return true, err
		}
		j.done++
	}
	if j.done == j.total && !j.ended {
		return true, j.end()
	}
	return j.ended, nil
}

// MS is the time on iron, milliseconds, of what is done so far.
func (j *Job) MS() int {
	if j.each > 0 {
		return j.done * j.each
	}
	return j.out.MS * j.done / j.total
}

// Stroke is the stroke that step i of a cut lays; ok is false for any other act.
func (j *Job) Stroke(i int) (s blade.Stroke, ok bool) {
	if i < 0 || i >= len(j.strokes) {
		return s, false
	}
	return j.strokes[i], true
}

// Finish does all steps that are left.
func (j *Job) Finish() error {
	_, err := j.Step(math.MaxInt)
	return err
}

// Stop ends the job where it stands. Strokes and pockets that were laid are laid and
// recorded; of any other act nothing has happened before its last step.
func (j *Job) Stop() error {
	if j.ended {
		return nil
	}
	if j.each == 0 || j.done == 0 {
		j.ended, j.run.open = true, nil
		return nil
	}
	return j.end()
}

// end records the act.
func (j *Job) end() error {
	r := j.run
	j.ended, r.open = true, nil
	if j.each > 0 {
		j.out.Laid, j.out.Planned = j.done, j.total
		j.out.MS = j.done * j.each
	}
	r.ms += j.out.MS
	r.warm(j)
	e := Entry{N: len(r.entries) + 1, Act: j.act, Out: j.out}
	r.entries = append(r.entries, e)
	if r.Record != nil {
		if err := r.Record(e); err != nil {
			r.broken = fmt.Errorf("the last act could not be written down, so the run ends before it; open it again to go on from there: %w", err)
			return r.broken
		}
	}
	return nil
}

// Times that acts take on iron, ms. All assumed; a cycle comes to some twenty minutes
// with the strokes of an area (0.44 s a stroke at its quickest: Fujii et al., c.
// 1990; the return of the blade is as long again and more).
const (
	rollMS     = 180_000
	placeMS    = 30_000
	rubMSPerMM = 20
	liftMS     = 20_000
	wipeMS     = 90_000
	stoneMS    = 120_000
	strokeMS   = 2_000
	honeMS     = 180_000
	changeMS   = 60_000
	turnMS     = 10_000
	indicateMS = 120_000
	bridgeMS   = 240_000
	frameMS    = 10_000
	powerMS    = 300 // a stroke of a power scraper, placed
	stuckMS    = 120_000
	contrastMS = 60_000
	chamferMS  = 300_000
	flakeMS    = 3_000
	supportMS  = 60_000
	pushMS     = 20_000
)

// simple makes the job one step that takes ms on iron.
func (j *Job) simple(ms int, do func()) error {
	j.out.MS = ms
	j.step = func(int) error { do(); return nil }
	return nil
}

// prepare checks the act against the state of the run and sets its steps.
func (j *Job) prepare() error {
	r, a := j.run, j.act
	if r.placed != nil && (a.Cut != nil || a.Stone != nil || a.Turn != nil || a.Frame != nil || a.Indicate != nil || a.Bridge != nil || a.SignOff != nil || a.Wipe != nil || a.Roll != nil || a.Contrast != nil || a.Chamfer != nil || a.Flake != nil) {
		return fmt.Errorf("%s: the part lies face down on the master: lift it first", a.Kind())
	}
	switch {
	case a.Roll != nil:
		return j.roll()
	case a.Place != nil:
		if r.placed != nil {
			return errors.New("place: the part lies on the master already: lift it first")
		}
		return j.place()
	case a.Rub != nil:
		return j.rub()
	case a.Lift != nil:
		return j.lift()
	case a.Wipe != nil:
		return j.simple(wipeMS, func() { r.wipe(a.Wipe.What) })
	case a.Cut != nil:
		return j.cut()
	case a.Stone != nil:
		j.total = a.Stone.Passes
		j.out.MS = stoneMS * a.Stone.Passes
		j.step = func(int) error { r.stone(); return nil }
		return nil
	case a.Hone != nil:
		return j.simple(honeMS, func() { r.blade.CutMM = 0 })
	case a.Change != nil:
		return j.simple(changeMS, func() { r.take(*a.Change) })
	case a.Turn != nil:
		return j.simple(turnMS, func() { r.turned = !r.turned })
	case a.Indicate != nil:
		return j.measure(indicateMS, func(m *surface.Map, p surface.Plane) (Trace, error) {
			var t Trace
			_, heights := gauge.BallTip(m, p, r.header.Setup.Indicator.tip())
			for i, h := range heights {
				if h == h {
					t.XMM, t.UM = append(t.XMM, m.X(i)), append(t.UM, h)
				}
			}
			r.dial(&t)
			if len(t.UM) == 0 {
				return t, fmt.Errorf("indicate: %w for the tip along its middle row", ErrTooSmall)
			}
			return t, nil
		})
	case a.Bridge != nil:
		return j.measure(bridgeMS, func(m *surface.Map, p surface.Plane) (t Trace, err error) {
			if t.XMM, t.UM = gauge.BlockHeights(m, p); len(t.UM) == 0 {
				return t, fmt.Errorf("bridge: %w for the 30 x 9 mm block", ErrTooSmall)
			}
			return t, nil
		})
	case a.Frame != nil:
		return j.frame()
	case a.Predict != nil, a.Declare != nil:
		return j.simple(0, func() {})
	case a.SignOff != nil:
		return j.simple(0, func() { r.signed = true })
	case a.Contrast != nil:
		return j.paint()
	case a.Chamfer != nil:
		return j.breakEdges()
	case a.Support != nil:
		return j.support()
	case a.Soak != nil:
		return j.simple(a.Soak.MS, func() {})
	case a.Push != nil:
		return j.push()
	case a.Flake != nil:
		return j.flake()
	}
	return errors.New("an act of no known kind")
}

// place puts the part down.
func (j *Job) place() error {
	r, p := j.run, j.act.Place
	return j.simple(placeMS, func() {
		at := *p
		r.placed, r.rubbed = &at, false
		r.strew()
		j.out.Tipped = r.tipsAt(*p)
	})
}

// pose is how the part lies on the master when placed at p from its middle.
func (r *Run) pose(p Place) seat.Pose {
	q := r.master.Middle()
	q.XMM += float64(p.X) / 100
	q.YMM += float64(p.Y) / 100
	q.HalfTurn = r.turned
	return q
}

// rub solves the seat on the master and lets colour pass.
func (j *Job) rub() error {
	r, a := j.run, j.act.Rub
	if r.placed == nil {
		return errors.New("rub: the part is not on the master: place it first")
	}
	if r.film == 0 && r.onPart == 0 {
		return errors.New("rub: the master is bare: roll colour on it first")
	}
	if limit := r.header.Setup.Limits.Prints; limit > 0 && r.prints >= limit {
		return fmt.Errorf("rub: the allowance of %d prints is used up: sign off", limit)
	}
	rub := travel(a.Path)
	j.out.MS = int(rub.LengthMM * rubMSPerMM)
	j.total = 3
	if r.moves() {
		return j.rubMoving(rub)
	}
	var tops *surface.Map
	var weight seat.Load
	var rest seat.Seat
	j.step = func(i int) (err error) {
		switch i {
		case 0:
			tops = r.face.Tops(r.tops)
			r.tops = tops
			r.master.AddTo(tops, r.pose(*r.placed))
			blue.Raise(tops, r.specks)
		case 1:
			weight = seat.Weight(tops)
			load := weight
			if a.Press > 0 {
				load = load.Plus(seat.Load{X: float64(a.Load[0]) / 100, Y: float64(a.Load[1]) / 100, N: float64(a.Press)})
			}
			rest, err = seat.OnBed(tops, load, seat.Stiffness)
		case 2:
			pressed := pressedBy(weight, a)
			r.mark(tops, rest.Plane, rub, a, pressed, &j.out)
			r.wearMaster(rub, a.Path, pressed)
		}
		return err
	}
	return nil
}

// printed takes over a print; colour that was not wiped off before stays under
// it, faded.
func (r *Run) printed(p *blue.Reading) {
	if r.dirty {
		for k, c := range r.pigment.Colour {
			p.Colour[k] = max(p.Colour[k], uint8(float64(c)*OldColour))
		}
	}
	p.Mask, p.Contrast = r.face.Mask, r.contrast
	r.pigment, r.fresh, r.dirty, r.rubbed = p, true, true, true
}

// OldColour is the share of its strength that unwiped colour keeps through
// another print (assumed).
const OldColour = 0.6

// travel is the length and reach of a path, steps from where the part was put.
func travel(path [][2]int) blue.Rub {
	var rub blue.Rub
	at := [2]int{}
	lo, hi := at, at
	length := 0.0
	for _, p := range path {
		dx, dy := float64(p[0]-at[0]), float64(p[1]-at[1])
		length += math.Sqrt(float64(dx*dx) + float64(dy*dy))
		at = p
		for c := range at {
			lo[c], hi[c] = min(lo[c], at[c]), max(hi[c], at[c])
		}
	}
	rub.LengthMM = length / 100
	rub.ReachX, rub.ReachY = float64(hi[0]-lo[0])/100, float64(hi[1]-lo[1])/100
	return rub
}

// lift takes the part off; what is on it counts as a print when it was rubbed.
// mostScratch is the cells of a face up to which the tops of its metal keep their room
// from print to print: time goes into it, and of a large face memory is dearer.
const mostScratch = 4_000_000

func (j *Job) lift() error {
	r := j.run
	if r.placed == nil {
		return errors.New("lift: the part is not on the master")
	}
	ms := liftMS
	if r.stuck {
		ms += stuckMS // slid off, never prised
	}
	return j.simple(ms, func() {
		r.placed = nil
		if r.face.Cells() > mostScratch {
			r.tops = nil
		}
		if r.rubbed {
			r.prints++
			j.out.Print = count(r.prints, r.pigment)
		}
	})
}

// cut plans the strokes; each is one step.
func (j *Job) cut() error {
	r, c := j.run, j.act.Cut
	depth := float64(c.Depth) / 100
	if c.Force > 0 {
		depth = r.blade.DepthFromForce(float64(c.Force))
	}
	tool := lay.Tool{Blade: r.blade, DepthUM: depth, Hand: r.header.Setup.Hand, Power: r.power, Random: r.random("cut")}
	if r.pigment != nil && r.pigment.Contrast != "" {
		tool.Hand.Misread *= blue.ContrastMisread
	}
	if err := r.suits(c); err != nil {
		return err
	}
	var strokes []blade.Stroke
	switch {
	case c.Stroke != nil:
		strokes = lay.Single(tool, c.Stroke.From, c.Stroke.To)
	case c.Row != nil:
		strokes = lay.Row(tool, c.Row.From, c.Row.To, lay.Style{LengthMM: float64(c.Row.Length) / 100})
	case c.Area != nil:
		a := c.Area
		if limit := r.header.Setup.Limits.ActMM2; limit > 0 && a.Region.AreaMM2() > limit {
			return fmt.Errorf("cut: %.0f mm^2 painted, and this job allows %.0f mm^2 in one act: paint less", a.Region.AreaMM2(), limit)
		}
		style := lay.Style{Dir: a.Dir, LengthMM: float64(a.Length) / 100, Spacing: float64(a.Spacing) / 1000}
		if a.Example == nil {
			strokes = lay.Rows(tool, r.nearFace(a.Region), style)
			break
		}
		if r.pigment == nil {
			return errors.New("cut: the face is clean, so there is no spot to point at: print it first")
		}
		var err error
		if strokes, err = lay.ByExample(tool, a.Region, *a.Example, style, r.pigment); err != nil {
			return fmt.Errorf("cut: %w", err)
		}
	}
	strokes = r.onFace(strokes)
	if len(strokes) == 0 {
		return ErrNoStroke
	}
	j.total, j.strokes, j.each = len(strokes), strokes, r.strokeMS()
	grain := r.grain()
	j.step = func(i int) error {
		strokes[i].Grain = grain + uint64(i)
		r.lay(strokes[i], c.Wet)
		return nil
	}
	return nil
}

// beyondFaceMM is how far beyond the edges of the face a painted region counts:
// no stroke that reaches the face begins farther off.
const beyondFaceMM = 60

// nearFace is what of a region lies on the face or near it: rows over the rest
// would be planned for nothing.
func (r *Run) nearFace(region lay.Region) lay.Region {
	x0, y0, x1, y1 := r.face.Edges()
	return region.Within(x0-beyondFaceMM, y0-beyondFaceMM, x1+beyondFaceMM, y1+beyondFaceMM)
}

// onFace drops the strokes whose middle lies off the metal.
func (r *Run) onFace(strokes []blade.Stroke) []blade.Stroke {
	kept := strokes[:0]
	for _, s := range strokes {
		i, k, ok := r.face.Nearest(float64(s.X0+s.X1)/200, float64(s.Y0+s.Y1)/200)
		if ok && r.face.Metal(k*r.face.NX+i) {
			kept = append(kept, s)
		}
	}
	return kept
}

// Trace is what an instrument showed along the middle row: where it stood, mm,
// and its heights above the seated plane, um.
type Trace struct{ XMM, UM []float64 }

// Range is the difference of the highest and the lowest reading, um.
func (t Trace) Range() float64 { return slices.Max(t.UM) - slices.Min(t.UM) }

// measure runs an instrument over the face as it rests on a true plane.
func (j *Job) measure(ms int, read func(*surface.Map, surface.Plane) (Trace, error)) error {
	r := j.run
	j.out.MS = ms
	j.step = func(int) error {
		r.tops = r.face.Tops(r.tops)
		r.asItStands(r.tops)
		rest, err := seat.OnBed(r.tops, seat.Weight(r.tops), seat.Stiffness)
		if err != nil {
			return err
		}
		t, err := read(r.tops, rest.Plane)
		if err != nil {
			return err
		}
		r.trace = t
		j.out.Range = int(math.Round(t.Range() * 100))
		return nil
	}
	return nil
}

// frame counts the points in the inch frame laid on the reading.
func (j *Job) frame() error {
	r, at := j.run, j.act.Frame.At
	if r.pigment == nil {
		return errors.New("frame: the face is clean, so there is nothing to count: print it first")
	}
	return j.simple(frameMS, func() {
		mask, _ := r.pigment.Marks(nil)
		x, y := float64(at[0])/100, float64(at[1])/100
		for _, p := range gauge.CountPoints(mask, r.face.Mask, r.face.Grid, gauge.DefaultRule).List {
			if p.X >= x && p.X < x+frameMM && p.Y >= y && p.Y < y+frameMM {
				j.out.Count++
			}
		}
	})
}

// frameMM is the side of the inch frame.
const frameMM = 25.4
