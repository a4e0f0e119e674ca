package class

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strings"
	"time"
)

// columns of the gradebook. lms_id is for the teacher, who knows whose a seat is.
// score_percent is what gradebooks take, 0 to 100: harm counts as 0 there and stands
// in marks. minutes are those that the work would have taken on iron.
var columns = []string{"learner_code", "lms_id", "lesson_id", "attempt", "seed", "score_percent", "passed", "errors", "cycles", "minutes", "finished_utc", "app_version", "marks", "hand"}

// Gradebook is the attempts as CSV (RFC 4180: CRLF, quotes where they are needed).
func Gradebook(all []Attempt) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	// Writing to memory does not fail.
	_ = w.Write(columns)
	for _, a := range all {
		m := a.Report.Marks
		finished := ""
		if !a.Finished.IsZero() {
			finished = a.Finished.UTC().Format(time.RFC3339)
		}
		_ = w.Write([]string{
			text(a.Code), "", text(a.Lesson), fmt.Sprint(a.Number), fmt.Sprint(a.Seed),
			fmt.Sprintf("%.1f", math.Max(0, m.Total)), fmt.Sprint(m.Passed), fmt.Sprint(len(a.Report.Losses)),
			fmt.Sprint(a.Report.Cycles), fmt.Sprintf("%.0f", a.Report.SecondsOnIron/60), finished, text(a.Program),
			fmt.Sprintf("%.1f", m.Total), text(a.Hand),
		})
	}
	w.Flush()
	return b.Bytes()
}

// text is a cell of words that no spreadsheet takes for a formula: one that begins
// like one gets an apostrophe before it. Words come out of file names and of runs
// that anybody may have written.
func text(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
	if t := strings.TrimLeft(s, " "); t != "" && strings.ContainsRune("=+-@", rune(t[0])) {
		return "'" + s
	}
	return s
}
