package units

import (
	"fmt"
	"regexp"
	"strconv"
)

// lengths are figures with the units in which the simulation speaks.
var lengths = regexp.MustCompile(`(-?\d+(?:\.\d+)?)(?: (to|and|or|by) (-?\d+(?:\.\d+)?))? (um|mm\^2|mm\^3|mm)\b`)

// Told is a sentence of the simulation, which speaks in um and mm, in the
// learner's units.
func (s System) Told(text string) string {
	return lengths.ReplaceAllStringFunc(text, func(found string) string {
		m := lengths.FindStringSubmatch(found)
		// Both fit: the pattern lets nothing else through.
		v, _ := strconv.ParseFloat(m[1], 64)
		out := s.said(v, m[1], m[4])
		if m[2] != "" {
			w, _ := strconv.ParseFloat(m[3], 64)
			out += " " + m[2] + " " + s.said(w, m[3], m[4])
		}
		return out
	})
}

// said is a figure of a unit; as it is written where the system keeps the unit.
func (s System) said(v float64, written, unit string) string {
	if s == Metric {
		return written + " " + map[string]string{"um": "µm", "mm": "mm", "mm^2": "mm²", "mm^3": "mm³"}[unit]
	}
	switch unit {
	case "um":
		return s.Height(v)
	case "mm^2":
		in2 := v / mmPerInch / mmPerInch
		if in2 < .1 {
			return fmt.Sprintf("%.4f in²", in2) // a low of a few square millimetres
		}
		return fmt.Sprintf("%.2f in²", in2)
	case "mm^3":
		return fmt.Sprintf("%.4f in³", v/mmPerInch/mmPerInch/mmPerInch)
	}
	return s.Across(v)
}
