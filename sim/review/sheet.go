package review

import (
	"math"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
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

// SheetRow is one entry of run.Sheet. NaN stands in Wrote where it was left blank, in
// Seen where nothing was seen, in Is where the figure has no meaning on this face.
type SheetRow struct {
	ID              string // as in run.Sheet
	What            string
	Unit            string
	Wrote, Seen, Is float64
	Near            bool // as near as such a figure can be known
}

// Blank reports whether the learner left the entry blank.
func (r SheetRow) Blank() bool { return r.Wrote != r.Wrote }

// sheetRule says of an entry what it is called, and what it may be off without
// fault: a share of what is, and at the least the step.
type sheetRule struct {
	what        string
	share, step float64
}

var sheetRules = map[string]sheetRule{
	"film":           {"Film of the last print", .1, .2},
	"points_per_in2": {"Points per square inch", .15, 1},
	"frame_min":      {"Points in the worst inch frame", .15, 1},
	"frame_max":      {"Points in the fullest inch frame", .15, 1},
	"area_pct":       {"Bearing", .15, 3},
	"block":          {"Range over the gauge block", .15, .5},
	"bare":           {"Range under the bare tip", .15, .5},
	"hinge":          {"Hinge from the nearer end", .1, 2},
	"warmer":         {"Part warmer than the master", .1, .2},
}

// declaration is the sheet that was filled in last, and what there was to see then
// that no act shows.
type declaration struct {
	sheet  *run.Declare
	film   float64 // um of the print before it; NaN before the first
	warmer float64 // K
}

// sheet is the last one filled in; nil when none was.
func (b *builder) sheet() (*Sheet, error) {
	d := b.declared.sheet
	if d == nil {
		return nil, nil
	}
	nan := math.NaN()
	seen, is := map[string]float64{}, map[string]float64{}
	if n := len(b.Cycles); n > 0 {
		last := b.Cycles[n-1].Print
		seen["points_per_in2"], seen["area_pct"] = float64(last.PerIn2)/100, float64(last.Permille)/10
		if b.Report.Final.FrameMin != nil { // a frame fits on the face
			seen["frame_min"], seen["frame_max"] = float64(last.FrameMin), float64(last.FrameMax)
		}
	}
	for _, i := range b.Instruments {
		switch i.Kind {
		case "bridge":
			seen["block"] = i.UM
		case "indicate":
			seen["bare"] = i.UM
		case "push":
			seen["hinge"] = i.MM
		}
	}
	f := b.Report.Final
	for id, v := range map[string]*float64{"points_per_in2": f.PointsPerIn2, "area_pct": f.AreaPct, "block": f.BridgedUM, "bare": f.BareRangeUM} {
		if v != nil {
			is[id] = *v
		}
	}
	if f.FrameMin != nil && f.FrameMax != nil {
		is["frame_min"], is["frame_max"] = float64(*f.FrameMin), float64(*f.FrameMax)
	}
	is["film"], is["warmer"], is["hinge"] = b.declared.film, b.declared.warmer, b.hinge()
	seen["warmer"] = b.declared.warmer
	s := &Sheet{}
	at := func(of map[string]float64, id string) float64 {
		if v, ok := of[id]; ok {
			return v
		}
		return nan
	}
	for _, e := range run.Sheet {
		rule := sheetRules[e.ID]
		row := SheetRow{ID: e.ID, What: rule.what, Unit: e.Unit, Wrote: nan, Seen: at(seen, e.ID), Is: at(is, e.ID)}
		if v := *e.Of(d); v != nil {
			row.Wrote = float64(*v) / float64(e.Per)
			row.Near = math.Abs(row.Wrote-row.Is) <= math.Max(rule.step, rule.share*math.Abs(row.Is))
		}
		s.Rows = append(s.Rows, row)
	}
	return s, b.judge(s, d.Class)
}

// hinge is how far from the nearer end the face turns on a true plane when it is
// pushed across its length, mm, in the mean of both ends; NaN when it does not turn.
func (b *builder) hinge() float64 {
	m := b.metal
	x0, y0, x1, y1 := m.Edges()
	l, err := seat.NewBed(m).Settle(seat.Case{Under: [4]int{0, 0, m.NX, m.NY}, Forces: []seat.Load{seat.Weight(m)}}, seat.Stiffness)
	if err != nil {
		return math.NaN()
	}
	pressed := l.Pressed(seat.Stiffness)
	sum := 0.0
	for _, end := range [2][2]float64{{x0, x1}, {x1, x0}} { // pushed, and the other
		p, err := seat.Swing(pressed, end[0], (y0+y1)/2, 0, 1)
		if err != nil {
			return math.NaN()
		}
		sum += math.Abs(p.X-end[1]) / 2
	}
	return sum
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
