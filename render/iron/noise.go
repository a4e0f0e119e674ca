package iron

import (
	"math"
	"math/rand/v2"
	"sync"

	"github.com/hajimehoshi/ebiten/v2"
)

// noiseSide is the side of the noise image in texels; it repeats.
const noiseSide = 256

// noiseImage has smooth noise in red, white noise in green, streaks along x in
// blue and clouds in alpha.
var noiseImage = sync.OnceValue(func() *ebiten.Image {
	return upload(noiseSide, noiseSide, noisePixels())
})

func noisePixels() []byte {
	rng := rand.New(rand.NewPCG(1831, 7))
	white, streak := make([]float64, noiseSide*noiseSide), make([]float64, noiseSide*noiseSide)
	for k := range white {
		white[k], streak[k] = rng.Float64(), rng.Float64()
	}
	smooth := blurred(white, 2, 2)
	streak = blurred(streak, 24, 0)
	clouds := make([]float64, noiseSide*noiseSide)
	for octave := 4; octave <= 32; octave *= 2 {
		for k := range white {
			white[k] = rng.Float64()
		}
		layer := blurred(white, octave, octave)
		normalise(layer)
		for k, v := range layer {
			clouds[k] += v * float64(octave)
		}
	}
	for k := range white {
		white[k] = rng.Float64()
	}
	normalise(smooth)
	normalise(streak)
	normalise(clouds)
	pix := make([]byte, 4*noiseSide*noiseSide)
	for k := range white {
		pix[4*k], pix[4*k+1] = unit(smooth[k]), unit(white[k])
		pix[4*k+2], pix[4*k+3] = unit(streak[k]), unit(clouds[k])
	}
	return pix
}

// blurred is v averaged twice over boxes of 2 rx + 1 by 2 ry + 1, wrapping.
func blurred(v []float64, rx, ry int) []float64 {
	for range 2 {
		v = boxed(v, rx, 1, noiseSide)
		v = boxed(v, ry, noiseSide, 1)
	}
	return v
}

func boxed(v []float64, r, step, other int) []float64 {
	out := make([]float64, len(v))
	for line := range noiseSide {
		at := func(i int) int { return line*other + (i+noiseSide)%noiseSide*step }
		sum := 0.0
		for i := -r; i <= r; i++ {
			sum += v[at(i)]
		}
		for i := range noiseSide {
			out[at(i)] = sum / float64(2*r+1)
			sum += v[at(i+r+1)] - v[at(i-r)]
		}
	}
	return out
}

// normalise moves v to mean one half and standard deviation one fifth.
func normalise(v []float64) {
	sum, square := 0.0, 0.0
	for _, x := range v {
		sum += x
		square += x * x
	}
	n := float64(len(v))
	mean := sum / n
	deviation := math.Sqrt(max(1e-12, square/n-mean*mean))
	for k, x := range v {
		v[k] = .5 + .2*(x-mean)/deviation
	}
}

func unit(v float64) byte { return byte(math.Round(255 * max(0, min(1, v)))) }

// upload makes an image of its own from raw texels. All four channels are data:
// nothing blends them before a shader reads them.
func upload(w, h int, pix []byte) *ebiten.Image {
	m := dataImage(w, h)
	m.WritePixels(pix)
	return m
}
