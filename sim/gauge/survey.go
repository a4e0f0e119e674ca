package gauge

import (
	"errors"
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// LineKind is how a line over a plate was read, and with it what its readings
// leave open.
type LineKind int

const (
	// LevelSteps: a level on a foot of one step's length. Gravity is common to
	// all such lines; only how the plate stands to it is open.
	LevelSteps LineKind = iota
	// AutocollimatorSteps: a mirror on such a foot. The zero of the angle is
	// open for every line.
	AutocollimatorSteps
	// StraightedgeHeights: heights above a straightedge. How the edge lies is
	// open for every line.
	StraightedgeHeights
)

// String is the instrument of the kind.
func (k LineKind) String() string {
	return [...]string{"level", "autocollimator", "straightedge"}[k]
}

// SurveyLine is one straight line of readings over a plate, at stations evenly
// spaced from one end to the other, both ends included.
type SurveyLine struct {
	Name           string
	Kind           LineKind
	X0, Y0, X1, Y1 float64 // ends, mm
	// Readings, um: of the steps kinds the rise over each step on the way from
	// (X0, Y0), one less than there are stations; of a straightedge the height
	// at each station.
	Readings []float64
	SigmaUM  float64 // standard uncertainty of one reading, um
}

func (l SurveyLine) stations() int {
	if l.Kind == StraightedgeHeights {
		return len(l.Readings)
	}
	return len(l.Readings) + 1
}

func (l SurveyLine) place(k int) (x, y float64) {
	t := float64(k) / float64(l.stations()-1)
	return l.X0 + float64(t*(l.X1-l.X0)), l.Y0 + float64(t*(l.Y1-l.Y0))
}

// profile is the line's own shape: heights at its stations, um, up to what its
// kind leaves open.
func (l SurveyLine) profile() []float64 {
	if l.Kind == StraightedgeHeights {
		return l.Readings
	}
	p := make([]float64, len(l.Readings)+1)
	for k, r := range l.Readings {
		p[k+1] = p[k] + r
	}
	return p
}

// Station is a place on the plate where lines were read: its height above the
// least-squares plane of all stations and the standard uncertainty of that, um.
type Station struct{ X, Y, Z, SigmaUM float64 }

// SurveyedLine is what the adjustment says of one line.
type SurveyedLine struct {
	Stations  []int     // indices in Survey.Stations
	Residuals []float64 // of each reading, um: reading less what the heights say
	// Closure is by how much, um, the line fails to meet the heights that the
	// other lines alone give at the stations it shares with them; nil where
	// those do not say.
	Closure *float64
}

// Survey is a plate found from lines over it.
type Survey struct {
	Stations []Station
	Lines    []SurveyedLine
	// Freedom is how many readings there are beyond those needed.
	Freedom int
	// Scatter is how much the residuals scatter against the stated uncertainty
	// of the readings: about 1 where the two agree, NaN without freedom. Above
	// 1 it has been taken into the uncertainties of the stations.
	Scatter float64
}

// Solve finds the heights of all stations by least squares, readings weighted
// by their uncertainty. Stations of different lines at one place are one. It
// errs for a line that is no line, and where the lines do not tie every station
// to the rest.
func Solve(lines []SurveyLine) (*Survey, error) {
	if len(lines) == 0 {
		return nil, errors.New("a survey needs lines")
	}
	for k, l := range lines {
		name := l.Name
		if name == "" {
			name = fmt.Sprint(k + 1)
		}
		switch {
		case l.stations() < 2 || len(l.Readings) == 0:
			return nil, fmt.Errorf("line %s: too few readings for a line", name)
		case l.X0 == l.X1 && l.Y0 == l.Y1:
			return nil, fmt.Errorf("line %s: its two ends are one place", name)
		case !(l.SigmaUM > 0):
			return nil, fmt.Errorf("line %s: the uncertainty of its readings must be above 0 um", name)
		}
	}
	a, err := adjust(lines)
	if err != nil {
		return nil, err
	}
	s := &Survey{Stations: a.stations, Freedom: a.freedom, Scatter: math.NaN()}
	ss := 0.0
	for k, l := range lines {
		line := SurveyedLine{Stations: a.at[k], Residuals: a.residuals(k)}
		for _, r := range line.Residuals {
			ss += float64(r * r / (l.SigmaUM * l.SigmaUM))
		}
		line.Closure = closure(lines, k)
		s.Lines = append(s.Lines, line)
	}
	if s.Freedom > 0 {
		s.Scatter = math.Sqrt(ss / float64(s.Freedom))
	}
	for k := range s.Stations {
		s.Stations[k].SigmaUM = math.Sqrt(a.variance[k])
		if s.Scatter > 1 {
			s.Stations[k].SigmaUM *= s.Scatter
		}
	}
	return s, nil
}

// Cloud is the stations as points, for flatness.
func (s *Survey) Cloud() surface.Cloud {
	var c surface.Cloud
	for _, p := range s.Stations {
		c.X, c.Y, c.Z = append(c.X, p.X), append(c.Y, p.Y), append(c.Z, p.Z)
	}
	return c
}

// Straightness is that of the heights found along line k.
func (s *Survey) Straightness(k int) (StraightnessFigures, error) {
	var along, z []float64
	first := s.Stations[s.Lines[k].Stations[0]]
	for _, at := range s.Lines[k].Stations {
		p := s.Stations[at]
		along, z = append(along, math.Hypot(p.X-first.X, p.Y-first.Y)), append(z, p.Z)
	}
	return Straightness(along, z)
}

// adjustment is the least-squares problem of some lines and its answer. The
// unknowns are the heights, then what the lines leave open: the rise of the
// plate against gravity over one unit of x and y (levels together), the rise
// over the line (an autocollimator), height and rise (a straightedge).
type adjustment struct {
	lines    []SurveyLine
	at       [][]int // stations of each line
	open     []int   // first open unknown of each line
	stations []Station
	unit     float64 // mm: heights are centred and scaled by it
	cx, cy   float64
	x        []float64
	variance []float64 // of the heights
	freedom  int
}

// term is one coefficient of a reading's equation.
type term struct {
	unknown int
	by      float64
}

func adjust(lines []SurveyLine) (*adjustment, error) {
	a := &adjustment{lines: lines}
	a.placeStations()
	n := len(a.stations)
	unknowns, level, readings := n, -1, 0
	for _, l := range lines {
		readings += len(l.Readings)
		switch l.Kind {
		case LevelSteps:
			if level < 0 {
				level = unknowns
				unknowns += 2
			}
			a.open = append(a.open, level)
		case AutocollimatorSteps:
			a.open = append(a.open, unknowns)
			unknowns++
		case StraightedgeHeights:
			a.open = append(a.open, unknowns)
			unknowns += 2
		}
	}
	normal := make([][]float64, unknowns)
	for k := range normal {
		normal[k] = make([]float64, unknowns)
	}
	right := make([]float64, unknowns)
	for k, l := range lines {
		weight := 1 / (l.SigmaUM * l.SigmaUM)
		for r, reading := range l.Readings {
			eq := a.equation(k, r)
			for _, p := range eq {
				right[p.unknown] += float64(weight * p.by * reading)
				for _, q := range eq {
					normal[p.unknown][q.unknown] += float64(weight * p.by * q.by)
				}
			}
		}
	}
	// No reading knows a plane through all heights: take it as nought. Three
	// conditions on the heights say so without touching any reading.
	planes, ok := a.planes(unknowns)
	if !ok {
		return nil, errors.New("all stations lie on one line: a plate needs lines that cross")
	}
	strength := 0.0
	for k := range n {
		strength = max(strength, normal[k][k])
	}
	strength /= float64(n)
	for c := range planes {
		for p := range n {
			for q := range n {
				normal[p][q] += float64(strength * planes[c][p] * planes[c][q])
			}
		}
	}
	bad := cholesky(normal)
	if bad >= 0 {
		if bad < n {
			return nil, fmt.Errorf("the lines do not tie the station at x %g, y %g mm to the rest: add a line that crosses there",
				a.stations[bad].X, a.stations[bad].Y)
		}
		return nil, fmt.Errorf("the lines do not tie the plate together: add lines that cross them")
	}
	a.x = solveCholesky(normal, right)
	// The three conditions have variances of their own, which are none of the
	// heights': heights are relative to their own plane.
	a.variance = make([]float64, n)
	own := a.conditionVariances(planes, strength)
	for k := range n {
		unit := make([]float64, unknowns)
		unit[k] = 1
		a.variance[k] = max(0, solveCholesky(normal, unit)[k]-own[k])
		a.stations[k].Z = a.x[k]
	}
	a.freedom = readings - (unknowns - 3)
	return a, nil
}

// placeStations makes one station of all places closer than a millionth of the
// plate.
func (a *adjustment) placeStations() {
	x0, x1 := math.Inf(1), math.Inf(-1)
	y0, y1 := x0, x1
	for _, l := range a.lines {
		x0, x1 = min(x0, l.X0, l.X1), max(x1, l.X0, l.X1)
		y0, y1 = min(y0, l.Y0, l.Y1), max(y1, l.Y0, l.Y1)
	}
	a.unit = max(x1-x0, y1-y0) / 2
	a.cx, a.cy = (x0+x1)/2, (y0+y1)/2
	near := 1e-6 * a.unit
	for _, l := range a.lines {
		var at []int
		for k := range l.stations() {
			x, y := l.place(k)
			found := -1
			for s, p := range a.stations {
				if math.Abs(p.X-x) <= near && math.Abs(p.Y-y) <= near {
					found = s
					break
				}
			}
			if found < 0 {
				found = len(a.stations)
				a.stations = append(a.stations, Station{X: x, Y: y})
			}
			at = append(at, found)
		}
		a.at = append(a.at, at)
	}
}

// equation is what reading r of line k is made of.
func (a *adjustment) equation(k, r int) []term {
	l, at, open := a.lines[k], a.at[k], a.open[k]
	last := float64(l.stations() - 1)
	switch l.Kind {
	case StraightedgeHeights:
		return []term{{at[r], 1}, {open, 1}, {open + 1, float64(r) / last}}
	case AutocollimatorSteps:
		return []term{{at[r+1], 1}, {at[r], -1}, {open, 1 / last}}
	default:
		return []term{{at[r+1], 1}, {at[r], -1},
			{open, (l.X1 - l.X0) / last / a.unit}, {open + 1, (l.Y1 - l.Y0) / last / a.unit}}
	}
}

// planes are a level, an x and a y plane over the heights, scaled to a mean
// square of one over the stations' number and square to each other; ok is false
// where the stations lie on one line.
func (a *adjustment) planes(unknowns int) (p [3][]float64, ok bool) {
	for c := range p {
		p[c] = make([]float64, unknowns)
		for k, s := range a.stations {
			p[c][k] = [3]float64{1, (s.X - a.cx) / a.unit, (s.Y - a.cy) / a.unit}[c]
		}
		for b := range c {
			axpy(p[c], p[b], -dot(p[c], p[b])/dot(p[b], p[b]))
		}
		d := dot(p[c], p[c])
		if !(d > 1e-12*float64(len(a.stations))) {
			return p, false
		}
		axpy(p[c], p[c], math.Sqrt(float64(len(a.stations))/d)-1)
	}
	return p, true
}

// conditionVariances is, for every height, the part of its variance that the
// three conditions bring in and not the readings: the planes that satisfy all
// readings, weighed by how firmly the conditions hold them.
func (a *adjustment) conditionVariances(planes [3][]float64, strength float64) []float64 {
	n := len(a.stations)
	out := make([]float64, n)
	for c := range planes {
		// A plane over the heights meets its own condition with n, the others
		// with nought: variance 1/(strength n^2) along it.
		for k := range n {
			out[k] += float64(planes[c][k]*planes[c][k]) / (strength * float64(n) * float64(n))
		}
	}
	return out
}

// residuals of line k: readings less what the answer says.
func (a *adjustment) residuals(k int) []float64 {
	out := make([]float64, len(a.lines[k].Readings))
	for r := range out {
		said := 0.0
		for _, t := range a.equation(k, r) {
			said += float64(t.by * a.x[t.unknown])
		}
		out[r] = a.lines[k].Readings[r] - said
	}
	return out
}

// closure holds line k against the heights that the other lines give: the range
// of the differences at the stations they share, once what the line leaves open
// has been fitted.
func closure(lines []SurveyLine, k int) *float64 {
	others := append(append([]SurveyLine(nil), lines[:k]...), lines[k+1:]...)
	if len(others) == 0 {
		return nil
	}
	a, err := adjust(others)
	if err != nil {
		return nil
	}
	// Levels among the others know how the plate stands to gravity.
	gravity := -1
	for q, l := range others {
		if l.Kind == LevelSteps {
			gravity = a.open[q]
		}
	}
	fixed := lines[k].Kind == LevelSteps && gravity >= 0
	var along, miss []float64
	profile := lines[k].profile()
	for p, z := range profile {
		x, y := lines[k].place(p)
		for _, s := range a.stations {
			if math.Abs(s.X-x) <= 1e-6*a.unit && math.Abs(s.Y-y) <= 1e-6*a.unit {
				d := z - s.Z
				if fixed {
					d -= float64(a.x[gravity]*(x-lines[k].X0)/a.unit) + float64(a.x[gravity+1]*(y-lines[k].Y0)/a.unit)
				}
				along, miss = append(along, float64(p)), append(miss, d)
				break
			}
		}
	}
	if fixed && len(miss) >= 2 {
		hi, lo := miss[0], miss[0]
		for _, d := range miss {
			hi, lo = max(hi, d), min(lo, d)
		}
		c := hi - lo
		return &c
	}
	if !fixed && len(miss) >= 3 {
		if f, err := Straightness(along, miss); err == nil {
			c := f.LeastSquares.Width()
			return &c
		}
	}
	return nil
}

func dot(a, b []float64) float64 {
	s := 0.0
	for k := range a {
		s += float64(a[k] * b[k])
	}
	return s
}

// axpy adds f times b to a.
func axpy(a, b []float64, f float64) {
	for k := range a {
		a[k] += float64(f * b[k])
	}
}

// cholesky replaces the lower half of a symmetric matrix by its factor; it
// returns the first row in which the matrix is singular, or -1.
func cholesky(a [][]float64) int {
	for i := range a {
		whole := a[i][i]
		for j := 0; j <= i; j++ {
			s := a[i][j] - dot(a[i][:j], a[j][:j])
			if i == j {
				if !(s > 1e-10*whole) {
					return i
				}
				a[i][i] = math.Sqrt(s)
			} else {
				a[i][j] = s / a[j][j]
			}
		}
	}
	return -1
}

func solveCholesky(l [][]float64, b []float64) []float64 {
	n := len(b)
	x := make([]float64, n)
	for i := range n {
		x[i] = (b[i] - dot(l[i][:i], x[:i])) / l[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		x[i] /= l[i][i]
		for j := range i {
			x[j] -= float64(l[i][j] * x[i])
		}
	}
	return x
}
