package validity

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"github.com/before-iron/beforeiron/sim/score"
)

// Thresholds that the marks are held to; where they come from stands in
// sim/score/VALIDITY.md.
const (
	grossAUC   = .95
	subtleAUC  = .85
	leastLower = .75
	leastTau   = .6
	leastHalf  = .9
	leastICC   = .9
	mostSeed   = .2
	leastOrder = .9
	weightStep = .2
)

// Study is what the rows of all trials come to.
type Study struct {
	Seeds int    `json:"seeds"`
	Hands []Hand `json:"hands"`

	Tau        Bounded    `json:"tau_b"`
	Falls      bool       `json:"means_fall"`
	HalvesTau  float64    `json:"halves_tau"`
	HalvesR    float64    `json:"halves_r"`
	Retest     Bounded    `json:"retest_icc"`
	RetestSlip Bounded    `json:"retest_icc_slips"` // among the careful hands alone
	Parts      Components `json:"components"`
	PartsSlip  Components `json:"components_slips"`
	Weights    Weights    `json:"weights"`
	Exploits   Exploits   `json:"exploits"`

	Checks []Check `json:"checks"`
}

// Hand is how one hand fared.
type Hand struct {
	Name     string     `json:"name"`
	Kind     string     `json:"kind"`
	Mean     float64    `json:"mean"`
	SD       float64    `json:"sd"`
	Quarts   [3]float64 `json:"quartiles"`
	Passed   float64    `json:"passed"` // share
	Cycles   float64    `json:"cycles"`
	AUC      Bounded    `json:"auc"`  // careful over it
	Wins     float64    `json:"wins"` // share of parts on which careful has more
	CohenD   float64    `json:"cohen_d"`
	ByFamily []float64  `json:"by_family"` // means
}

// Weights is what a change of one weight by a fifth does to the order of hands.
type Weights struct {
	LeastTau float64  `json:"least_tau"`
	Rule     string   `json:"rule"` // whose weight, changed, gives the least
	Swapped  []string `json:"swapped,omitempty"`
}

// Check is one threshold and whether it is met.
type Check struct {
	What   string  `json:"what"`
	Value  Bounded `json:"value"`
	Wanted string  `json:"wanted"`
	Met    bool    `json:"met"`
}

// Make makes a study of the rows of all trials and the chains of changes.
func Make(seeds int, rows []Row, chains []Chain) (*Study, error) {
	marks := map[string][][]float64{} // by hand: seed, repeat
	byHand := map[string][]Row{}
	for _, h := range Hands() {
		marks[h] = make([][]float64, seeds)
		for s := range seeds {
			marks[h][s] = make([]float64, Repeats)
		}
	}
	for _, r := range rows {
		marks[r.Hand][r.Seed-1][r.Repeat] = r.Total
		byHand[r.Hand] = append(byHand[r.Hand], r)
	}
	for _, h := range Hands() {
		if len(byHand[h]) != seeds*Repeats {
			return nil, fmt.Errorf("%s has %d rows, and %d seeds need %d", h, len(byHand[h]), seeds, seeds*Repeats)
		}
	}
	s := &Study{Seeds: seeds}
	careful := firsts(marks[Careful])
	for _, kind := range []struct {
		name  string
		hands []string
	}{{"slips", Slips}, {"gross", Gross}, {"subtle", Subtle}, {"other", Others}} {
		for _, name := range kind.hands {
			s.Hands = append(s.Hands, describe(name, kind.name, byHand[name], firsts(marks[name]), careful))
		}
	}
	var levels, totals, means []float64
	for n, name := range Slips {
		v := firsts(marks[name])
		for _, total := range v {
			levels = append(levels, -float64(n))
			totals = append(totals, total)
		}
		means = append(means, mean(v))
	}
	s.Tau = TauB(levels, totals)
	s.Falls = slices.IsSortedFunc(means, func(a, b float64) int {
		if a > b {
			return -1
		}
		return 1
	})
	s.halves(marks)
	s.Retest, s.RetestSlip = retest(marks, Hands()), retest(marks, Slips)
	s.Parts, s.PartsSlip = components(layout(marks, Hands())), components(layout(marks, Slips))
	s.Weights = weigh(byHand)
	s.Exploits = summarise(chains, mean(careful), math.Sqrt(variance(careful)))
	for _, r := range byHand[Careful] {
		if r.Passed {
			s.Exploits.CarefulPassing++
			if r.Lacks != "" {
				s.Exploits.CarefulLacking++
			}
		}
	}
	s.check()
	return s, nil
}

// firsts are the marks of the first repeat, by seed.
func firsts(v [][]float64) []float64 {
	out := make([]float64, len(v))
	for k := range v {
		out[k] = v[k][0]
	}
	return out
}

func layout(marks map[string][][]float64, names []string) [][][]float64 {
	var out [][][]float64
	for _, n := range names {
		out = append(out, marks[n])
	}
	return out
}

