// Package par sets a run beside the careful hand's own of the same part: what each
// had after each print, and the first decision in which the two parted.
package par

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// Hand is whose run is par.
const Hand = "careful"

// Work lets the careful hand work the part of a run's header, with the scatter of
// that run, in at most cycles prints. record (when not nil) is given each entry;
// its error ends the work.
func Work(h run.Header, cycles int, record func(run.Entry) error) (*run.Log, error) {
	h.Hand, h.Fork = Hand, nil
	r, err := run.Begin(h)
	if err != nil {
		return nil, err
	}
	r.Record = record
	careful, err := hand.Named(Hand)
	if err != nil {
		return nil, err
	}
	if n := h.Setup.Limits.Prints; n > 0 {
		cycles = min(cycles, n)
	}
	if err := careful.Work(r, cycles, nil); err != nil {
		return nil, fmt.Errorf("the careful hand could not work this part: %w", err)
	}
	return &run.Log{Header: r.Header(), Entries: r.Entries()}, nil
}

// Side is one print of both runs; nil where a run had come to its end.
type Side struct {
	Cycle    int
	Own, Par *score.Figures
}

// SideBySide pairs the prints of two reports.
func SideBySide(own, par *score.Report) []Side {
	var out []Side
	for n := range max(len(own.PerCycle), len(par.PerCycle)) {
		s := Side{Cycle: n + 1}
		if n < len(own.PerCycle) {
			s.Own = &own.PerCycle[n]
		}
		if n < len(par.PerCycle) {
			s.Par = &par.PerCycle[n]
		}
		out = append(out, s)
	}
	return out
}

// Parting is the first decision in which two runs differ by more than two hands of
// one mind would.
type Parting struct {
	Cycle    int
	Kind     string // film, skin, place, depth, direction, marks, stone, stop
	Own, Par string // what each did, in words
}

// decision is what was done between two prints, and how the second was taken.
type decision struct {
	film, depth float64 // um; 0 when there was none
	region      *lay.Region
	strokes     int
	dir         int
	cut, whole  bool
	example     bool
	stoned      bool
	pressed     bool
	last        bool // it ends with signing off, or with the run
}

// decisions of a run, one for each print: how it was taken, and what followed it
// up to the next.
func decisions(l *run.Log) []decision {
	var out []decision
	var next decision
	at := func() *decision {
		if len(out) == 0 {
			return &next
		}
		return &out[len(out)-1]
	}
	for _, e := range l.Entries {
		a := e.Act
		switch {
		case a.Roll != nil:
			next.film = float64(a.Roll.Film) / 100
		case a.Rub != nil:
			next.pressed = a.Rub.Press > 0
		case a.Lift != nil && e.Out.Print != nil:
			out = append(out, decision{film: next.film, pressed: next.pressed})
		case a.Stone != nil:
			at().stoned = true
		case a.SignOff != nil:
			at().last = true
		case a.Cut != nil:
			d := at()
			d.cut = true
			d.strokes += e.Out.Laid
			// The pass that took most of the strokes speaks for the decision; of two
			// alike the first does.
			if c := a.Cut; c.Depth > 0 && (d.depth == 0 || 2*e.Out.Laid > d.strokes) {
				d.depth = float64(c.Depth) / 100
				if c.Area != nil {
					region := c.Area.Region
					d.region, d.dir, d.example = &region, c.Area.Dir, c.Area.Example != nil
				}
			}
		}
	}
	return out
}

// Part finds where two runs of one part parted; ok is false when they did not.
func Part(own, par *run.Log) (p Parting, ok bool) {
	a, b := decisions(own), decisions(par)
	for n := range max(len(a), len(b)) {
		switch {
		case n >= len(a):
			return Parting{n, "stop", "stopped", "went on"}, true
		case n >= len(b):
			return Parting{n, "stop", "went on", "stopped"}, true
		}
		if kind, x, y := differ(a[n], b[n]); kind != "" {
			return Parting{n + 1, kind, x, y}, true
		}
	}
	return p, false
}

// differ names what two decisions differ in.
func differ(a, b decision) (kind, own, par string) {
	far := func(x, y, by float64) bool { return x > by*y || y > by*x }
	um := func(v float64) string { return fmt.Sprintf("%.1f um", v) }
	switch {
	case a.pressed != b.pressed:
		return "press", pressWords(a.pressed), pressWords(b.pressed)
	case far(a.film, b.film, 1.5):
		return "film", "printed with a film of " + um(a.film), "printed with one of " + um(b.film)
	case a.last != b.last:
		return "stop", stopWords(a.last), stopWords(b.last)
	case a.cut != b.cut:
		return "place", cutWords(a.cut), cutWords(b.cut)
	case !a.cut:
		return "", "", ""
	case a.example != b.example:
		return "marks", markWords(a.example), markWords(b.example)
	case a.region != nil && b.region != nil && overlap(*a.region, *b.region) < .5:
		return "place", fmt.Sprintf("worked %.0f mm^2", a.region.AreaMM2()),
			fmt.Sprintf("worked %.0f mm^2, of which these are %.0f %% of both together", b.region.AreaMM2(), 100*overlap(*a.region, *b.region))
	case far(a.depth, b.depth, 1.6):
		return "depth", "cut " + um(a.depth) + " deep", "cut " + um(b.depth) + " deep"
	case a.stoned != b.stoned:
		return "stone", stoneWords(a.stoned), stoneWords(b.stoned)
	}
	return "", "", ""
}

func pressWords(pressed bool) string {
	if pressed {
		return "leaned on the part"
	}
	return "let its own weight print"
}

func stopWords(last bool) string {
	if last {
		return "signed off"
	}
	return "went on"
}

func cutWords(cut bool) string {
	if cut {
		return "cut"
	}
	return "cut nothing"
}

func markWords(example bool) string {
	if example {
		return "cut single marks by example"
	}
	return "took the region down in rows"
}

func stoneWords(stoned bool) string {
	if stoned {
		return "stoned"
	}
	return "left the burrs"
}

// overlap is the area that two regions share over that of both together, looked at
// in steps of a millimetre.
func overlap(a, b lay.Region) float64 {
	x0, y0, x1, y1 := reach(a)
	bx0, by0, bx1, by1 := reach(b)
	x0, y0, x1, y1 = math.Min(x0, bx0), math.Min(y0, by0), math.Max(x1, bx1), math.Max(y1, by1)
	both, either := 0, 0
	for y := y0 + .5; y < y1; y++ {
		for x := x0 + .5; x < x1; x++ {
			in, out := a.Contains(x, y), b.Contains(x, y)
			if in && out {
				both++
			}
			if in || out {
				either++
			}
		}
	}
	if either == 0 {
		return 1
	}
	return float64(both) / float64(either)
}

// reach of a region, mm.
func reach(r lay.Region) (x0, y0, x1, y1 float64) {
	side := float64(r.Tile) / 100
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, run := range r.Runs {
		x0, x1 = math.Min(x0, float64(run[1])*side), math.Max(x1, float64(run[2])*side)
		y0, y1 = math.Min(y0, float64(run[0])*side), math.Max(y1, float64(run[0]+1)*side)
	}
	return x0, y0, x1, y1
}
