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

// Signed is the file of a run that is signed off and not yet sealed. It does not hold
// the run, with its face, until the marks are there.
type Signed struct {
	name   string
	store  store.Store
	lines  *run.Writer
	log    *run.Log
	digest string
}

// Signed is what seals the run's file; nil where there is nothing to seal. No act can
// be done any more.
func (w *Work) Signed() *Signed {
	if w.lines == nil || !w.Run.Signed() {
		return nil
	}
	s := &Signed{w.Name, w.store, w.lines, w.log(), w.Run.Digest()}
	w.lines = nil
	return s
}

// Seal closes the file with the marks; nil for a run that could not be marked.
func (s *Signed) Seal(report *score.Report) error {
	err := seal(s.lines, s.digest, len(s.log.Entries), report)
	if errors.Is(err, fs.ErrNotExist) {
		if s.lines, err = anew(s.store, s.name, s.log); err == nil {
			err = seal(s.lines, s.digest, len(s.log.Entries), report)
		}
	}
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
