package score

import (
	"os"
	"strings"
	"testing"
)

// The formula that the window shows stands in MARKS.md word for word.
func TestFormulaIsInTheDocs(t *testing.T) {
	doc, err := os.ReadFile("MARKS.md")
	if err != nil {
		t.Fatal(err)
	}
	f := Standard().Formula()
	if !strings.Contains(string(doc), "```\n"+f+"```\n") {
		t.Errorf("MARKS.md does not hold the formula as it is:\n%s", f)
	}
	for _, e := range Standard().entries() {
		worth := e.scale != nil && e.scale.Marks > 0 || e.charge != nil && e.charge.Most > 0
		if worth != strings.Contains(f, e.rule+" ") {
			t.Errorf("%s: %s is worth something: %v, and the formula differs", e.family, e.rule, worth)
		}
	}
}

func TestRubricRefusesNonsense(t *testing.T) {
	text := string(standardYAML)
	change := func(from, to string) string {
		if strings.Count(text, from) != 1 {
			t.Fatalf("%q stands %d times in the rubric", from, strings.Count(text, from))
		}
		return strings.Replace(text, from, to, 1)
	}
	if _, err := ParseRubric("own.yaml", []byte(change("name: standard", "name: own"))); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ text, want string }{
		"empty":               {"", "give one rubric"},
		"no name":             {change("name: standard", "name: ''"), "name"},
		"unknown":             {change("gate: {", "gates: {"), "own.yaml:"},
		"misspelt":            {change("points: {marks: 11", "points: {mark: 11"), "own.yaml:"},
		"word":                {change("points: {marks: 11", "points: {marks: many"), "a number is wanted here"},
		"sum":                 {change("points: {marks: 11", "points: {marks: 12"), "come to 101 marks"},
		"backwards":           {change("bridged: {marks: 12, full: 1, none: 3}", "bridged: {marks: 12, full: 3, none: 1}"), "less is better here"},
		"upside down":         {change("points: {marks: 11, full: 1, none: 0}", "points: {marks: 11, full: 0, none: 1}"), "more is better here"},
		"negative":            {change("new_low: {each: 2,", "new_low: {each: -2,"), "errors: new_low"},
		"half left out":       {change("new_low: {each: 2, most: 20}", "new_low: {each: 2, most: 0}"), "0 for both"},
		"out of range":        {change("highs: {marks: 8, full: 0.6", "highs: {marks: 8, full: 60"), "share of the metal"},
		"haste pays":          {change("target: true", "target: false"), "must wait for the target"},
		"spoiling is free":    {change("worse: {each: 30, most: 30}", "worse: {each: 0, most: 0}"), "must cost marks"},
		"insight swamps":      {change("overlap: {marks: 5", "overlap: {marks: 50"), "insight"},
		"never scaled":        {change("scaled_most: 2", "scaled_most: 0"), "scaled_most"},
		"no number":           {change("scaled_most: 2", "scaled_most: .nan"), "scaled_most"},
		"outcome counts less": {strings.NewReplacer("bridged: {marks: 12", "bridged: {marks: 1", "highs: {marks: 8", "highs: {marks: 19").Replace(text), "outcome is worth 49"},
	} {
		if _, err := ParseRubric("own.yaml", []byte(c.text)); err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v: want %q on one line", name, err, c.want)
		}
	}
}

func FuzzParseRubric(f *testing.F) {
	f.Add(standardYAML)
	f.Add([]byte("name: x\noutcome: {points: {marks: 1e309}}\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := ParseRubric("x.yaml", b)
		if (r == nil) == (err == nil) {
			t.Fatalf("%v, %v", r, err)
		}
		if err == nil {
			if m := r.most("outcome") + r.most("process") + r.most("economy"); m < 99.9 || m > 100.1 || r.Formula() == "" {
				t.Fatalf("a rubric of %g marks was taken", m)
			}
		}
	})
}
