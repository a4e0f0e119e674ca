// Package hand holds synthetic learners. They see what a person sees, readings
// and instruments, and act through the same door; none of them sees a height.
package hand

import (
	"errors"
	"fmt"
	"sort"

	"github.com/before-iron/beforeiron/sim/run"
)

// Hand works a part from where the run stands until it signs off.
type Hand interface {
	// Work does so after at most cycles prints, telling progress (when not nil)
	// after each.
	Work(r *run.Run, cycles int, progress func(print run.Print)) error
}

var hands = map[string]Hand{
	"careful":  Careful{},
	"careless": Careless{},
}

// Named is the hand of that name; an error lists the names there are.
func Named(name string) (Hand, error) {
	if h, ok := hands[name]; ok {
		return h, nil
	}
	return nil, fmt.Errorf("no hand is called %q: take one of %v", name, Names())
}

// Names of all hands, sorted.
func Names() []string {
	var names []string
	for n := range hands {
		names = append(names, n)
	}
	sort.Strings(names)
	return names
}

// bench is a run as a hand works at it.
type bench struct {
	*run.Run
	cycles   int
	progress func(run.Print)
	film     float64 // um of the last print
	last     run.Print
	eye      eye
}

// print rolls film um on a clean master, prints the part clean and stoned, and
// takes it off to be read.
func (b *bench) print(film float64, stone bool, rub [][2]int) error {
	acts := []run.Act{{Wipe: &run.Wipe{What: "master"}}, {Roll: &run.Roll{Film: int(film*100 + .5)}},
		{Place: &run.Place{}}, {Rub: &run.Rub{Path: rub}}, {Lift: &run.Lift{}}}
	if b.Prints() > 0 {
		acts = append([]run.Act{{Wipe: &run.Wipe{What: "part"}}}, acts...)
	}
	if stone {
		acts = append([]run.Act{{Stone: &run.Stone{Passes: 1}}}, acts...)
	}
	var out run.Outcome
	for _, a := range acts {
		var err error
		if out, err = b.Do(a); err != nil {
			return err
		}
	}
	b.saw(film, *out.Print)
	return nil
}

// saw takes a print in.
func (b *bench) saw(film float64, p run.Print) {
	b.film, b.last = film, p
	reading, _ := b.Reading()
	b.eye = look(reading)
	if b.progress != nil {
		b.progress(p)
	}
}

// shortRub is a few gentle circles, about 80 mm in all.
var shortRub = [][2]int{{1000, 0}, {0, 500}, {-1000, 0}, {0, -500}, {1000, 0}, {0, 500}, {-1000, 0}, {0, -500}}

// lay cuts; that nothing fell on the face is no mishap, the next print tells.
func (b *bench) lay(c run.Cut) error {
	_, err := b.Do(run.Act{Cut: &c})
	if errors.Is(err, run.ErrNoStroke) {
		return nil
	}
	return err
}

// done reports whether the allowance of prints is used up.
func (b *bench) done() bool { return b.Prints() >= b.cycles }
