package score

import (
	_ "embed"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/goccy/go-yaml"

	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/strict"
)

// Rubric is what a run is marked by: how many marks each thing is worth, and
// where it earns all of them and none. It is data, so that a teacher can write
// another; standard.yaml beside this file is the one that comes with the program
// and tells what every field is measured in.
type Rubric struct {
	Name    string  `yaml:"name"`
	Outcome Outcome `yaml:"outcome"`
	Process Process `yaml:"process"`
	Gate    Gate    `yaml:"gate"`
	Economy Economy `yaml:"economy"`
	Errors  Errors  `yaml:"errors"`
	Insight Insight `yaml:"insight"`
}

// Scale is worth Marks, none of which are lost at Full and all at None.
type Scale struct {
	Marks float64 `yaml:"marks"`
	Full  float64 `yaml:"full"`
	None  float64 `yaml:"none"`
}

// lost is how many of the marks are lost at v.
func (s Scale) lost(v float64) float64 { return s.Marks * (1 - share(v, s.None, s.Full)) }

// Charge costs Each, and Most at the most.
type Charge struct {
	Each float64 `yaml:"each"`
	Most float64 `yaml:"most"`
}

// cost of so many.
func (c Charge) cost(n float64) float64 { return math.Max(0, math.Min(c.Most, c.Each*n)) }

// Outcome is the face that was left.
type Outcome struct {
	Points     Scale   `yaml:"points"`
	Frame      Scale   `yaml:"frame"`
	Evenness   Scale   `yaml:"evenness"`
	Bearing    Scale   `yaml:"bearing"`
	Bridged    Scale   `yaml:"bridged"`
	Bare       Scale   `yaml:"bare"`
	Edges      Scale   `yaml:"edges"`
	Parallel   Scale   `yaml:"parallel"`
	ScaledMost float64 `yaml:"scaled_most"`
}

// Process is how it was made.
type Process struct {
	Highs   Scale  `yaml:"highs"`
	Reached Scale  `yaml:"reached"`
	Fitted  Scale  `yaml:"fitted"`
	Crossed Charge `yaml:"crossed"`
	Stoned  Charge `yaml:"stoned"`
	Checked Charge `yaml:"checked"`
	Stopped Charge `yaml:"stopped"`
}

// Gate is what must be before economy counts.
type Gate struct {
	Target bool `yaml:"target"`
	Signed bool `yaml:"signed"`
}

// Economy is what it took.
type Economy struct {
	Cycles  Scale `yaml:"cycles"`
	Strokes Scale `yaml:"strokes"`
	Metal   Scale `yaml:"metal"`
}

// Errors cost marks below zero.
type Errors struct {
	NewLow     Charge `yaml:"new_low"`
	Hollow     Charge `yaml:"hollow"`
	TooDeep    Charge `yaml:"too_deep"`
	RimRounded Charge `yaml:"rim_rounded"`
	RimLeft    Charge `yaml:"rim_left"`
	Datum      Charge `yaml:"datum"`
	Worse      Charge `yaml:"worse"`
	Warm       Charge `yaml:"warm"`
	Flaked     Charge `yaml:"flaked_early"`
	NotSigned  Charge `yaml:"not_signed"`
}

// Insight is what the learner foresaw and knew.
type Insight struct {
	Counted   bool  `yaml:"counted"`
	Overlap   Scale `yaml:"overlap"`
	Certainty Scale `yaml:"certainty"`
	Declared  Scale `yaml:"declared"`
}

//go:embed standard.yaml
var standardYAML []byte

var standard = func() *Rubric {
	r, err := ParseRubric("standard.yaml", standardYAML)
	if err != nil {
		panic(err)
	}
	return r
}()

// Standard is the rubric that comes with the program.
func Standard() *Rubric {
	r := *standard
	return &r
}

// Of is the rubric by which a job is marked: its own, or the standard one.
func Of(s run.Setup) (*Rubric, error) {
	if s.Rubric == "" {
		return Standard(), nil
	}
	return ParseRubric("the rubric of the run", []byte(s.Rubric))
}

// YAML is the rubric as ParseRubric reads it.
func (r *Rubric) YAML() (string, error) {
	b, err := yaml.Marshal(r)
	return string(b), err
}

