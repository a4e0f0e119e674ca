package debrief

import (
	"bytes"
	"errors"
	"sync/atomic"
	"time"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/par"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// study is a run looked back on beside the window.
type study = work.Aside[*review.Review]

// startStudy begins to look back on a run when each of what is before it is over.
func startStudy(l *run.Log, by *score.Rubric, before ...interface{ Wait() }) *study {
	return work.StartAside(func(tell func(int, int) error) (*review.Review, error) {
		for _, b := range before {
			b.Wait()
		}
		if err := tell(0, 1); err != nil {
			return nil, err
		}
		log := *l
		return review.Of(&log, by, func(done, total int) { _ = tell(done, total) })
	})
}

// parFile is where the careful hand's run of a header is kept.
func parFile(h run.Header) string {
	h.Hand, h.Fork, h.Program = par.Hand, nil, work.Program
	return "par/" + h.Sum()[:32] + ".run"
}

// startPar looks back on the careful hand's own run of the same surface, which is
// worked first, or read when it was worked before. It begins when the study is over.
func startPar(s store.Store, h run.Header, by *score.Rubric, after *study) *study {
	kept, err := s.Read(parFile(h))
	return work.StartAside(func(tell func(int, int) error) (*review.Review, error) {
		after.Wait()
		if err := tell(0, review.ParPrints); err != nil {
			return nil, err
		}
		var l *run.Log
		if err == nil {
			l = usable(kept)
		}
		prints := 0
		if l == nil {
			var err error
			h.Program = work.Program
			l, err = par.Work(h, review.ParPrints, func(e run.Entry) error {
				if e.Out.Print != nil {
					prints = e.Out.Print.N
				}
				return tell(prints, review.ParPrints)
			})
			if err != nil {
				return nil, err
			}
		}
		return review.Of(l, by, func(int, int) { _ = tell(prints, review.ParPrints) })
	})
}

// usable is the run of a file that can be looked back on, else nil.
func usable(file []byte) *run.Log {
	l, err := run.Read(bytes.NewReader(file))
	if err != nil || !l.SignedOff() || l.Header.Physics != run.Physics {
		return nil
	}
	return l
}

// keepPar writes the careful hand's run to the data folder; where that cannot be,
// it is worked again the next time.
func keepPar(s store.Store, name string, l *run.Log) {
	if kept, err := s.Read(name); err == nil && usable(kept) != nil {
		return
	}
	var b bytes.Buffer
	w, err := run.NewWriter(&b, l.Header)
	for _, e := range l.Entries {
		if err == nil {
			err = w.Entry(e)
		}
	}
	if err == nil {
		_ = s.Write(name, b.Bytes())
	}
}

// search looks for the dearest decisions beside the window.
type search = work.Aside[found]

type found struct {
	dearest []review.Decision
	whole   bool
}

// searchTime is how long is searched before it is asked whether to go on; a usual
// machine is through in half of it.
const searchTime = time.Minute

// manyCells are those of a face of which only one trial is worked at a time, so that
// the window keeps within its memory.
const manyCells = 400_000

// mostCells are those of the largest face on which other decisions are tried: a trial
// holds three runs at once, and on eight million cells it takes minutes.
const mostCells = 2_000_000

// errLarge answers a search on a larger face.
var errLarge = errors.New(words.Say("debrief.decisions.large"))

// startSearch begins to search when what is before it is over, for as long as limit;
// 0 sets none.
func startSearch(l *run.Log, by *score.Rubric, limit time.Duration, after *study, cells func() int) *search {
	return work.StartAside(func(tell func(int, int) error) (f found, err error) {
		log := *l
		log.Seal = nil
		total := review.Trials(&log)
		after.Wait()
		if cells() > mostCells {
			return f, errLarge
		}
		began := time.Now()
		var done atomic.Int64
		how := review.UsualSearch(by)
		how.Each = func() error {
			if limit > 0 && time.Since(began) > limit {
				return review.ErrTime
			}
			return tell(int(done.Load()), total)
		}
		told := func() error {
			done.Add(1)
			return how.Each()
		}
		f.dearest, f.whole, err = review.Decisions(&log, how, func(jobs []func()) error {
			if cells() <= manyCells {
				return work.Spread(jobs, told)
			}
			for _, do := range jobs {
				do()
				if err := told(); err != nil {
					return err
				}
			}
			return nil
		})
		return f, err
	})
}
