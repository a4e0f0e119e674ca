package score

import (
	"fmt"
	"math"
	"slices"
)

// Depth of a pass, in films of the print it went by, that fits.
var fittingDepth = [2]float64{.4, 1.5}

// fits reports whether depth and film of a pass suit each other and the face.
func (p pass) fits() bool {
	return p.depth >= fittingDepth[0]*p.film && p.depth <= fittingDepth[1]*p.film && !p.allBlue
}

func (m *marker) markProcess(t *tally, signed bool) {
	mx, my := m.middle()
	var taken, onHighs float64
	spots, reached, fitting, passes := 0, 0, 0, 0
	worst, poorest, odd := -1, -1, -1
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
		if p.fits() {
			fitting++
		} else if odd < 0 {
			odd = n
		}
	}
	r := &m.rubric.Process
	lose := func(l Loss) { t.lose(process, l) }
	if spots == 0 {
		// No pass went by a print: there is nothing to show that it was read.
		lost := r.Reached.Marks
		what := "No pass went by the spots of a print."
		if passes == 0 {
			lost += r.Highs.Marks + r.Fitted.Marks
			what = "Only the machined skin was broken, and no print was worked."
		}
		lose(Loss{
			Rule: "no-print-worked", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: lost, What: what,
			Why:  "Where to cut is read from a print; without one every stroke is a guess.",
			Next: "Print, read where the blue is, and cut that.",
		})
	}
	if passes > 0 {
		p := m.passes[worst]
		s := onHighs / taken
		lose(Loss{
			Rule: "cut-beside-highs", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: r.Highs.lost(s),
			What: fmt.Sprintf("%.0f %% of all metal cut stood on real highs; in cycle %d it was %.0f %%.", 100*s, p.cycle, 100*p.onHighs/p.taken),
			Why:  "Metal cut beside the highs digs lows that the whole face must come down to.",
			Next: "Paint closer to the blue, and ask whether the print could be trusted.",
		})
	}
	if spots > 0 {
		p := m.passes[poorest]
		s := float64(reached) / float64(spots)
		of, next := "it was", "Take all the strong spots in one pass before you print again."
		if p.dir == noDir {
			of, next = "a single stroke, which counts as a pass, reached", "Point the strong spots out or paint them, and take them in one pass."
		}
		lose(Loss{
			Rule: "spots-missed", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: r.Reached.lost(s),
			What: fmt.Sprintf("%.0f %% of the marked spots were reached, pass by pass; in cycle %d %s %d of %d.", 100*s, p.cycle, of, p.reached, p.spots),
			Why:  "Spots that are left stay high, and the next print shows them again and little else.",
			Next: next,
		})
	}
	if odd >= 0 {
		p := m.passes[odd]
		what, next := "was cut %.1f um deep by a film of %.1f um", "Cut about as deep as the film is thick, lighter as the points come."
		why := "A mark far below the film takes nothing off the seat, and one far above it digs a low."
		if p.allBlue {
			what, next = "was cut %.1f um deep by a print that was blue nearly all over, at %.1f um", "Print again with a thinner film before you choose where to cut."
			why = "A film thicker than the error of the face colours everything and tells nothing."
		}
		lose(Loss{
			Rule: "ill-fitted", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: r.Fitted.lost(float64(fitting) / float64(passes)),
			What: fmt.Sprintf("Depth and film fitted in %d of %d passes; cycle %d "+what+".", fitting, passes, p.cycle, p.depth, p.film),
			Why:  why, Next: next,
		})
	}
	each(m.burrs, r.Stoned, func(cycle int, cost float64) {
		lose(Loss{
			Rule: "burr-printed", Cycle: cycle, XMM: mx, YMM: my, Cost: cost,
			What: fmt.Sprintf("Print %d was taken over burrs that were not stoned off.", cycle),
			Why:  "The burrs hold the part up and mark where the metal is not high.",
			Next: "Stone after every pass, then wipe, then print.",
		})
	})
	each(m.oneWay(), r.Crossed, func(p pass, cost float64) {
		lose(Loss{
			Rule: "not-crossed", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: cost,
			What: fmt.Sprintf("The pass of cycle %d runs along the one before it.", p.cycle),
			Why:  "Strokes in the ruts of earlier strokes breed ripple and chatter.",
			Next: "Swap the direction by about a right angle at every pass.",
		})
	})
	m.markChecks(t)
	m.markStop(t, signed)
}

// oneWay lists the passes that run along the one before.
func (m *marker) oneWay() (out []pass) {
	last := noDir
	for _, p := range m.passes {
		if p.dir == noDir {
			continue
		}
		if last != noDir && alongside(p.dir, last) {
			out = append(out, p)
		}
		last = p.dir
	}
	return out
}

