package score

import (
	"slices"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Watch follows a run act by act and can mark it wherever it stands.
type Watch struct{ marker marker }

// NewWatch follows runs of a target, to be marked by the standard rubric.
func NewWatch(t run.Target) *Watch { return standard.Watch(t) }

// Watch follows runs of a target, to be marked by r.
func (r *Rubric) Watch(t run.Target) *Watch { return &Watch{marker{rubric: r, target: t}} }

// See takes in the run before its first act, with a nil entry, and then after
// each act. Errors are those of run.Truth.
func (w *Watch) See(r *run.Run, e *run.Entry) error { return w.marker.see(r, e) }

// Copy goes on by itself: what it sees does not reach w.
func (w *Watch) Copy() *Watch {
	m := w.marker
	m.coloured, m.bare, m.cutIn = slices.Clone(m.coloured), slices.Clone(m.bare), slices.Clone(m.cutIn)
	m.touched = slices.Clone(m.touched)
	m.insight.predictions = slices.Clip(m.insight.predictions)
	m.perCycle, m.passes, m.burrs = slices.Clip(m.perCycle), slices.Clip(m.passes), slices.Clip(m.burrs)
	m.onTarget, m.warm, m.early = slices.Clip(m.onTarget), slices.Clip(m.warm), slices.Clip(m.early)
	return &Watch{m}
}

// Aside is a copy that leaves out the figures of each print, of which no mark is
// made and which take most of the time, and has those of the end alone.
func (w *Watch) Aside() *Watch {
	c := w.Copy()
	c.marker.lean = true
	return c
}

// Report marks the run as it stands.
func (w *Watch) Report(r *run.Run) (*Report, error) {
	m := w.marker
	if err := m.end(); err != nil {
		return nil, err
	}
	h := r.Header()
	rep := &Report{
		OK: true, Digest: r.Digest(), Seed: h.PartSeed,
		Cycles: r.Prints(), Strokes: m.strokes, SecondsOnIron: float64(r.MS()) / 1000,
		Final: m.final, PerCycle: m.perCycle,
	}
	if h.Lesson != "" {
		rep.Lesson = &h.Lesson
	}
	if h.Hand != "" {
		rep.Hand = &h.Hand
	}
	rep.Least, rep.Predictions = m.least, m.insight.predictions
	rep.Marks, rep.Losses = m.mark(r.Signed())
	return rep, nil
}

// Heights is the face as it was last seen. It does not change: another is seen in
// its place.
func (w *Watch) Heights() *surface.Map { return w.marker.heights }

// Bearing is the face at rest on a true plane as it was last seen: for each cell
// whether it lies within the score film. Low holds the cells of the new lows that cost marks.
func (w *Watch) Bearing() (bears, low []bool, err error) {
	f, err := rest(w.marker.heights, w.marker.target.FilmUM)
	if err != nil {
		return nil, nil, err
	}
	return f.mask, w.marker.spoiltCells(f), nil
}

// Count is what there is to count on the face at rest as it was last seen, at a
// film of its own.
func (w *Watch) Count(film float64) (*gauge.PointCount, error) {
	f, err := rest(w.marker.heights, film)
	return &f.count, err
}
