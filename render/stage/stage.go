// Package stage says what of the iron a scene shows and from where, in points, so
// that scenes decide it without drawing.
package stage

import (
	"image"
	"math"

	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/run"
)

// Face is a face as a run shows it.
type Face interface {
	Appearance() *run.Appearance
	Reading() (reading *blue.Reading, fresh bool)
}

// Stage is what is to be drawn, in points.
type Stage struct {
	View iron.View
	// LampX and LampY are where the lamp is held.
	LampX, LampY   float64
	Back           bool // the part lies face down
	PlateX, PlateY float64
	Film           iron.Film

	Face Face // nil shows the bare plate
	// Metal and Colour count whatever changes the metal, and the colour on it, of
	// the face as a whole.
	Metal, Colour int
	// Laid are strokes that were cut since the last tick, Done the kinds of the
	// acts that ended since.
	Laid []blade.Stroke
	Done []string
	// Look brings an appearance up to date around those strokes.
	Look func(a *run.Appearance, i0, j0, i1, j1 int) (p0, q0, p1, q1 int)

	Over Over
	Lens *iron.View // a second view of the same face, over the first
}

// Whole is the view of a whole face in r.
func Whole(r kit.Rect, x0, y0, x1, y1 float64) iron.View {
	const margin = 28
	return iron.Fit(Pixels(r), x0, y0, x1, y1, margin)
}

// Pixels is r in whole points.
func Pixels(r kit.Rect) image.Rectangle {
	return image.Rect(int(math.Round(r.X)), int(math.Round(r.Y)), int(math.Round(r.X+r.W)), int(math.Round(r.Y+r.H)))
}

// Follow moves and scales a view by what a hand does on it, within sensible
// bounds: from the whole face to one point.
func Follow(v iron.View, h kit.Hand, whole iron.View) iron.View {
	v.X -= h.PanX / v.PxPerMM
	v.Y -= h.PanY / v.PxPerMM
	if h.Pinch != 1 {
		v = v.Zoom(h.Pinch, h.X, h.Y)
	}
	if h.Wheel != 0 {
		v = v.Zoom(math.Pow(wheelZoom, h.Wheel), h.X, h.Y)
	}
	return Bound(v, whole)
}

// ByKeys moves and scales a view by the arrows, the page keys, + and -.
func ByKeys(v iron.View, u *kit.UI, whole iron.View) iron.View {
	const step, zoom = 30.0, 1.25 // points, and times
	for key, by := range map[kit.Key][2]float64{kit.Left: {-step, 0}, kit.Right: {step, 0}, kit.Up: {0, -step}, kit.Down: {0, step}} {
		if u.Acts(key) {
			v.X += by[0] / v.PxPerMM
			v.Y += by[1] / v.PxPerMM
		}
	}
	x, y := v.Px(v.X, v.Y)
	if u.Acts(kit.PageUp) || u.Typed('+') {
		v = v.Zoom(zoom, x, y)
	}
	if u.Acts(kit.PageDown) || u.Typed('-') {
		v = v.Zoom(1/zoom, x, y)
	}
	return Bound(v, whole)
}

const (
	wheelZoom = 1.2
	// closest is the scale, points a mm, at which one point of bearing fills a
	// good part of the view.
	closest = 120.0
)

// Bound keeps a view no farther off than the whole face and no nearer than a
// point, and its middle on the face.
func Bound(v, whole iron.View) iron.View {
	v.PxPerMM = max(whole.PxPerMM*.8, min(v.PxPerMM, max(closest, whole.PxPerMM)))
	w, h := float64(whole.Dst.Dx())/whole.PxPerMM/2, float64(whole.Dst.Dy())/whole.PxPerMM/2
	v.X = max(whole.X-w, min(v.X, whole.X+w))
	v.Y = max(whole.Y-h, min(v.Y, whole.Y+h))
	v.Dst = whole.Dst
	return v
}
