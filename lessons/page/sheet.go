package page

import (
	"fmt"
	"strings"

	"github.com/before-iron/beforeiron/sim/review"
)

// inspection is what was declared beside what is so; empty when nothing was.
func inspection(v *review.Review) *sheet {
	out := &sheet{}
	s := v.Sheet
	if s == nil {
		return out
	}
	for _, r := range s.Rows {
		unit := r.Unit
		if unit == "um" {
			unit = "µm"
		}
		if unit != "" {
			unit = " " + unit
		}
		row := sheetRow{What: r.What, Wrote: dash(r.Wrote, unit), Seen: dash(r.Seen, unit), Is: dash(r.Is, unit), So: "not known here"}
		switch {
		case r.Blank():
			row.So = "left blank"
		case r.Is != r.Is:
		case r.Near:
			row.So = "✓ near"
		case r.Wrote > r.Is:
			row.So = "✗ " + short(r.Wrote-r.Is) + unit + " too high"
		default:
			row.So = "✗ " + short(r.Is-r.Wrote) + unit + " too low"
		}
		out.Rows = append(out.Rows, row)
	}
	if c := s.Class; c != nil {
		var parts []string
		for _, f := range s.Findings {
			parts = append(parts, fmt.Sprintf("%s: %s (%s)", f.What, f.Verdict, typeset(f.Why)))
		}
		out.Remarks = append(out.Remarks, fmt.Sprintf("You would have given it “%s” by %s (%s). At a %s µm film: %s.", c.Use, c.Source, c.Standing, short(s.FilmUM), strings.Join(parts, "; ")))
		would := "By that source it meets no class."
		if n := len(s.Would); n > 0 {
			var uses []string
			for _, w := range s.Would {
				uses = append(uses, "“"+w.Use+"”")
			}
			would = "By that source it meets " + strings.Join(uses, ", ") + "."
		}
		out.Remarks = append(out.Remarks, would)
	}
	return out
}
