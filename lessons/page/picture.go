package page

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/png"
	"math"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/sim/review"
)

// picture is a small image for a page: few colours, so that it is small.
type picture struct {
	img *image.Paletted
}

func newPicture(w, h int, colours []color.RGBA) picture {
	p := make(color.Palette, len(colours))
	for k, c := range colours {
		p[k] = c
	}
	return picture{image.NewPaletted(image.Rect(0, 0, w, h), p)}
}

// uri is the image as the address of itself.
func (p picture) uri() template.URL {
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestCompression}
	if err := e.Encode(&b, p.img); err != nil {
		return ""
	}
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(b.Bytes()))
}

func mix(a, b color.RGBA, t float64) color.RGBA {
	f := func(x, y uint8) uint8 { return uint8(float64(x)*(1-t) + float64(y)*t + .5) }
	return color.RGBA{f(a.R, b.R), f(a.G, b.G), f(a.B, b.B), 255}
}

func rgb(v uint32) color.RGBA {
	return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255}
}

// On paper the iron is light, so that colour stands out in grey as well.
var (
	white  = rgb(0xffffff)
	black  = rgb(0x000000)
	iron   = rgb(0xd3d5d6)
	noIron = white
	ink    = rgb(0x102f6e) // the marking colour, whatever was used on the bench
	pale   = rgb(0xfff6dc) // metal rubbed bare
	onHigh = rgb(0x9a4d00)
	onBare = rgb(0x1c0b33)
)

// Steps in which strength is drawn.
const (
	inkSteps   = 12
	paleSteps  = 3
	truthSteps = 24
	depthSteps = 4
)

// readingPicture is a print: darker where there is more colour, light where the
// metal was rubbed bare.
func readingPicture(colour, shine *review.Field) picture {
	var colours []color.RGBA
	for s := range paleSteps + 1 {
		for c := range inkSteps + 1 {
			colours = append(colours, mix(mix(iron, ink, float64(c)/inkSteps), pale, float64(s)/paleSteps))
		}
	}
	p := newPicture(colour.W, colour.H, append(colours, noIron))
	for k, v := range colour.V {
		if v != v {
			p.img.Pix[k] = uint8(len(colours))
			continue
		}
		// The eye sees a film by more than its strength.
		c := step(math.Sqrt(float64(v)), inkSteps)
		p.img.Pix[k] = uint8(step(float64(shine.V[k]), paleSteps)*(inkSteps+1) + c)
	}
	return p
}

func step(share float64, steps int) int {
	return max(0, min(steps, int(math.Round(share*float64(steps)))))
}

// isoStep is the distance of isolines, um: at most ten of them over a range.
func isoStep(reach float64) float64 {
	for _, s := range []float64{.5, 1, 2, 5, 10, 20, 50, 100} {
		if reach/s <= 10 {
			return s
		}
	}
	return 200
}

// smooth is a field with its marks and texture smoothed out, so that lines of one
// height show its form: two means over a square of a twentieth of its width.
func smooth(f *review.Field) *review.Field {
	for range 2 {
		f = along(along(f, 1, f.W), f.W, f.H)
	}
	return f
}

// along is a field of means along the axis of the given stride and length.
func along(f *review.Field, stride, length int) *review.Field {
	reach := max(1, f.W/40)
	out := &review.Field{W: f.W, H: f.H, V: make([]float32, len(f.V))}
	for k, v := range f.V {
		if v != v {
			out.V[k] = v
			continue
		}
		at := k / stride % length
		sum, n := float32(0), float32(0)
		for d := max(-reach, -at); d <= min(reach, length-1-at); d++ {
			if w := f.V[k+d*stride]; w == w {
				sum += w
				n++
			}
		}
		out.V[k] = sum / n
	}
	return out
}

// truthPicture is heights in a colour map that reads the same in grey, with a line
// at every step um of the form.
func truthPicture(f *review.Field, step float64) picture {
	low, high := f.Range()
	form := smooth(f)
	var colours []color.RGBA
	for c := range truthSteps {
		colours = append(colours, palette.Cividis(float64(c)/(truthSteps-1)))
	}
	p := newPicture(f.W, f.H, append(colours, black, white, noIron))
	for k, v := range f.V {
		if v != v {
			p.img.Pix[k] = truthSteps + 2
			continue
		}
		c := min(truthSteps-1, int(truthSteps*(float64(v)-low)/math.Max(1e-9, high-low)))
		p.img.Pix[k] = uint8(c)
		if isoline(form, k, step) {
			p.img.Pix[k] = truthSteps
			if c < truthSteps/2 {
				p.img.Pix[k] = truthSteps + 1
			}
		}
	}
	return p
}

// isoline reports whether a line of a multiple of step runs between element k and
// the one before it along x or y.
func isoline(f *review.Field, k int, step float64) bool {
	at := math.Floor(float64(f.V[k]) / step)
	other := func(n int) bool {
		v := float64(f.V[n])
		return v == v && math.Floor(v/step) != at
	}
	return k%f.W > 0 && other(k-1) || k >= f.W && other(k-f.W)
}

