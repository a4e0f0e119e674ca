package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sort"
	"time"

	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

type replayCommand struct {
	File   string `arg:"" name:"run" help:"Run to make again."`
	Rubric string `placeholder:"FILE" help:"Rubric to mark by; see beforeiron rubric."`
	JSON   bool   `name:"json" help:"Print JSON."`
}

func (c *replayCommand) Run(s streams) error {
	l, err := readRun(s, c.File)
	if err != nil {
		return err
	}
	rubric, err := rubricFor(c.Rubric, l)
	if err != nil {
		return err
	}
	report, err := rubric.Mark(l, nil)
	if err != nil {
		return c.unmarked(s, l, err)
	}
	if l.Seal == nil {
		s.remark("%s: it has no seal, so there is no digest to hold its heights against; its acts come out as recorded", c.File)
	}
	return tell(s, report, c.JSON)
}

// tell prints a report as JSON or for people.
func tell(s streams, r *score.Report, asJSON bool) error {
	if !asJSON {
		return printReport(s.out, r)
	}
	// An empty list is [] and not null.
	out := *r
	out.PerCycle = append([]score.Figures{}, r.PerCycle...)
	out.Losses = append([]score.Loss{}, r.Losses...)
	return printJSON(s.out, &out)
}

// unread is what can be said of a run that was not, or cannot be, made again:
// what its lines record.
type unread struct {
	OK            bool            `json:"ok"`
	Digest        *string         `json:"digest"`
	Lesson        *string         `json:"lesson"`
	Seed          uint64          `json:"seed"`
	Hand          *string         `json:"hand"`
	Cycles        int             `json:"cycles"`
	Strokes       int             `json:"strokes"`
	SecondsOnIron float64         `json:"seconds_on_iron"`
	Final         *score.Figures  `json:"final"`
	PerCycle      []score.Figures `json:"per_cycle"`
	Marks         json.RawMessage `json:"marks"`
	Losses        []score.Loss    `json:"losses"`
	Why           string          `json:"why"`
}

// unmarked says why a run has no marks, with the recorded ones where it is only of
// another physics version.
func (c *replayCommand) unmarked(s streams, l *run.Log, cause error) error {
	err := replayError(c.File, l, cause)
	if _, answer := err.(*no); !answer || errors.Is(cause, run.ErrLocked) {
		return err
	}
	u := unread{Lesson: named(l.Header.Lesson), Seed: l.Header.PartSeed, Hand: named(l.Header.Hand), Cycles: printsIn(l), Why: err.Error()}
	for _, e := range l.Entries {
		u.Strokes += e.Out.Laid
		u.SecondsOnIron += float64(e.Out.MS) / 1000
	}
	var marks marksRead
	if errors.Is(cause, run.ErrOtherPhysics) && l.Seal != nil {
		u.Digest = &l.Seal.Digest
		if json.Unmarshal(l.Seal.Marks, &marks) == nil {
			u.Final, u.Marks, u.Losses = marks.Final, marks.Marks, marks.Losses
		}
	}
	if c.JSON {
		if e := printJSON(s.out, u); e != nil {
			return e
		}
		return err
	}
	if u.Final != nil {
		fmt.Fprintln(s.out, "Recorded when it was sealed, and not re-checked:")
		t := newTable(s.out)
		printFigures(t, *u.Final)
		var families map[string]any
		if json.Unmarshal(u.Marks, &families) == nil {
			for _, name := range sortedKeys(families) {
				t.row(name, families[name])
			}
		}
		if e := t.end(); e != nil {
			return e
		}
	}
	return err
}

// marksRead is score.Recorded, as a program of any version may have written it.
type marksRead struct {
	Final  *score.Figures  `json:"final"`
	Marks  json.RawMessage `json:"marks"`
	Losses []score.Loss    `json:"losses"`
}

func named(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func sortedKeys(m map[string]any) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// printReport is a report for people.
func printReport(w io.Writer, r *score.Report) error {
	t := newTable(w)
	if r.Lesson != nil {
		t.row("lesson", *r.Lesson)
	}
	t.row("seed", r.Seed)
	if r.Hand != nil {
		t.row("hand", *r.Hand)
	}
	t.row("cycles", r.Cycles)
	t.row("strokes", r.Strokes)
	t.row("time on iron", time.Duration(r.SecondsOnIron*float64(time.Second)).Round(time.Minute))
	t.row("digest", r.Digest)
	printFigures(t, r.Final)
	passed := "not passed"
	if r.Marks.Passed {
		passed = "passed"
	}
	t.row("marks", r.Marks.Total, passed)
	t.row("", fmt.Sprintf("outcome %s, process %s, economy %s, errors %s",
		decimal(r.Marks.Outcome), decimal(r.Marks.Process), decimal(r.Marks.Economy), decimal(r.Marks.Errors)))
	if r.Marks.Insight != 0 {
		t.row("", "insight "+decimal(r.Marks.Insight)+", beside the total")
	}
	if err := t.end(); err != nil {
		return err
	}
	printLosses(w, r.Losses)
	return nil
}

func printFigures(t table, f score.Figures) {
	t.row(fmt.Sprintf("bearing at %g um", f.FilmUM), f.AreaPct, "% of the face")
	t.row("points per square inch", f.PointsPerIn2, inFrames(f.FrameMin, f.FrameMax))
	t.row("bare tip", f.BareRangeUM, "um range")
	t.row("over the block", f.BridgedUM, "um range")
	t.row("flatness", f.MinimumZoneUM, fmt.Sprintf("um minimum zone, %s um least squares", show(f.LSTotalUM)))
	t.row("new lows", f.NewLows)
}

// printLosses tells each rule that cost marks once, by its dearest loss.
func printLosses(w io.Writer, losses []score.Loss) {
	type kind struct {
		worst score.Loss
		n     int
		cost  float64
	}
	var kinds []*kind
	byRule := map[string]*kind{}
	for _, l := range losses {
		k := byRule[l.Rule]
		if k == nil {
			k = &kind{worst: l}
			byRule[l.Rule] = k
			kinds = append(kinds, k)
		}
		k.n++
		k.cost += l.Cost
		if l.Cost > k.worst.Cost {
			k.worst = l
		}
	}
	sort.SliceStable(kinds, func(a, b int) bool { return kinds[a].cost > kinds[b].cost })
	for _, k := range kinds {
		l := k.worst
		fmt.Fprintf(w, "\n-%.1f", k.cost)
		if k.n > 1 {
			fmt.Fprintf(w, " in %d losses, the dearest", k.n)
		}
		fmt.Fprintf(w, " in cycle %d", l.Cycle)
		if l.XMM != nil && l.YMM != nil {
			fmt.Fprintf(w, " at %.1f, %.1f mm", *l.XMM, *l.YMM)
		}
		fmt.Fprintf(w, ": %s\n  Why: %s\n  Next: %s\n", l.What, l.Why, l.Next)
	}
}
