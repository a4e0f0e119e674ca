package validity

import (
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// Begun is a part before anything was done to it, and the watch that has seen it so:
// every hand that works it begins with a copy, and what is known of the part is
// found out once.
type Begun struct {
	run   *run.Run
	watch *score.Watch
}

// Begin makes the part of a seed.
func Begin(rubric *score.Rubric, seed uint64) (*Begun, error) {
	setup, err := Part(Trial{Seed: seed}.Family(), seed)
	if err != nil {
		return nil, err
	}
	r, err := run.New(setup, "", seed, seed, "", "")
	if err != nil {
		return nil, err
	}
	w := rubric.Watch(setup.Target)
	return &Begun{r, w}, w.See(r, nil)
}

// begin is a copy of both, for a hand of its own scatter.
func (b *Begun) begin(scatter uint64) (*run.Run, *score.Watch, error) {
	r, err := b.run.Aside(scatter)
	return r, b.watch.Aside(), err
}
