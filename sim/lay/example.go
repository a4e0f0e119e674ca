package lay

import (
	"errors"
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/gauge"
)

// Example is the learner's choice: up to three spots to cut and at most one to
// spare, pointed at on the reading, 10 um units.
type Example struct {
	Cut   [][2]int `json:"cut"`
	Spare *[2]int  `json:"spare,omitempty"`
}

// Check reports the first thing that is wrong with the example.
func (e Example) Check() error {
	if len(e.Cut) < 1 || len(e.Cut) > 3 {
		return fmt.Errorf("example: %d spots to cut: point at one to three", len(e.Cut))
	}
	return nil
}

// Spot is a coloured spot as a hand sees it: a point of the reading.
type Spot struct {
	X, Y    float64 // middle, mm
	AreaMM2 float64
	Colour  float64 // mean strength, 0 to 255
	Pale    float64 // share rubbed to a pale summit
	Cells   []int32
}

// look is what a hand tells spots apart by: size, strength of colour, and how
// much of it is rubbed pale; each in the unit in which one step is a plain
// difference to the eye (assumed).
type look struct{ size, colour, pale float64 }

func (s Spot) look() look {
	return look{
		size:   math.Round(1024*math.Log2(s.AreaMM2)) / 1024,
		colour: s.Colour / 32,
		pale:   20 * s.Pale,
	}
}

func (a look) from(b look) float64 {
	ds, dc, dp := a.size-b.size, a.colour-b.colour, a.pale-b.pale
	return math.Sqrt(float64(ds*ds) + float64(dc*dc) + float64(dp*dp))
}

// alike is the distance of looks within which a spot counts as one of the kind
// to cut when none was shown to spare.
const alike = 2.5

// Spots lists the points of a reading, split at their necks as a count splits
// them; where the pitch is too coarse for that, its patches.
func Spots(r *blue.Reading) []Spot {
	mask, _ := r.Marks(nil)
	rule := gauge.DefaultRule
	count := gauge.CountPoints(mask, r.Mask, r.Grid, rule)
	if !count.HasPoints {
		rule.NeckMM = 0
		count = gauge.CountPoints(mask, r.Mask, r.Grid, rule)
	}
	out := make([]Spot, len(count.List))
	colour, pale := make([]int, len(out)), make([]int, len(out))
	for k, n := range count.PointImage(nil) {
		if n == 0 {
			continue
		}
		out[n-1].Cells = append(out[n-1].Cells, int32(k))
		colour[n-1] += int(r.Colour[k])
		if r.Shine[k] >= blue.PaleAt {
			pale[n-1]++
		}
	}
	for n := range out {
		s := &out[n]
		cells := float64(len(s.Cells))
		s.X, s.Y = count.List[n].X, count.List[n].Y
		s.AreaMM2 = cells * r.CellArea()
		s.Colour, s.Pale = float64(colour[n])/cells, float64(pale[n])/cells
	}
	return out
}

// ByExample carries the learner's choice through the painted region: every spot
// whose middle lies in it and that looks more like one of those to cut than like
// the one to spare is cut, save those that the hand misreads. A spot as narrow
// as a mark gets one through its middle, a broader one as many as the style's
// spacing asks for. An example that points at no spot is an error.
func ByExample(t Tool, r Region, e Example, s Style, reading *blue.Reading) ([]blade.Stroke, error) {
	all := Spots(reading)
	if len(all) == 0 {
		return nil, errors.New("no spot of colour on the face to choose by: print it first")
	}
	pick := func(p [2]int, kind string) (look, error) {
		at, err := nearestSpot(all, mm(p[0]), mm(p[1]))
		if err != nil {
			return look{}, fmt.Errorf("the spot to %s at (%.2f, %.2f) mm: %w", kind, mm(p[0]), mm(p[1]), err)
		}
		return all[at].look(), nil
	}
	var cut []look
	for _, p := range e.Cut {
		l, err := pick(p, "cut")
		if err != nil {
			return nil, err
		}
		cut = append(cut, l)
	}
	limit := func(look) float64 { return alike }
	if e.Spare != nil {
		spare, err := pick(*e.Spare, "spare")
		if err != nil {
			return nil, err
		}
		limit = spare.from
	}

	var out []blade.Stroke
	for _, p := range all {
		nearest := math.Inf(1)
		for _, c := range cut {
			nearest = math.Min(nearest, p.look().from(c))
		}
		take := nearest <= limit(p.look())
		if t.Random.Float64() < t.Hand.Misread {
			take = !take
		}
		if take && r.Contains(p.X, p.Y) {
			out = t.split(out, p, s, reading)
		}
	}
	return out, nil
}

// pointingMM is how far from a spot's middle a pointing finger may be, beyond
// the spot's own reach.
const pointingMM = 2.0

func nearestSpot(all []Spot, x, y float64) (int, error) {
	best, at := math.Inf(1), -1
	for n, s := range all {
		dx, dy := s.X-x, s.Y-y
		if d := float64(dx*dx) + float64(dy*dy); d < best {
			best, at = d, n
		}
	}
	own := math.Sqrt(all[at].AreaMM2) // about the spot's diameter, mm
	if math.Sqrt(best) > pointingMM+own {
		return 0, errors.New("there is no coloured spot: point at one")
	}
	return at, nil
}

// split appends the marks that cut a spot: rows across it, each over the stretch
// of the spot that lies under it.
func (t Tool) split(out []blade.Stroke, p Spot, s Style, reading *blue.Reading) []blade.Stroke {
	ux, uy := direction(s.Dir)
	f := frame{p.X, p.Y, ux, uy}
	width := t.Blade.MarkWidth(t.DepthUM)
	b0, b1 := math.Inf(1), math.Inf(-1)
	for _, k := range p.Cells {
		b := f.side(reading.X(int(k)%reading.NX), reading.Y(int(k)/reading.NX))
		b0, b1 = math.Min(b0, b), math.Max(b1, b)
	}
	rows := max(1, int(math.Round((b1-b0)/(s.Spacing*width))))
	step := (b1 - b0) / float64(rows)
	for n := 0; n < rows; n++ {
		side := b0 + float64(step*(float64(n)+.5))
		half := math.Max(width/4, reading.DX)
		a0, a1 := math.Inf(1), math.Inf(-1)
		for _, k := range p.Cells {
			x, y := reading.X(int(k)%reading.NX), reading.Y(int(k)/reading.NX)
			if b := f.side(x, y); b >= side-half && b <= side+half {
				a := f.along(x, y)
				a0, a1 = math.Min(a0, a), math.Max(a1, a)
			}
		}
		if a1 > a0 {
			out = t.chain(out, f, side, a0, a1, s.LengthMM)
		}
	}
	return out
}
