package score

import (
	"math"

	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/run"
)

// Prediction is what a learner foresaw of a print, held against it.
type Prediction struct {
	Cycle   int
	Sure    int     // 1 to 3
	Overlap float64 // 0 to 1: boxes both predicted and coloured, over boxes of either
	Right   bool    // overlap of half or more
	Mark    float64 // of the certainty: 1, 2, 3 when right, 0, -2, -6 when wrong
}

// insight gathers what the learner foresaw and declared.
type insight struct {
	guess       *run.Predict // not yet held against a print
	predictions []Prediction
	prints      int
	said        *run.Declare
}

const (
	// A face is looked at in so many boxes each way, as lessons ask: which of them
	// will be blue?
	guessBoxes = 6
	// guessShare of a box painted, or coloured as strongly as the face is at its
	// bluest box, counts.
	guessShare = .5
	rightFrom  = .5
)

// printed holds a guess against the print that it was of.
func (g *insight) printed(reading *blue.Reading) {
	g.prints++
	if g.guess != nil {
		p := Foresaw(*g.guess, reading)
		p.Cycle = g.prints
		g.predictions = append(g.predictions, p)
		g.guess = nil
	}
}

// Foresaw holds what was predicted against the print.
func Foresaw(guess run.Predict, reading *blue.Reading) Prediction {
	var cells, painted, blues [guessBoxes * guessBoxes]float64
	for k := range reading.Colour {
		if reading.Mask != nil && !reading.Mask[k] {
			continue
		}
		i, j := k%reading.NX, k/reading.NX
		box := j*guessBoxes/reading.NY*guessBoxes + i*guessBoxes/reading.NX
		cells[box]++
		if reading.Coloured(k) {
			blues[box]++
		}
		if guess.Region.Contains(reading.X(i), reading.Y(j)) {
			painted[box]++
		}
	}
	most := 0.0
	for b, n := range cells {
		if n > 0 {
			most = math.Max(most, blues[b]/n)
		}
	}
	both, either := 0.0, 0.0
	for b, n := range cells {
		if n == 0 {
			continue
		}
		said, is := painted[b]/n >= guessShare, most > 0 && blues[b]/n >= guessShare*most
		if said && is {
			both++
		}
		if said || is {
			either++
		}
	}
	p := Prediction{Sure: guess.Sure}
	if either > 0 {
		p.Overlap = both / either
	}
	p.Right = p.Overlap >= rightFrom
	p.Mark = certainty(p.Sure, p.Right)
	return p
}

// certainty is the mark of a claim made at one of three degrees of certainty
// (Gardner-Medwin): with it, saying what one believes is the best that one can do.
func certainty(sure int, right bool) float64 {
	if right {
		return float64(sure)
	}
	return [...]float64{0, 0, -2, -6}[sure]
}

// marks are the insight family's: 0 when nothing was predicted or declared, and
// below when a learner was often sure and wrong.
func (g *insight) marks(r *Insight, final Figures) float64 {
	sum := 0.0
	if n := float64(len(g.predictions)); n > 0 {
		overlap, sure := 0.0, 0.0
		for _, p := range g.predictions {
			overlap += p.Overlap / n
			sure += p.Mark / n
		}
		sum += r.Overlap.Marks - r.Overlap.lost(overlap)
		if sure < 0 {
			// At the worst, 6 below, twice what there was to win.
			sum += r.Certainty.Marks * sure / 3
		} else {
			sum += r.Certainty.Marks - r.Certainty.lost(sure)
		}
	}
	if d := g.said; d != nil && final.PointsPerIn2 != nil && final.FrameMin != nil && final.AreaPct != nil {
		off := func(said *int, is float64) float64 {
			if said == nil {
				return 1 // left blank
			}
			return math.Abs(float64(*said)-is) / math.Max(1, is)
		}
		mean := (off(d.PointsPerIn2, *final.PointsPerIn2) + off(d.FrameMin, float64(*final.FrameMin)) + off(d.AreaPct, *final.AreaPct)) / 3
		sum += r.Declared.Marks - r.Declared.lost(mean)
	}
	return sum
}
