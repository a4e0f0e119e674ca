package work

import (
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

// Marks are those of the run as it stands; they are reckoned beside the window
// from when they are first asked for, anew when more was done since.
func (w *Work) Marks() *Marking {
	n := len(w.Run.Entries())
	if w.marking == nil || w.markedAt != n {
		w.marking, w.markedAt = StartMarking(w.Run.Header(), w.Run.Entries()), n
	}
	return w.marking
}

// Seal closes the file of a run that is signed off once its marks are there; it
// reports whether that is done.
func (w *Work) Seal() (done bool, err error) {
	if w.lines == nil || !w.Run.Signed() {
		return true, nil
	}
	report, err := w.Marks().Report()
	if report == nil && err == nil {
		return false, nil
	}
	digest, acts := w.Run.Digest(), len(w.Run.Entries())
	err = seal(w.lines, digest, acts, report)
	if errors.Is(err, fs.ErrNotExist) {
		if err = w.writeAnew(); err == nil {
			err = seal(w.lines, digest, acts, report)
		}
	}
	w.lines = nil
	return true, err
}

// SealFile closes the file of a run that was read, signed off and without a seal,
// with its marks. A file that is not as it was read is left alone, with an error.
func SealFile(s store.Store, name string, l *run.Log, report *score.Report) error {
	lines, err := s.GoOn(name, l)
	if err != nil {
		return err
	}
	return seal(run.Continue(lines, l), report.Digest, len(l.Entries), report)
}

func seal(lines *run.Writer, digest string, acts int, report *score.Report) (err error) {
	s := run.Seal{Digest: digest, Acts: acts}
	if report != nil {
		if s.Marks, err = json.Marshal(report.Recorded()); err != nil {
			return err
		}
	}
	return lines.Seal(s)
}
