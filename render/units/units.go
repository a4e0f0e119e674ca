// Package units writes lengths as the learner reads them: millimetres and
// micrometres; inches, with heights in thousandths (thou); or with heights in tenths,
// the shop's name for ten-thousandths of an inch.
package units

import (
	"fmt"
	"math"
)

// System is a way of writing lengths.
type System string

// The systems.
const (
	Metric System = "metric"
	Inch   System = "inch"
	Tenths System = "tenths"
)

// Systems lists them.
var Systems = []System{Metric, Inch, Tenths}

const (
	umPerThou  = 25.4
	umPerTenth = 2.54
	mmPerInch  = 25.4
)

// Height writes a height or a depth of um micrometres; of inches in thousandths, with
// two decimals, for heights on a scraped face are some hundred-thousandths of an inch.
func (s System) Height(um float64) string {
	switch s {
	case Inch:
		return fmt.Sprintf("%.2f thou", um/umPerThou)
	case Tenths:
		return fmt.Sprintf("%.1f tenths", um/umPerTenth)
	}
	return fmt.Sprintf("%.1f µm", um)
}

// Across writes a lateral length of mm millimetres.
func (s System) Across(mm float64) string {
	if s == Metric {
		return fmt.Sprintf("%.1f mm", mm)
	}
	return fmt.Sprintf("%.2f in", mm/mmPerInch)
}

// Place writes a place on a face.
func (s System) Place(x, y float64) string {
	if s == Metric {
		return fmt.Sprintf("%.1f, %.1f mm", x, y)
	}
	return fmt.Sprintf("%.2f, %.2f in", x/mmPerInch, y/mmPerInch)
}

// Entry writes an entry of an inspection sheet, by the unit that the sheet keeps it in.
func (s System) Entry(unit string, v float64) string {
	switch unit {
	case "um":
		return s.Height(v)
	case "mm":
		return s.Across(v)
	case "%":
		return fmt.Sprintf("%.0f %%", v)
	case "K":
		return fmt.Sprintf("%+.1f K", v)
	}
	return fmt.Sprintf("%.0f", v)
}

// Time writes a time on iron.
func Time(ms int) string {
	minutes := int(math.Round(float64(ms) / 60000))
	if minutes < 60 {
		return fmt.Sprintf("%d min", minutes)
	}
	return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60)
}
