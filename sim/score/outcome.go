package score

import (
	"fmt"
	"math"
)

// markIdle is for a run in which nothing was cut: what the face was worth is not
// the learner's doing.
func (m *marker) markIdle(t *tally) {
	mx, my := m.middle()
	for f, most := range map[family]float64{outcome: m.rubric.most("outcome"), process: m.rubric.most("process")} {
		t.lost[f] += most
	}
	t.losses = append(t.losses, Loss{
		Rule: "nothing-cut", Cycle: m.cycle(), XMM: mx, YMM: my, Cost: m.rubric.most("outcome") + m.rubric.most("process"),
		What: "No metal was cut.", Why: "A face does not come flat by looking at it.", Next: "Print, and take the blue regions down in rows.",
	})
}

// shape is what the outcome is read from.
type shape struct {
	Figures
	parted
	tilt float64
}

func (m *marker) shape(f rested) shape {
	return shape{f.figures(m.target.FilmUM), f.parted(m.rim), f.tiltUM()}
}

// orZero is a figure, or 0 where it has no meaning.
func orZero(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

func ratio(v, of float64) float64 {
	if of <= 0 {
		return 1
	}
	return v / of
}

// off is how far v lies outside a band.
func off(v float64, band [2]float64) float64 {
	return math.Max(0, math.Max(band[0]-v, v-band[1]))
}

// outcomeCosts are the marks that a face of a shape loses, by rule.
func (m *marker) outcomeCosts(s shape) map[string]float64 {
	o, want := &m.rubric.Outcome, m.target
	cost := map[string]float64{
		"points-few":  o.Points.lost(ratio(orZero(s.PointsPerIn2), want.PointsPerIn2)),
		"bearing-off": o.Bearing.lost(off(orZero(s.AreaPct), want.AreaPct)),
		"edges-off":   o.Edges.lost(s.evenness()),
	}
	if o.Parallel.Marks > 0 {
		cost["not-parallel"] = o.Parallel.lost(s.tilt)
	}
	if s.FrameMin != nil {
		cost["frame-poor"] = o.Frame.lost(ratio(float64(*s.FrameMin), float64(want.FrameMin)))
		cost["frames-uneven"] = o.Evenness.lost(float64(*s.FrameMin) / math.Max(1, float64(*s.FrameMax)))
	}
	if s.BridgedUM != nil && want.BridgedUM > 0 {
		cost["bridged-high"] = o.Bridged.lost(*s.BridgedUM / want.BridgedUM)
	}
	if s.BareRangeUM != nil && want.BareUM[1] > 0 {
		cost["bare-swing"] = o.Bare.lost(off(*s.BareRangeUM, want.BareUM) / want.BareUM[1])
	}
	return cost
}

// scaled is by how much the outcome's losses count: so much that the face as it
// came was worth nothing.
func (m *marker) scaled() float64 {
	lacked := 0.0
	costs := m.outcomeCosts(m.began)
	for _, e := range m.rubric.entries() {
		lacked += costs[e.rule]
	}
	return math.Max(1, math.Min(m.rubric.Outcome.ScaledMost, m.rubric.most("outcome")/math.Max(lacked, 1e-9)))
}

func (m *marker) markOutcome(t *tally) {
	f, want := m.shape(m.ended), m.target
	mx, my := m.middle()
	fx, fy := m.ended.worstFrame()
	k, costs := m.scaled(), m.outcomeCosts(f)
	lose := func(rule string, x, y *float64, what, why, next string) {
		t.lose(outcome, Loss{Rule: rule, Cycle: m.cycle(), XMM: x, YMM: y, Cost: k * costs[rule], What: what, Why: why, Next: next})
	}
	area := orZero(f.AreaPct)
	lose("points-few", mx, my,
		fmt.Sprintf("The face ends with %.1f points per square inch at a %.1f um film; %.0f were asked for.", orZero(f.PointsPerIn2), f.FilmUM, want.PointsPerIn2),
		"Few points carry the whole load, and the face rocks and wears between them.",
		"Read with a leaner film and split the big spots with short, light, crossed marks.")
	if f.FrameMin != nil {
		// What to do in the poorest frame hangs on what it bears: where next to nothing
		// does it is low, and where much does its spots are broad.
		bears := m.ended.bearsNear(fx, fy)
		poor, uneven := "Leave this frame alone and bring the rest of the face down to it.", "Work the frames where points crowd, and skip the bald ones until they take colour."
		if bears >= want.AreaPct[0] {
			poor, uneven = "Split the broad spots of this frame with short crossed marks.", "Work only the frames with few and broad spots, and skip the dense ones for a pass."
		}
		lose("frame-poor", &fx, &fy,
			fmt.Sprintf("The poorest inch frame holds %d points and bears on %.0f %%; %d points were asked for everywhere.", *f.FrameMin, bears, want.FrameMin),
			"A mean hides a bald place, and what slides over it tips into it.",
			poor)
		lose("frames-uneven", &fx, &fy,
			fmt.Sprintf("The inch frames hold from %d to %d points.", *f.FrameMin, *f.FrameMax),
			"Where points crowd, they carry the load of the bare places too and wear first.",
			uneven)
	}
	next, why := "Take very light crossed passes over the tops and make no new deep mark.", "So little bears that the first wear takes it off again."
	if area > want.AreaPct[1] {
		next, why = "Split the broad spots with single marks, one gap wide apart.", "A face that bears nearly everywhere keeps no oil and wrings."
	}
	lose("bearing-off", mx, my,
		fmt.Sprintf("%.1f %% of the face bears at a %.1f um film; %.0f to %.0f %% were asked for.", area, f.FilmUM, want.AreaPct[0], want.AreaPct[1]),
		why, next)
	lose("bridged-high", mx, my,
		fmt.Sprintf("Over the gauge block the middle row swings %.1f um; at most %.1f were asked for.", orZero(f.BridgedUM), want.BridgedUM),
		"Points show that the face fits the master nearby, not that it is flat from end to end.",
		"Go back to rows over the high zones before you bring in points.")
	next = "Lighten the last marks, and let the next passes take the old deep ones out."
	if bare := orZero(f.BareRangeUM); bare < want.BareUM[0] {
		next = "Leave more between the points: this face is close to wringing."
	}
	lose("bare-swing", mx, my,
		fmt.Sprintf("A bare indicator tip swings %.1f um along the middle row; %.0f to %.0f were asked for.", orZero(f.BareRangeUM), want.BareUM[0], want.BareUM[1]),
		"Hollows too deep between the points take the bearing away; none at all hold no oil.", next)
	why, next = f.parted.rimSays()
	lose("edges-off", mx, my, fmt.Sprintf("%.0f %% of the rim bears and %.0f %% of the inside.", 100*f.rimBears, 100*f.insideBears), why, next)
	lose("not-parallel", mx, my,
		fmt.Sprintf("The face tilts %.1f um against the underside.", f.tilt),
		"A flat face at a slope puts everything on it out of line.",
		"Take more passes, not deeper ones, off the end that stands high.")
}
