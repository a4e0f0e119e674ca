// Package palette names every colour that the window uses and gives it a value
// in each theme; it also reckons contrast and what an eye without one kind of
// cone makes of a colour.
package palette

import "image/color"

// Name is a colour by what it is for.
type Name uint8

// Grounds, on which something stands; inks, which stand on them; and the colours
// of the iron and what is drawn over it.
const (
	None Name = iota

	// Grounds.
	Granite    // the window behind everything
	Panel      // a panel of controls
	Control    // a button, a slider, a row of a list at rest
	Hover      // the same under the pointer
	Down       // the same while pressed
	Chosen     // the same when it is the one chosen
	LampGround // the one button that goes on
	Field      // where something is typed or plotted
	Note       // a tooltip, a label over the iron

	// Inks.
	Text   // to be read
	Dim    // to be read second
	OnLamp // on LampGround
	Warn   // costs something
	Accent // lit by the lamp: names, curves, what is now
	Edge   // the outline of a control
	Focus  // the ring round what the keys reach
	Rule   // hairlines, grids: decoration

	// Data, told apart by hue and by pattern.
	Mine   // the learner's own curve
	Par    // the careful hand's curve
	Target // the band to reach

	// Over the iron, each with its own pattern.
	ToCut  // painted to be cut
	Guess  // where blue is expected
	Ghost  // marks as they would be laid
	Spare  // a spot to leave
	Casing // the dark line on either side of the above

	names
)

// Theme is a value for every name.
type Theme struct {
	Key    string // as settings spell it
	Light  bool   // light iron on a light bench
	values [names]color.RGBA
}

// Of is the value of a name.
func (t *Theme) Of(n Name) color.RGBA { return t.values[n] }

// Themes are those a learner may choose: dark and light iron.
var Themes = []*Theme{&dark, &light}

// ForRoom is the theme of a projector, whose black is only as dark as the room: blue
// is told from light iron when it is not from dark.
var ForRoom = &light

// Pigments are the marking colours that a learner may choose, as settings spell
// them. Blue is seen by every eye; red lead is imitated in colour alone; black is
// for eyes or screens that show neither.
var Pigments = []string{"blue", "red", "black"}

func rgb(v uint32) color.RGBA {
	return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255}
}

var dark = Theme{Key: "dark", values: [names]color.RGBA{
	Granite:    rgb(0x16181a),
	Panel:      rgb(0x202326),
	Control:    rgb(0x2d3135),
	Hover:      rgb(0x3a3f44),
	Down:       rgb(0x191b1d),
	Chosen:     rgb(0x4a3b20),
	LampGround: rgb(0xffbf5e),
	Field:      rgb(0x101214),
	Note:       rgb(0x0d0e10),

	Text:   rgb(0xf4efe7),
	Dim:    rgb(0xc6c1b8),
	OnLamp: rgb(0x1f1403),
	Warn:   rgb(0xff9e86),
	Accent: rgb(0xffc976),
	Edge:   rgb(0x8b9399),
	Focus:  rgb(0xffe1a8),
	Rule:   rgb(0x3b4045),

	Mine:   rgb(0xffc976),
	Par:    rgb(0x8fc7ff),
	Target: rgb(0xd0d0d0),

	ToCut:  rgb(0xffb11f),
	Guess:  rgb(0xb58cff),
	Ghost:  rgb(0xfffbf2),
	Spare:  rgb(0x3fd07f),
	Casing: rgb(0x0b0c0d),
}}

var light = Theme{Key: "light", Light: true, values: [names]color.RGBA{
	Granite:    rgb(0xd5d2cb),
	Panel:      rgb(0xe9e6e0),
	Control:    rgb(0xf6f4f0),
	Hover:      rgb(0xffffff),
	Down:       rgb(0xdad6ce),
	Chosen:     rgb(0xffe0a6),
	LampGround: rgb(0x6e4300),
	Field:      rgb(0xffffff),
	Note:       rgb(0xfffdf8),

	Text:   rgb(0x1c1d1f),
	Dim:    rgb(0x47453f),
	OnLamp: rgb(0xfff3df),
	Warn:   rgb(0x97280f),
	Accent: rgb(0x6b4200),
	Edge:   rgb(0x6a6863),
	Focus:  rgb(0x6b3a00),
	Rule:   rgb(0xc4c0b7),

	Mine:   rgb(0x8a4b00),
	Par:    rgb(0x0c4f93),
	Target: rgb(0x606060),

	ToCut:  rgb(0xffb11f),
	Guess:  rgb(0xb58cff),
	Ghost:  rgb(0xfffbf2),
	Spare:  rgb(0x3fd07f),
	Casing: rgb(0x0b0c0d),
}}
