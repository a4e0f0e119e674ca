package class

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/sim/score"
)

// attempt is one of a seat with so many marks.
func attempt(code string, marks float64, passed bool, rules ...string) Attempt {
	a := Attempt{
		File: code + ".run", Code: code, Lesson: "coupon", Number: 1, Seed: 1, Signed: true, Program: "0.1.0", Sum: code,
		Finished: time.Date(2026, 1, 15, 10, 22, 31, 0, time.UTC),
		Report:   &score.Report{Cycles: 9, Strokes: 700, SecondsOnIron: 5400, Marks: score.Marks{Total: marks, Passed: passed}},
	}
	for _, r := range rules {
		a.Report.Losses = append(a.Report.Losses, score.Loss{Rule: r, Cost: 2, Why: "why " + r, Next: "next " + r})
	}
	return a
}

func TestSeatCode(t *testing.T) {
	for file, want := range map[string]string{"c3-07.run": "c3-07", "c3-07_again.run": "c3-07", "c3-07.coupon.2.run": "c3-07", "plain": "plain", ".run": ""} {
		if got := SeatCode(file); got != want {
			t.Errorf("%s is of seat %q, want %q", file, got, want)
		}
	}
}

func TestSort(t *testing.T) {
	all := []Attempt{attempt("b", 1, false), attempt("a", 2, false), attempt("a", 3, false)}
	all[1].File, all[2].File = "a_2.run", "a_1.run"
	Sort(all)
	if all[0].File != "a_1.run" || all[0].Number != 1 || all[1].Number != 2 || all[2].Code != "b" || all[2].Number != 1 {
		t.Errorf("%+v", all)
	}
	all[2].Sum = all[0].Sum
	if twins := Twins(all); len(twins) != 1 || strings.Join(twins[0], " ") != "a_1.run a_2.run b.run" {
		t.Errorf("twins %v", twins)
	}
}

