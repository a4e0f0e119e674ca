package review

import (
	"math"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/run"
)

// Sheet is the learner's inspection sheet held against what is so.
type Sheet struct {
	Rows []SheetRow

	// Class is what the learner would have given the face, with what the class asks
	// held against the true face at FilmUM; nil where it was left blank. Would are
	// the classes of the same source that the face meets.
	Class    *gauge.Class
	FilmUM   float64
	Findings []gauge.Finding
	Would    []gauge.Class
}

// SheetRow is one entry. No number stands where nothing was seen, or where this
// physics has no truth to tell.
type SheetRow struct {
	What            string
	Unit            string
	Wrote, Seen, Is float64
	Near            bool // as near as such a figure can be known
}

// sheet is the last one filled in.
func (b *builder) sheet() (*Sheet, error) {
	var d *run.Declare
	for _, e := range b.Log.Entries {
		if e.Act.Declare != nil {
			d = e.Act.Declare
		}
	}
	if d == nil {
		return nil, nil
	}
	s := &Sheet{}
	final, nan := b.Report.Final, math.NaN()
	var last run.Print
	film := nan
	if n := len(b.Cycles); n > 0 {
		last, film = b.Cycles[n-1].Print, b.Cycles[n-1].FilmUM
	}
	print := func(v float64) float64 {
		if last.N == 0 {
			return nan
		}
		return v
	}
	// What may be off without fault: the share, and at the least the step.
	add := func(what, unit string, wrote, seen, is, share, step float64) {
		off := math.Abs(wrote - is)
		s.Rows = append(s.Rows, SheetRow{what, unit, wrote, seen, is, off <= math.Max(step, share*math.Abs(is))})
	}
	known := func(v *float64) float64 {
		if v == nil {
			return nan
		}
		return *v
	}
	frame := func(v *int) float64 {
		if v == nil {
			return nan
		}
		return float64(*v)
	}
	add("Points per square inch", "", float64(d.PointsPerIn2), print(float64(last.PerIn2)/100), known(final.PointsPerIn2), .15, 1)
	add("Points in the worst inch frame", "", float64(d.FrameMin), print(float64(last.FrameMin)), frame(final.FrameMin), .15, 1)
	add("Bearing", "%", float64(d.AreaPct), print(float64(last.Permille)/10), known(final.AreaPct), .15, 3)
	optional := func(what, unit string, wrote *int, per, seen, is, share, step float64) {
		if wrote != nil {
			add(what, unit, float64(*wrote)/per, seen, is, share, step)
		}
	}
	optional("Points in the fullest inch frame", "", d.FrameMax, 1, print(float64(last.FrameMax)), frame(final.FrameMax), .15, 1)
	optional("Film of the last print", "um", d.Film, 100, nan, film, .1, .2)
	optional("Range over the gauge block", "um", d.Block, 100, b.shown("bridge"), known(final.BridgedUM), .15, .5)
	optional("Range under the bare tip", "um", d.Bare, 100, b.shown("indicate"), known(final.BareRangeUM), .15, .5)
	optional("Hinge from the nearer end", "mm", d.Hinge, 100, nan, nan, .1, 2)
	optional("Part warmer than the master", "K", d.Warmer, 1000, nan, nan, .1, .2)
	return s, b.judge(s, d.Class)
}

// shown is what an instrument showed last, um.
func (b *builder) shown(kind string) float64 {
	v := math.NaN()
	for _, i := range b.Instruments {
		if i.Kind == kind {
			v = i.UM
		}
	}
	return v
}

// judge holds the face against the class that it would be given.
func (b *builder) judge(s *Sheet, id string) error {
	class, ok := gauge.ClassOf(id)
	if !ok {
		return nil
	}
	s.Class = &class
	s.FilmUM = b.Log.Header.Setup.Target.FilmUM
	if class.BearingMin > 0 {
		s.FilmUM = math.Max(class.FilmMinUM, math.Min(class.FilmMaxUM, s.FilmUM))
	}
	count, err := b.watch.Count(s.FilmUM)
	if err != nil {
		return err
	}
	s.Findings = class.Judge(count, s.FilmUM)
	for _, c := range gauge.Classes {
		if c.Source != class.Source {
			continue
		}
		meets := true
		for _, f := range c.Judge(count, s.FilmUM) {
			meets = meets && f.Verdict == gauge.Meets
		}
		if meets {
			s.Would = append(s.Would, c)
		}
	}
	return nil
}
