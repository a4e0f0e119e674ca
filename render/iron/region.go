package iron

import (
	"image"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/sim/lay"
)

// Pattern is what a region is filled with, so that one is told from another by
// more than its hue.
type Pattern float32

// Patterns of regions.
const (
	Lines Pattern = iota // to be cut
	Dots                 // where colour is expected
	Clear                // the outline alone
)

// Region is a painted region on the graphics card.
type Region struct {
	tile  float64     // mm
	tiles image.Point // of the image
	image *ebiten.Image
}

// Set takes over a region; an empty one clears it.
func (r *Region) Set(l lay.Region) {
	var size image.Point
	for _, run := range l.Runs {
		size = image.Pt(max(size.X, run[2]), max(size.Y, run[0]+1))
	}
	r.tile, r.tiles = float64(l.Tile)/100, size
	if size == (image.Point{}) {
		return
	}
	if r.image == nil || r.image.Bounds().Dx() < size.X || r.image.Bounds().Dy() < size.Y {
		if r.image != nil {
			size = image.Pt(max(size.X, r.image.Bounds().Dx()), max(size.Y, r.image.Bounds().Dy()))
			r.image.Deallocate()
		}
		r.image = dataImage(size.X, size.Y)
	}
	b := r.image.Bounds()
	pix := make([]byte, 4*b.Dx()*b.Dy())
	for _, run := range l.Runs {
		for i := run[1]; i < run[2]; i++ {
			pix[4*(run[0]*b.Dx()+i)] = 255
		}
	}
	r.image.WritePixels(pix)
}

// Region draws a painted region.
func (p *Pen) Region(r *Region, pattern Pattern, ink Ink) {
	if r.tiles == (image.Point{}) {
		return
	}
	v := p.view
	seen := v.pixels(-r.tile, -r.tile, float64(r.tiles.X+1)*r.tile, float64(r.tiles.Y+1)*r.tile)
	m := quad(seen, func(px, py float64) (q ebiten.Vertex) {
		x, y := v.MM(px, py)
		q.DstX, q.DstY, q.SrcX, q.SrcY = float32(px), float32(py), float32(x/r.tile), float32(y/r.tile)
		return q
	})
	p.calls = append(p.calls, call{"region", m, map[string]any{
		"Ink": vec4(ink.Line), "Casing": vec4(ink.Casing), "Tile": float32(r.tile * v.PxPerMM),
		"Pattern": float32(pattern), "Px": float32(p.scale * ink.width() / 2),
	}, []*ebiten.Image{r.image}})
}