// RFC 4180 and what a spreadsheet would do with a cell.
func TestGradebook(t *testing.T) {
	odd := attempt(`=HYPERLINK("http://x","a, b")`, -12.5, false, "new-low")
	odd.Lesson, odd.Program, odd.Seed = "@sum\r\n+1", "+1-1", 18446744073709551615
	all := []Attempt{attempt("c3-07", 82.04, true), odd, attempt("-2", 0, false), attempt(" =1", 0, false), attempt("say \"so\"", 0, false)}
	all[2].Finished = time.Time{}
	book := Gradebook(all)
	if bytes.Count(book, []byte("\r\n")) != 1+len(all) || bytes.Count(book, []byte("\n")) != 1+len(all) {
		t.Errorf("lines do not end in CRLF, each in one: %q", book)
	}
	rows, err := csv.NewReader(bytes.NewReader(book)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(rows[0], ","); got != "learner_code,lms_id,lesson_id,attempt,seed,score_percent,passed,errors,cycles,minutes,finished_utc,app_version,marks,hand" {
		t.Errorf("columns %s", got)
	}
	if got := strings.Join(rows[1], "|"); got != "c3-07||coupon|1|1|82.0|true|0|9|90|2026-01-15T10:22:31Z|0.1.0|82.0|" {
		t.Errorf("row %s", got)
	}
	if r := rows[2]; r[0] != `'=HYPERLINK("http://x","a, b")` || r[2] != "'@sum  +1" || r[4] != "18446744073709551615" || r[5] != "0.0" || r[11] != "'+1-1" || r[12] != "-12.5" {
		t.Errorf("row %q", r)
	}
	if rows[3][0] != "'-2" || rows[3][10] != "" || rows[4][0] != "' =1" || rows[5][0] != `say "so"` {
		t.Errorf("rows %q", rows[3:])
	}
	// Fields with quotes are quoted, and their quotes doubled.
	if !bytes.Contains(book, []byte(`"say ""so"""`)) {
		t.Errorf("%q", book)
	}
}

func FuzzText(f *testing.F) {
	f.Add("=1+1")
	f.Add("\t@x")
	f.Add("plain")
	f.Fuzz(func(t *testing.T, s string) {
		out := text(s)
		if strings.ContainsAny(out, "\r\n\t") {
			t.Errorf("%q holds the end of a cell", out)
		}
		if c := strings.TrimLeft(out, " "); c != "" && strings.ContainsAny(c[:1], "=+-@") {
			t.Errorf("%q begins like a formula", out)
		}
	})
}

// What xAPI 1.0.3 asks of a statement (ADL, xAPI-Data.md, sections 2.2 to 2.4 and
// 4): one identifier of an actor, IRIs, UUIDs, no nulls, no version of its own, a
// score within its bounds and none for progress.
func TestStatements(t *testing.T) {
	open := attempt("c3-08", -3, false)
	open.Signed, open.Finished = false, time.Time{}
	own := attempt("c 9/ä", 100, true)
	own.Lesson = ""
	all := []Attempt{attempt("c3-07", -82.5, false), open, own}
	out, err := Statements(all)
	if err != nil {
		t.Fatal(err)
	}
	again, _ := Statements(all)
	if !bytes.Equal(out, again) {
		t.Error("the same attempts make other statements")
	}
	var list []map[string]any
	if err := json.Unmarshal(out, &list); err != nil {
		t.Fatal(err)
	}
	if len(list) != 3 || bytes.Contains(out, []byte("null")) || bytes.Contains(out, []byte(`"version"`)) {
		t.Errorf("%s", out)
	}
	uuids := regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)
	iri := regexp.MustCompile(`^https?://[!-~]+$`)
	at := func(v any, path ...string) any {
		for _, p := range path {
			v = v.(map[string]any)[p]
		}
		return v
	}
	seen := map[any]bool{}
	for n, s := range list {
		for _, v := range []any{s["id"], at(s, "context", "registration")} {
			if !uuids.MatchString(v.(string)) {
				t.Errorf("%v is no UUID of version 5", v)
			}
		}
		if seen[s["id"]] {
			t.Error("two statements of one identifier")
		}
		seen[s["id"]] = true
		for _, v := range []any{at(s, "verb", "id"), at(s, "object", "id"), at(s, "actor", "account", "homePage")} {
			if !iri.MatchString(v.(string)) {
				t.Errorf("%v is no IRI", v)
			}
		}
		for k := range at(s, "result", "extensions").(map[string]any) {
			if !strings.HasPrefix(k, Base) {
				t.Errorf("extension %q", k)
			}
		}
		if actor := s["actor"].(map[string]any); len(actor) != 2 || actor["mbox"] != nil {
			t.Errorf("actor %v", actor)
		}
		result := s["result"].(map[string]any)
		if _, scored := result["score"]; scored == (n == 1) {
			t.Errorf("score %t of statement %d", scored, n)
		}
	}
	if got := at(list[0], "result", "score", "scaled"); got != -.825 {
		t.Errorf("scaled %v", got)
	}
	if a, b, c := at(list[0], "verb", "id"), at(list[1], "verb", "id"), at(list[2], "verb", "id"); a != verbs+"failed" || b != verbs+"progressed" || c != verbs+"passed" {
		t.Errorf("verbs %v, %v, %v", a, b, c)
	}
	if list[0]["timestamp"] != "2026-01-15T10:22:31.000Z" || list[1]["timestamp"] != nil {
		t.Errorf("times %v, %v", list[0]["timestamp"], list[1]["timestamp"])
	}
	if got := at(list[2], "object", "id"); got != Base+"lesson/own-part" {
		t.Errorf("object %v", got)
	}
}

// Reckoned by Python's uuid.uuid5(uuid.NAMESPACE_URL, ...).
func TestUUID(t *testing.T) {
	if got := uuid("http://python.org/"); got != "4c565f0d-3f5a-5890-b41b-20cf47701c5e" {
		t.Errorf("%s", got)
	}
}