func describe(name, kind string, rows []Row, v, careful []float64) Hand {
	h := Hand{Name: name, Kind: kind, Mean: mean(v), SD: math.Sqrt(variance(v)), AUC: AUC(careful, v), CohenD: CohenD(careful, v)}
	for k, q := range []float64{.25, .5, .75} {
		h.Quarts[k] = quantile(v, q)
	}
	sums, n := make([]float64, len(Families)), make([]float64, len(Families))
	for _, r := range rows {
		if r.Passed {
			h.Passed += 1 / float64(len(rows))
		}
		h.Cycles += float64(r.Cycles) / float64(len(rows))
	}
	for seed, total := range v {
		f := seed % len(Families)
		sums[f] += total
		n[f]++
		switch {
		case careful[seed] > total:
			h.Wins += 1 / float64(len(v))
		case careful[seed] == total:
			h.Wins += .5 / float64(len(v))
		}
	}
	for f := range sums {
		h.ByFamily = append(h.ByFamily, sums[f]/math.Max(1, n[f]))
	}
	return h
}

// halves compares the means of hands between two halves of the parts, with as
// many of each family in both.
func (s *Study) halves(marks map[string][][]float64) {
	var a, b []float64
	for _, h := range Hands() {
		var half [2][]float64
		for seed, reps := range marks[h] {
			n := seed / len(Families) % 2
			half[n] = append(half[n], reps[0])
		}
		if len(half[1]) == 0 {
			half[1] = half[0]
		}
		a, b = append(a, mean(half[0])), append(b, mean(half[1]))
	}
	s.HalvesTau, s.HalvesR = TauB(a, b).Value, Pearson(a, b)
}

func retest(marks map[string][][]float64, names []string) Bounded {
	var all [][]float64
	for _, h := range names {
		all = append(all, marks[h]...)
	}
	return ICC(all)
}

// weigh changes the weight of each rule by a fifth either way and looks how far
// the order of the hands' means holds.
func weigh(byHand map[string][]Row) Weights {
	rules := map[string]bool{}
	lost := map[string]map[string]float64{} // mean, by hand and rule
	for h, rows := range byHand {
		lost[h] = map[string]float64{}
		for _, r := range rows {
			for rule := range r.Lost {
				rules[rule] = true
			}
		}
	}
	var names []string
	for rule := range rules {
		names = append(names, rule)
	}
	sort.Strings(names)
	for h, rows := range byHand {
		for _, rule := range names {
			for _, r := range rows {
				lost[h][rule] += r.Lost[rule] / float64(len(rows))
			}
		}
	}
	order := func(changed string, by float64) []float64 {
		var out []float64
		for _, h := range Hands() {
			sum := 0.0
			for _, rule := range names {
				w := 1.0
				if rule == changed {
					w += by
				}
				sum -= w * lost[h][rule]
			}
			out = append(out, sum)
		}
		return out
	}
	plain := order("", 0)
	w := Weights{LeastTau: 1}
	for _, rule := range names {
		for _, by := range []float64{-weightStep, weightStep} {
			now := order(rule, by)
			if tau := TauB(plain, now).Value; tau < w.LeastTau {
				w.LeastTau, w.Rule, w.Swapped = tau, fmt.Sprintf("%s %+.0f %%", rule, 100*by), swaps(plain, now)
			}
		}
	}
	return w
}

// swaps names the pairs of hands whose order differs.
func swaps(a, b []float64) (out []string) {
	names := Hands()
	for i := range a {
		for j := range i {
			if sign(a[i]-a[j])*sign(b[i]-b[j]) < 0 {
				out = append(out, names[j]+" and "+names[i])
			}
		}
	}
	return out
}

func (s *Study) add(what string, v Bounded, wanted string, met bool) {
	s.Checks = append(s.Checks, Check{what, v, wanted, met})
}

func alone(v float64) Bounded { return Bounded{v, v, v} }

