package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
)

// printJSON writes v, indented.
func printJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

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
