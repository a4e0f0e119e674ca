package kit

import (
	"math"
	"slices"
	"strings"

	"github.com/before-iron/beforeiron/assets/fonts"
)

// Type is how a piece of text is set: face and size, points at text scale 1.
type Type struct {
	Face fonts.Face
	Size float64
}

// The types of the window.
var (
	Body    = Type{fonts.Regular, 17}
	Strong  = Type{fonts.Bold, 17}
	Small   = Type{fonts.Regular, 15}
	Name    = Type{fonts.Caps, 17}
	Figure  = Type{fonts.Mono, 17}
	Heading = Type{fonts.Bold, 22}
	Title   = Type{fonts.Bold, 34}
	Reading = Type{fonts.Mono, 26}
)

// At is the size of a type at a text scale, in whole points. Letters are drawn spaced for
// a whole size: at one between two they would come broader than they were measured, and
// the last of a line would be cut off.
func (t Type) At(scale float64) float64 {
	const rounding = 1e-9 // a product that is whole but for it is whole
	return math.Ceil(t.Size*scale - rounding)
}

// Line is the height of a line of the type at a text scale, points.
func (t Type) Line(scale float64) float64 { return t.At(scale) * fonts.LineHeight }

// Width is the width of one line of text at a text scale, points.
func (t Type) Width(scale float64, line string) float64 {
	return fonts.Width(t.Face, t.At(scale), line)
}

// Line is the height of a line of a type, points.
func (u *UI) Line(t Type) float64 { return t.Line(u.TextScale) }

// Width is the width of one line of text, points.
func (u *UI) Width(t Type, line string) float64 { return t.Width(u.TextScale, line) }

// Wrap breaks text into lines no wider than width, at spaces and at line breaks;
// a word that is wider than that is broken inside. The lines are not to be written to:
// they are kept, since every tick asks for the same ones again.
func (u *UI) Wrap(t Type, text string, width float64) []string {
	key := wrapping{t, text, width, u.TextScale}
	lines, known := u.wrapped[key]
	if !known {
		if len(u.wrapped) >= mostWrapped || u.wrapped == nil {
			u.wrapped = map[wrapping][]string{}
		}
		lines = u.wrap(t, text, width)
		u.wrapped[key] = lines
	}
	return slices.Clip(lines)
}

// wrapping is a text that was broken into lines.
type wrapping struct {
	of           Type
	text         string
	width, scale float64
}

// mostWrapped is how many texts are kept: many more than a screen has.
const mostWrapped = 2000

func (u *UI) wrap(t Type, text string, width float64) []string {
	var out []string
	for _, paragraph := range strings.Split(text, "\n") {
		line := ""
		for _, word := range strings.Fields(paragraph) {
			longer := word
			if line != "" {
				longer = line + " " + word
			}
			if u.Width(t, longer) <= width {
				line = longer
				continue
			}
			if line != "" {
				out = append(out, line)
			}
			line = word
			for line != "" && u.Width(t, line) > width {
				n := u.fits(t, line, width)
				out = append(out, line[:n])
				line = line[n:]
			}
		}
		out = append(out, line)
	}
	return out
}

// fits is how many bytes of a word fit into width; at least its first character.
func (u *UI) fits(t Type, word string, width float64) int {
	n := 0
	for i, r := range word {
		next := i + len(string(r))
		if n > 0 && u.Width(t, word[:next]) > width {
			break
		}
		n = next
	}
	return n
}

// Shorten ends a line that is too wide with an ellipsis.
func (u *UI) Shorten(t Type, line string, width float64) string {
	if u.Width(t, line) <= width {
		return line
	}
	const dots = "…"
	room := width - u.Width(t, dots)
	if room <= 0 {
		return dots
	}
	return line[:u.fits(t, line, room)] + dots
}

// TextHeight is the height of text when it is wrapped to width, points.
func (u *UI) TextHeight(t Type, text string, width float64) float64 {
	return float64(len(u.Wrap(t, text, width))) * u.Line(t)
}

// Flow joins the lines of each paragraph, so that a text is wrapped to the window
// and not as it was written.
func Flow(text string) string {
	out := ""
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		switch line = strings.TrimSpace(line); {
		case line == "":
			out += "\n"
		case out == "" || out[len(out)-1] == '\n':
			out += line
		default:
			out += " " + line
		}
	}
	return out
}
