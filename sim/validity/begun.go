package validity

import (
	"sync"

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

// Parts keeps the parts that were begun last, for hands that work them one after
// the other or at once.
type Parts struct {
	rubric *score.Rubric
	mu     sync.Mutex
	kept   []*kept // the oldest first
}

type kept struct {
	seed  uint64
	once  sync.Once
	begun *Begun
	err   error
}

// NewParts keeps parts of which runs are marked by a rubric.
func NewParts(rubric *score.Rubric) *Parts { return &Parts{rubric: rubric} }

// manyParts is how many are kept.
const manyParts = 8

// Begun is the part of a seed.
func (p *Parts) Begun(seed uint64) (*Begun, error) {
	k := p.at(seed)
	k.once.Do(func() { k.begun, k.err = Begin(p.rubric, seed) })
	return k.begun, k.err
}

func (p *Parts) at(seed uint64) *kept {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, k := range p.kept {
		if k.seed == seed {
			return k
		}
	}
	if len(p.kept) == manyParts {
		p.kept = p.kept[1:]
	}
	k := &kept{seed: seed}
	p.kept = append(p.kept, k)
	return k
}
