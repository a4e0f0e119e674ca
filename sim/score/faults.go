package score

import (
	"fmt"
	"math"
)

func (m *marker) markErrors(t *tally) {
	mx, my := m.middle()
	r := &m.rubric.Errors
	m.markLows(t)
	m.markHollows(t)
	var tooDeep []pass
	for _, p := range m.passes {
		if !p.breakSkin && p.depth > 2*p.film {
			tooDeep = append(tooDeep, p)
		}
	}
	each(tooDeep, r.TooDeep, func(p pass, cost float64) {
		t.lose(faults, Loss{
			Rule: "too-deep", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: cost,
			What: fmt.Sprintf("Cycle %d was cut %.1f um deep by a print that shows the last %.1f um.", p.cycle, p.depth, p.film),
			Why:  "A mark deeper than the blue can tell goes through the high and digs a low.",
			Next: "Cut about as deep as the film is thick, and less as the points come.",
		})
	})
	each(m.warm, r.Warm, func(cycle int, cost float64) {
		t.lose(faults, Loss{
			Rule: "warm-printed", Cycle: cycle, XMM: mx, YMM: my, Cost: cost,
			What: fmt.Sprintf("Print %d was taken while the part was warmer or colder than the master.", cycle),
			Why:  "Warmth bows the part towards the warm side, and what it prints is not there when it has cooled.",
			Next: "Let the part soak on the plate until both are of one warmth, and print twice alike before you cut.",
		})
	})
	each(m.early, r.Flaked, func(cycle int, cost float64) {
		t.lose(faults, Loss{
			Rule: "flaked-early", Cycle: cycle, XMM: mx, YMM: my, Cost: cost,
			What: "The face was flaked before any print had shown it to be good enough.",
			Why:  "Flaking takes bearing away and hides what is wrong underneath: before acceptance it is concealment.",
			Next: "Bring the face to the target, let it be accepted, and flake then.",
		})
	})
	m.markRim(t)
	// A scraped face is as deep between its points as the target allows.
	before, after := m.begun.depthUM(), m.ended.depthUM()
	if before = math.Max(before, m.target.BareUM[1]); before > 0 && after > before {
		t.lose(faults, Loss{
			Rule: "left-worse", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: r.Worse.cost(after/before - 1),
			What: fmt.Sprintf("The deepest hundredth of the face lies %.0f um and more below the seat; it was %.0f um to begin with.", after, m.begun.depthUM()),
			Why:  "Every low has to be reached by the whole face before it bears.",
			Next: "Cut only where the blue is, and less at a time.",
		})
	}
	// Bringing a form in may tilt the face by as much as it was out of flat.
	if more := m.ended.tiltUM() - m.begun.tiltUM() - m.begun.depthUM(); more > 0 {
		t.lose(faults, Loss{
			Rule: "datum-lost", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: r.Datum.cost(more),
			What: fmt.Sprintf("The face tilts %.0f um against the underside, and it was %.0f um to begin with.", m.ended.tiltUM(), m.begun.tiltUM()),
			Why:  "More came off one end than its form called for, and the part is no longer parallel.",
			Next: "Give both ends the same passes, and look at the size at the four corners.",
		})
	}
}

// markHollows charges the metal that came out of hollows.
func (m *marker) markHollows(t *tally) {
	var taken, hollow float64
	worst := -1
	for n, p := range m.passes {
		if p.breakSkin {
			continue
		}
		taken += p.taken
		hollow += p.inHollows
		if worst < 0 || p.inHollows > m.passes[worst].inHollows {
			worst = n
		}
	}
	if hollow == 0 {
		return
	}
	p := m.passes[worst]
	pct := 100 * hollow / taken
	t.lose(faults, Loss{
		Rule: "hollow-cut", Cycle: p.cycle, XMM: &p.x, YMM: &p.y, Cost: m.rubric.Errors.Hollow.cost(pct),
		What: fmt.Sprintf("%.0f %% of the metal cut came out of hollows, most of it in cycle %d.", pct, p.cycle),
		Why:  "A hollow that is cut moves the finishing line down for the whole face.",
		Next: "Leave bare regions alone until the rest has come down to them.",
	})
}

// markRim charges a rim that was rounded over, or that was left standing.
func (m *marker) markRim(t *tally) {
	mx, my := m.middle()
	r := &m.rubric.Errors
	var rimCells, rimCut, inCells, inCut float64
	for k, is := range m.rim {
		if z := m.heights.Z[k]; z != z {
			continue
		}
		cells, cut := &inCells, &inCut
		if is {
			cells, cut = &rimCells, &rimCut
		}
		*cells++
		if m.touched[k] {
			*cut++
		}
	}
	rimShare, inShare := rimCut/math.Max(1, rimCells), inCut/math.Max(1, inCells)
	if left := inShare - rimShare; left > .2 {
		t.lose(faults, Loss{
			Rule: "rim-left", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: r.RimLeft.cost((left - .2) / .8),
			What: fmt.Sprintf("%.0f %% of the outer 2 mm was cut and %.0f %% of the inside.", 100*rimShare, 100*inShare),
			Why:  "A rim that is left ends by carrying the whole part.",
			Next: "Where the rim is blue, cut it as often as its neighbours: start at the edge, or lift out at it.",
		})
	}
	before, after := m.began.parted, m.ended.parted(m.rim)
	if sank := (after.rimGap - after.insideGap) - math.Max(0, before.rimGap-before.insideGap) - rimFreeUM; sank > 0 && rimShare > 0 {
		t.lose(faults, Loss{
			Rule: "rim-rounded", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: r.RimRounded.cost(sank),
			What: fmt.Sprintf("The outer 2 mm lie %.1f um lower than the inside in the mean.", after.rimGap-after.insideGap),
			Why:  "A rounded rim does not bear, and the part loses the breadth it stands on.",
			Next: "Do not run off the edge under pressure, and leave the rim while it is bare.",
		})
	}
}

// rimFreeUM is how far a rim may sink against the inside without a charge: what
// two faces of the same quality differ by.
const rimFreeUM = 1.0

func (m *marker) markSigned(t *tally, signed bool) {
	if signed {
		return
	}
	mx, my := m.middle()
	t.lose(faults, Loss{
		Rule: "not-signed", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: m.rubric.Errors.NotSigned.cost(1),
		What: "The run was not signed off.", Why: "Knowing when to stop is part of the work.", Next: "Sign off when a print and the instruments say that it is good.",
	})
}
