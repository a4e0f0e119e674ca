package review

import (
	"fmt"
	"math"
	"strings"

	"github.com/before-iron/beforeiron/sim/run"
)

// Done is what was done to a part between two prints.
type Done struct {
	Cuts   []Cutting
	Stoned int // passes of the stone
	Others []string
}

// Cutting is one cut act.
type Cutting struct {
	DepthUM float64
	Degrees int // direction of an area, 0 to 179
	Strokes int
	Way     Way
}

// Way is how a cut was laid.
type Way string

// The ways: everything in a painted region, by example, or by hand.
const (
	InRows    Way = "in rows"
	ByExample Way = "by example"
	ByHand    Way = "by hand"
)

// cuttingOf is a cut as it was done with the blade that the run has in hand.
func cuttingOf(r *run.Run, c *run.Cut, strokes int) Cutting {
	out := Cutting{DepthUM: float64(c.Depth) / 100, Strokes: strokes, Way: ByHand}
	if c.Force > 0 {
		out.DepthUM = r.Blade().DepthFromForce(float64(c.Force))
	}
	if a := c.Area; a != nil {
		out.Way = InRows
		if a.Example != nil {
			out.Way = ByExample
		}
		d := int(math.Round(float64(a.Dir) / 1000 * 180 / math.Pi))
		out.Degrees = ((d % 180) + 180) % 180
	}
	return out
}

// take takes in an act.
func (d *Done) take(r *run.Run, e *run.Entry) {
	switch a := e.Act; {
	case a.Cut != nil:
		d.Cuts = append(d.Cuts, cuttingOf(r, a.Cut, e.Out.Laid))
	case a.Stone != nil:
		d.Stoned += a.Stone.Passes
	case a.Hone != nil:
		d.Others = append(d.Others, "honed the blade")
	}
}

// Strokes laid in all.
func (d Done) Strokes() int {
	n := 0
	for _, c := range d.Cuts {
		n += c.Strokes
	}
	return n
}

// cutWords say what was cut; strokes by hand are told together.
func cutWords(cuts []Cutting) []string {
	var parts []string
	for n := 0; n < len(cuts); {
		c, last := cuts[n], n+1
		strokes := c.Strokes
		deepest, least := c.DepthUM, c.DepthUM
		for last < len(cuts) && c.Way == ByHand && cuts[last].Way == ByHand {
			strokes += cuts[last].Strokes
			deepest, least = math.Max(deepest, cuts[last].DepthUM), math.Min(least, cuts[last].DepthUM)
			last++
		}
		depth := fmt.Sprintf("%.1f um", deepest)
		if least < deepest-.05 {
			depth = fmt.Sprintf("%.1f to %.1f um", least, deepest)
		}
		word := fmt.Sprintf("%d strokes %s, %s deep", strokes, c.Way, depth)
		if c.Way != ByHand {
			word += fmt.Sprintf(", at %d°", c.Degrees)
		}
		parts = append(parts, word)
		n = last
	}
	if len(parts) > 3 {
		more := len(parts) - 3
		parts = append(parts[:3:3], fmt.Sprintf("and %d cuts more", more))
	}
	if len(parts) == 0 {
		parts = append(parts, "nothing cut")
	}
	return parts
}

// Words say it in a sentence.
func (d Done) Words() string {
	parts := cutWords(d.Cuts)
	switch {
	case len(d.Cuts) > 0 && d.Stoned == 0:
		parts = append(parts, "not stoned")
	case d.Stoned > 1:
		parts = append(parts, fmt.Sprintf("stoned %d times", d.Stoned))
	case d.Stoned == 1:
		parts = append(parts, "stoned")
	}
	return sentence(append(parts, d.Others...))
}

func sentence(parts []string) string {
	text := strings.Join(parts, "; ")
	return strings.ToUpper(text[:1]) + text[1:] + "."
}