// markChecks is whether the face was made sure of after the last cut. The hinge test
// is one of them where a part may bend, bow or tip, and so lie otherwise than it is.
func (m *marker) markChecks(t *tally) {
	mx, my := m.middle()
	type check struct{ what, why, next string }
	var out []check
	if !m.checks.measured {
		out = append(out, check{"Neither block nor indicator was laid on the face after the last cut.",
			"Points show that face and master fit; they do not show that the face is flat from end to end.",
			"Before you sign off, bridge the face with the block or draw the indicator along it."})
	}
	if !m.checks.plain || !m.checks.half {
		out = append(out, check{"The last face was not printed both ways round.",
			"One print shows that face and master fit once, and the master's own error is in it.",
			"Before you sign off, turn the part half round and print again."})
	}
	if m.swings && !(m.checks.near && m.checks.far) {
		out = append(out, check{"The part was not swung from both ends after the last cut.",
			"A part that bends, bows or tips may print well and lie otherwise than it is.",
			"Before you sign off, push each end in turn and see where the part hinges."})
	}
	each(out, m.rubric.Process.Checked, func(c check, cost float64) {
		t.lose(process, Loss{
			Rule: "check-left-out", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: cost, What: c.what, Why: c.why, Next: c.next,
		})
	})
}

// markStop is whether the learner stopped at the first face on target; one cycle
// more, to confirm it, is allowed.
func (m *marker) markStop(t *tally, signed bool) {
	mx, my := m.middle()
	c := m.rubric.Process.Stopped
	first := -1
	if n := slices.Index(m.onTarget, true); n >= 0 {
		first = n + 1
	}
	late := float64(m.cycle() - first - 1)
	switch {
	case first < 0 && m.final.meets(m.target):
		// The last cut brought it there, and nobody looked.
	case first < 0 || !signed:
		t.lose(process, Loss{
			Rule: "stopped-off-target", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: c.Most,
			What: "The work ended without a face on target (" + m.missing() + ").",
			Why:  "Knowing when to stop is knowing that the worst place is good enough.",
			Next: "Hold the poorest frame, the bearing and the block against the target before you put the blade down.",
		})
	case late > 0:
		t.lose(process, Loss{
			Rule: "stopped-late", Cycle: first, XMM: mx, YMM: my, Cost: c.cost(late),
			What: fmt.Sprintf("The face met the target at print %d, and the work went on to print %d.", first, m.cycle()),
			Why:  "Scraping past the target only sinks the size, and may lose what was there.",
			Next: "When a print is good, measure, print once more the other way round, and stop.",
		})
	}
}

func (m *marker) markEconomy(t *tally, signed bool) {
	mx, my := m.middle()
	r, gate := &m.rubric.Economy, m.rubric.Gate
	if gate.Signed && !signed || gate.Target && !m.final.meets(m.target) || m.strokes == 0 {
		t.lose(economy, Loss{
			Rule: targetMissed, Cycle: m.cycle(), XMM: mx, YMM: my, Cost: m.rubric.most("economy"),
			What: "Economy counts nothing here: the face was not signed off on target (" + m.missing() + ").",
			Why:  "A quick face that does not bear is not a face.",
			Next: "Bring it to the target first, then in fewer cycles.",
		})
		return
	}
	cycles := float64(m.cycle())
	t.lose(economy, Loss{
		Rule: "many-cycles", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: r.Cycles.lost(cycles),
		What: fmt.Sprintf("It took %.0f cycles; a steady hand needs about %.0f.", cycles, r.Cycles.Full),
		Why:  fmt.Sprintf("On iron a cycle of this run takes %.0f minutes in the mean, by times that are assumed.", float64(m.ms)/60000/math.Max(1, cycles)),
		Next: "Take more with each roughing pass, and everything strong in each print.",
	})
	perIn2 := float64(m.strokes) / (m.begun.count.ValidMM2 / 645.16)
	t.lose(economy, Loss{
		Rule: "many-strokes", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: r.Strokes.lost(perIn2),
		What: fmt.Sprintf("It took %d strokes, %.0f to the square inch.", m.strokes, perIn2),
		Why:  "Strokes cost time, edge and back.",
		Next: "Use rows for forms and single marks for points.",
	})
	sunk := (m.removedMM3() - m.least.MetalMM3) * 1000 / m.begun.count.ValidMM2
	t.lose(economy, Loss{
		Rule: "much-metal", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: r.Metal.lost(sunk),
		What: fmt.Sprintf("The face sank by %.0f um in the mean beyond what its form called for.", sunk),
		Why:  "Every micrometre off the face is size that the part does not get back.",
		Next: "Find the lowest place first and stop the whole face there.",
	})
}

// removedMM3 is the metal that was taken off in all.
func (m *marker) removedMM3() float64 {
	sum := 0.0
	for k, z := range m.begun.heights.Z {
		if d := z - m.heights.Z[k]; d > 0 {
			sum += d
		}
	}
	return sum * m.begun.heights.CellArea() / 1000
}
