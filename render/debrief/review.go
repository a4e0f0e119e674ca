package debrief

import (
	"errors"
	"slices"
	"sync"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// cycle is what there is to see of a print and of what was done until the next.
type cycle struct {
	print run.Print
	film  float64 // um
	acts  int     // done up to this print: where another way forks off
	ms    int     // on iron up to it

	reading *kit.Image
	truth   *kit.Image // nil while it is hidden
	high    float64    // um, of truth, from its mean plane
	low     float64
	cut     *kit.Image // until the next print; nil when nothing was cut

	cuts  []cutting
	guess *run.Predict // of this print
	met   float64      // share of it that was met
}

// cutting is one cut act.
type cutting struct {
	depth   float64 // um
	degrees int
	strokes int
	whole   bool // an area, not a stroke or a row
}

// review makes a run again beside the window and keeps what there is to see.
type review struct {
	mu     sync.Mutex
	cycles []cycle
	edges  [4]float64 // of the face, mm
	done   int
	total  int
	err    error
	over   bool
	quit   bool
}

// startReview begins to make the run of a log again; pictures are drawn in the
// given pigment.
func startReview(l *run.Log, pigment string) *review {
	v := &review{total: len(l.Entries)}
	log := *l
	log.Seal = nil // the marking checks it
	go func() {
		p := &pictures{pigment: pigment}
		_, err := run.Replay(&log, func(r *run.Run, e *run.Entry) error { return v.see(p, r, e) })
		v.mu.Lock()
		defer v.mu.Unlock()
		if !errors.Is(err, errQuit) {
			v.err = err
		}
		v.over = true
	}()
	return v
}

var errQuit = errors.New("not looked at any more")

// stop ends the review early.
func (v *review) stop() {
	v.mu.Lock()
	v.quit = true
	v.mu.Unlock()
}

// see takes in one act.
func (v *review) see(p *pictures, r *run.Run, e *run.Entry) error {
	work.Breathe()
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.quit {
		return errQuit
	}
	v.done = len(r.Entries())
	if e == nil {
		p.begin(r)
		v.edges[0], v.edges[1], v.edges[2], v.edges[3] = r.Grid().Edges()
		return nil
	}
	switch a := e.Act; {
	case a.Predict != nil:
		p.guess = a.Predict
	case a.Cut != nil:
		p.cut(r, *e)
		if n := len(v.cycles); n > 0 {
			c := &v.cycles[n-1]
			c.cuts, c.cut = append(c.cuts, p.cuts[len(p.cuts)-1]), p.removed()
		}
	case e.Out.Print != nil:
		c := cycle{print: *e.Out.Print, film: r.Film(), acts: len(r.Entries()), ms: r.MS()}
		c.reading = p.reading(r)
		c.truth, c.high, c.low = p.truth(r)
		c.guess, c.met = p.guess, p.met(r)
		p.next(r)
		v.cycles = append(v.cycles, c)
	}
	return nil
}

// snapshot is what there is so far.
func (v *review) snapshot() (cycles []cycle, share float64, over bool, err error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	return slices.Clone(v.cycles), float64(v.done) / float64(max(1, v.total)), v.over, v.err
}

// recorded are the cycles of a run that cannot be made again, from what its log
// says of them.
func recorded(entries []run.Entry) []cycle {
	var out []cycle
	ms, film := 0, 0.0
	for i, e := range entries {
		ms += e.Out.MS
		if e.Act.Roll != nil {
			film = float64(e.Act.Roll.Film) / 100
		}
		if e.Out.Print != nil {
			out = append(out, cycle{print: *e.Out.Print, film: film, acts: i + 1, ms: ms})
		}
	}
	return out
}

// thumbWidth is the breadth of the small pictures.
const thumbWidth = 256
