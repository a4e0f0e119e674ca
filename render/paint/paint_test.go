package paint

import (
	"testing"

	"github.com/hajimehoshi/ebiten/v2/text/v2"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/kit"
)

// A line is drawn no broader than it was measured, at every size of text and on a screen
// of more pixels than points, so that its last letter is never cut off.
func TestALineIsDrawnAsBroadAsItWasMeasured(t *testing.T) {
	const line = "Drag over the blue to paint it, 12.5 µm deep"
	p := New(palette.Themes[0])
	for _, kind := range []kit.Type{kit.Body, kit.Strong, kit.Small, kit.Name, kit.Figure, kit.Heading, kit.Title, kit.Reading} {
		for percent := 100; percent <= 250; percent += 5 {
			for _, pixels := range []float64{1, 1.25, 1.5, 2} {
				p.TextScale, p.Pixels = float64(percent)/100, pixels
				drawn, measured := text.Advance(line, p.face(kind)), kind.Width(p.TextScale, line)*pixels
				// Advances are rounded to 1/64 of a pixel, letter by letter.
				if drawn > measured+1 {
					t.Errorf("%v at %d %%, %v pixels a point: drawn %.1f pixels broad, measured %.1f", kind, percent, pixels, drawn, measured)
				}
			}
		}
	}
}
