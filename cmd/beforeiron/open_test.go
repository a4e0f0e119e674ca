package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/render/ownpart"
)

// matrix is a bare matrix of the given pitch, mm, and unit; an empty unit states
// none.
func matrix(nx, ny int, pitch float64, unit string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "# pitch_mm: %g\n", pitch)
	if unit != "" {
		fmt.Fprintf(&b, "# unit: %s\n", unit)
	}
	for j := range ny {
		for i := range nx {
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, "%g", .002*float64(i*(nx-1-i)+j))
		}
		b.WriteByte('\n')
	}
	return []byte(b.String())
}

// The preview says how large the part will be that is worked: coarse readings reach
// from the outermost to the outermost, fine cells to their edges.
func TestPreviewIsAsLargeAsThePart(t *testing.T) {
	for _, c := range []struct {
		nx, ny int
		pitch  float64
		x, y   float64
	}{{8, 6, 15, 105, 75}, {300, 200, .2, 60, 40}} {
		p, err := readPart("plate.csv", matrix(c.nx, c.ny, c.pitch, "mm"), ownpart.Ask{Finish: ownpart.Auto})
		if err != nil {
			t.Fatal(err)
		}
		if fmt.Sprintf("%.3f %.3f", p.X, p.Y) != fmt.Sprintf("%.3f %.3f", c.x, c.y) {
			t.Errorf("readings at %g mm are shown as %g by %g mm, want %g by %g", c.pitch, p.X, p.Y, c.x, c.y)
		}
		if p.Unsaid {
			t.Error("the file states mm, and is said to state nothing")
		}
	}
}

// What states no unit says so, until somebody has said which it is.
func TestUnitThatIsNotStated(t *testing.T) {
	ask := ownpart.Ask{Finish: ownpart.Auto}
	p, err := readPart("plate.csv", matrix(8, 6, 15, ""), ask)
	if err != nil || !p.Unsaid {
		t.Fatalf("%+v, %v", p, err)
	}
	ask.Unit, ask.Flip = "mm", true
	if p, err = readPart("plate.csv", matrix(8, 6, 15, ""), ask); err != nil || p.Unsaid || p.Unit != "mm" {
		t.Errorf("%+v, %v", p, err)
	}
}
