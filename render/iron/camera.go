package iron

import (
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// camera holds the relief and the film of one view of a face at the resolution
// of the screen, and brings them up to date.
type camera struct {
	relief, film *ebiten.Image

	face    *Face
	view    View
	version int
}

// look brings the camera up to date with the face in a view, and reports whether
// the face is in it.
func (c *camera) look(f *Face, v View) bool {
	seen := v.pixels(f.x0, f.y0, f.x1, f.y1)
	if seen.Empty() {
		return false
	}
	stale := seen
	if c.face == f && c.view == v {
		if c.version == f.version {
			return true
		}
		cells := f.changedSince(c.version)
		stale = v.pixels(
			f.x0+float64(cells.Min.X)*f.dx, f.y0+float64(cells.Min.Y)*f.dy,
			f.x0+float64(cells.Max.X)*f.dx, f.y0+float64(cells.Max.Y)*f.dy)
		// Blending reaches two blocks beyond the cells.
		// Pigment's edges look a pixel further.
		reach := int(math.Ceil(2*max(1, max(f.dx, f.dy)*v.PxPerMM*float64(f.levelFor(v.PxPerMM).cell)))) + 2
		stale = stale.Inset(-reach).Intersect(seen)
	}
	c.allocate(v.Dst.Size())
	c.face, c.view, c.version = f, v, f.version
	c.pass(stale)
	return true
}

func (c *camera) allocate(size image.Point) {
	if c.relief != nil && c.relief.Bounds().Size() == size {
		return
	}
	c.dispose()
	c.relief, c.film = dataImage(size.X, size.Y), dataImage(size.X, size.Y)
}

func (c *camera) dispose() {
	if c.relief != nil {
		c.relief.Deallocate()
		c.film.Deallocate()
	}
	*c = camera{}
}

// What the camera adds to the slopes, in thirds of a step (see relief.kage): the
// scratches along a lay, the grain of the metal, and the edges of pigment for
// each um of film, up to thickFilm.
const (
	scratchSlope = 70.0
	grainSlope   = 24.0
	edgeSlope    = 26.0
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

// pass runs both camera passes over the stale pixels.
func (c *camera) pass(stale image.Rectangle) {
	f, v := c.face, c.view
	l := f.levelFor(v.PxPerMM)
	noise := noiseFor(v.PxPerMM)
	// Scratches are some hundredths of a mm wide: from afar they melt into the
	// lobe.
	closeness := min(1, v.PxPerMM/9)
	ragged := .12 * min(1, v.PxPerMM/16)

	bx, by := f.dx*float64(l.cell), f.dy*float64(l.cell)
	blend := "+near"
	if min(bx, by)*v.PxPerMM > broadBlock {
		blend = "+close"
	}
	for _, t := range l.tiles {
		x0, y0 := f.x0+float64(t.inner.Min.X)*bx, f.y0+float64(t.inner.Min.Y)*by
		x1, y1 := f.x0+float64(t.inner.Max.X)*bx, f.y0+float64(t.inner.Max.Y)*by
		part := v.whole(x0, y0, x1, y1, t.inner.Min.X == 0, t.inner.Min.Y == 0, t.inner.Max.X == l.nx, t.inner.Max.Y == l.ny).Intersect(stale)
		if part.Empty() {
			continue
		}
		q := quad(part, func(px, py float64) (vertex ebiten.Vertex) {
			x, y := v.MM(px, py)
			vertex.DstX, vertex.DstY = float32(px)-float32(v.Dst.Min.X), float32(py)-float32(v.Dst.Min.Y)
			vertex.SrcX = float32((x-f.x0)/bx - float64(t.bounds.Min.X))
			vertex.SrcY = float32((y-f.y0)/by - float64(t.bounds.Min.Y))
			vertex.Custom0, vertex.Custom1 = float32(x), float32(y)
			vertex.Custom2, vertex.Custom3 = vertex.DstX, vertex.DstY
			return vertex
		})
		q.draw(c.film, "film"+blend, ebiten.BlendCopy, map[string]any{
			"NoiseScale": noise, "Ragged": ragged,
		}, t.cover, noiseImage())
		q.draw(c.relief, "relief"+blend, ebiten.BlendCopy, map[string]any{
			"NoiseScale": noise, "Scratch": scratchSlope * closeness, "Grain": 1 + grainSlope*closeness,
			"Edge": edgeSlope * min(f.film, thickFilm),
		}, t.relief, noiseImage(), c.film)
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