// ParseRubric reads a rubric and refuses nonsense. Errors are one line that says
// what is wrong, where, and how to mend it.
func ParseRubric(name string, content []byte) (*Rubric, error) {
	r := &Rubric{}
	if err := strict.YAML("rubric", name, content, nil, r); err != nil {
		return nil, err
	}
	if err := r.Check(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return r, nil
}

// entry is one line of a rubric: a scale or a charge, what it is called in
// losses, and in words what it measures.
type entry struct {
	family, field, rule string
	scale               *Scale
	charge              *Charge
	says                string
	lo, hi              float64 // bounds of full and none
	falls               bool    // less is better: full lies below none
}

// entries of the rubric, in its order.
func (r *Rubric) entries() []entry {
	o, p, e, f, i := &r.Outcome, &r.Process, &r.Economy, &r.Errors, &r.Insight
	return []entry{
		{"outcome", "points", "points-few", &o.Points, nil, "points per square inch, as a share of the target", 0, 5, false},
		{"outcome", "frame", "frame-poor", &o.Frame, nil, "points in the poorest inch frame, as a share of the target", 0, 5, false},
		{"outcome", "evenness", "frames-uneven", &o.Evenness, nil, "points of the poorest inch frame over those of the richest", 0, 1, false},
		{"outcome", "bearing", "bearing-off", &o.Bearing, nil, "per cent of the face by which bearing lies outside its band", 0, 100, true},
		{"outcome", "bridged", "bridged-high", &o.Bridged, nil, "range over the gauge block, in targets", 0, 100, true},
		{"outcome", "bare", "bare-swing", &o.Bare, nil, "range of the bare tip outside its band, in the band's upper bounds", 0, 100, true},
		{"outcome", "edges", "edges-off", &o.Edges, nil, "bearing of the outer 2 mm over that of the inside, or the reverse, the smaller", 0, 1, false},
		{"outcome", "parallel", "not-parallel", &o.Parallel, nil, "um by which the seat tilts against the underside, from end to end", 0, 1e6, true},
		{"process", "highs", "cut-beside-highs", &p.Highs, nil, "share of the metal cut that stood on real highs", 0, 1, false},
		{"process", "reached", "spots-missed", &p.Reached, nil, "share of the marked spots that were cut into", 0, 1, false},
		{"process", "fitted", "ill-fitted", &p.Fitted, nil, "share of the passes cut 0.4 to 1.5 of the film deep by a print that was not blue all over", 0, 1, false},
		{"process", "crossed", "not-crossed", nil, &p.Crossed, "pass within 30 degrees of the one before", 0, 0, false},
		{"process", "stoned", "burr-printed", nil, &p.Stoned, "print over unstoned burrs", 0, 0, false},
		{"process", "checked", "check-left-out", nil, &p.Checked, "check left out after the last cut: block or indicator; a second print with the part turned; the hinge at both ends where a part may bend, bow or tip", 0, 0, false},
		{"process", "stopped", "stopped-late", nil, &p.Stopped, "cycle after the first print of a face on target, one for confirming it left out", 0, 0, false},
		{"economy", "cycles", "many-cycles", &e.Cycles, nil, "prints", 0, 1e4, true},
		{"economy", "strokes", "many-strokes", &e.Strokes, nil, "strokes to the square inch", 0, 1e6, true},
		{"economy", "metal", "much-metal", &e.Metal, nil, "um that the face sank in the mean beyond the least that had to go", 0, 1e6, true},
		{"errors", "new_low", "new-low", nil, &f.NewLow, "per cent of the face dug into new lows deeper than the target lets a face be", 0, 0, false},
		{"errors", "hollow", "hollow-cut", nil, &f.Hollow, "per cent of the metal cut that came out of hollows", 0, 0, false},
		{"errors", "too_deep", "too-deep", nil, &f.TooDeep, "pass deeper than twice the film of its print", 0, 0, false},
		{"errors", "rim_rounded", "rim-rounded", nil, &f.RimRounded, "um by which the outer 2 mm sank against the inside", 0, 0, false},
		{"errors", "rim_left", "rim-left", nil, &f.RimLeft, "all of the outer 2 mm left while the inside was cut", 0, 0, false},
		{"errors", "datum", "datum-lost", nil, &f.Datum, "um of tilt against the underside beyond what the face was out of flat", 0, 0, false},
		{"errors", "worse", "left-worse", nil, &f.Worse, "a deepest hundredth twice as far below the seat as it was, or as the bare tip may swing", 0, 0, false},
		{"errors", "warm", "warm-printed", nil, &f.Warm, "print of a part half a kelvin or more warmer or colder than the master", 0, 0, false},
		{"errors", "flaked_early", "flaked-early", nil, &f.Flaked, "flaking before a print was good enough", 0, 0, false},
		{"errors", "not_signed", "not-signed", nil, &f.NotSigned, "a run that is not signed off", 0, 0, false},
		{"insight", "overlap", "foresaw", &i.Overlap, nil, "overlap over union of the places predicted and those that took colour, in the mean", 0, 1, false},
		{"insight", "certainty", "sure", &i.Certainty, nil, "certainty 1, 2, 3: so much when right, 0, -2, -6 when wrong, in the mean", -6, 3, false},
		{"insight", "declared", "declared", &i.Declared, nil, "mean error of what was declared, as a share of what is", 0, 10, true},
	}
}

// Most is the most that a family of scales and bounded charges can give: of
// outcome, process and economy together 100.
func (r *Rubric) most(family string) float64 {
	sum := 0.0
	for _, e := range r.entries() {
		switch {
		case e.family != family:
		case e.scale != nil:
			sum += e.scale.Marks
		default:
			sum += e.charge.Most
		}
	}
	return sum
}

// Check reports the first thing in which a rubric makes no sense.
func (r *Rubric) Check() error {
	if n := len(strings.TrimSpace(r.Name)); n == 0 || n > 40 {
		return errors.New("name: give the rubric a name of at most 40 characters")
	}
	for _, e := range r.entries() {
		at := e.family + ": " + e.field
		if s := e.scale; s != nil {
			switch {
			case !(s.Marks >= 0 && s.Marks <= 100):
				return fmt.Errorf("%s: marks is %g: give 0 to 100", at, s.Marks)
			case !(s.Full >= e.lo && s.Full <= e.hi && s.None >= e.lo && s.None <= e.hi):
				return fmt.Errorf("%s: full is %g and none %g: give %g to %g (%s)", at, s.Full, s.None, e.lo, e.hi, e.says)
			case e.falls && s.Full >= s.None:
				return fmt.Errorf("%s: full is %g and none %g: less is better here, so full must be below none", at, s.Full, s.None)
			case !e.falls && s.Full <= s.None:
				return fmt.Errorf("%s: full is %g and none %g: more is better here, so full must be above none", at, s.Full, s.None)
			}
			continue
		}
		if c := e.charge; !(c.Each >= 0 && c.Most >= 0 && c.Most <= 100 && c.Each <= 100) {
			return fmt.Errorf("%s: each is %g and most %g: give 0 to 100", at, c.Each, c.Most)
		} else if (c.Each == 0) != (c.Most == 0) {
			return fmt.Errorf("%s: each is %g and most %g: give both, or 0 for both to leave it out", at, c.Each, c.Most)
		}
	}
	outcome, process, economy := r.most("outcome"), r.most("process"), r.most("economy")
	switch sum := outcome + process + economy; {
	case math.Abs(sum-100) > 1e-6:
		return fmt.Errorf("outcome (%g), process (%g) and economy (%g) come to %g marks: make them 100", outcome, process, economy, sum)
	case outcome < 50:
		return fmt.Errorf("outcome is worth %g marks: give it 50 or more, for a face that does not bear is not a face", outcome)
	case economy > 25:
		return fmt.Errorf("economy is worth %g marks: give it 25 at the most, or haste pays", economy)
	case economy > 0 && !r.Gate.Target:
		return errors.New("gate: target is false: economy must wait for the target, or doing next to nothing pays")
	case r.most("insight") > 20:
		return fmt.Errorf("insight is worth %g marks: give it 20 at the most", r.most("insight"))
	case !(r.Outcome.ScaledMost >= 1 && r.Outcome.ScaledMost <= 10):
		return fmt.Errorf("outcome: scaled_most is %g: give 1 (never) to 10", r.Outcome.ScaledMost)
	case r.Errors.Worse.Most == 0:
		return errors.New("errors: worse is left out: a part that is spoilt must cost marks")
	}
	return nil
}

// Formula says in plain lines how a rubric makes marks, for the window and the
// docs.
func (r *Rubric) Formula() string {
	var b strings.Builder
	fmt.Fprintf(&b, "total = outcome + process + economy + errors, -100 to 100\n")
	heads := map[string]string{
		"outcome": fmt.Sprintf("outcome, %g: what the face lacked as it came is what there is to win (losses times up to %g)", r.most("outcome"), r.Outcome.ScaledMost),
		"process": fmt.Sprintf("process, %g", r.most("process")),
		"economy": fmt.Sprintf("economy, %g, behind the gate: %s", r.most("economy"), r.gateWords()),
		"errors":  "errors, below zero",
		"insight": "insight, beside the total: 0 when nothing was predicted or declared",
	}
	if r.Insight.Counted {
		heads["insight"] = "insight, added to the total: 0 when nothing was predicted or declared"
	}
	family := ""
	for _, e := range r.entries() {
		if e.family != family {
			family = e.family
			fmt.Fprintf(&b, "%s\n", heads[family])
		}
		switch {
		case e.scale != nil && e.scale.Marks > 0:
			fmt.Fprintf(&b, "  %-16s %4g  all at %g, none at %g: %s\n", e.rule, e.scale.Marks, e.scale.Full, e.scale.None, e.says)
		case e.charge != nil && e.charge.Most > 0:
			most := e.charge.Most
			if family == "errors" {
				most = -most
			}
			fmt.Fprintf(&b, "  %-16s %4g  %g lost each: %s\n", e.rule, most, e.charge.Each, e.says)
		}
	}
	return b.String()
}

func (r *Rubric) gateWords() string {
	switch {
	case r.Gate.Target && r.Gate.Signed:
		return "signed off, and every figure of the target met"
	case r.Gate.Target:
		return "every figure of the target met"
	case r.Gate.Signed:
		return "signed off"
	}
	return "none"
}
