package score

import (
	"math"
	"sort"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/surface"
)

type target = run.Target

// Mark makes the run of a log again and marks it by the rubric of its job; progress
// (when not nil) is told how many of its acts are done. Errors are those of
// run.Replay, and run.ErrLocked for a scored run that is not signed off.
func Mark(l *run.Log, progress func(done, total int)) (*Report, error) {
	r, err := Of(l.Header.Setup)
	if err != nil {
		return nil, err
	}
	return r.Mark(l, progress)
}

// Mark does the same by r.
func (r *Rubric) Mark(l *run.Log, progress func(done, total int)) (*Report, error) {
	setup := l.Header.Setup
	if setup.Scored && !l.SignedOff() {
		return nil, run.ErrLocked
	}
	w := r.Watch(setup.Target)
	replayed, err := run.Replay(l, func(again *run.Run, e *run.Entry) error {
		if progress != nil {
			progress(len(again.Entries()), len(l.Entries))
		}
		return w.See(again, e)
	})
	if err != nil {
		return nil, err
	}
	return w.Report(replayed)
}

// marker follows a run and keeps what marks are made of.
type marker struct {
	rubric   *Rubric
	target   target
	lean     bool         // figures are wanted of the end alone
	heights  *surface.Map // as they are
	coloured []bool       // cells with colour on them
	film     float64      // um of the last print; 0 before the first
	face     []float64    // mm: x0, y0, x1, y1

	begun    rested
	ended    rested
	perCycle []Figures
	onTarget []bool // of each print, whether the face met the target
	final    Figures
	ms       int // on iron so far
	strokes  int
	passes   []pass
	skinned  int // crossed passes over the whole machined face so far
	stage    stage

	// For each cell the cycle in which it was last lowered by a cut, and whether
	// it carried no colour then.
	cutIn      []int32
	bare       []bool
	burry      bool // cut since the last stoning
	burrs      []int
	warm       []int // prints of a part that was warm
	rubbedWarm bool  // it was so when it was rubbed last
	early      []int // cycles in which it was flaked before its time

	rim     []bool // cells of the rim
	began   shape
	least   Least
	touched []bool  // cells that were ever cut
	blue    float64 // share of the face that the last print coloured
	checks  checks
	swings  bool // the hinge test is one of the checks
	insight insight
}

// checks are what was done since the last cut to make sure of the face.
type checks struct {
	measured    bool // with block or indicator
	plain, half bool // printed as placed, and with the part turned
	near, far   bool // swung from either end
}

// stage is what was cut since the film last changed: its strokes and the sum of
// the depths, um, that they were meant to have.
type stage struct {
	strokes int
	depths  float64
}

// depth is that of the stage's strokes in the mean, so that one deep stroke does
// not move the line by which it is judged.
func (s stage) depth() float64 { return s.depths / float64(s.strokes) }

// pass is one cut act as it is marked.
type pass struct {
	cycle     int
	x, y      float64 // mm, middle of what it took
	dir       int     // mrad, of an area; noDir for others
	depth     float64 // um meant
	inHollows float64 // of what it took, from cells beyond three films of the true plane
	allBlue   bool    // the print it went by coloured nearly everything
	film      float64 // um of the print it went by
	taken     float64 // um x cells
	onHighs   float64 // of that, from cells within the film of the true plane
	spots     int     // spots of colour there were
	reached   int     // spots that it cut into
	breakSkin bool    // one of the two passes that break the machined skin
}

const noDir = math.MinInt

// warmK is how much warmer or colder than the master, K, a part prints falsely:
// assumed. Of such warmth a part lies between face and back, and a tenth of a kelvin
// there bows 300 mm of iron 25 mm thick by half a micrometre.
const warmK = 0.5

// pushed takes in from which end the part was swung.
func (m *marker) pushed(p *run.Push) {
	at, middle := float64(p.At[0])/100, (m.face[0]+m.face[2])/2
	if a := float64(p.Dir) / 1000; math.Abs(math.Cos(a)) > math.Abs(math.Sin(a)) {
		at, middle = float64(p.At[1])/100, (m.face[1]+m.face[3])/2
	}
	if at < middle {
		m.checks.near = true
	} else {
		m.checks.far = true
	}
}

const (
	// hollowFilms is the gap, in films of the print, beyond which metal counts as a
	// hollow.
	hollowFilms = 3
	// allBlue is the share of a face that a film which tells nothing colours.
	allBlue = .65
)

