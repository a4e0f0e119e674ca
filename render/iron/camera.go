package iron

import (
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// camera holds the relief (one) and the film (two) of a view of a face at the
// resolution of the screen, and brings them up to date.
type camera struct {
	layers
	face    *Face
	pigment Pigment
	version int
}

// look brings the camera up to date with the face, and the pigment on it, in a
// view.
func (c *camera) look(f *Face, v View, p Pigment, spare **ebiten.Image) {
	if c.face != f || c.pigment != p {
		c.face, c.pigment, c.view = f, p, View{}
	}
	seen := v.pixels(f.x0, f.y0, f.x1, f.y1)
	var stale, staleFilm []image.Rectangle
	for _, r := range c.follow(v, spare) {
		// What was the rim of the view saw less of the pigment beside it.
		stale = append(stale, r.Inset(-2))
		staleFilm = append(staleFilm, r.Inset(-2))
	}
	if len(stale) != 1 || !v.Dst.In(stale[0]) {
		relief, cover := f.changedSince(c.version)
		for _, cells := range cover {
			r := c.pixelsOf(f, cells)
			staleFilm = append(staleFilm, r)
			// The edges of pigment are part of the relief.
			stale = append(stale, r.Inset(-1))
		}
		for _, cells := range relief {
			stale = append(stale, c.pixelsOf(f, cells))
			if f.levelFor(v.PxPerMM).cell > 1 {
				staleFilm = append(staleFilm, c.pixelsOf(f, cells)) // the spread of slopes
			}
		}
	}
	c.version = f.version
	// All of the film comes first: the relief looks at it.
	for _, r := range staleFilm {
		c.film(r.Intersect(seen))
	}
	for _, r := range stale {
		c.relief(r.Intersect(seen), seen)
	}
}

// pixelsOf are the pixels that cells of f have a part in.
func (c *camera) pixelsOf(f *Face, cells image.Rectangle) image.Rectangle {
	l := f.levelFor(c.view.PxPerMM)
	r := c.view.pixels(
		f.x0+float64(cells.Min.X)*f.dx, f.y0+float64(cells.Min.Y)*f.dy,
		f.x0+float64(cells.Max.X)*f.dx, f.y0+float64(cells.Max.Y)*f.dy)
	// Blending reaches two blocks beyond the cells, and a block of a further level
	// beyond the cells in it.
	reach := 2.0
	if l.cell > 1 {
		reach = 3
	}
	return r.Inset(-int(math.Ceil(reach*float64(l.cell)*max(f.dx, f.dy)*c.view.PxPerMM)) - 1)
}

// What the camera adds to the slopes, in thirds of a step (see relief.kage): the
// scratches along a lay, the grain of the metal, and the edges of pigment, up to
// twice as steep for a film of thickFilm um and more.
const (
	scratchSlope = 70.0
	grainSlope   = 24.0
	edgeSlope    = 84.0
	thickFilm    = 8.0
)

// smallestBlock is the side of a block, px, below which the next level is taken.
const smallestBlock = .8

// broadBlock is the side of a block, px, above which blocks are blended by a
// smoother and dearer curve.
const broadBlock = 2.5

func (f *Face) levelFor(pxPerMM float64) *level {
	for _, l := range f.levels {
		if float64(l.cell)*min(f.dx, f.dy)*pxPerMM >= smallestBlock {
			return l
		}
	}
	return f.levels[len(f.levels)-1]
}

// film brings pixels in which the face is seen up to date in the film of the view.
func (c *camera) film(stale image.Rectangle) {
	c.each(stale, func(t *tile, blend string, q mesh) {
		q.draw(c.two, "film"+blend, ebiten.BlendCopy, map[string]any{
			"NoiseScale": noiseFor(c.view.PxPerMM), "Ragged": .12 * min(1, c.view.PxPerMM/16),
			"Thick": c.pigment.hides() * c.face.film,
		}, t.cover, noiseImage())
	})
}

// relief does so in its relief; seen are all the pixels in which the face is seen.
func (c *camera) relief(stale, seen image.Rectangle) {
	// Scratches are some hundredths of a mm wide: from afar they melt into the
	// lobe.
	closeness := min(1, c.view.PxPerMM/9)
	seen = seen.Sub(c.view.Dst.Min)
	c.each(stale, func(t *tile, blend string, q mesh) {
		q.draw(c.one, "relief"+blend, ebiten.BlendCopy, map[string]any{
			"NoiseScale": noiseFor(c.view.PxPerMM), "Scratch": scratchSlope * closeness, "Grain": 1 + grainSlope*closeness,
			"Edge": edgeSlope * (1 + min(c.face.film, thickFilm)/thickFilm),
			"Last": []float32{float32(seen.Max.X) - .5, float32(seen.Max.Y) - .5},
		}, t.relief, noiseImage(), c.two)
	})
}

// each draws the stale pixels tile by tile; blend is the part that shaders need to
// blend texels in this view.
func (c *camera) each(stale image.Rectangle, draw func(t *tile, blend string, q mesh)) {
	if stale.Empty() {
		return
	}
	f, v := c.face, c.view
	l := f.levelFor(v.PxPerMM)
	bx, by := f.dx*float64(l.cell), f.dy*float64(l.cell)
	blend := "+near"
	if min(bx, by)*v.PxPerMM > broadBlock && min(f.nx, f.ny) >= 4 {
		blend = "+close"
	}
	for _, t := range l.tiles {
		x0, y0 := f.x0+float64(t.inner.Min.X)*bx, f.y0+float64(t.inner.Min.Y)*by
		x1, y1 := f.x0+float64(t.inner.Max.X)*bx, f.y0+float64(t.inner.Max.Y)*by
		part := v.whole(x0, y0, x1, y1, t.inner.Min.X == 0, t.inner.Min.Y == 0, t.inner.Max.X == l.nx, t.inner.Max.Y == l.ny)
		draw(t, blend, quad(part.Intersect(stale), func(px, py float64) (q ebiten.Vertex) {
			x, y := v.MM(px, py)
			q.DstX, q.DstY = float32(px)-float32(v.Dst.Min.X), float32(py)-float32(v.Dst.Min.Y)
			q.SrcX = float32((x-f.x0)/bx - float64(t.bounds.Min.X))
			q.SrcY = float32((y-f.y0)/by - float64(t.bounds.Min.Y))
			q.Custom0, q.Custom1, q.Custom2, q.Custom3 = float32(x), float32(y), q.DstX, q.DstY
			return q
		}))
	}
}

// noiseFor is the power of two of noise texels per mm at which a texel is about
// a pixel.
func noiseFor(pxPerMM float64) float64 {
	return math.Exp2(math.Round(math.Log2(pxPerMM) - .25))
}

// whole is the pixels of (x0, y0) to (x1, y1) mm, rounded to the nearest where
// another tile joins and outwards where the face ends.
func (v View) whole(x0, y0, x1, y1 float64, left, top, right, bottom bool) image.Rectangle {
	r := v.pixels(x0, y0, x1, y1)
	ax, ay := v.Px(x0, y0)
	bx, by := v.Px(x1, y1)
	near := func(p float64) int { return int(math.Round(max(-1e6, min(1e6, p)))) }
	if !left {
		r.Min.X = near(ax)
	}
	if !top {
		r.Min.Y = near(ay)
	}
	if !right {
		r.Max.X = near(bx)
	}
	if !bottom {
		r.Max.Y = near(by)
	}
	return r.Intersect(v.Dst)
}
