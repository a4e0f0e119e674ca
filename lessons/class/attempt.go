package class

import (
	"errors"
	"time"

	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// ErrFork is the answer to a run that goes another way on from an earlier one: some of
// its acts may be somebody else's.
var ErrFork = errors.New("it goes another way on from a run, which is practice and no attempt: give the run that it was begun from")

// Mark makes the run of a file again and marks it by a rubric; nil is that of the run's
// own job. Errors are those of run.Replay, run.ErrLocked for a scored run that is not
// signed off, and ErrFork.
func Mark(file string, l *run.Log, finished time.Time, by *score.Rubric) (Attempt, error) {
	if l.Header.Fork != nil {
		return Attempt{}, ErrFork
	}
	if by == nil {
		own, err := score.Of(l.Header.Setup)
		if err != nil {
			return Attempt{}, err
		}
		by = own
	}
	report, err := by.Mark(l, nil)
	if err != nil {
		return Attempt{}, err
	}
	return Attempt{
		File: file, Code: SeatCode(file), Lesson: l.Header.Lesson, Seed: l.Header.PartSeed, Signed: l.SignedOff(),
		Program: l.Header.Program, Hand: l.Header.Hand, Finished: finished.Truncate(time.Second), Sum: l.Sum(), Report: report,
	}, nil
}
