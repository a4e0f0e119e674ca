// Package hand holds synthetic learners. They see what a person sees, readings
// and instruments, and act through the same door; none of them sees a height.
// The careful hand also reads which effects a job has switched on, so it knows
// beforehand what may go wrong: it is par for the work, not for finding that out.
package hand

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"github.com/before-iron/beforeiron/sim/run"
)

// Hand works a part from where the run stands until it signs off.
type Hand interface {
	// Work does so after at most cycles prints, telling progress (when not nil)
	// after each.
	Work(r *run.Run, cycles int, progress func(print run.Print)) error
}

// hands by name; sim/score/VALIDITY.md says what each is for.
var hands = map[string]Hand{
	"careful":    Careful{},
	"careful-10": Careful{Slip: .1},
	"careful-20": Careful{Slip: .2},
	"careful-40": Careful{Slip: .4},
	"careful-70": Careful{Slip: .7},
	"careless":   Careless{},

	"idle":          Idle{},
	"random":        Random{},
	"hollow-chaser": Careful{Aim: AtBare},
	"over-cutter":   Careful{Depth: 3.5},

	"timid":         Careful{Depth: .25, Sparse: true},
	"edge-chaser":   Careful{Aim: AtRims},
	"rim-sparer":    Careful{LeaveRimMM: 1.5},
	"darkest-only":  Careful{Aim: AtDarkest},
	"never-stops":   Careful{NoStop: true},
	"stops-early":   Careful{StopMean: true},
	"one-direction": Careful{OneWay: true},
	"rich-film":     Careful{FinishFilm: 6},
	"never-stones":  Careful{NoStone: true},
	"presser":       Careful{PressN: 40},
	"recipe":        Recipe{Best},
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
	pressN   int
	care     care
	film     float64 // um of the last print
	last     run.Print
	eye      eye
}

// print rolls film um on a clean master, prints the part clean and stoned, and
// takes it off to be read.
func (b *bench) print(film float64, stone bool, rub [][2]int) error {
	at := run.Place{}
	if n := len(b.care.places); n > 0 {
		at = b.care.places[b.Prints()%n]
	}
	acts := []run.Act{{Wipe: &run.Wipe{What: "master"}}, {Roll: &run.Roll{Film: int(film*100 + .5), Passes: b.care.passes}}, {Place: &at}}
	if b.care.hurried {
		acts = acts[1:]
	} else if b.Prints() > 0 {
		acts = append([]run.Act{{Wipe: &run.Wipe{What: "part"}}}, acts...)
	}
	if stone {
		acts = append([]run.Act{{Stone: &run.Stone{Passes: 1}}}, acts...)
	}
	for _, a := range acts {
		if _, err := b.Do(a); err != nil {
			return err
		}
	}
	if err := b.soak(); err != nil {
		return err
	}
	if _, err := b.Do(run.Act{Rub: b.rub(rub)}); err != nil {
		return err
	}
	out, err := b.Do(run.Act{Lift: &run.Lift{}})
	if err != nil {
		return err
	}
	b.saw(film, *out.Print)
	return nil
}

// soak waits until part and master are of one warmth, as the thermometer has it: five
// minutes at a time, for hands warm what they carry, and no longer than half a day.
func (b *bench) soak() error {
	if b.care.hurried {
		_, err := b.Do(run.Act{Soak: &run.Soak{MS: settleMS}})
		return err
	}
	const warm, wait, most = .3, 5 * 60 * 1000, 144
	for n := 0; n < most && math.Abs(b.WarmerK()) >= warm; n++ {
		if _, err := b.Do(run.Act{Soak: &run.Soak{MS: wait}}); err != nil {
			return err
		}
	}
	return nil
}

// rub is a rub along a path, under the part's own weight or the hand's, which
// leans off the middle.
func (b *bench) rub(path [][2]int) *run.Rub {
	r := &run.Rub{Path: path}
	if b.pressN > 0 {
		x0, y0, x1, y1 := b.Grid().Edges()
		r.Press = b.pressN
		r.Load = [2]int{int(100*x0 + 65*(x1-x0)), int(100*y0 + 40*(y1-y0))}
	}
	return r
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
