package paint

import (
	"image"
	"math/rand/v2"

	"github.com/hajimehoshi/ebiten/v2"
)

// grain is a tile of the grain of granite, lighter and darker by so little that
// words on it keep their contrast.
var grain = func() *ebiten.Image {
	const side, most = 128, 7
	random := rand.New(rand.NewPCG(7, 7))
	pix := make([]byte, 4*side*side)
	for range 2600 {
		x, y, size := random.IntN(side), random.IntN(side), 1+random.IntN(2)
		v := byte(random.IntN(most))
		bright := random.IntN(2) == 0
		for dy := range size {
			for dx := range size {
				o := 4 * ((y+dy)%side*side + (x+dx)%side)
				// White or black of alpha v, premultiplied.
				pix[o], pix[o+1], pix[o+2], pix[o+3] = 0, 0, 0, 2*v
				if bright {
					pix[o], pix[o+1], pix[o+2], pix[o+3] = v, v, v, v
				}
			}
		}
	}
	m := ebiten.NewImageWithOptions(image.Rect(0, 0, side, side), &ebiten.NewImageOptions{Unmanaged: true})
	m.WritePixels(pix)
	return m
}()

// speckle lays the grain over a rectangle of pixels.
func speckle(dst *ebiten.Image, x, y, w, h, scale float64) {
	corner := func(px, py float64) ebiten.Vertex {
		return ebiten.Vertex{DstX: float32(px), DstY: float32(py), SrcX: float32(px / scale), SrcY: float32(py / scale), ColorR: 1, ColorG: 1, ColorB: 1, ColorA: 1}
	}
	dst.DrawTriangles([]ebiten.Vertex{corner(x, y), corner(x+w, y), corner(x+w, y+h), corner(x, y+h)}, []uint16{0, 1, 2, 0, 2, 3}, grain,
		&ebiten.DrawTrianglesOptions{Address: ebiten.AddressRepeat})
}
