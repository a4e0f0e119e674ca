package gauge

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Bounds of what ReadLines accepts: the adjustment solves one equation for each
// station.
const (
	maxLineReadings = 600
	maxLinePosition = 1e6 // mm
	maxLineReading  = 1e6 // um
)

// lineUnits are the units of readings: um themselves, or a slope times the length
// of a step, in um over mm.
var lineUnits = map[string]struct {
	um    float64
	slope bool
}{
	"um": {1, false}, "mm": {1e3, false}, "in": {25400, false}, "thou": {25.4, false}, "tenth": {2.54, false},
	"um/m": {1e-3, true}, "mm/m": {1, true}, "urad": {1e-3, true}, "mrad": {1, true},
	"arcsec": {math.Pi / 180 / 3600 * 1e3, true},
}

var lineKinds = map[string]LineKind{"level": LevelSteps, "autocollimator": AutocollimatorSteps, "straightedge": StraightedgeHeights}

// HoldsLines tells a file of lines (see ReadLines) from one of heights: a comment
// line "# lines" stands above its first row.
func HoldsLines(content []byte) bool {
	for len(content) > 0 {
		var line []byte
		line, content, _ = bytes.Cut(content, []byte("\n"))
		text := strings.TrimSpace(strings.TrimPrefix(string(line[:min(len(line), 80)]), "\ufeff"))
		switch {
		case text == "":
		case text[0] != '#':
			return false
		case strings.EqualFold(strings.TrimSpace(text[1:]), "lines"):
			return true
		}
	}
	return false
}

// ReadLines reads lines over a plate from comma separated text:
//
//	# lines
//	# unit: arcsec
//	# sigma: 0.3
//	name,kind,x0,y0,x1,y1,readings
//	north edge,autocollimator,0,0,600,0,1.2,-0.4,0.7,2.1
//	diagonal,level,0,0,600,400,3.1,-2.0,0.5
//
// A row is one line from (X0, Y0) to (X1, Y1) mm, stations evenly spaced: its name,
// its kind (level or autocollimator, a reading for each step on the way; or
// straightedge, a reading at each station), its ends and its readings. The unit of
// readings is um, mm, in, thou or tenth (of a step's rise, or a height), or for a
// level or an autocollimator um/m, mm/m, urad, mrad or arcsec; sigma is the standard
// uncertainty of one reading in that unit. Both hold for the rows below them and
// may be stated again. A row of names is passed over; # begins a comment. Errors are
// one line and name the line of the file.
func ReadLines(content []byte) ([]SurveyLine, error) {
	var lines []SurveyLine
	unit, sigma, total, first := "", 0.0, 0, true
	for n, raw := range strings.Split(strings.TrimPrefix(string(content), "\ufeff"), "\n") {
		text := strings.TrimSpace(raw)
		fail := func(format string, args ...any) error {
			return fmt.Errorf("line %d: %s", n+1, fmt.Sprintf(format, args...))
		}
		if text == "" {
			continue
		}
		if text[0] == '#' {
			name, value, stated := strings.Cut(text[1:], ":")
			value = strings.TrimSpace(value)
			if !stated {
				continue
			}
			switch strings.ToLower(strings.TrimSpace(name)) {
			case "unit":
				if _, ok := lineUnits[value]; !ok {
					return nil, fail("unit %s is unknown: take um, mm, in, thou, tenth, um/m, mm/m, urad, mrad or arcsec", quoted(value))
				}
				unit = value
			case "sigma":
				v, err := strconv.ParseFloat(value, 64)
				if err != nil || !(v > 0) || math.IsInf(v, 0) {
					return nil, fail("sigma %s: give the standard uncertainty of one reading, above 0", quoted(value))
				}
				sigma = v
			}
			continue
		}
		fields := strings.Split(text, ",")
		for k := range fields {
			fields[k] = strings.Trim(strings.TrimSpace(fields[k]), `"`)
		}
		if first && len(fields) >= 2 && strings.EqualFold(fields[0], "name") && strings.EqualFold(fields[1], "kind") {
			first = false
			continue
		}
		first = false
		switch {
		case unit == "":
			return nil, fail(`the unit of the readings is not stated: write "# unit: um" above`)
		case sigma == 0:
			return nil, fail(`the uncertainty of a reading is not stated: write "# sigma: 0.5" above, in %s`, unit)
		case len(fields) < 7:
			return nil, fail("%d fields: a line has a name, a kind, x0, y0, x1, y1 and readings", len(fields))
		}
		kind, ok := lineKinds[strings.ToLower(fields[1])]
		if !ok {
			return nil, fail("kind %s is unknown: take level, autocollimator or straightedge", quoted(fields[1]))
		}
		if kind == StraightedgeHeights && lineUnits[unit].slope {
			return nil, fail("heights from a straightedge are not in %s: take um, mm, in, thou or tenth", unit)
		}
		var v []float64
		for k, field := range fields[2:] {
			x, err := strconv.ParseFloat(field, 64)
			if err != nil || x-x != 0 {
				return nil, fail("field %d: %s is not a number: a line misses no reading; part it in two where one is missing", k+3, quoted(field))
			}
			if k < 4 && math.Abs(x) > maxLinePosition {
				return nil, fail("field %d: %s is no position on a plate, mm", k+3, quoted(field))
			}
			v = append(v, x)
		}
		l := SurveyLine{Name: fields[0], Kind: kind, X0: v[0], Y0: v[1], X1: v[2], Y1: v[3], Readings: v[4:]}
		if total += len(l.Readings); total > maxLineReadings {
			return nil, fail("more than %d readings in all", maxLineReadings)
		}
		by := lineUnits[unit].um
		if lineUnits[unit].slope {
			by *= math.Hypot(l.X1-l.X0, l.Y1-l.Y0) / float64(len(l.Readings))
		}
		l.SigmaUM = sigma * by
		for k := range l.Readings {
			l.Readings[k] *= by
			if math.Abs(l.Readings[k]) > maxLineReading {
				return nil, fail("field %d: %s %s is more than 1 m: is the unit right?", k+7, quoted(fields[k+6]), unit)
			}
		}
		if l.SigmaUM == 0 && l.X0 != l.X1 || l.SigmaUM > maxLineReading {
			return nil, fail("sigma %g %s is %g um here: is the unit right?", sigma, unit, l.SigmaUM)
		}
		lines = append(lines, l)
	}
	if len(lines) == 0 {
		return nil, errors.New("no lines: give rows name,kind,x0,y0,x1,y1,readings")
	}
	return lines, nil
}

// quoted shows what stood in a file, cut short.
func quoted(s string) string {
	if len(s) > 40 {
		s = s[:40] + "..."
	}
	return strconv.Quote(s)
}
