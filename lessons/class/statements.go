package class

import (
	"crypto/sha1"
	"encoding/json"
	"fmt"
	"math"
	"strings"
)

// Base is where the identifiers of statements begin: addresses that the project
// speaks for. Nothing needs to be found there, and nothing is asked of it.
const Base = "https://before-iron.github.io/beforeiron/"

// Statements are the attempts as xAPI statements (ADL xAPI 1.0.3, in the form that
// IEEE 9274.1.1-2023 takes as well: no version of their own): a JSON array, which is
// the body of a POST to a record store. The account of an actor is the seat code;
// nobody is named.
func Statements(all []Attempt) ([]byte, error) {
	out := []statement{}
	for _, a := range all {
		out = append(out, statementOf(a))
	}
	b, err := json.MarshalIndent(out, "", " ")
	return append(b, '\n'), err
}

type (
	statement struct {
		ID        string   `json:"id"`
		Actor     actor    `json:"actor"`
		Verb      verb     `json:"verb"`
		Object    activity `json:"object"`
		Result    result   `json:"result"`
		Context   setting  `json:"context"`
		Timestamp string   `json:"timestamp,omitempty"`
	}
	actor struct {
		ObjectType string  `json:"objectType"`
		Account    account `json:"account"`
	}
	account struct {
		HomePage string `json:"homePage"`
		Name     string `json:"name"`
	}
	language map[string]string
	verb     struct {
		ID      string   `json:"id"`
		Display language `json:"display"`
	}
	activity struct {
		ObjectType string      `json:"objectType"`
		ID         string      `json:"id"`
		Definition *definition `json:"definition,omitempty"`
	}
	definition struct {
		Name language `json:"name"`
		Type string   `json:"type"`
	}
	result struct {
		Score      *points        `json:"score,omitempty"`
		Success    *bool          `json:"success,omitempty"`
		Completion bool           `json:"completion"`
		Extensions map[string]any `json:"extensions"`
	}
	points struct {
		Scaled float64 `json:"scaled"`
		Raw    float64 `json:"raw"`
		Min    float64 `json:"min"`
		Max    float64 `json:"max"`
	}
	setting struct {
		Registration string                `json:"registration"`
		Platform     string                `json:"platform"`
		Language     string                `json:"language"`
		Activities   map[string][]activity `json:"contextActivities"`
		Extensions   map[string]any        `json:"extensions"`
	}
)

const verbs = "http://adlnet.gov/expapi/verbs/"

func statementOf(a Attempt) statement {
	m := a.Report.Marks
	lesson := a.Lesson
	if lesson == "" {
		lesson = "own-part"
	}
	s := statement{
		ID:    uuid(Base + "statement/" + a.Code + "/" + a.Sum),
		Actor: actor{"Agent", account{Base + "seat", code(a.Code)}},
		Object: activity{"Activity", Base + "lesson/" + segment(lesson), &definition{
			Name: language{"en": lesson}, Type: "http://adlnet.gov/expapi/activities/lesson",
		}},
		Result: result{
			Completion: a.Signed,
			Extensions: map[string]any{
				Base + "extension/cycles": a.Report.Cycles, Base + "extension/strokes": a.Report.Strokes,
				Base + "extension/seconds-on-iron": math.Round(a.Report.SecondsOnIron),
			},
		},
		Context: setting{
			Registration: uuid(Base + "registration/" + a.Code + "/" + lesson),
			Platform:     "Before Iron " + a.Program, Language: "en",
			Activities: map[string][]activity{
				"category": {{"Activity", Base + "profile/1", nil}}, "grouping": {{"Activity", Base + "lessons", nil}},
			},
			// In words: a number in JSON may lose the last digits of a seed.
			Extensions: map[string]any{Base + "extension/seed": fmt.Sprint(a.Seed), Base + "extension/attempt": a.Number},
		},
	}
	name := "failed"
	switch {
	case !a.Signed:
		name = "progressed"
	case m.Passed:
		name = "passed"
	}
	s.Verb = verb{verbs + name, language{"en": name}}
	if a.Signed {
		// A score is not for progress.
		s.Result.Success = &m.Passed
		s.Result.Score = &points{Scaled: math.Round(100*m.Total) / 10000, Raw: m.Total, Min: -100, Max: 100}
	}
	if !a.Finished.IsZero() {
		s.Timestamp = a.Finished.UTC().Format("2006-01-02T15:04:05.000Z")
	}
	return s
}

// code is a seat code as an account has it, which must not be empty.
func code(s string) string {
	if s = strings.TrimSpace(s); s == "" {
		return "unknown"
	}
	return s
}

// segment is a piece of an address: what is not a plain character is spelled out.
func segment(s string) string {
	var b strings.Builder
	for _, c := range []byte(s) {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.' {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "%%%02X", c)
		}
	}
	return b.String()
}

// uuid is the name-based identifier of an address (RFC 9562, version 5, in the name
// space of addresses), so that the same attempt is the same statement.
func uuid(name string) string {
	space := []byte{0x6b, 0xa7, 0xb8, 0x11, 0x9d, 0xad, 0x11, 0xd1, 0x80, 0xb4, 0x00, 0xc0, 0x4f, 0xd4, 0x30, 0xc8}
	h := sha1.Sum(append(space, name...))
	u := h[:16]
	u[6] = u[6]&0x0f | 0x50
	u[8] = u[8]&0x3f | 0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", u[:4], u[4:6], u[6:8], u[8:10], u[10:])
}
