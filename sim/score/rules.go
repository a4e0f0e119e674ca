package score

import (
	"fmt"
	"math"
	"sort"
)

// Most that each family can give; together 100.
const (
	mostOutcome = 60
	mostProcess = 25
	mostEconomy = 15
)

// Weights of the outcome, in marks. How they were set is told in MARKS.md.
const (
	weightPoints  = 12
	weightFrame   = 15
	weightBearing = 12
	weightBridged = 15
	weightBare    = 6
)

// Weights and thresholds of the rest.
const (
	weightHighs   = 15
	weightReached = 10
	// Of the metal cut, FullHighs on real highs loses nothing and NoHighs all;
	// of the spots, FullReached and NoReached.
	fullHighs, noHighs     = .6, .2
	fullReached, noReached = .6, .1

	costLows     = 200.0 // new lows, for the share of the face that they take
	mostLows     = 20
	costBurr     = 2.0 // a print over unstoned burrs
	mostBurrs    = 10
	costOneWay   = 1.0 // a pass that does not cross the one before
	mostOneWay   = 8
	costTooDeep  = 1.5 // a pass deeper than twice the film it was read by
	mostTooDeep  = 12
	mostWorse    = 30 // a face left further out than it was
	costUnsigned = 5

	// Cycles and strokes per square inch up to which economy is full, and from
	// which it is nothing.
	thriftyCycles, lavishCycles   = 20, 45
	thriftyStrokes, lavishStrokes = 600, 2400
	weightCycles, weightStrokes   = 10, 5
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
	m.markOutcome(&t)
	m.markProcess(&t)
	m.markErrors(&t, signed)
	passed := signed && m.final.meets(m.target)
	m.markEconomy(&t, passed)

	sort.SliceStable(t.losses, func(a, b int) bool { return t.losses[a].Cost > t.losses[b].Cost })
	round := func(v float64) float64 { return math.Round(100*v) / 100 }
	marks := Marks{
		Passed:  passed,
		Outcome: round(mostOutcome - t.lost[outcome]),
		Process: round(mostProcess - t.lost[process]),
		Economy: round(mostEconomy - t.lost[economy]),
		Errors:  round(-t.lost[faults]),
	}
	marks.Total = round(math.Max(-100, marks.Outcome+marks.Process+marks.Economy+marks.Errors))
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

func (m *marker) markOutcome(t *tally) {
	f, want := m.final, m.target
	mx, my := m.middle()
	fx, fy := m.ended.worstFrame()
	points, area := 0.0, 0.0
	if f.PointsPerIn2 != nil {
		points = *f.PointsPerIn2
	}
	if f.AreaPct != nil {
		area = *f.AreaPct
	}
	if want.PointsPerIn2 > 0 {
		t.lose(outcome, Loss{
			Rule: "points-few", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: weightPoints * (1 - share(points, 0, want.PointsPerIn2)),
			What: fmt.Sprintf("The face ends with %.1f points per square inch at a %.1f um film; %.0f were asked for.", points, f.FilmUM, want.PointsPerIn2),
			Why:  "Few points carry the whole load, and the face rocks and wears between them.",
			Next: "Read with a leaner film and split the big spots with short, light, crossed marks.",
		})
	}
	if want.FrameMin > 0 && f.FrameMin != nil {
		t.lose(outcome, Loss{
			Rule: "frame-poor", Cycle: m.cycle(), XMM: &fx, YMM: &fy, Cost: weightFrame * (1 - share(float64(*f.FrameMin), 0, float64(want.FrameMin))),
			What: fmt.Sprintf("The poorest inch frame holds %d points; %d were asked for everywhere.", *f.FrameMin, want.FrameMin),
			Why:  "A mean hides a bald place, and what slides over it tips into it.",
			Next: "Leave this frame alone and bring the rest of the face down to it.",
		})
	}
	if over := math.Max(want.AreaPct[0]-area, area-want.AreaPct[1]); over > 0 {
		next := "Take very light crossed passes over the tops and make no new deep mark."
		why := "So little bears that the first wear takes it off again."
		if area > want.AreaPct[1] {
			next, why = "Split the broad spots with single marks, one gap wide apart.", "A face that bears nearly everywhere keeps no oil and wrings."
		}
		t.lose(outcome, Loss{
			Rule: "bearing-off", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: weightBearing * share(over, 0, 20),
			What: fmt.Sprintf("%.1f %% of the face bears at a %.1f um film; %.0f to %.0f %% were asked for.", area, f.FilmUM, want.AreaPct[0], want.AreaPct[1]),
			Why:  why, Next: next,
		})
	}
	if f.BridgedUM != nil && *f.BridgedUM > want.BridgedUM {
		t.lose(outcome, Loss{
			Rule: "bridged-high", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: weightBridged * share(*f.BridgedUM, want.BridgedUM, 3*want.BridgedUM),
			What: fmt.Sprintf("Over the gauge block the middle row swings %.1f um; at most %.1f were asked for.", *f.BridgedUM, want.BridgedUM),
			Why:  "Points show that the face fits the master nearby, not that it is flat from end to end.",
			Next: "Go back to rows over the high zones before you bring in points.",
		})
	}
	if f.BareRangeUM != nil {
		bare := *f.BareRangeUM
		if off := math.Max(want.BareUM[0]-bare, bare-want.BareUM[1]); off > 0 {
			next := "Lighten the last marks, and let the next passes take the old deep ones out."
			if bare < want.BareUM[0] {
				next = "Leave more between the points: this face is close to wringing."
			}
			t.lose(outcome, Loss{
				Rule: "bare-swing", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: weightBare * share(off, 0, want.BareUM[1]),
				What: fmt.Sprintf("A bare indicator tip swings %.1f um along the middle row; %.0f to %.0f were asked for.", bare, want.BareUM[0], want.BareUM[1]),
				Why:  "Deep hollows between the points drain oil; none at all hold none.",
				Next: next,
			})
		}
	}
	if before, after := m.begun.rangeUM(), m.ended.rangeUM(); after > before {
		t.lose(faults, Loss{
			Rule: "left-worse", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: mostWorse * share(after/before, 1, 2),
			What: fmt.Sprintf("The deepest place lies %.0f um below the seat, and it was %.0f um to begin with.", after, before),
			Why:  "Every low has to be reached by the whole face before it bears.",
			Next: "Cut only where the blue is, and less at a time.",
		})
	}
}

// rangeUM is the deepest gap under the seat.
func (f rested) rangeUM() float64 {
	deepest := 0.0
	for k, z := range f.heights.Z {
		if z == z {
			deepest = math.Max(deepest, f.gap(k))
		}
	}
	return deepest
}

func (m *marker) markProcess(t *tally) {
	var taken, onHighs float64
	spots, reached, passes := 0, 0, 0
	worst, poorest := -1, -1
	for n, p := range m.passes {
		if p.breakSkin || p.taken == 0 {
			continue
		}
		passes++
		taken += p.taken
		onHighs += p.onHighs
		spots += p.spots
		reached += p.reached
		if worst < 0 || p.taken-p.onHighs > m.passes[worst].taken-m.passes[worst].onHighs {
			worst = n
		}
		if p.spots > 0 && (poorest < 0 || p.spots-p.reached > m.passes[poorest].spots-m.passes[poorest].reached) {
			poorest = n
		}
	}
	mx, my := m.middle()
	if passes == 0 {
		t.lose(process, Loss{
			Rule: "nothing-cut", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: mostProcess,
			What: "No metal was cut.", Why: "A face does not come flat by looking at it.", Next: "Print, and take the blue regions down in rows.",
		})
		return
	}
	if s := onHighs / taken; s < fullHighs {
		p := m.passes[worst]
		t.lose(process, Loss{
			Rule: "cut-beside-highs", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: weightHighs * (1 - share(s, noHighs, fullHighs)),
			What: fmt.Sprintf("%.0f %% of all metal cut stood on real highs; in cycle %d it was %.0f %%.", 100*s, p.cycle, 100*p.onHighs/p.taken),
			Why:  "Metal cut beside the highs digs lows that the whole face must come down to.",
			Next: "Paint closer to the blue, and ask whether the print could be trusted.",
		})
	}
	if spots > 0 {
		if s := float64(reached) / float64(spots); s < fullReached {
			p := m.passes[poorest]
			t.lose(process, Loss{
				Rule: "spots-missed", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: weightReached * (1 - share(s, noReached, fullReached)),
				What: fmt.Sprintf("%.0f %% of the marked spots were reached; in cycle %d it was %d of %d.", 100*s, p.cycle, p.reached, p.spots),
				Why:  "Spots that are left stay high, and the next print shows them again and little else.",
				Next: "Take all the strong spots in one pass before you print again.",
			})
		}
	}
}

func (m *marker) markErrors(t *tally, signed bool) {
	mx, my := m.middle()
	m.markLows(t)
	each(m.burrs, costBurr, mostBurrs, func(cycle int, cost float64) {
		t.lose(faults, Loss{
			Rule: "burr-printed", Cycle: cycle, XMM: mx, YMM: my, Cost: cost,
			What: fmt.Sprintf("Print %d was taken over burrs that were not stoned off.", cycle),
			Why:  "The burrs hold the part up and mark where the metal is not high.",
			Next: "Stone after every pass, then wipe, then print.",
		})
	})
	var oneWay, tooDeep []pass
	last := noDir
	for _, p := range m.passes {
		if p.dir != noDir {
			if last != noDir && alongside(p.dir, last) {
				oneWay = append(oneWay, p)
			}
			last = p.dir
		}
		if !p.breakSkin && p.depth > 2*p.film {
			tooDeep = append(tooDeep, p)
		}
	}
	each(oneWay, costOneWay, mostOneWay, func(p pass, cost float64) {
		t.lose(faults, Loss{
			Rule: "not-crossed", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: cost,
			What: fmt.Sprintf("The pass of cycle %d runs along the one before it.", p.cycle),
			Why:  "Strokes in the ruts of earlier strokes breed ripple and chatter.",
			Next: "Swap the direction by about a right angle at every pass.",
		})
	})
	each(tooDeep, costTooDeep, mostTooDeep, func(p pass, cost float64) {
		t.lose(faults, Loss{
			Rule: "too-deep", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: cost,
			What: fmt.Sprintf("Cycle %d was cut %.1f um deep by a print that shows the last %.1f um.", p.cycle, p.depth, p.film),
			Why:  "A mark deeper than the blue can tell goes through the high and digs a low.",
			Next: "Cut about as deep as the film is thick, and less as the points come.",
		})
	})
	if !signed {
		t.lose(faults, Loss{
			Rule: "not-signed", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: costUnsigned,
			What: "The run was not signed off.", Why: "Knowing when to stop is part of the work.", Next: "Sign off when a print and the instruments say that it is good.",
		})
	}
}

// namedLows is how many new lows are named one by one; the smaller ones share a
// loss.
const namedLows = 12

// markLows charges each new low by its area, the largest first, up to the most.
func (m *marker) markLows(t *tally) {
	lows := m.lows(m.ended)
	left := float64(mostLows)
	for n, w := range lows {
		what := fmt.Sprintf("A low of %.1f mm^2, %.1f um deep, was cut here in cycle %d where there was no blue.", w.area, w.deepest, w.cycle)
		area := w.area
		if n == namedLows {
			for _, v := range lows[n+1:] {
				area += v.area
			}
			what = fmt.Sprintf("Here and in %d other places lie smaller lows, cut where there was no blue: %.1f mm^2 of them.", len(lows)-n-1, area)
		}
		cost := math.Min(left, costLows*area/m.ended.count.ValidMM2)
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

// each charges cost for each of what there is until most is reached.
func each[T any](all []T, cost, most float64, lose func(T, float64)) {
	for n, v := range all {
		left := most - float64(n)*cost
		if left <= 0 {
			return
		}
		lose(v, math.Min(cost, left))
	}
}

// alongside reports whether two directions, mrad, lie within 20 degrees.
func alongside(a, b int) bool {
	const half = 3141.593
	d := math.Mod(math.Abs(float64(a-b)), half)
	return math.Min(d, half-d) < 349
}

func (m *marker) markEconomy(t *tally, passed bool) {
	mx, my := m.middle()
	if !passed {
		t.lose(economy, Loss{
			Rule: "target-missed", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: mostEconomy,
			What: "Economy counts nothing here: the face was not signed off on target (" + m.missing() + ").",
			Why:  "A quick face that does not bear is not a face.",
			Next: "Bring it to the target first, then in fewer cycles.",
		})
		return
	}
	cycles := float64(m.cycle())
	t.lose(economy, Loss{
		Rule: "many-cycles", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: weightCycles * share(cycles, thriftyCycles, lavishCycles),
		What: fmt.Sprintf("It took %.0f cycles; a steady hand needs about %d.", cycles, thriftyCycles),
		Why:  "A cycle on iron takes half an hour.",
		Next: "Take more with each roughing pass, and everything strong in each print.",
	})
	x0, y0, x1, y1 := m.face[0], m.face[1], m.face[2], m.face[3]
	perIn2 := float64(m.strokes) / ((x1 - x0) * (y1 - y0) / 645.16)
	t.lose(economy, Loss{
		Rule: "many-strokes", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: weightStrokes * share(perIn2, thriftyStrokes, lavishStrokes),
		What: fmt.Sprintf("It took %d strokes, %.0f to the square inch.", m.strokes, perIn2),
		Why:  "Strokes cost time, edge and back.",
		Next: "Use rows for forms and single marks for points.",
	})
}

// missing says in a word what the target misses.
func (m *marker) missing() string {
	if lack := m.final.lack(m.target); lack != "" {
		return lack
	}
	return "not signed off"
}