func (s *Study) check() {
	for _, h := range s.Hands {
		least := map[string]float64{"gross": grossAUC, "subtle": subtleAUC}[h.Kind]
		if least > 0 {
			s.add("careful over "+h.Name+", AUC", h.AUC, fmt.Sprintf("at least %.2f, lower bound above %.2f", least, leastLower),
				h.AUC.Value >= least && h.AUC.Lower > leastLower)
		}
	}
	falls := 0.0
	if s.Falls {
		falls = 1
	}
	s.add("means fall strictly with slips", alone(falls), "1", s.Falls)
	s.add("slips and marks, tau-b", s.Tau, fmt.Sprintf("at least %.1f", leastTau), s.Tau.Value >= leastTau)
	s.add("order of hands in two halves of the parts, tau", alone(s.HalvesTau), fmt.Sprintf("at least %.1f", leastHalf), s.HalvesTau >= leastHalf)
	s.add("same hand and part, other scatter, ICC(1,1)", s.Retest, fmt.Sprintf("at least %.1f", leastICC), s.Retest.Value >= leastICC)
	s.add("share of the part in the variance", alone(s.Parts.Seed), fmt.Sprintf("at most %.1f", mostSeed), s.Parts.Seed <= mostSeed)
	s.add("order of hands, any weight changed by a fifth, least tau", alone(s.Weights.LeastTau), fmt.Sprintf("at least %.1f", leastOrder), s.Weights.LeastTau >= leastOrder)
	e := s.Exploits
	// A run that fails the gate has no economy, so it is held against what the careful
	// hand has at the least without it: against the whole mean it could hardly fail.
	economy := score.Standard().Economy
	bare := e.CarefulMean - economy.Cycles.Marks - economy.Strokes.Marks - economy.Metal.Marks
	s.add(fmt.Sprintf("best of %d changed runs that fail the gate", e.Tried), alone(e.BestFailing),
		fmt.Sprintf("below %.1f, careful's mean less all of economy", bare), e.BestFailing < bare)
	s.add(fmt.Sprintf("exploits among %d changed runs that pass the gate", e.Passing), alone(float64(e.Lacking+e.Above)), "0", e.Lacking+e.Above == 0)
}

// Text is the study in plain lines.
func (s *Study) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d parts, %d hands, %d scatters each; every threshold and every pass mark is provisional\n\n", s.Seeds, len(s.Hands), Repeats)
	fmt.Fprintf(&b, "%-15s %-7s %7s %6s  %-20s %6s %6s  %-21s %5s %6s  %s\n", "hand", "kind", "mean", "sd", "quartiles", "passed", "cycles", "AUC, 95 %", "wins", "d", "means by family")
	for _, h := range s.Hands {
		fmt.Fprintf(&b, "%-15s %-7s %7.1f %6.1f  %6.1f %6.1f %6.1f %5.0f%% %6.1f  %.3f %.3f to %.3f %4.0f%% %6.2f ", h.Name, h.Kind, h.Mean, h.SD,
			h.Quarts[0], h.Quarts[1], h.Quarts[2], 100*h.Passed, h.Cycles, h.AUC.Value, h.AUC.Lower, h.AUC.Upper, 100*h.Wins, h.CohenD)
		for _, m := range h.ByFamily {
			fmt.Fprintf(&b, " %6.1f", m)
		}
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "\nfamilies: %s\n\n", strings.Join(Families, ", "))
	for _, c := range []struct {
		who string
		c   Components
	}{{"all hands", s.Parts}, {"careful hands", s.PartsSlip}} {
		fmt.Fprintf(&b, "variance, %s: hand %.3f, part %.3f, hand and part %.3f, scatter %.3f; parts for .8: %.0f\n", c.who, c.c.Hand, c.c.Seed, c.c.HandSeed, c.c.Scatter, c.c.PartsFor80)
	}
	fmt.Fprintf(&b, "halves: r %.3f\n", s.HalvesR)
	fmt.Fprintf(&b, "same hand and part, other scatter, among the careful hands alone: ICC(1,1) %.3f (%.3f to %.3f); no threshold was set for it\n", s.RetestSlip.Value, s.RetestSlip.Lower, s.RetestSlip.Upper)
	if s.Weights.Rule != "" {
		fmt.Fprintf(&b, "weights: the least by %s, which swaps %s\n", s.Weights.Rule, strings.Join(s.Weights.Swapped, "; "))
	}
	e := s.Exploits
	fmt.Fprintf(&b, "changed runs: %d tried; best that failed the gate %.1f (%s)\n", e.Tried, e.BestFailing, e.From)
	fmt.Fprintf(&b, "%d passed it, the best with %.1f; measured anew %d of them miss the target, and %d have more than %.1f marks\n", e.Passing, e.BestPassing, e.Lacking, e.Above, e.Limit)
	for _, h := range chainHands {
		if n := e.PassingFrom[h]; n > 0 {
			fmt.Fprintf(&b, "  %d began as runs of %s\n", n, h)
		}
	}
	for _, l := range e.Lacks {
		fmt.Fprintf(&b, "  %s\n", l)
	}
	fmt.Fprintf(&b, "of the careful hand's own runs %d pass, and %d of them miss the target when measured anew\n\n", e.CarefulPassing, e.CarefulLacking)
	failed := 0
	for _, c := range s.Checks {
		met := "met"
		if !c.Met {
			met = "NOT MET"
			failed++
		}
		value := fmt.Sprintf("%.3f", c.Value.Value)
		if c.Value.Lower != c.Value.Upper {
			value += fmt.Sprintf(" (%.3f to %.3f)", c.Value.Lower, c.Value.Upper)
		}
		fmt.Fprintf(&b, "%-7s  %-55s %-24s wanted %s\n", met, c.What, value, c.Wanted)
	}
	fmt.Fprintf(&b, "\n%d of %d thresholds met\n", len(s.Checks)-failed, len(s.Checks))
	return b.String()
}

// Rubric by which a study marks.
type Rubric = score.Rubric
