// Package review looks back on a run: what each print showed, what the face was,
// what was cut and what that did; the decisions that cost most, found by trying
// others; what was declared against what is so; and two runs of one surface beside
// each other. It makes values and words of them; pages and windows draw them.
package review

import (
	"math"

	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Review is a run made again, marked, with what there is to see of it.
type Review struct {
	Log    *run.Log
	Report *score.Report
	Cycles []Cycle

	X0, Y0, X1, Y1 float64 // edges of the face, mm
	Began, Ended   *Field  // heights, um, from their least-squares plane
	Lows           *Field  // share of each element that lies in a new low at the end
	Instruments    []Instrument
	Sheet          *Sheet // nil when none was filled in
}

// Cycle is what there is to see of a print and of what was done until the next.
type Cycle struct {
	Print  run.Print
	FilmUM float64
	Acts   int // done up to this print
	MS     int // on iron up to it
	At     score.Figures

	PressN   int  // with which the part was pressed while it was rubbed
	HalfTurn bool // on the master

	Colour *Field // strength of colour, 0 to 1
	Shine  *Field // of metal rubbed bare
	Truth  *Field // heights, um, from their least-squares plane

	Done    Done   // until the next print
	Removed *Field // um cut until the next print; nil when nothing was
	Bare    *Field // share of the cut cells that carried no colour
	Did     *Field // what the cutting did to the bearing, as Change; nil when nothing was cut
	After   score.Figures

	Guess *run.Predict // of this print
	Met   float64      // share of it that was met: overlap over union
}

// Change is what became of an element of the face between two prints.
type Change int

// An element bears or not at the score film, came to bear, stopped bearing, or
// lies in a low that was dug.
const (
	StaysOff Change = iota
	StaysOn
	CameOn
	WentOff
	Dug
)

// Instrument is a measurement that the learner took.
type Instrument struct {
	Cycle int
	Kind  string  // "bridge", "indicate", "frame" or "push"
	UM    float64 // range of the first two
	Count int     // points in the frame
	MM    float64 // of a push, where it turned, from the end that was not pushed
}

// Of makes the run of a log again, marked by a rubric, and looks at it; progress (when not nil) is told
// how many of its acts are done. Errors are those of run.Replay, and run.ErrLocked
// for a scored run that is not signed off.
func Of(l *run.Log, by *score.Rubric, progress func(done, total int)) (*Review, error) {
	if l.Header.Setup.Scored && !l.SignedOff() {
		return nil, run.ErrLocked
	}
	b := &builder{Review: Review{Log: l}, watch: by.Watch(l.Header.Setup.Target)}
	r, err := run.Replay(l, func(r *run.Run, e *run.Entry) error {
		if progress != nil {
			progress(len(r.Entries()), len(l.Entries))
		}
		return b.see(r, e)
	})
	if err != nil {
		return nil, err
	}
	if err := b.end(r); err != nil {
		return nil, err
	}
	// What it took to make it, cells and all, is not kept with it.
	out := b.Review
	return &out, nil
}

// builder follows the run.
type builder struct {
	Review
	watch  *score.Watch
	shrink sampler

	film     float64 // rolled, um
	press    int     // N
	guess    *run.Predict
	declared declaration
	metal    *surface.Map // as it is
	printed  *surface.Map // at the last print
	coloured []bool       // cells with colour on them
	bare     []bool       // cells cut without colour since the last print
	bears    []bool       // at the last print
}

func (b *builder) see(r *run.Run, e *run.Entry) error {
	if err := b.watch.See(r, e); err != nil {
		return err
	}
	if e == nil {
		b.begin(r)
		return nil
	}
	switch a := e.Act; {
	case a.Roll != nil:
		b.film = float64(a.Roll.Film) / 100
	case a.Rub != nil:
		b.press = a.Rub.Press
	case a.Predict != nil:
		b.guess = a.Predict
	case a.Bridge != nil, a.Indicate != nil, a.Frame != nil:
		b.Instruments = append(b.Instruments, Instrument{Cycle: r.Prints(), Kind: a.Kind(), UM: float64(e.Out.Range) / 100, Count: e.Out.Count})
	case a.Push != nil:
		b.Instruments = append(b.Instruments, Instrument{Cycle: r.Prints(), Kind: a.Kind(), MM: b.across(a.Push) * float64(e.Out.Pivot.Far) / 1000})
	case a.Declare != nil:
		b.declared = declaration{a.Declare, math.NaN(), r.WarmerK()}
		if n := len(b.Cycles); n > 0 {
			b.declared.film = b.Cycles[n-1].FilmUM
		}
	case a.Wipe != nil && a.Wipe.What == "part":
		clear(b.coloured)
	case a.Cut != nil:
		b.cut()
	case e.Out.Print != nil:
		return b.print(r, e)
	}
	if n := len(b.Cycles); n > 0 {
		b.Cycles[n-1].Done.take(r, e)
	}
	return nil
}

// across is the side of the face that a push turns, mm.
func (b *builder) across(p *run.Push) float64 {
	if a := float64(p.Dir) / 1000; math.Abs(math.Cos(a)) > math.Abs(math.Sin(a)) {
		return b.Y1 - b.Y0
	}
	return b.X1 - b.X0
}

func (b *builder) begin(r *run.Run) {
	g := r.Grid()
	b.shrink = newSampler(g)
	b.X0, b.Y0, b.X1, b.Y1 = g.Edges()
	b.coloured, b.bare = make([]bool, g.Cells()), make([]bool, g.Cells())
	b.metal = b.watch.Heights()
	b.printed = b.metal
	b.Began = b.shrink.level(b.metal)
}

func (b *builder) cut() {
	before := b.metal
	b.metal = b.watch.Heights()
	for k, z := range before.Z {
		if z > b.metal.Z[k] {
			b.bare[k] = !b.coloured[k]
			b.coloured[k] = false
		}
	}
}

func (b *builder) print(r *run.Run, e *run.Entry) error {
	b.metal = b.watch.Heights() // stoning takes a trace off the tops as well
	if err := b.close(); err != nil {
		return err
	}
	reading, _ := r.Reading()
	b.coloured, _ = reading.Marks(b.coloured)
	c := Cycle{Print: *e.Out.Print, FilmUM: b.film, Acts: len(r.Entries()), MS: r.MS(), PressN: b.press, HalfTurn: r.Turned(), Guess: b.guess}
	c.Colour = b.shrink.mean(func(k int) float64 { return float64(reading.Colour[k]) / 255 })
	c.Shine = b.shrink.mean(func(k int) float64 { return float64(reading.Shine[k]) / 255 })
	c.Truth = b.shrink.level(b.metal)
	if c.Guess != nil {
		c.Met = b.met(c.Guess, reading)
	}
	b.Cycles = append(b.Cycles, c)
	b.guess, b.printed = nil, b.metal
	clear(b.bare)
	return nil
}

// met is the overlap of a guess with the print over their union.
func (b *builder) met(guess *run.Predict, reading *blue.Reading) float64 {
	coloured := b.shrink.share(b.coloured)
	both, either := 0, 0
	for k, v := range coloured.V {
		i, j := (2*(k%coloured.W)+1)*reading.NX/(2*coloured.W), (2*(k/coloured.W)+1)*reading.NY/(2*coloured.H)
		is, said := v >= .1, guess.Region.Contains(reading.X(i), reading.Y(j))
		if is && said {
			both++
		}
		if is || said {
			either++
		}
	}
	if either == 0 {
		return 1
	}
	return float64(both) / float64(either)
}

// close ends the cycle that is under way: what was cut in it and what that did.
func (b *builder) close() error {
	bears, low, err := b.watch.Bearing()
	if err != nil {
		return err
	}
	was := b.bears
	b.bears = bears
	n := len(b.Cycles)
	if n == 0 || len(b.Cycles[n-1].Done.Cuts) == 0 {
		return nil
	}
	c := &b.Cycles[n-1]
	c.Removed = b.shrink.mean(func(k int) float64 { return b.printed.Z[k] - b.metal.Z[k] })
	c.Bare = b.shrink.share(b.bare)
	on, off, dug := b.shrink.share(bears), b.shrink.share(was), b.shrink.share(low)
	c.Did = b.shrink.mean(func(int) float64 { return 0 })
	for k := range c.Did.V {
		what := StaysOff
		switch now, before := on.V[k] >= .5, off.V[k] >= .5; {
		case dug.V[k] >= .5 && !now:
			what = Dug
		case now && before:
			what = StaysOn
		case now:
			what = CameOn
		case before:
			what = WentOff
		}
		c.Did.V[k] = float32(what)
	}
	return nil
}

func (b *builder) end(r *run.Run) error {
	b.metal = b.watch.Heights()
	if err := b.close(); err != nil {
		return err
	}
	b.Ended = b.shrink.level(b.metal)
	_, low, err := b.watch.Bearing()
	if err != nil {
		return err
	}
	b.Lows = b.shrink.share(low)
	if b.Report, err = b.watch.Report(r); err != nil {
		return err
	}
	if b.Sheet, err = b.sheet(); err != nil {
		return err
	}
	for n := range b.Cycles {
		b.Cycles[n].At, b.Cycles[n].After = b.Report.PerCycle[n], b.Report.Final
		if n+1 < len(b.Report.PerCycle) {
			b.Cycles[n].After = b.Report.PerCycle[n+1]
		}
	}
	return nil
}
