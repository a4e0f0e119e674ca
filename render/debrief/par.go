package debrief

import (
	"bytes"
	"fmt"
	"sync"

	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// parHand is the hand that runs are held beside.
const parHand = "careful"

// parCycles is how many prints it has at the most.
const parCycles = 45

// par is the careful hand's own run of the same surface, worked beside the
// window, or read from the data folder when it was worked before.
type par struct {
	mu     sync.Mutex
	prints int
	log    *run.Log
	report *score.Report
	err    error
	quit   bool

	store store.Store
	name  string // of its file
	kept  bool
}

// startPar begins to work it, or reads it.
func startPar(s store.Store, h run.Header) *par {
	h.Hand, h.Fork, h.Program = parHand, nil, work.Program
	p := &par{store: s, name: "par/" + h.Sum()[:32] + ".run"}
	kept, err := s.Read(p.name)
	p.kept = err == nil
	go func() {
		log, err := p.work(h, kept)
		var report *score.Report
		if err == nil {
			report, err = score.Mark(log, func(int, int) { work.Breathe() })
		}
		p.mu.Lock()
		defer p.mu.Unlock()
		p.log, p.report, p.err = log, report, err
	}()
	return p
}

// work is the run, from the content of a file when that is whole.
func (p *par) work(h run.Header, kept []byte) (*run.Log, error) {
	if l, err := run.Read(bytes.NewReader(kept)); err == nil && l.SignedOff() && l.Header.Physics == run.Physics {
		return l, nil
	}
	r, err := run.Begin(h)
	if err != nil {
		return nil, err
	}
	r.Record = func(e run.Entry) error {
		work.Breathe()
		p.mu.Lock()
		defer p.mu.Unlock()
		if p.quit {
			return errQuit
		}
		if e.Out.Print != nil {
			p.prints = e.Out.Print.N
		}
		return nil
	}
	careful, err := hand.Named(parHand)
	if err != nil {
		return nil, err
	}
	cycles := parCycles
	if n := h.Setup.Limits.Prints; n > 0 {
		cycles = min(cycles, n)
	}
	if err := careful.Work(r, cycles, nil); err != nil {
		return nil, fmt.Errorf("the careful hand could not work this part: %w", err)
	}
	return &run.Log{Header: h, Entries: r.Entries()}, nil
}

func (p *par) stop() {
	p.mu.Lock()
	p.quit = true
	p.mu.Unlock()
}

// answer is its report once it is there, how many prints it has made so far, and
// why there is none. The run is kept for the next time.
func (p *par) answer() (report *score.Report, prints int, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.report != nil && !p.kept {
		p.kept = true
		p.keep()
	}
	return p.report, p.prints, p.err
}

// keep writes the run to the data folder; where that cannot be, it is worked
// again the next time.
func (p *par) keep() {
	var b bytes.Buffer
	w, err := run.NewWriter(&b, p.log.Header)
	for _, e := range p.log.Entries {
		if err == nil {
			err = w.Entry(e)
		}
	}
	if err == nil {
		_ = p.store.Write(p.name, b.Bytes())
	}
}
