package iron

import (
	"math"
	"math/rand/v2"
	"sync"

	"github.com/hajimehoshi/ebiten/v2"
)

// The granite image repeats every graniteMM; its first level has graniteSide
// texels along a side.
const (
	graniteMM   = 40.0
	graniteSide = 512
)

// graniteLevels are the stone at 512, 256, 128, 64 and 32 texels a side.
var graniteLevels = sync.OnceValue(func() []*ebiten.Image {
	var out []*ebiten.Image
	pix, side := granitePixels(), graniteSide
	for {
		out = append(out, upload(side, side, pix))
		if side == 32 {
			return out
		}
		pix, side = halved(pix, side), side/2
	}
})

// graniteFor is the level whose texels are nearest to a pixel, and its texels
// per mm.
func graniteFor(pxPerMM float64) (*ebiten.Image, float64) {
	levels := graniteLevels()
	perMM := graniteSide / graniteMM
	n := int(max(0, min(float64(len(levels)-1), math.Floor(math.Log2(perMM/pxPerMM)+.6))))
	return levels[n], perMM / float64(int(1)<<n)
}

func halved(pix []byte, side int) []byte {
	half := side / 2
	out := make([]byte, 4*half*half)
	for j := range half {
		for i := range half {
			for c := range 4 {
				at := func(x, y int) int { return int(pix[4*((2*j+y)*side+2*i+x)+c]) }
				out[4*(j*half+i)+c] = byte((at(0, 0) + at(1, 0) + at(0, 1) + at(1, 1) + 2) / 4)
			}
		}
	}
	return out
}

// granitePixels are grains of a black-green stone: dark pyroxene, grey-green
// feldspar and a little that glints, each grain the cell of a scattered point.
func granitePixels() []byte {
	const spacing = 8 // texels: 0.6 mm
	const across = graniteSide / spacing
	type grain struct {
		x, y    float64
		r, g, b float64
		glint   float64
	}
	rng := rand.New(rand.NewPCG(2600, 3))
	grains := make([]grain, across*across)
	for n := range grains {
		tone, hue := rng.Float64(), rng.Float64()
		v := .020 + .030*tone
		g := grain{x: rng.Float64(), y: rng.Float64(), r: v * .70, g: v * (1.02 + .12*hue), b: v * .98, glint: .1 * tone}
		switch pick := rng.Float64(); {
		case pick < .10: // feldspar
			v = .07 + .08*rng.Float64()
			g.r, g.g, g.b = v*.74, v, v*.95
		case pick < .13: // mica
			v = .07
			g.r, g.g, g.b, g.glint = v, v, v, .5+.5*rng.Float64()
		case pick < .34: // nearly black
			g.r, g.g, g.b = .008, .010, .010
		}
		grains[n] = g
	}
	pix := make([]byte, 4*graniteSide*graniteSide)
	for j := range graniteSide {
		for i := range graniteSide {
			ci, cj := i/spacing, j/spacing
			best, second := math.Inf(1), math.Inf(1)
			var own grain
			for oj := -1; oj <= 1; oj++ {
				for oi := -1; oi <= 1; oi++ {
					g := grains[(cj+oj+across)%across*across+(ci+oi+across)%across]
					dx := float64(ci+oi) + g.x - (float64(i)+.5)/spacing
					dy := float64(cj+oj) + g.y - (float64(j)+.5)/spacing
					d := math.Hypot(dx, dy)
					if d < best {
						best, second, own = d, best, g
					} else if d < second {
						second = d
					}
				}
			}
			// Grains darken to their borders, and no two texels are quite alike.
			edge := min(1, .55+1.5*(second-best))
			fleck := edge * (.85 + .3*rng.Float64())
			o := 4 * (j*graniteSide + i)
			pix[o], pix[o+1], pix[o+2] = unit(own.r*fleck), unit(own.g*fleck), unit(own.b*fleck)
			pix[o+3] = unit(own.glint * edge)
		}
	}
	return pix
}
