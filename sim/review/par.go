package review

import (
	"github.com/before-iron/beforeiron/sim/par"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// ParPrints is how many prints the careful hand has at the most.
const ParPrints = 45

// Par is the careful hand's own run of the part of a reviewed run.
type Par struct {
	Report *score.Report
	// Parting is the first decision in which the two differ by more than two hands of
	// one mind would; Parted is false where there is none.
	Parting par.Parting
	Parted  bool
}

// NewPar lets the careful hand work the part of a run and marks it by a rubric;
// progress (when not nil) is told how many prints it has made.
func NewPar(l *run.Log, by *score.Rubric, progress func(prints int)) (*Par, error) {
	own, err := par.Work(l.Header, ParPrints, func(e run.Entry) error {
		if e.Out.Print != nil && progress != nil {
			progress(e.Out.Print.N)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	p := &Par{}
	if p.Report, err = by.Mark(own, nil); err != nil {
		return nil, err
	}
	p.Parting, p.Parted = par.Part(l, own)
	return p, nil
}
