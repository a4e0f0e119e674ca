package kit

import (
	"slices"

	"github.com/before-iron/beforeiron/assets/palette"
)

// Shape is what a mark draws.
type Shape uint8

// The shapes of marks.
const (
	Line     Shape = iota // a line through Points, Width wide
	Segments              // a line for each two of Points
	Fill                  // the polygon of Points, filled
	Circle                // round Points[0], radius Width, filled
	Ring                  // round Points[0], radius Width, Thick wide
	Words                 // Text at Points[0], aligned as Align, on Ground
	Pixels                // an image of Image.W columns over the rectangle Points[0] to Points[1]
)

// Dash is the pattern of a line, so that it is told by more than its hue.
type Dash uint8

// Patterns of lines.
const (
	Solid Dash = iota
	Dashed
	Dotted
)

// Point is a place, points.
type Point struct{ X, Y float64 }

// Mark is one drawn thing of a picture.
type Mark struct {
	Shape  Shape
	Points []Point
	Width  float64
	Thick  float64
	Dash   Dash
	Ink    palette.Name
	Ground palette.Name // what it stands on, when that is not the node's ground
	Text   string
	Type   Type
	Align  Align
	Image  *Image
}

// Image is a small picture of colours by number; Version changes with it.
type Image struct {
	W, H    int
	Pix     []byte // RGBA
	Version int
}

func sameMark(a, b Mark) bool {
	return a.Shape == b.Shape && a.Width == b.Width && a.Thick == b.Thick && a.Dash == b.Dash && a.Ink == b.Ink &&
		a.Text == b.Text && a.Type == b.Type && a.Align == b.Align && a.Image == b.Image &&
		slices.Equal(a.Points, b.Points)
}
