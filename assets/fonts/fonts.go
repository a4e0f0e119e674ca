// Package fonts holds the typefaces of the window, the Go fonts by Bigelow &
// Holmes (BSD licence), and measures text set in them without any graphics.
package fonts

import (
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/gofont/gosmallcaps"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Face is one of the typefaces.
type Face uint8

// Regular is for sentences, Bold for what must be found, Mono for figures that
// are compared, Caps for the engraved names of things.
const (
	Regular Face = iota
	Bold
	Mono
	Caps
	faces
)

// TTF is the font file of a face.
func (f Face) TTF() []byte {
	return [...][]byte{goregular.TTF, gobold.TTF, gomono.TTF, gosmallcaps.TTF}[f]
}

// LineHeight is the distance of baselines, and Ascent that from the top of a
// line to its baseline, as shares of the size.
const (
	LineHeight = 1.3
	Ascent     = 0.98
)

// metrics are the advances of a face at metricSize px; not safe for two
// goroutines at once without its lock.
type metrics struct {
	sync.Mutex
	font    *sfnt.Font
	buffer  sfnt.Buffer
	advance map[rune]float64
}

const metricSize = 1000

var measured [faces]metrics

// Width is the width, px, of a line of text set size px high.
func Width(f Face, size float64, line string) float64 {
	m := &measured[f]
	m.Lock()
	defer m.Unlock()
	if m.font == nil {
		parsed, err := sfnt.Parse(f.TTF())
		if err != nil {
			panic("the built-in font is damaged: " + err.Error())
		}
		m.font, m.advance = parsed, map[rune]float64{}
	}
	sum := 0.0
	for _, r := range line {
		a, ok := m.advance[r]
		if !ok {
			a = m.measure(r)
			m.advance[r] = a
		}
		sum += a
	}
	return sum * size
}

func (m *metrics) measure(r rune) float64 {
	glyph, err := m.font.GlyphIndex(&m.buffer, r)
	if err != nil {
		return 1
	}
	a, err := m.font.GlyphAdvance(&m.buffer, glyph, fixed.I(metricSize), font.HintingNone)
	if err != nil {
		return 1
	}
	return float64(a) / 64 / metricSize
}

// Has reports whether the face can show every character of the text.
func Has(f Face, text string) bool {
	Width(f, 1, "")
	m := &measured[f]
	m.Lock()
	defer m.Unlock()
	for _, r := range text {
		if r == '\n' {
			continue
		}
		if glyph, err := m.font.GlyphIndex(&m.buffer, r); err != nil || glyph == 0 {
			return false
		}
	}
	return true
}