// Nothing that is told speaks of one or two people, nor can it be reckoned from the
// rest.
func TestFewerThanThreeAreNotSpokenOf(t *testing.T) {
	two := Summaries([]Attempt{attempt("a", 10, true, "x"), attempt("b", 20, false, "x")})[0]
	if !two.Few || two.People != 0 || two.Runs != 0 || two.Bins != nil || two.Errors != nil || two.Showing != nil {
		t.Errorf("two people: %+v", two)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		var marks []float64
		for range 3 + rng.IntN(30) {
			marks = append(marks, float64(rng.IntN(201)-100))
		}
		if rng.IntN(2) == 0 { // crowded
			for k := range marks {
				marks[k] = float64(10 + 20*rng.IntN(2))
			}
		}
		count := make([]int, len(edges)-1)
		for _, m := range marks {
			for n := range count {
				if m >= float64(edges[n]) && m < float64(edges[n+1]) {
					count[n]++
				}
			}
		}
		shown, hidden, few, sum := 0, 0, 0, 0
		for n, b := range bins(marks) {
			if b.Hidden {
				hidden++
				sum += count[n]
				if b.People != 0 {
					t.Fatal("a hidden bin tells its number")
				}
				if count[n] < least {
					few++
				}
				continue
			}
			shown += b.People
			if b.People != count[n] || b.People < least {
				t.Fatalf("bin %d tells %d of %d", n, b.People, count[n])
			}
		}
		if shown+sum != len(marks) {
			t.Fatalf("%d people of %d", shown+sum, len(marks))
		}
		if hidden == 1 {
			t.Fatalf("one bin alone is hidden, and the sum tells it: %v", count)
		}
	}
}

func TestSummary(t *testing.T) {
	var all []Attempt
	for n := range 8 {
		a := attempt(fmt.Sprintf("s%d", n), float64(30+5*n), n >= 4)
		a.Report.Losses = append(a.Report.Losses, score.Loss{Rule: "target-missed", Cost: 1})
		if n < 2 {
			a.Report.Losses = append(a.Report.Losses, score.Loss{Rule: "rare", Cost: 30})
		}
		if n < 3 {
			a.Report.Losses = append(a.Report.Losses, score.Loss{Rule: "thrice", Cost: float64(n)})
		}
		a.Report.Cycles = 20 - n
		all = append(all, a)
	}
	// A second try of one who failed.
	again := attempt("s0", 99, true)
	again.File, again.Report.Cycles = "s0_2.run", 30
	again.Report.PerCycle = []score.Figures{{NewLows: 12}}
	again.Report.Final.NewLows = 2
	all = append(all, again)
	Sort(all)
	s := Summaries(all)[0]
	if s.People != 8 || s.Runs != 9 || s.Median == nil || *s.Median != 50 || s.Passed == nil || *s.Passed != 5 {
		t.Errorf("%+v", s)
	}
	if len(s.Errors) != 2 || s.Errors[0].Rule != "target-missed" || s.Errors[0].People != 8 || s.Errors[1].Rule != "thrice" || s.Errors[1].People != 3 {
		t.Errorf("errors %+v", s.Errors)
	}
	if len(s.Showing) < 3 || s.Showing[0].File != "s7.run" || s.Showing[1].File != "s0_2.run" {
		t.Errorf("showing %+v", s.Showing)
	}
	// A rule is an id for programs; people are told it in words.
	for _, w := range s.Showing {
		if strings.Contains(w.Why, "target-missed") {
			t.Errorf("it is said why in a program's words: %q", w.Why)
		}
	}
	if !slices.ContainsFunc(s.Showing, func(w Show) bool { return w.Why == "Shows plainly: target missed." }) {
		t.Errorf("the target missed is not shown: %+v", s.Showing)
	}
}
