package class

import (
	"fmt"
	"math"
	"sort"
	"strings"
)

// least is how many people a figure must speak of to be told, and leastShare how
// many there must be for a share or a middle.
const (
	least      = 3
	leastShare = 5
)

// Summary is what can be said of a class at one lesson.
type Summary struct {
	Lesson string
	People int  // 0 where they are fewer than three
	Few    bool // fewer than three people: nothing more is said

	Runs    int
	Bins    []Bin
	Median  *float64 // of the marks of first attempts, to the next 5; nil below five people
	Passed  *int     // people who passed in any attempt; nil where that or the rest are too few
	Errors  []Error
	Showing []Show
}

// Bin is how many people's first attempts came to marks from Low to below High.
type Bin struct {
	Low, High int
	People    int
	Hidden    bool // fewer than three people, or what would give such a number away
}

// Error is a rule by which people lost marks.
type Error struct {
	Rule      string
	People    int // at least three
	Why, Next string
}

// Name is the rule in words.
func (e Error) Name() string { return strings.ReplaceAll(e.Rule, "-", " ") }

// Show is a run that is worth showing.
type Show struct {
	File string
	Why  string
}

// edges of the bins, in marks.
var edges = []int{-100, 0, 20, 40, 60, 80, 101}

// Summaries are those of each lesson that the sorted attempts are of.
func Summaries(all []Attempt) []Summary {
	byLesson := map[string][]Attempt{}
	var lessons []string
	for _, a := range all {
		if byLesson[a.Lesson] == nil {
			lessons = append(lessons, a.Lesson)
		}
		byLesson[a.Lesson] = append(byLesson[a.Lesson], a)
	}
	sort.Strings(lessons)
	var out []Summary
	for _, l := range lessons {
		out = append(out, summary(l, byLesson[l]))
	}
	return out
}

func summary(lesson string, all []Attempt) Summary {
	s := Summary{Lesson: lesson, Runs: len(all)}
	people := map[string]bool{} // whether they passed
	var first []float64
	for _, a := range all {
		if _, known := people[a.Code]; !known {
			first = append(first, a.Report.Marks.Total)
		}
		people[a.Code] = people[a.Code] || a.Report.Marks.Passed
	}
	if len(people) < least {
		s.Few, s.Runs = true, 0
		return s
	}
	s.People = len(people)
	s.Bins = bins(first)
	if len(first) >= leastShare {
		sort.Float64s(first)
		n := len(first)
		v := 5 * math.Round((first[(n-1)/2]+first[n/2])/10)
		s.Median = &v
	}
	passed := 0
	for _, p := range people {
		if p {
			passed++
		}
	}
	if passed >= least && len(people)-passed >= least {
		s.Passed = &passed
	}
	s.Errors = common(all)
	s.Showing = showing(all, s.Errors)
	return s
}

// bins counts marks and hides what speaks of fewer than three people: as 0, 1 and 2
// are hidden alike, a lone hidden bin could be told from the sum, and another is
// hidden with it.
func bins(marks []float64) []Bin {
	var out []Bin
	for n := range len(edges) - 1 {
		b := Bin{Low: edges[n], High: edges[n+1]}
		for _, m := range marks {
			if m >= float64(b.Low) && m < float64(b.High) {
				b.People++
			}
		}
		b.Hidden = b.People < least
		out = append(out, b)
	}
	hidden, smallest := 0, -1
	for n, b := range out {
		if b.Hidden {
			hidden++
		} else if smallest < 0 || b.People < out[smallest].People {
			smallest = n
		}
	}
	if hidden == 1 && smallest >= 0 {
		out[smallest].Hidden = true
	}
	for n := range out {
		if out[n].Hidden {
			out[n].People = 0
		}
	}
	return out
}

// common are the rules by which at least three people lost marks, those of most
// people first.
func common(all []Attempt) []Error {
	type tally struct {
		people map[string]bool
		cost   float64
		of     Error
		worst  float64
	}
	byRule := map[string]*tally{}
	for _, a := range all {
		for _, l := range a.Report.Losses {
			t := byRule[l.Rule]
			if t == nil {
				t = &tally{people: map[string]bool{}}
				byRule[l.Rule] = t
			}
			t.people[a.Code] = true
			t.cost += l.Cost
			if l.Cost > t.worst {
				t.worst, t.of = l.Cost, Error{Why: l.Why, Next: l.Next}
			}
		}
	}
	var out []Error
	for rule, t := range byRule {
		if len(t.people) >= least {
			e := t.of
			e.Rule, e.People = rule, len(t.people)
			out = append(out, e)
		}
	}
	sort.Slice(out, func(a, b int) bool {
		x, y := out[a], out[b]
		switch {
		case x.People != y.People:
			return x.People > y.People
		case byRule[x.Rule].cost != byRule[y.Rule].cost:
			return byRule[x.Rule].cost > byRule[y.Rule].cost
		}
		return x.Rule < y.Rule
	})
	return out
}

// showing are runs from which there is something to see: the leanest that was
// accepted, one that found its way back from lows, and the plainest example of each
// of the commonest errors.
func showing(all []Attempt, errors []Error) []Show {
	var out []Show
	shown := map[string]bool{}
	add := func(a *Attempt, why string) {
		if a != nil && !shown[a.File] {
			shown[a.File] = true
			out = append(out, Show{a.File, why})
		}
	}
	var leanest, back *Attempt
	most := 0
	for n := range all {
		a := &all[n]
		if !a.Report.Marks.Passed {
			continue
		}
		if leanest == nil || a.Report.Cycles < leanest.Report.Cycles {
			leanest = a
		}
		for _, f := range a.Report.PerCycle {
			if gone := f.NewLows - a.Report.Final.NewLows; gone > most {
				most, back = gone, a
			}
		}
	}
	if leanest != nil {
		add(leanest, fmt.Sprintf("Accepted after %d prints, the fewest.", leanest.Report.Cycles))
	}
	if back != nil {
		add(back, fmt.Sprintf("Found its way back: %d of the lows that it dug were gone at the end.", most))
	}
	for _, e := range errors[:min(3, len(errors))] {
		var plainest *Attempt
		dear := 0.0
		for n := range all {
			cost := 0.0
			for _, l := range all[n].Report.Losses {
				if l.Rule == e.Rule {
					cost += l.Cost
				}
			}
			if cost > dear && !shown[all[n].File] {
				dear, plainest = cost, &all[n]
			}
		}
		add(plainest, "Shows plainly: "+e.Name()+".")
	}
	return out
}
