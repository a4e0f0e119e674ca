package palette

import (
	"image/color"
	"math"
)

// Luminance is the relative luminance of a colour, 0 to 1 (WCAG 2.2, after
// IEC 61966-2-1).
func Luminance(c color.RGBA) float64 {
	return .2126*linear(c.R) + .7152*linear(c.G) + .0722*linear(c.B)
}

// Contrast is the ratio of two colours, 1 to 21 (WCAG 2.2).
func Contrast(a, b color.RGBA) float64 {
	la, lb := Luminance(a), Luminance(b)
	return (math.Max(la, lb) + .05) / (math.Min(la, lb) + .05)
}

func linear(v uint8) float64 {
	c := float64(v) / 255
	if c <= .04045 {
		return c / 12.92
	}
	return math.Pow((c+.055)/1.055, 2.4)
}

func encoded(c float64) uint8 {
	c = math.Max(0, math.Min(1, c))
	if c <= .0031308 {
		c *= 12.92
	} else {
		c = 1.055*math.Pow(c, 1/2.4) - .055
	}
	return uint8(math.Round(255 * c))
}

// Eye is a kind of colour vision.
type Eye uint8

// Full has all three cones; the others lack the long, the middle or the short
// one altogether.
const (
	Full Eye = iota
	Protan
	Deutan
	Tritan
)

// seen are the matrices for severity 1.0 of Machado, Oliveira and Fernandes, 'A
// physiologically-based model for simulation of color vision deficiency', IEEE
// TVCG 15(6), 2009, table of pre-computed matrices; applied to linear RGB.
var seen = [...][9]float64{
	Full:   {1, 0, 0, 0, 1, 0, 0, 0, 1},
	Protan: {.152286, 1.052583, -.204868, .114503, .786281, .099216, -.003882, -.048116, 1.051998},
	Deutan: {.367322, .860646, -.227968, .280085, .672501, .047413, -.011820, .042940, .968881},
	Tritan: {1.255528, -.076749, -.178779, -.078411, .930809, .147602, .004733, .691367, .303900},
}

// As is what an eye makes of a colour.
func As(c color.RGBA, e Eye) color.RGBA {
	m := &seen[e]
	r, g, b := linear(c.R), linear(c.G), linear(c.B)
	return color.RGBA{
		encoded(m[0]*r + m[1]*g + m[2]*b),
		encoded(m[3]*r + m[4]*g + m[5]*b),
		encoded(m[6]*r + m[7]*g + m[8]*b), c.A,
	}
}

// Difference is the distance of two colours in CIELAB under D65 (the 1976
// formula); about 2 is just noticeable side by side.
func Difference(a, b color.RGBA) float64 {
	p, q := lab(a), lab(b)
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

func lab(c color.RGBA) [3]float64 {
	r, g, b := linear(c.R), linear(c.G), linear(c.B)
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((.4124564*r + .3575761*g + .1804375*b) / .95047)
	y := f(.2126729*r + .7151522*g + .0721750*b)
	z := f((.0193339*r + .1191920*g + .9503041*b) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}
