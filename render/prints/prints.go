// Package prints draws a reading small, for a row of prints and for two prints
// beside each other; render/iron draws one large and lit.
package prints

import (
	"image/color"
	"math"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/blue"
)

// Small is a reading at most width elements broad, in the given pigment; nil for
// none.
func Small(r *blue.Reading, pigment string, width int) *kit.Image {
	if r == nil {
		return nil
	}
	iron, colour, bare := palette.Print(pigment)
	w := min(width, r.NX)
	h := max(1, min(r.NY, int(math.Round(float64(w)*float64(r.NY)*r.DY/(float64(r.NX)*r.DX)))))
	m := &kit.Image{W: w, H: h, Pix: make([]byte, 0, 4*w*h)}
	for j := range h {
		j0, j1 := j*r.NY/h, max(j*r.NY/h+1, (j+1)*r.NY/h)
		for i := range w {
			i0, i1 := i*r.NX/w, max(i*r.NX/w+1, (i+1)*r.NX/w)
			c, s := 0, 0
			for y := j0; y < j1; y++ {
				for x := i0; x < i1; x++ {
					c += int(r.Colour[y*r.NX+x])
					s += int(r.Shine[y*r.NX+x])
				}
			}
			whole := float64(255 * (i1 - i0) * (j1 - j0))
			// The eye sees a film by more than its strength.
			p := mix(mix(iron, colour, math.Sqrt(float64(c)/whole)), bare, float64(s)/whole)
			m.Pix = append(m.Pix, p.R, p.G, p.B, 255)
		}
	}
	return m
}

func mix(a, b color.RGBA, t float64) color.RGBA {
	f := func(x, y uint8) uint8 { return uint8(float64(x)*(1-t) + float64(y)*t + .5) }
	return color.RGBA{f(a.R, b.R), f(a.G, b.G), f(a.B, b.B), 255}
}
