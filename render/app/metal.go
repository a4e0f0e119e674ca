package app

import (
	"image"
	"runtime/debug"

	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/run"
)

// metal keeps the face on the graphics card in step with the run.
type metal struct {
	of            stage.Face
	metal, colour int // that the face shows
	face          *iron.Face
	seen          *run.Appearance
	laid          []image.Rectangle // cells that strokes reached and the face does not show yet
}

// follow takes in what the stage shows, and reports whether the face on the graphics
// card shows something else.
func (m *metal) follow(s stage.Stage) bool {
	switch {
	case s.Face == nil:
		return false
	case m.face == nil || m.of != s.Face:
		m.take(s)
		return true
	}
	m.laid = append(m.laid, m.around(s.Laid)...)
	return len(m.laid) > 0 || m.colour != s.Colour || m.metal != s.Metal
}

// take shows another face: in the place of the last where that was as large, since on the
// graphics card there would be two of them for a while.
func (m *metal) take(s stage.Stage) {
	m.of, m.metal, m.colour, m.laid = s.Face, s.Metal, s.Colour, nil
	m.seen = s.Face.Appearance()
	switch {
	case m.face != nil && m.face.Fits(m.seen):
		m.face.Show(m.seen, m.whole())
	default:
		if m.face != nil {
			m.face.Dispose()
		}
		debug.SetMemoryLimit(softLimitOf(m.seen.NX * m.seen.NY))
		m.face = iron.NewFace(m.seen)
	}
	m.ink()
}

// show brings the face on the graphics card up to date with the stage, for a frame: of a
// machine that is late there are many ticks in one.
func (m *metal) show(s stage.Stage) {
	if s.Face == nil || m.of != s.Face {
		return
	}
	for _, cells := range m.face.Joined(m.laid) {
		m.cut(s, cells)
	}
	m.laid = m.laid[:0]
	switch {
	case m.colour != s.Colour:
		m.colour = s.Colour
		m.ink()
		// What a stone took before the print, a trace, is seen a frame later: the print
		// does not wait for it.
	case m.metal != s.Metal:
		m.metal = s.Metal
		s.Look(m.seen, 0, 0, m.seen.NX, m.seen.NY)
		m.face.Show(m.seen, m.whole())
	}
}

func (m *metal) whole() image.Rectangle {
	return image.Rectangle{Max: image.Pt(m.seen.NX, m.seen.NY)}
}

// ink takes over the colour.
func (m *metal) ink() {
	if reading, _ := m.of.Reading(); reading != nil {
		m.face.Print(reading, m.whole())
	} else {
		m.face.Wipe()
	}
}

// besideMM is how far beside its middle line a stroke and its burr reach at the
// most, mm.
const besideMM = 6.0

// around are the cells that each stroke and its burr reach.
func (m *metal) around(strokes []blade.Stroke) []image.Rectangle {
	mm := func(v int) float64 { return float64(v) / blade.UnitsPerMM }
	out := make([]image.Rectangle, len(strokes))
	for n, k := range strokes {
		out[n] = m.face.Cells(mm(k.X0), mm(k.Y0), mm(k.X1), mm(k.Y1), besideMM)
	}
	return out
}

// cut shows the face again in some cells.
func (m *metal) cut(s stage.Stage, cells image.Rectangle) {
	i0, j0, i1, j1 := s.Look(m.seen, cells.Min.X, cells.Min.Y, cells.Max.X, cells.Max.Y)
	m.face.Show(m.seen, image.Rect(i0, j0, i1, j1))
	if reading, _ := m.of.Reading(); reading != nil {
		m.face.Print(reading, cells)
	}
}