// cutPicture is what was cut: full where there was colour, chequered where there
// was none, darker where it is deeper.
func cutPicture(removed, bare *review.Field) picture {
	var colours []color.RGBA
	for _, c := range []color.RGBA{onHigh, onBare} {
		for d := range depthSteps {
			colours = append(colours, mix(iron, c, .55+.45*float64(d)/(depthSteps-1)))
		}
	}
	n := uint8(len(colours))
	p := newPicture(removed.W, removed.H, append(colours, iron, white, noIron))
	for k, v := range removed.V {
		switch {
		case v != v:
			p.img.Pix[k] = n + 2
		case v <= .2:
			p.img.Pix[k] = n
		default:
			d := step(float64(v)/8, depthSteps-1)
			if bare.V[k] >= .3 {
				if (k%removed.W/2+k/removed.W/2)%2 == 0 {
					p.img.Pix[k] = n + 1
					continue
				}
				d += depthSteps
			}
			p.img.Pix[k] = uint8(d)
		}
	}
	return p
}

var (
	bears   = rgb(0x8d9296)
	cameOn  = rgb(0x12335c)
	wentOff = rgb(0x5c5c5c)
)

// didPicture is what a cut did to the bearing. Each change has a pattern of its
// own.
func didPicture(f *review.Field) picture {
	p := newPicture(f.W, f.H, []color.RGBA{rgb(0xf1f1f0), bears, cameOn, wentOff, white, black, noIron})
	for k, v := range f.V {
		i, j := k%f.W, k/f.W
		switch {
		case v != v:
			p.img.Pix[k] = 6
		case v == float32(review.StaysOn):
			p.img.Pix[k] = 1
		case v == float32(review.CameOn):
			p.img.Pix[k] = 2
		case v == float32(review.WentOff):
			p.img.Pix[k] = 4
			if (i+j)%3 == 0 {
				p.img.Pix[k] = 3
			}
		case v == float32(review.Dug):
			p.img.Pix[k] = 5
			if i%4 == 0 || j%4 == 0 {
				p.img.Pix[k] = 4
			}
		}
	}
	return p
}

// lowsPicture is the form of a face with the lows that were dug in black, edged in
// white.
func lowsPicture(form, lows *review.Field, step float64) picture {
	p := truthPicture(form, step)
	low := func(i, j int) bool {
		return i >= 0 && j >= 0 && i < lows.W && j < lows.H && lows.V[j*lows.W+i] >= .3
	}
	for k := range lows.V {
		i, j := k%lows.W, k/lows.W
		switch {
		case low(i, j):
			p.img.Pix[k] = truthSteps
		case low(i-1, j) || low(i+1, j) || low(i, j-1) || low(i, j+1):
			p.img.Pix[k] = truthSteps + 1
		}
	}
	return p
}

// signedPicture is a difference of heights: striped one way where it is positive
// and another where it is negative, nearly white between.
func signedPicture(f *review.Field, iso float64) picture {
	low, high := f.Range()
	most := math.Max(1e-9, math.Max(-low, high))
	up, down := rgb(0xb34700), rgb(0x0c4f93)
	const steps = 8
	var colours []color.RGBA
	for _, c := range []color.RGBA{up, down} {
		for s := range steps + 1 {
			colours = append(colours, mix(rgb(0xf7f7f7), c, float64(s)/steps))
		}
	}
	n := uint8(len(colours))
	p := newPicture(f.W, f.H, append(colours, black, noIron))
	for k, v := range f.V {
		if v != v {
			p.img.Pix[k] = n + 1
			continue
		}
		i, j := k%f.W, k/f.W
		s := step(math.Abs(float64(v))/most, steps)
		if v < 0 {
			s += steps + 1
		}
		p.img.Pix[k] = uint8(s)
		far := math.Abs(float64(v)) > most/4
		if isoline(f, k, iso) || far && (v > 0 && (i+j)%6 == 0 || v < 0 && i%6 == 0 && j%6 < 2) {
			p.img.Pix[k] = n
		}
	}
	return p
}

func signed(v float64) string {
	if v == 0 {
		return "0"
	}
	return fmt.Sprintf("%+g", v)
}

// label is a number on an isoline: element and text.
type label struct {
	X, Y float64
	Text string
}

// labels are the numbers of the isolines of a map, one a level where there is room.
func labels(f *review.Field, step float64) []label {
	low, high := f.Range()
	var out []label
	for level := math.Ceil(low / step); level <= math.Floor(high/step); level++ {
		best, at := math.Inf(1), -1
		for k, v := range f.V {
			i, j := k%f.W, k/f.W
			if v != v || i < 8 || j < 8 || i >= f.W-8 || j >= f.H-8 {
				continue
			}
			next := float64(f.V[k-1])
			if !(next == next && math.Floor(float64(v)/step) >= level != (math.Floor(next/step) >= level)) {
				continue
			}
			room := true
			for _, l := range out {
				room = room && math.Hypot(float64(i)-l.X, float64(j)-l.Y) > 22
			}
			// As near the middle as there is room.
			if d := math.Hypot(float64(i-f.W/2), float64(j-f.H/2)); room && d < best {
				best, at = d, k
			}
		}
		if at >= 0 {
			out = append(out, label{float64(at % f.W), float64(at / f.W), signed(level * step)})
		}
	}
	return out
}
