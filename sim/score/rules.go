package score

import (
	"fmt"
	"math"
	"sort"
)

// family is where a rule's costs are counted.
type family int

const (
	outcome family = iota
	process
	economy
	faults
)

// tally gathers losses.
type tally struct {
	losses []Loss
	lost   [4]float64
}

// lose counts a loss of cost marks, rounded to a hundredth.
func (t *tally) lose(f family, l Loss) {
	l.Cost = math.Round(100*l.Cost) / 100
	if l.Cost <= 0 {
		return
	}
	t.lost[f] += l.Cost
	t.losses = append(t.losses, l)
}

// mark makes marks and losses of what was seen: the total is a hundred less the
// costs of all losses, and not below -100.
func (m *marker) mark(signed bool) (Marks, []Loss) {
	var t tally
	passed := signed && m.final.meets(m.target)
	if m.strokes == 0 {
		m.markIdle(&t)
	} else {
		m.markOutcome(&t)
		m.markProcess(&t, signed)
		m.markErrors(&t)
	}
	m.markSigned(&t, signed)
	m.markEconomy(&t, signed)

	sort.SliceStable(t.losses, func(a, b int) bool { return t.losses[a].Cost > t.losses[b].Cost })
	round := func(v float64) float64 { return math.Round(100*v) / 100 }
	r := m.rubric
	marks := Marks{
		Passed:  passed,
		Outcome: round(r.most("outcome") - t.lost[outcome]),
		Process: round(r.most("process") - t.lost[process]),
		Economy: round(r.most("economy") - t.lost[economy]),
		Errors:  round(0 - t.lost[faults]),
		Insight: round(m.insight.marks(&r.Insight, m.final)),
	}
	total := marks.Outcome + marks.Process + marks.Economy + marks.Errors
	if r.Insight.Counted {
		total += marks.Insight
	}
	marks.Total = round(math.Max(-100, math.Min(100, total)))
	return marks, t.losses
}

// share is 0 at none, 1 at full, linear between and held outside.
func share(v, none, full float64) float64 {
	return math.Max(0, math.Min(1, (v-none)/(full-none)))
}

func (m *marker) middle() (x, y *float64) {
	cx, cy := (m.face[0]+m.face[2])/2, (m.face[1]+m.face[3])/2
	return &cx, &cy
}

// cycle is the last cycle, in which the face was left as it is.
func (m *marker) cycle() int { return len(m.perCycle) }

// namedLows is how many new lows are named one by one; the smaller ones share a
// loss.
const namedLows = 12

// markLows charges each new low by its area, the largest first, up to the most.
func (m *marker) markLows(t *tally) {
	lows, _ := m.spoilt(m.ended)
	charge := m.rubric.Errors.NewLow
	left := charge.Most
	for n, w := range lows {
		what := fmt.Sprintf("A low of %.1f mm^2, %.1f um deep, was cut here in cycle %d where there was no blue.", w.area, w.deepest, w.cycle)
		area := w.area
		if n == namedLows {
			for _, v := range lows[n+1:] {
				area += v.area
			}
			what = fmt.Sprintf("Here and in %d other places lie smaller lows, cut where there was no blue: %.1f mm^2 of them.", len(lows)-n-1, area)
		}
		cost := math.Min(left, charge.Each*100*area/m.ended.count.ValidMM2)
		left -= cost
		t.lose(faults, Loss{
			Rule: "new-low", Cycle: w.cycle, XMM: &w.x, YMM: &w.y, Cost: cost, What: what,
			Why:  "Bare metal is low already: cutting it costs a cycle over the whole face.",
			Next: "Never cut uncoloured metal once the machining marks are out.",
		})
		if n == namedLows {
			return
		}
	}
}

// each charges for each of what there is until the most is reached.
func each[T any](all []T, c Charge, lose func(T, float64)) {
	for n, v := range all {
		left := c.Most - float64(n)*c.Each
		if left <= 0 {
			return
		}
		lose(v, math.Min(c.Each, left))
	}
}

// alongside reports whether two directions, mrad, lie within 30 degrees. That is more
// than the angle within which the model lets ripple grow (blade.AlignedLay, 23 degrees
// as meant, some degrees more with the scatter of a hand): what is not charged does not
// breed ripple either.
func alongside(a, b int) bool {
	const half = 3141.593
	d := math.Mod(math.Abs(float64(a-b)), half)
	return math.Min(d, half-d) < 524
}

// missing says in a word what the target misses.
func (m *marker) missing() string {
	if lack := m.final.lack(m.target); lack != "" {
		return lack
	}
	return "not signed off"
}
