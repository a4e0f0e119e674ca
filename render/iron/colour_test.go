package iron

import (
	"image/color"
	"testing"

	"github.com/before-iron/beforeiron/assets/palette"
)

var eyes = map[string]palette.Eye{"full": palette.Full, "protan": palette.Protan, "deutan": palette.Deutan, "tritan": palette.Tritan}

// High and low of a map differ for every eye, at each strength. The least
// distance is chosen: ten times the just noticeable one.
func TestMapTellsHighFromLowForEveryEye(t *testing.T) {
	s := Scale{Range: 10}
	at := func(um float64) color.RGBA {
		r, g, b := s.Colour(um)
		return color.RGBA{r, g, b, 255}
	}
	for name, eye := range eyes {
		for _, um := range []float64{3, 5, 10} {
			if d := palette.Difference(palette.As(at(um), eye), palette.As(at(-um), eye)); d < 20 {
				t.Errorf("%s: %g um above and below differ by %.1f", name, um, d)
			}
		}
	}
}
