package palette

import (
	"image/color"
	"math"
	"testing"
)

// Contrast ratios as worked in WCAG 2.2's own definitions: black on white is
// 21:1, a colour on itself 1:1; #767676 on white is the well-known lightest grey
// that passes 4.5:1, #777777 the first that fails (from memory of W3C guidance).
func TestContrastAgainstKnownPairs(t *testing.T) {
	white, black := rgb(0xffffff), rgb(0)
	if got := Contrast(white, black); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white: %v", got)
	}
	if got := Contrast(rgb(0x767676), white); got < 4.5 {
		t.Errorf("#767676 on white: %v, want at least 4.5", got)
	}
	if got := Contrast(rgb(0x777777), white); got >= 4.5 {
		t.Errorf("#777777 on white: %v, want below 4.5", got)
	}
}

// Greys look alike to every eye: each row of the matrices sums to one.
func TestGreysStayGrey(t *testing.T) {
	for e := range seen {
		for _, v := range []uint8{0, 40, 128, 200, 255} {
			got := As(color.RGBA{v, v, v, 255}, Eye(e))
			for _, c := range []uint8{got.R, got.G, got.B} {
				if d := int(c) - int(v); d < -1 || d > 1 {
					t.Errorf("eye %d: grey %d is seen as %v", e, v, got)
				}
			}
		}
	}
}

// Lab of primaries under D65, as tabulated for sRGB (Lindbloom): red is L 53.24,
// a 80.09, b 67.20.
func TestLabOfRed(t *testing.T) {
	got := lab(rgb(0xff0000))
	for i, want := range []float64{53.24, 80.09, 67.20} {
		if math.Abs(got[i]-want) > .05 {
			t.Errorf("Lab of red is %v, want 53.24, 80.09, 67.20", got)
		}
	}
}

// What lies side by side over the iron, or on one chart, must differ for every
// eye; each has a pattern of its own besides.
func TestColoursTellApartForEveryEye(t *testing.T) {
	const least = 20
	together := [][]Name{{ToCut, Guess, Spare, Ghost}, {Mine, Par, Target}}
	for _, theme := range Themes {
		for _, group := range together {
			for i, a := range group {
				for _, b := range group[:i] {
					for e := range seen {
						if d := Difference(As(theme.Of(a), Eye(e)), As(theme.Of(b), Eye(e))); d < least {
							t.Errorf("%s: colours %d and %d differ by %.0f for eye %d, want %d", theme.Key, a, b, d, e, least)
						}
					}
				}
			}
		}
	}
}

// Overlays are drawn with a dark casing: against it each must show as a graphic.
func TestOverlaysShowOnTheirCasing(t *testing.T) {
	for _, theme := range Themes {
		for _, n := range []Name{ToCut, Guess, Spare, Ghost} {
			if c := Contrast(theme.Of(n), theme.Of(Casing)); c < 3 {
				t.Errorf("%s: colour %d on its casing is %.2f", theme.Key, n, c)
			}
		}
	}
}

func TestEveryNameHasAValue(t *testing.T) {
	for _, theme := range Themes {
		for n := None + 1; n < names; n++ {
			if theme.Of(n).A != 255 {
				t.Errorf("%s: colour %d has no value", theme.Key, n)
			}
		}
	}
}

// Higher is lighter in the map of heights, for every eye, step by step.
func TestHeightsGrowLighterForEveryEye(t *testing.T) {
	for e := range seen {
		last := -1.0
		for i := range 21 {
			l := Luminance(As(Cividis(float64(i)/20), Eye(e)))
			if l <= last {
				t.Errorf("eye %d: step %d is no lighter than the one below it", e, i)
			}
			last = l
		}
	}
}

// What is drawn in small pictures tells apart for every eye: pigment on iron, and
// where metal was cut.
func TestSmallPicturesTellApart(t *testing.T) {
	for _, p := range Pigments {
		iron, colour, bare := Print(p)
		for e := range seen {
			for _, pair := range [][2]color.RGBA{{iron, colour}, {iron, bare}, {colour, bare}, {iron, CutOnHigh}, {iron, CutOnBare}, {CutOnHigh, CutOnBare}} {
				if d := Difference(As(pair[0], Eye(e)), As(pair[1], Eye(e))); d < 25 {
					t.Errorf("%s: %v and %v differ by %.0f for eye %d", p, pair[0], pair[1], d, e)
				}
			}
		}
	}
}
