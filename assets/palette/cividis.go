package palette

import "image/color"

// cividis are steps of the colour map of Nunez, Anderton and Renslow, 'Optimizing
// colormaps with consideration for color vision deficiency', PLoS ONE 13(7), 2018,
// which eyes with and without red or green cones read alike: from dark blue, low,
// to yellow, high. Ten of its 256 values (from memory of the published table).
var cividis = []color.RGBA{
	rgb(0x00224e), rgb(0x123570), rgb(0x3b496c), rgb(0x575d6d), rgb(0x707173),
	rgb(0x8a8678), rgb(0xa59c74), rgb(0xc3b369), rgb(0xe1cc55), rgb(0xfee838),
}

// Cividis is the colour of a share from 0, low, to 1, high.
func Cividis(share float64) color.RGBA {
	at := max(0, min(1, share)) * float64(len(cividis)-1)
	i := min(int(at), len(cividis)-2)
	t := at - float64(i)
	mix := func(a, b uint8) uint8 { return uint8(float64(a)*(1-t) + float64(b)*t + .5) }
	a, b := cividis[i], cividis[i+1]
	return color.RGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 255}
}

// Print is the colours in which a small picture of a print is drawn: iron,
// marking colour, and metal rubbed bare.
func Print(pigment string) (iron, colour, bare color.RGBA) {
	iron, bare = rgb(0x8c8f92), rgb(0xf0ead8)
	switch pigment {
	case "red":
		return iron, rgb(0x8f2212), bare
	case "black":
		return iron, rgb(0x16181b), bare
	}
	return iron, rgb(0x123a86), bare
}

// CutOnHigh and CutOnBare are the colours, in small pictures, of metal cut where
// it carried colour and where it carried none.
var CutOnHigh, CutOnBare = rgb(0xffb11f), rgb(0x4b1d6b)
