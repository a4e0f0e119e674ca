package kit

import (
	"fmt"
	"math"
	"strings"
)

// tableGap is between the columns of a table, points.
const tableGap = 10.0

// Table sets rows of figures under the names of their columns, the first of which
// names the rows and is broader. Where a word of a figure is broader than its
// column, each row is set as a paragraph instead.
func (c *Column) Table(id string, head []string, rows [][]string) {
	u := c.UI
	others := float64(max(1, len(head)-1))
	first := math.Floor(c.Width() * max(.22, .62-.08*others))
	rest := math.Floor((c.Width()-first)/others - tableGap)
	width := func(k int) float64 {
		if k == 0 {
			return first
		}
		return rest
	}
	if !u.fitsTable(append([][]string{head}, rows...), width) {
		for r, row := range rows {
			text := row[0] + ":"
			for k := 1; k < len(row); k++ {
				text += fmt.Sprintf(" %s %s;", head[k], row[k])
			}
			c.Text(fmt.Sprintf("%s.%d", id, r), strings.TrimSuffix(text, ";"), Small, Plain)
		}
		return
	}
	gap := c.Gap
	defer func() { c.Gap = gap }()
	for r, row := range append([][]string{head}, rows...) {
		if r > 0 {
			c.Gap = 3
		}
		height := 0.0
		for k, text := range row {
			height = max(height, math.Ceil(u.TextHeight(Small, text, width(k))))
		}
		box := c.Take(height)
		x := box.X
		for k, text := range row {
			tone, align := Plain, Finish
			if k == 0 {
				align = Start
			}
			if r == 0 || k == 0 {
				tone = Quiet
			}
			if text != "" {
				u.Text(Rect{x, box.Y, width(k), height}, fmt.Sprintf("%s.%d.%d", id, r, k), text, Small, tone, align)
			}
			x += width(k) + tableGap
		}
	}
}

// fitsTable reports whether every word fits its column.
func (u *UI) fitsTable(rows [][]string, width func(column int) float64) bool {
	for _, row := range rows {
		for k, text := range row {
			for _, word := range strings.Fields(text) {
				if u.Width(Small, word) > width(k) {
					return false
				}
			}
		}
	}
	return true
}
