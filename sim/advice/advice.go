// Package advice says during practice what a teacher at the bench would: what
// happened and why it matters, and what to try next. It looks at what the learner
// sees, acts, readings and instruments, and never at the truth. Advice fades as the
// learner foresees prints, and is silent while a scored attempt is open.
package advice

import (
	"fmt"

	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// Advice is one thing to say, in two sentences: Happened with the reason why it
// matters, and Try, one thing to do next.
type Advice struct {
	ID       string
	Rule     int // of the trade's rules of practice, 1 to 40; see Rules
	Cycle    int
	Happened string
	Try      string
}

// Text is the advice as it is said.
func (a Advice) Text() string { return a.Happened + " " + a.Try }

// Rule is one of the rules of practice by which a face is worked.
type Rule struct {
	N    int
	ID   string // of the check that watches it; empty where the model cannot see it
	Says string
}

// Rules are the forty rules of practice, and which of them are watched. They are
// common practice of the trade, in our words.
var Rules = []Rule{
	{1, "skin-first", "Break a machined skin with crossed rows over the whole face before any print is trusted."},
	{2, "rows-first", "Under three points to the square inch, take the blue regions down in rows; do not dot."},
	{3, "hollow-middle", "Blue at both ends alone is a hollow: work the ends, nothing in the middle."},
	{4, "crown-ends", "Blue in the middle alone is a crown: work the middle, leave the ends."},
	{5, "edge-only", "Blue along one edge: work that edge, feathered inwards, and not the far side."},
	{6, "twist-corners", "Blue on two opposite corners is a twist: work both alike."},
	{7, "hinge-form", "A hinge nearer the end than even pressure puts it is a hollow, nearer the middle a crown."},
	{8, "hinge-even", "Even hinge and blue all over: go to semi-finish."},
	{9, "cross", "Never two passes the same way."},
	{10, "blunt", "Marks of uneven depth mean a blunt blade: hone it."},
	{11, "ripple", "At a ripple lower the handle, turn, hone; do not press harder."},
	{12, "stone", "A print over burrs is no print."},
	{13, "old-film", "Roll afresh before you read."},
	{14, "blue-all-over", "Blue all over at once: suspect the film."},
	{15, "long-rub", "Rub short when finishing."},
	{16, "press", "Print under the part's own weight."},
	{17, "off-plate", "Keep the part on the plate."},
	{18, "warm", "Let part and plate come to one temperature before a print is believed."},
	{19, "disagree", "Two prints of one state disagree: cure the cause, cut nothing."},
	{20, "split", "Cut a broad patch two or three times across."},
	{21, "spare-faint", "When finishing, cut the strongest spots and spare the faint."},
	{22, "bare", "When finishing, never cut bare metal."},
	{23, "dense-frames", "Where points crowd, skip a pass and work the sparse frames."},
	{24, "stall", "When points stand still, shorten the marks and lighten the cut."},
	{25, "fell", "When points fall after a pass, halve the depth."},
	{26, "thin-bearing", "Enough points but little bearing: only light passes over the tops."},
	{27, "broad-bearing", "Much bearing in few patches: split them."},
	{28, "geometry", "Good points over a bad form: form first."},
	{29, "rim", "Cut a blue rim as often as its neighbours, and leave a bare one."},
	{30, "low-third", "Leave the lowest third until the rest has come down."},
	{31, "more-passes", "To drop one end more, add passes and not depth."},
	{32, "same-groove", "Never cut along the same groove twice in one pass."},
	{33, "stop", "When mean and poorest frame pass, stop."},
	{34, "", "Fit the cheaper part to the finished datum."},
	{35, "", "With three plates, change the reference every round."},
	{36, "supports", "Support a long part as it will be in use."},
	{37, "clamped", "Print unclamped."},
	{38, "thin", "On a thin part blue alone lies."},
	{39, "flake-early", "Flake after acceptance only."},
	{40, "rate", "A falling rate of gain is the sign to change stage."},
}

// More are checks on what no rule of the forty names.
var More = []Rule{
	{0, "wipe", "Wipe part and plate before every print."},
	{0, "stoned-long", "Stone the burrs off and no more."},
}

// Unseen says why a rule without a check has none, by its number.
var Unseen = map[int]string{
	34: "one part is worked on one master, and neither is the dearer partner of a pair",
	35: "one part is worked on one master, and three plates are not in the model",
}

// Coach follows a run and decides what to say, and when.
type Coach struct {
	watch
	right int // predictions right in a row
	asked *run.Predict
	given map[string]int // cycle in which an advice was last given
	all   []Advice       // everything that was noticed
}

// NewCoach follows a run from its start. One that is to know a run that was begun
// before sees its acts again, each as it is done again.
func NewCoach() *Coach { return &Coach{given: map[string]int{}} }

// Trust tells of a learner who foresaw so many prints in a row up to now, whatever
// those of this run were.
func (c *Coach) Trust(right int) { c.right = right }

// Right is how many prints in a row the learner has foreseen.
func (c *Coach) Right() int { return c.right }

// How often a coach speaks: always, until two predictions in a row were right; on
// every second cycle until four; then only at the end.
const (
	halfFrom = 2
	endFrom  = 4
	// again is after how many cycles the same thing may be said again.
	again = 3
)

// See takes in an act that was done and returns what is to be said now: one
// advice at the most, none in a scored attempt that is open, and after sign-off the
// three that came up most.
func (c *Coach) See(r *run.Run, e *run.Entry) []Advice {
	if e.Act.Predict != nil {
		c.asked = e.Act.Predict
	}
	if e.Out.Print != nil && c.asked != nil {
		reading, _ := r.Reading()
		if score.Foresaw(*c.asked, reading).Right {
			c.right++
		} else {
			c.right = 0
		}
		c.asked = nil
	}
	found := c.notice(r, e)
	c.all = append(c.all, found...)
	if e.Act.SignOff != nil {
		return c.Summary(3)
	}
	if r.Header().Setup.Scored || c.right >= endFrom || c.right >= halfFrom && r.Prints()%2 == 1 {
		return nil
	}
	for _, a := range found {
		if last, said := c.given[a.ID]; !said || a.Cycle >= last+again {
			c.given[a.ID] = a.Cycle
			return []Advice{a}
		}
	}
	return nil
}

// Summary is what came up most, at the most so many, each with how often.
func (c *Coach) Summary(most int) []Advice {
	var kinds []Advice
	times := map[string]int{}
	for _, a := range c.all {
		if times[a.ID]++; times[a.ID] == 1 {
			kinds = append(kinds, a)
		}
	}
	var out []Advice
	for range most {
		best := -1
		for k, a := range kinds {
			if times[a.ID] > 0 && (best < 0 || times[a.ID] > times[kinds[best].ID]) {
				best = k
			}
		}
		if best < 0 {
			break
		}
		a := kinds[best]
		if n := times[a.ID]; n > 1 {
			a.Happened = fmt.Sprintf("%d times, first in cycle %d: %s", n, a.Cycle, a.Happened)
		}
		out = append(out, a)
		times[a.ID] = 0
	}
	return out
}