// see takes in one act, nil before the first.
func (m *marker) see(r *run.Run, e *run.Entry) error {
	if e == nil {
		return m.begin(r)
	}
	m.ms = r.MS()
	a := e.Act
	switch {
	case a.Stone != nil:
		m.burry = false
		return m.refresh(r)
	case a.Lift != nil && e.Out.Print != nil:
		return m.printed(r)
	case a.Wipe != nil && a.Wipe.What == "part":
		clear(m.coloured)
	case a.Indicate != nil, a.Bridge != nil:
		m.checks.measured = true
	case a.Rub != nil:
		m.rubbedWarm = math.Abs(r.WarmerK()) >= warmK
	case a.Push != nil:
		m.pushed(a.Push)
	case a.Flake != nil:
		if e.Out.Early > 0 {
			m.early = append(m.early, r.Prints())
		}
		return m.refresh(r)
	case a.Chamfer != nil:
		return m.refresh(r)
	case a.Predict != nil:
		m.insight.guess = a.Predict
	case a.Declare != nil:
		m.insight.said = a.Declare
	case a.Cut != nil:
		return m.cut(r, e)
	}
	return nil
}

func (m *marker) begin(r *run.Run) error {
	if err := m.refresh(r); err != nil {
		return err
	}
	n := r.Grid().Cells()
	m.coloured, m.bare, m.cutIn, m.touched = make([]bool, n), make([]bool, n), make([]int32, n), make([]bool, n)
	setup := r.Header().Setup
	m.swings = !setup.Master.OnPart() && (setup.Effects.Bending || setup.Effects.Heat || setup.Effects.Overhang)
	x0, y0, x1, y1 := r.Grid().Edges()
	m.face = []float64{x0, y0, x1, y1}
	var err error
	if m.begun, err = rest(m.heights, m.target.FilmUM); err != nil {
		return err
	}
	m.rim = rim(m.heights.Grid, func(k int) bool { return m.heights.Z[k] == m.heights.Z[k] })
	m.began = m.shape(m.begun)
	m.least, err = LeastFor(m.heights, m.target)
	return err
}

func (m *marker) refresh(r *run.Run) (err error) {
	m.heights, err = r.Truth()
	return err
}

func (m *marker) printed(r *run.Run) error {
	reading, _ := r.Reading()
	if reading.Film != m.film {
		m.film, m.stage = reading.Film, stage{}
	}
	coloured := 0
	m.coloured, coloured = reading.Marks(m.coloured)
	m.blue = float64(coloured) * m.begun.heights.CellArea() / m.begun.count.ValidMM2
	if r.Turned() {
		m.checks.half = true
	} else {
		m.checks.plain = true
	}
	m.insight.printed(reading)
	if m.burry {
		m.burrs = append(m.burrs, r.Prints())
	}
	if m.rubbedWarm {
		m.warm = append(m.warm, r.Prints())
	}
	f, err := rest(m.heights, m.target.FilmUM)
	if err != nil {
		return err
	}
	m.onTarget = append(m.onTarget, f.meets(m.target))
	now := Figures{FilmUM: m.target.FilmUM}
	if !m.lean {
		now = m.with(f)
	}
	m.perCycle = append(m.perCycle, now)
	return nil
}

// with is the figures of a face at rest, new lows included.
func (m *marker) with(f rested) Figures {
	out := f.figures(m.target.FilmUM)
	lows, _ := m.lows(f, 2*m.stage.depth())
	out.NewLows = len(lows)
	return out
}

