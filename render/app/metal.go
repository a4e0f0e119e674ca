package app

import (
	"image"
	"math"
	"runtime/debug"

	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/run"
)

// metal keeps the face on the graphics card in step with the run.
type metal struct {
	of            stage.Face
	metal, colour int
	face          *iron.Face
	seen          *run.Appearance
	// inked is that the colour changed since a frame was drawn.
	inked bool
}

// follow takes in what the stage shows, and reports whether anything changed.
func (m *metal) follow(s stage.Stage) bool {
	switch {
	case s.Face == nil:
		return false
	case m.face == nil || m.of != s.Face:
		m.dispose()
		m.of, m.metal, m.colour = s.Face, s.Metal, s.Colour
		m.seen = s.Face.Appearance()
		debug.SetMemoryLimit(softLimitOf(m.seen.NX * m.seen.NY))
		m.face = iron.NewFace(m.seen)
		m.ink(image.Rectangle{Max: image.Pt(m.seen.NX, m.seen.NY)})
		return true
	}
	changed := len(s.Laid) > 0
	for _, stroke := range s.Laid {
		m.cut(s, stroke)
	}
	whole := image.Rectangle{Max: image.Pt(m.seen.NX, m.seen.NY)}
	switch {
	case m.colour != s.Colour:
		m.colour, changed = s.Colour, true
		m.ink(whole)
		m.inked = true
		// What a stone took before the print, a trace, is seen a frame later: the print
		// does not wait for it.
	case m.metal != s.Metal && !m.inked:
		m.metal, changed = s.Metal, true
		s.Look(m.seen, 0, 0, m.seen.NX, m.seen.NY)
		m.face.Show(m.seen, whole)
	}
	return changed
}

// ink takes over the colour of some cells.
func (m *metal) ink(cells image.Rectangle) {
	if reading, _ := m.of.Reading(); reading != nil {
		m.face.Print(reading, cells)
	} else {
		m.face.Wipe()
	}
}

// besideMM is how far beside its middle line a stroke and its burr reach at the
// most, mm.
const besideMM = 6.0

// cut shows the face again around a stroke.
func (m *metal) cut(s stage.Stage, stroke blade.Stroke) {
	mm := func(v int) float64 { return float64(v) / blade.UnitsPerMM }
	x0, x1 := math.Min(mm(stroke.X0), mm(stroke.X1)), math.Max(mm(stroke.X0), mm(stroke.X1))
	y0, y1 := math.Min(mm(stroke.Y0), mm(stroke.Y1)), math.Max(mm(stroke.Y0), mm(stroke.Y1))
	cells := m.face.Cells(x0, y0, x1, y1, besideMM)
	i0, j0, i1, j1 := s.Look(m.seen, cells.Min.X, cells.Min.Y, cells.Max.X, cells.Max.Y)
	m.face.Show(m.seen, image.Rect(i0, j0, i1, j1))
	if reading, _ := m.of.Reading(); reading != nil {
		m.face.Print(reading, cells)
	}
}

func (m *metal) dispose() {
	if m.face != nil {
		m.face.Dispose()
	}
	*m = metal{}
}
