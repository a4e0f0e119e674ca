package review

import (
	"fmt"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// ParHand is the hand that runs are held beside, and ParPrints how many prints it
// has at the most.
const (
	ParHand   = "careful"
	ParPrints = 45
)

// Par is what the careful hand comes to on the same surface, from the beginning, marked by a rubric;
// progress (when not nil) is told how many prints it has made.
func Par(h run.Header, by *score.Rubric, progress func(prints int)) (*score.Report, error) {
	h.Hand, h.Fork = ParHand, nil
	h.Setup.Scored = false // nobody's attempt
	r, err := run.Begin(h)
	if err != nil {
		return nil, err
	}
	watch := by.Watch(h.Setup.Target)
	if err := watch.See(r, nil); err != nil {
		return nil, err
	}
	r.Record = func(e run.Entry) error { return watch.See(r, &e) }
	prints := ParPrints
	if n := h.Setup.Limits.Prints; n > 0 {
		prints = min(prints, n)
	}
	err = hand.Careful{}.Work(r, prints, func(p run.Print) {
		if progress != nil {
			progress(p.N)
		}
	})
	if err != nil {
		return nil, fmt.Errorf("the careful hand could not work this part: %w", err)
	}
	return watch.Report(r)
}
