package work

import (
	"cmp"
	"encoding/json"
	"errors"
	"io/fs"
	"sync/atomic"

	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// Marking is a run being made again and marked beside the window.
type Marking struct {
	done, total atomic.Int64
	answer      chan marked
	report      *score.Report
	err         error
}

type marked struct {
	report *score.Report
	err    error
}

// StartMarking begins to mark a run of the given acts.
func StartMarking(h run.Header, entries []run.Entry) *Marking {
	m := &Marking{answer: make(chan marked, 1)}
	log := &run.Log{Header: h, Entries: append([]run.Entry(nil), entries...)}
	m.total.Store(int64(max(1, len(entries))))
	go func() {
		r, err := score.Mark(log, func(done, total int) {
			m.done.Store(int64(done))
			m.total.Store(int64(max(1, total)))
			Breathe()
		})
		m.answer <- marked{r, err}
	}()
	return m
}

// Share is how much is done, 0 to 1.
func (m *Marking) Share() float64 {
	return float64(m.done.Load()) / float64(m.total.Load())
}

// Report is the marks once they are there, or why there are none; both nil
// before that.
func (m *Marking) Report() (*score.Report, error) {
	select {
	case a := <-m.answer:
		m.report, m.err = a.report, a.err
	default:
	}
	return m.report, m.err
}

// Ending is the file of a run that is signed off and not sealed yet. It holds nothing of
// the part.
type Ending struct {
	store  store.Store
	name   string
	log    *run.Log
	lines  *run.Writer // nil of a file that was read: it is gone on with first
	digest string      // of the face in the end; empty where that is not known
}

// Ending is what is left to be done with the file of a run that is signed off, for whoever
// asks first; nil when there is nothing.
func (w *Work) Ending() *Ending {
	if w.lines == nil || !w.Run.Signed() {
		return nil
	}
	lines := w.lines
	w.lines = nil
	return &Ending{w.store, w.Name, &run.Log{Header: w.Run.Header(), Entries: w.Run.Entries()}, lines, w.Run.Digest()}
}

// EndingOf is the same for a file that was read.
func EndingOf(s store.Store, name string, l *run.Log) *Ending {
	return &Ending{store: s, name: name, log: l}
}

// Seal closes the file with the marks of the run. A file that was read and is not as it
// was is left alone, with an error; one that was being written and has gone is written
// anew.
func (e *Ending) Seal(report *score.Report) error {
	s := run.Seal{Digest: cmp.Or(e.digest, report.Digest), Acts: len(e.log.Entries)}
	var err error
	if s.Marks, err = json.Marshal(report.Recorded()); err != nil {
		return err
	}
	if e.lines == nil {
		lines, err := e.store.GoOn(e.name, e.log)
		if err != nil {
			return err
		}
		return run.Continue(lines, e.log).Seal(s)
	}
	err = e.lines.Seal(s)
	if errors.Is(err, fs.ErrNotExist) {
		var lines *run.Writer
		if lines, err = writeAnew(e.store, e.name, e.log); err == nil {
			err = lines.Seal(s)
		}
	}
	return err
}
