package shelf

import (
	_ "embed"
	"errors"
	"sync"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
)

// frontPiece is the job of the piece over the shelf.
//
//go:embed front.yaml
var frontPiece []byte

// frontPrints is how far the careful hand brings it.
const frontPrints = 9

// Front is the piece of iron that lies over the shelf, scraped beside the window
// when the program starts.
type Front struct {
	mu  sync.Mutex
	run *run.Run
}

var errEnough = errors.New("enough prints")

// NewFront begins to scrape it.
func NewFront() *Front {
	f := &Front{}
	go func() {
		// Without it the shelf is as useful, only plainer.
		r, _ := scrape()
		f.mu.Lock()
		f.run = r
		f.mu.Unlock()
	}()
	return f
}

func scrape() (*run.Run, error) {
	l, err := lessons.Parse("front.yaml", frontPiece)
	if err != nil {
		return nil, err
	}
	r, err := l.Begin(5, 5, "careful", work.Program)
	if err != nil {
		return nil, err
	}
	r.Record = func(e run.Entry) error {
		work.Breathe()
		if e.Out.Print != nil && e.Out.Print.N == frontPrints {
			return errEnough
		}
		return nil
	}
	if err := (hand.Careful{}).Work(r, frontPrints+1, nil); err != nil && !errors.Is(err, errEnough) {
		return nil, err
	}
	return r, nil
}

// piece is the run once it is there.
func (f *Front) piece() *run.Run {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.run
}
