package iron

import (
	"image"
	"math"
)

// View is what of a face, and where on the destination, is looked at from
// straight above; x of the face runs to the right and y down.
type View struct {
	Dst     image.Rectangle // px
	X, Y    float64         // place on the face in the middle of Dst, mm
	PxPerMM float64
}

// Fit is the view that shows (x0, y0) to (x1, y1) mm whole in dst with a margin,
// px, all round.
func Fit(dst image.Rectangle, x0, y0, x1, y1, margin float64) View {
	w, h := max(1, float64(dst.Dx())-2*margin), max(1, float64(dst.Dy())-2*margin)
	return View{dst, (x0 + x1) / 2, (y0 + y1) / 2, min(w/(x1-x0), h/(y1-y0))}
}

// Px is the pixel of a place on the face.
func (v View) Px(x, y float64) (px, py float64) {
	return float64(v.Dst.Min.X+v.Dst.Max.X)/2 + (x-v.X)*v.PxPerMM,
		float64(v.Dst.Min.Y+v.Dst.Max.Y)/2 + (y-v.Y)*v.PxPerMM
}

// MM is the place on the face of a pixel.
func (v View) MM(px, py float64) (x, y float64) {
	return v.X + (px-float64(v.Dst.Min.X+v.Dst.Max.X)/2)/v.PxPerMM,
		v.Y + (py-float64(v.Dst.Min.Y+v.Dst.Max.Y)/2)/v.PxPerMM
}

// Zoom is the view with its scale times factor, the place under a pixel kept
// where it is.
func (v View) Zoom(factor, px, py float64) View {
	x, y := v.MM(px, py)
	v.PxPerMM *= factor
	v.X = x - (x-v.X)/factor
	v.Y = y - (y-v.Y)/factor
	return v
}

// pixels is the smallest rectangle of pixels that holds (x0, y0) to (x1, y1) mm,
// within Dst.
func (v View) pixels(x0, y0, x1, y1 float64) image.Rectangle {
	ax, ay := v.Px(x0, y0)
	bx, by := v.Px(x1, y1)
	bound := func(f float64) int { return int(max(-1e6, min(1e6, f))) }
	return image.Rect(bound(math.Floor(ax)), bound(math.Floor(ay)), bound(math.Ceil(bx)), bound(math.Ceil(by))).Intersect(v.Dst)
}

// Lens is the view that shows the square of sideMM, its first corner at (x, y) mm,
// as sidePx by sidePx pixels beside where v shows it: to its right where there is
// room, else to its left, held within v.
func (v View) Lens(x, y, sideMM float64, sidePx int) View {
	const gap = 24 // px
	x0, y0 := v.Px(x, y)
	x1, y1 := v.Px(x+sideMM, y+sideMM)
	at := image.Pt(int(x1)+gap, int((y0+y1)/2)-sidePx/2)
	if at.X+sidePx > v.Dst.Max.X-gap/2 {
		at.X = int(x0) - gap - sidePx
	}
	at.X = max(v.Dst.Min.X+gap/2, min(at.X, v.Dst.Max.X-gap/2-sidePx))
	at.Y = max(v.Dst.Min.Y+gap/2, min(at.Y, v.Dst.Max.Y-gap/2-sidePx))
	return View{image.Rectangle{at, at.Add(image.Pt(sidePx, sidePx))}, x + sideMM/2, y + sideMM/2, float64(sidePx) / sideMM}
}

// shift is by how many whole pixels what is seen in v moves when the view becomes
// w; ok is false where it does not just move along, or moves out of sight.
func (v View) shift(w View) (dx, dy int, ok bool) {
	if v.Dst != w.Dst || v.PxPerMM != w.PxPerMM {
		return 0, 0, false
	}
	x, y := (v.X-w.X)*v.PxPerMM, (v.Y-w.Y)*v.PxPerMM
	rx, ry := math.Round(x), math.Round(y)
	// A twentieth of a pixel is not seen.
	const near = .05
	if math.Abs(x-rx) > near || math.Abs(y-ry) > near ||
		math.Abs(rx) >= float64(v.Dst.Dx()) || math.Abs(ry) >= float64(v.Dst.Dy()) {
		return 0, 0, false
	}
	return int(rx), int(ry), true
}
