package debrief

import (
	"errors"
	"slices"
	"sync"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/prints"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/advice"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/run"
)

// cycle is what the log of a run says of a print.
type cycle struct {
	print run.Print
	film  float64 // um
	acts  int     // done up to this print: where another way forks off
	ms    int     // on iron up to it
}

// cyclesOf are the prints of a log.
func cyclesOf(entries []run.Entry) []cycle {
	var out []cycle
	ms, film := 0, 0.0
	for i, e := range entries {
		ms += e.Out.MS
		if e.Act.Roll != nil {
			film = float64(e.Act.Roll.Film) / 100
		}
		if e.Out.Print != nil {
			out = append(out, cycle{*e.Out.Print, film, i + 1, ms})
		}
	}
	return out
}

// still is a face as it looked when a print was read.
type still struct {
	at      int // cycle
	look    *run.Appearance
	reading *blue.Reading
	edges   [4]float64 // mm
}

// Appearance and Reading let it be drawn as a face on the bench is.
func (s *still) Appearance() *run.Appearance { return s.look }

func (s *still) Reading() (*blue.Reading, bool) { return s.reading, true }

// tape makes a run again beside the window: once through for the small prints and
// for what a coach saw, and then to whatever cycle is looked at. It sees what the
// learner saw, and so it may run while the truth is locked.
type tape struct {
	log     *run.Log
	cycles  []cycle
	pigment string
	wanted  chan int
	room    chan struct{} // closed once another run may be held beside it

	mu      sync.Mutex
	small   []*kit.Image
	advice  []advice.Advice
	still   *still
	asked   int // cycle that is to be shown
	done    int // acts, once through
	through bool
	sought  float64 // share of the way to the cycle that is to be shown
	left    bool
	err     error
}

// smallWidth is the breadth of the small prints, elements.
const smallWidth = 160

func startTape(l *run.Log, cycles []cycle, pigment string, at int) *tape {
	t := &tape{log: l, cycles: cycles, pigment: pigment, wanted: make(chan int, 1), room: make(chan struct{}), asked: at}
	go func() {
		err := t.play()
		t.mu.Lock()
		defer t.mu.Unlock()
		if !errors.Is(err, work.ErrLeft) {
			t.err = err
		}
	}()
	return t
}

// Wait comes back when another run may be held beside it: soon on an ordinary face, on
// a large one once it has gone through.
func (t *tape) Wait() { <-t.room }

func (t *tape) play() error {
	if err := t.goThrough(); err != nil {
		return err
	}
	t.mu.Lock()
	t.through = true
	at := t.asked
	t.mu.Unlock()
	for {
		if err := t.to(at); err != nil {
			return err
		}
		var more bool
		if at, more = <-t.wanted; !more {
			return nil
		}
	}
}

// goThrough is the first time through.
func (t *tape) goThrough() error {
	tell := sync.OnceFunc(func() { close(t.room) })
	defer tell()
	r, err := run.Begin(t.log.Header)
	if err != nil {
		return err
	}
	if g := r.Grid(); g.NX*g.NY <= manyCells {
		tell()
	}
	coach := advice.NewCoach()
	for i := range t.log.Entries {
		e := &t.log.Entries[i]
		if err := r.RepeatOne(*e); err != nil {
			return err
		}
		coach.See(r, e)
		if err := t.see(r, e, coach); err != nil {
			return err
		}
	}
	return nil
}

// see takes in one act of the first time through.
func (t *tape) see(r *run.Run, e *run.Entry, coach *advice.Coach) error {
	work.Breathe()
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.left {
		return work.ErrLeft
	}
	t.done++
	if e.Out.Print == nil {
		return nil
	}
	reading, _ := r.Reading()
	t.small = append(t.small, prints.Small(reading, t.pigment, smallWidth))
	t.advice = coach.Summary(len(advice.Rules))
	if k := len(t.small) - 1; k == t.asked {
		t.still = stillOf(r, k)
	}
	return nil
}

// to goes to a cycle, from the start: a run goes one way only.
func (t *tape) to(k int) error {
	t.mu.Lock()
	there := k >= len(t.cycles) || t.still != nil && t.still.at == k
	t.mu.Unlock()
	if there {
		return nil
	}
	r, err := run.Begin(t.log.Header)
	if err != nil {
		return err
	}
	for i := range t.cycles[k].acts {
		if err := r.RepeatOne(t.log.Entries[i]); err != nil {
			return err
		}
		work.Breathe()
		t.mu.Lock()
		left, another := t.left, t.asked != k
		t.sought = float64(i) / float64(t.cycles[k].acts)
		t.mu.Unlock()
		if left {
			return work.ErrLeft
		}
		if another {
			return nil
		}
	}
	s := stillOf(r, k)
	t.mu.Lock()
	t.still = s
	t.mu.Unlock()
	return nil
}

// stillOf is what there is to see of a run now; it does not change with it.
func stillOf(r *run.Run, k int) *still {
	s := &still{at: k, look: r.Appearance()}
	s.edges[0], s.edges[1], s.edges[2], s.edges[3] = r.Grid().Edges()
	if now, _ := r.Reading(); now != nil {
		c := *now
		c.Colour, c.Shine = slices.Clone(now.Colour), slices.Clone(now.Shine)
		s.reading = &c
	}
	return s
}

// look asks for the face at a cycle; what is there now is shown until then.
func (t *tape) look(k int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.asked == k || t.left {
		return
	}
	t.asked = k
	select {
	case <-t.wanted: // another was asked for before
	default:
	}
	t.wanted <- k
}

func (t *tape) stop() {
	t.mu.Lock()
	defer t.mu.Unlock()
	if !t.left {
		t.left = true
		close(t.wanted)
	}
}

// shown is what there is so far.
func (t *tape) shown() (s *still, small []*kit.Image, share float64, err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	share = 1
	if !t.through {
		share = float64(t.done) / float64(max(1, len(t.log.Entries)))
	}
	return t.still, t.small, share, t.err
}

// seeking is how far the way to the face of a cycle has been gone, and whether it is
// that face that is shown; where it cannot be made, what there is stays.
func (t *tape) seeking(k int) (share float64, there bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.err != nil || t.still != nil && t.still.at == k {
		return 1, true
	}
	return t.sought, false
}

// cells are those of the face; none before it was first seen.
func (t *tape) cells() int {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.still == nil {
		return 0
	}
	return t.still.look.NX * t.still.look.NY
}

// told is what a coach saw so far, what came up most first.
func (t *tape) told() []advice.Advice {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.advice
}
