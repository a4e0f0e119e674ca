package app

import (
	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/sim/gauge"
)

const frameMM = 25.4 // side of the inch frame

// ink is the line of a colour, cased so that it shows on any ground.
func (w *Window) ink(n palette.Name, width, dash float64) iron.Ink {
	return iron.Ink{Line: w.paint.Theme.Of(n), Casing: w.paint.Theme.Of(palette.Casing), Width: width, Dash: dash}
}

// drawFrame draws the inch frame and, over all that lies on the face, the lens: what
// is marked on the face is not as large as what the lens shows.
func (w *Window) drawFrame(dst *ebiten.Image, s stage.Stage) {
	if s.Lens != nil {
		near := s
		near.View = *s.Lens
		w.lens.Draw(dst, w.view(near.View), w.lensScene(near))
	}
	p := s.Over.Frame
	if p == nil {
		return
	}
	pen := iron.NewPen(w.view(s.View), w.paint.Pixels)
	ink := w.ink(palette.Ghost, 2, 0)
	if s.Lens != nil {
		pen.Lens(ink, p[0], p[1], frameMM, w.view(*s.Lens))
	} else {
		pen.Rectangle(ink, p[0], p[1], p[0]+frameMM, p[1]+frameMM)
	}
	pen.Draw(dst)
}

// drawOver draws what lies over the face, but for the frame.
func (w *Window) drawOver(dst *ebiten.Image, s stage.Stage) {
	o := &s.Over
	w.drawMap(dst, s)
	pen := iron.NewPen(w.view(s.View), w.paint.Pixels)
	ink := w.ink
	if o.Region != nil {
		if w.regionOf != o.Region {
			w.region.Set(*o.Region)
			w.regionOf = o.Region
		}
		pattern, of := iron.Lines, palette.ToCut
		if o.Guess {
			pattern, of = iron.Dots, palette.Guess
		}
		if o.Bare {
			pattern = iron.Clear
		}
		pen.Region(&w.region, pattern, ink(of, 2, 0))
	}
	if len(o.Ghosts) > 0 {
		pen.Ghost(o.Ghosts, ink(palette.Ghost, 1.4, 0))
	}
	for i, p := range o.Cut {
		pen.Cut(p[0], p[1], i+1, ink(palette.ToCut, 2.5, 0))
	}
	if p := o.Spare; p != nil {
		pen.Spare(p[0], p[1], ink(palette.Spare, 2.5, 0))
	}
	if p := o.Counted; p != nil {
		pen.Rectangle(ink(palette.ToCut, 2, 0), p[0], p[1], p[0]+frameMM, p[1]+frameMM)
	}
	if n := len(o.Trace.UM); n > 0 {
		if o.Block {
			pen.Block(ink(palette.Ghost, 1.5, 0), o.Trace.XMM[n-1], o.TraceY, gauge.BlockAlongMM, gauge.BlockAcrossMM)
		}
		const pointsPerUM = 3
		pen.Trace(ink(palette.ToCut, 2, 0), o.TraceY, o.Trace.XMM, o.Trace.UM, pointsPerUM)
	}
	px := 1 / s.View.PxPerMM // mm
	for _, p := range o.Supports {
		pen.Line(ink(palette.ToCut, 3, 0), p[0], p[1]-14*px, p[0], p[1]+14*px)
		pen.Line(ink(palette.ToCut, 3, 0), p[0]-9*px, p[1]+14*px, p[0]+9*px, p[1]+14*px)
	}
	if p := o.Push; p != nil {
		dx, dy := p[2]*px, p[3]*px
		x, y := p[0]+22*dx, p[1]+22*dy
		pen.Line(ink(palette.Ghost, 2.5, 0), p[0]-22*dx, p[1]-22*dy, x, y)
		pen.Line(ink(palette.Ghost, 2.5, 0), x-8*dx-8*dy, y-8*dy+8*dx, x, y)
		pen.Line(ink(palette.Ghost, 2.5, 0), x-8*dx+8*dy, y-8*dy-8*dx, x, y)
	}
	if p := o.Pivot; p != nil {
		pen.Ring(ink(palette.ToCut, 2.5, 0), p[0], p[1], 9*px, 0)
		pen.Line(ink(palette.ToCut, 2.5, 0), p[0]-15*px, p[1], p[0]+15*px, p[1])
		pen.Line(ink(palette.ToCut, 2.5, 0), p[0], p[1]-15*px, p[0], p[1]+15*px)
	}
	if p := o.Brush; p != nil {
		pen.Ring(ink(palette.Ghost, 1.6, 0), p[0], p[1], p[2], 4)
	}
	if p := o.Cross; p != nil {
		arm := 12 / s.View.PxPerMM
		pen.Line(ink(palette.Ghost, 2, 0), p[0]-arm, p[1], p[0]+arm, p[1])
		pen.Line(ink(palette.Ghost, 2, 0), p[0], p[1]-arm, p[0], p[1]+arm)
	}
	for _, p := range o.Pins {
		if p.Lit {
			pen.Pin(p.X, p.Y, p.N, ink(palette.ToCut, 3, 0))
		} else {
			pen.Pin(p.X, p.Y, p.N, ink(palette.Ghost, 2, 0))
		}
	}
	pen.Draw(dst)
}

// drawMap lays a map over the face, and keeps it on the graphics card as long as
// it is the one that is shown.
func (w *Window) drawMap(dst *ebiten.Image, s stage.Stage) {
	m := s.Over.Map
	if w.chart != nil && (w.chartOf != m || w.chartOn != w.metal.face) {
		w.chart.Dispose()
		w.chart = nil
	}
	if m == nil || w.metal.face == nil {
		return
	}
	if w.chart == nil {
		chart, err := iron.NewMap(w.metal.face, m.UM)
		if err != nil {
			return // it is of another face, which is still being made
		}
		w.chart, w.chartOf, w.chartOn = chart, m, w.metal.face
	}
	w.chart.Draw(dst, w.view(s.View), m.Scale, w.paint.Pixels)
}
