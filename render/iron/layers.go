package iron

import (
	"image"

	"github.com/hajimehoshi/ebiten/v2"
)

// layers are two images of the size of a view that keep what its pixels are made
// of, before they are lit, and the view of which they are true.
type layers struct {
	one, two *ebiten.Image
	view     View
}

// follow brings the layers to a view and lists the rectangles of its pixels that
// have to be drawn anew. Where the view has only moved along by whole pixels what
// is still seen is moved along with it; spare is an image that helps with that.
func (l *layers) follow(v View, spare **ebiten.Image) (stale []image.Rectangle) {
	dx, dy, ok := l.view.shift(v)
	if l.one == nil || !ok {
		l.fit(v.Dst.Size())
		l.view = v
		return []image.Rectangle{v.Dst}
	}
	if dx == 0 && dy == 0 {
		return nil
	}
	if size := v.Dst.Size(); *spare == nil || (*spare).Bounds().Size() != size {
		if *spare != nil {
			(*spare).Deallocate()
		}
		*spare = dataImage(size.X, size.Y)
	}
	for _, m := range []**ebiten.Image{&l.one, &l.two} {
		op := &ebiten.DrawImageOptions{Blend: ebiten.BlendCopy}
		op.GeoM.Translate(float64(dx), float64(dy))
		(*spare).DrawImage(*m, op)
		*spare, *m = *m, *spare
	}
	// The layers stay true to the place at which they were drawn, a small part of
	// a pixel off the view that is asked for, so that errors do not add up.
	l.view.X -= float64(dx) / l.view.PxPerMM
	l.view.Y -= float64(dy) / l.view.PxPerMM
	return outside(v.Dst, v.Dst.Intersect(v.Dst.Add(image.Pt(dx, dy))))
}

func (l *layers) fit(size image.Point) {
	if l.one != nil && l.one.Bounds().Size() == size {
		return
	}
	l.dispose()
	l.one, l.two = dataImage(size.X, size.Y), dataImage(size.X, size.Y)
}

func (l *layers) dispose() {
	if l.one != nil {
		l.one.Deallocate()
		l.two.Deallocate()
		l.one, l.two = nil, nil
	}
}