// cut takes in a pass: on what it took, what it reached and what it dug.
func (m *marker) cut(r *run.Run, e *run.Entry) error {
	before := m.heights
	film := m.film
	if film == 0 {
		film = m.target.FilmUM
	}
	m.checks = checks{}
	f, err := rest(before, film)
	if err != nil {
		return err
	}
	if err := m.refresh(r); err != nil {
		return err
	}
	c := e.Act.Cut
	p := pass{cycle: r.Prints(), dir: noDir, depth: float64(c.Depth) / 100, film: film, allBlue: m.blue > allBlue}
	if c.Force > 0 {
		p.depth = r.Blade().DepthFromForce(float64(c.Force))
	}
	if c.Area != nil {
		p.dir = c.Area.Dir
		x0, y0, x1, y1 := m.face[0], m.face[1], m.face[2], m.face[3]
		whole := c.Area.Region.AreaMM2() > .8*(x1-x0)*(y1-y0) && c.Area.Example == nil
		if whole && m.skinned < 2 && !r.Header().Setup.Part.Worn() {
			p.breakSkin = true
			m.skinned++
		}
	}
	labels := make([]int32, len(m.coloured))
	spots := gauge.Label(m.coloured, before.NX, before.NY, 8, labels)
	size, lost := make([]int, spots+1), make([]int, spots+1)
	var sx, sy float64
	for k, z := range before.Z {
		size[labels[k]]++
		d := z - m.heights.Z[k]
		if !(d > 0) {
			continue
		}
		p.taken += d
		switch gap := f.gap(k); {
		case gap <= film:
			p.onHighs += d
		case gap > hollowFilms*film:
			p.inHollows += d
		}
		m.touched[k] = true
		sx += float64(d * before.X(k%before.NX))
		sy += float64(d * before.Y(k/before.NX))
		lost[labels[k]]++
		// No print of a machined skin tells which metal is low.
		m.cutIn[k], m.bare[k] = int32(p.cycle), !m.coloured[k] && !p.breakSkin
		m.coloured[k] = false
	}
	if p.taken > 0 {
		p.x, p.y = sx/p.taken, sy/p.taken
	}
	least := gauge.DefaultRule.MinSpotMM2 / before.CellArea()
	for n := 1; n <= spots; n++ {
		if float64(size[n]) >= least {
			p.spots++
			if lost[n]*5 >= size[n] {
				p.reached++
			}
		}
	}
	m.strokes += e.Out.Laid
	m.stage.strokes += e.Out.Laid
	m.stage.depths += p.depth * float64(e.Out.Laid)
	m.burry = true
	m.passes = append(m.passes, p)
	return nil
}

// low is a region cut while uncoloured that ends too deep.
type low struct {
	cycle   int     // in which most of it was last cut
	x, y    float64 // mm, its middle
	label   int32   // of its cells
	cells   int
	area    float64 // mm^2
	deepest float64 // um below the plane
}

// spoilt are the lows that cost marks: deeper than twice the last stage's depth, and
// than the target lets a scraped face be between its points.
func (m *marker) spoilt(f rested) ([]low, []int32) {
	return m.lows(f, math.Max(2*m.stage.depth(), m.target.BareUM[1]))
}

// spoiltCells are the cells of the lows that cost marks.
func (m *marker) spoiltCells(f rested) []bool {
	mask := make([]bool, len(m.bare))
	all, labels := m.spoilt(f)
	is := map[int32]bool{}
	for _, w := range all {
		is[w.label] = true
	}
	for k, l := range labels {
		mask[k] = is[l]
	}
	return mask
}

// lows are the regions of at least 1 mm^2 whose cells carried no colour when they
// were last cut and lie more than deep um below the plane: the largest first, and the
// label of each cell.
func (m *marker) lows(f rested, deep float64) ([]low, []int32) {
	if m.stage.strokes == 0 {
		return nil, nil
	}
	h := f.heights
	mask := make([]bool, len(m.bare))
	for k, bare := range m.bare {
		mask[k] = bare && f.gap(k) > deep
	}
	labels := make([]int32, len(mask))
	n := gauge.Label(mask, h.NX, h.NY, 8, labels)
	all := make([]low, n)
	cycles := make([]map[int32]int, n)
	for k, l := range labels {
		if l == 0 {
			continue
		}
		w := &all[l-1]
		w.label = l
		w.cells++
		w.x += h.X(k % h.NX)
		w.y += h.Y(k / h.NX)
		w.deepest = math.Max(w.deepest, f.gap(k))
		if cycles[l-1] == nil {
			cycles[l-1] = map[int32]int{}
		}
		cycles[l-1][m.cutIn[k]]++
	}
	kept := all[:0]
	for n, w := range all {
		w.area = float64(w.cells) * h.CellArea()
		if w.area < 1-1e-9 {
			continue
		}
		w.x, w.y = w.x/float64(w.cells), w.y/float64(w.cells)
		most := 0
		for cycle, count := range cycles[n] {
			if count > most || count == most && int(cycle) > w.cycle {
				most, w.cycle = count, int(cycle)
			}
		}
		kept = append(kept, w)
	}
	sort.SliceStable(kept, func(a, b int) bool { return kept[a].cells > kept[b].cells })
	return kept, labels
}

func (m *marker) end() error {
	f, err := rest(m.heights, m.target.FilmUM)
	if err != nil {
		return err
	}
	m.ended = f
	m.final = m.with(f)
	return nil
}
