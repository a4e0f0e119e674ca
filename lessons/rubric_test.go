package lessons

import (
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// with is the lesson of the tests with a rubric of its own.
func with(t *testing.T, from, to string) string {
	t.Helper()
	text, err := score.Standard().YAML()
	if err != nil {
		t.Fatal(err)
	}
	changed := strings.Replace(text, from, to, 1)
	if changed == text {
		t.Fatalf("%q does not stand in the rubric", from)
	}
	return good + "rubric:\n  " + strings.ReplaceAll(strings.TrimSpace(changed), "\n", "\n  ") + "\n"
}

// A lesson's own rubric goes with each of its runs, which are marked by it wherever
// they are read; nonsense in it is refused as in a rubric's own file.
func TestLessonWithARubric(t *testing.T) {
	own, err := Parse("x.yaml", []byte(with(t, "name: standard", "name: kind")))
	if err != nil || own.Check() != nil {
		t.Fatal(err, own.Check())
	}
	if own.Rubric.Name != "kind" || own.Rubric.Outcome != score.Standard().Outcome {
		t.Errorf("%+v", own.Rubric)
	}
	kind, err := Parse("x.yaml", []byte(with(t, "not_signed:\n    each: 5.0\n    most: 5.0", "not_signed:\n    each: 0.0\n    most: 0.0")))
	if err != nil {
		t.Fatal(err)
	}
	plain, err := Parse("x.yaml", []byte(good))
	if err != nil {
		t.Fatal(err)
	}
	marks := func(l *Lesson) score.Marks {
		r, err := l.Begin(1, 1, "", "test")
		if err != nil {
			t.Fatal(err)
		}
		if err := (hand.Careless{}).Work(r, 1, nil); err != nil {
			t.Fatal(err)
		}
		// Up to signing off.
		var b strings.Builder
		entries := r.Entries()
		if entries[len(entries)-1].Act.SignOff != nil {
			entries = entries[:len(entries)-1]
		}
		w, err := run.NewWriter(&b, r.Header())
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if err := w.Entry(e); err != nil {
				t.Fatal(err)
			}
		}
		log, err := run.Read(strings.NewReader(b.String()))
		if err != nil {
			t.Fatal(err)
		}
		rep, err := score.Mark(log, nil)
		if err != nil {
			t.Fatal(err)
		}
		return rep.Marks
	}
	if a, b := marks(plain), marks(kind); a.Errors != b.Errors-5 || a.Outcome != b.Outcome {
		t.Errorf("marked %+v by the standard, %+v by a rubric that does not charge for not signing off", a, b)
	}
	for name, c := range map[string]struct{ text, want string }{
		"sum":      {with(t, "marks: 11.0", "marks: 12.0"), "x.yaml: rubric: outcome (61), process"},
		"unknown":  {with(t, "gate:", "gates:"), "unknown field"},
		"misspelt": {with(t, "full: 1.0", "ful: 1.0"), "unknown field"},
	} {
		if _, err := Parse("x.yaml", []byte(c.text)); err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v: want one line with %q", name, err, c.want)
		}
	}
}
