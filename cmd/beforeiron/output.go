package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"text/tabwriter"
)

// printJSON writes v, indented, its figures to answerDigits.
func printJSON(w io.Writer, v any) error {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(textOrDecimal.ReplaceAllFunc(out.Bytes(), rounded))
	return err
}

// answerDigits are the significant digits of a figure in an answer: more than
// any instrument gives, and fewer than would show what is lost in binary
// (25.399999999999995 for the pitch of an inch).
const answerDigits = 12

// textOrDecimal finds the texts of JSON, which stay as they are, and its numbers
// with a point; whole numbers, seeds among them, are exact.
var textOrDecimal = regexp.MustCompile(`"(?:[^"\\]|\\.)*"|-?[0-9]+\.[0-9]+(?:[eE][-+]?[0-9]+)?`)

func rounded(token []byte) []byte {
	v, err := strconv.ParseFloat(string(token), 64)
	if err != nil {
		return token // a text
	}
	v, _ = strconv.ParseFloat(digits(v), 64)
	out, _ := json.Marshal(v)
	return out
}

// digits writes v to answerDigits, no nought behind.
func digits(v float64) string { return strconv.FormatFloat(v, 'g', answerDigits, 64) }

// figure is v, or nil where it is no number.
func figure(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// table is lines of cells for people, columns aligned.
type table struct{ w *tabwriter.Writer }

func newTable(w io.Writer) table { return table{tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)} }

func (t table) row(cells ...any) {
	texts := make([]string, len(cells))
	for k, c := range cells {
		texts[k] = show(c)
	}
	fmt.Fprintln(t.w, strings.TrimRight(strings.Join(texts, "\t"), "\t"))
}

func (t table) end() error { return t.w.Flush() }

// show writes a figure for people; a dash stands where it has no meaning.
func show(v any) string {
	switch v := v.(type) {
	case *float64:
		if v == nil {
			return "-"
		}
		return show(*v)
	case *int:
		if v == nil {
			return "-"
		}
		return show(*v)
	case *string:
		if v == nil {
			return "-"
		}
		return *v
	case float64:
		return decimal(v)
	}
	return fmt.Sprint(v)
}

// decimal writes about four digits, and no more than three places.
func decimal(v float64) string {
	if a := math.Abs(v); a >= 1e7 || a > 0 && a < 5e-4 {
		return fmt.Sprintf("%.4g", v)
	}
	places := 3
	for a := math.Abs(v); a >= 10 && places > 0; a /= 10 {
		places--
	}
	return fmt.Sprintf("%.*f", places, v)
}

// inFrames says how many points the inch frames of a face hold.
func inFrames(fewest, most *int) string {
	if fewest == nil {
		return "a density: no inch frame lies whole on the face"
	}
	return fmt.Sprintf("%d to %d in an inch frame", *fewest, *most)
}
