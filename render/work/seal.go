package work

import (
	"encoding/json"
	"errors"
	"io/fs"

	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// Marking is a run being made again and marked, by the rubric of its own job, beside
// the window.
type Marking = Aside[*score.Report]

// StartMarking begins to mark a run.
func StartMarking(l *run.Log) *Marking {
	return StartAside(func(tell func(int, int) error) (*score.Report, error) {
		log := *l
		return score.Mark(&log, func(done, total int) { _ = tell(done, total) })
	})
}

// Seal closes the file of a run that is signed off, once, with its marks; nil for one
// that could not be marked.
func (w *Work) Seal(report *score.Report) error {
	if w.lines == nil || !w.Run.Signed() {
		return nil
	}
	digest, acts := w.Run.Digest(), len(w.Run.Entries())
	err := seal(w.lines, digest, acts, report)
	if errors.Is(err, fs.ErrNotExist) {
		if err = w.writeAnew(); err == nil {
			err = seal(w.lines, digest, acts, report)
		}
	}
	w.lines = nil
	return err
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
