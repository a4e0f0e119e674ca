package page

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/before-iron/beforeiron/sim/surface"
)

const (
	writtenPoints = 200 // most points whose heights are written beside them
	// widePlan is from how many points on the plan takes the whole width.
	widePlan = 13
)

// A figure of a plan in the units of the drawing, as the style of a wide one and
// that of a small one set it.
const (
	wideLetter, wideLine   = 2.4, 4.0
	smallLetter, smallLine = 4.2, 7.0
)

// fillPlan draws points that form no grid where they lie.
func (m *Measured) fillPlan(f *measuredFill) {
	c, plane := m.Cloud, m.Flatness.LSPlane
	x0, x1, y0, y1 := slices.Min(c.X), slices.Max(c.X), slices.Min(c.Y), slices.Max(c.Y)
	room := math.Max(x1-x0, y1-y0) / 12
	g := surface.Grid{NX: 2, NY: 2, DX: (x1-x0)/2 + room, DY: (y1-y0)/2 + room}
	g.X0, g.Y0 = x0-room+g.DX/2, y0-room+g.DY/2
	scale := 200 / math.Max(g.DX, g.DY)
	z := make([]float64, len(c.Z))
	low, high := math.Inf(1), math.Inf(-1)
	for k := range z {
		z[k] = c.Z[k] - plane.At(c.X[k], c.Y[k])
		low, high = math.Min(low, z[k]), math.Max(high, z[k])
	}
	v := newView(g, int(math.Ceil(g.DX*scale)), int(math.Ceil(g.DY*scale)), fmt.Sprintf("Plan of %d points with heights from %s to %s about the least-squares plane", len(z), micro(low), micro(high)))
	for _, l := range m.Lines {
		ax, ay := v.at(l.X0, l.Y0)
		bx, by := v.at(l.X1, l.Y1)
		fmt.Fprintf(&v.b, `<path class="run" d="M%.1f %.1fL%.1f %.1f"/>`, ax, ay, bx, by)
	}
	f.Wide = len(z) >= widePlan
	radius := 1.6
	if f.Wide {
		radius = .9
	}
	for k := range z {
		x, y := v.at(c.X[k], c.Y[k])
		fmt.Fprintf(&v.b, `<circle class="reading" cx="%.1f" cy="%.1f" r="%.1f"/>`, x, y, radius)
	}
	f.MapTitle = "Heights"
	f.MapCaption = "Where the points lie, and their heights from the least-squares plane, µm. x runs to the right and y down, mm."
	if len(z) <= writtenPoints && v.writeHeights(c, z, f.Wide) < len(z) {
		f.MapCaption += " Where figures would stand on each other, the highest and the lowest are written first."
	}
	f.Map = v.svg()
}

// writeHeights writes the heights of points beside them, the highest and the lowest
// first and each where none stands yet, and says how many it wrote.
func (v *view) writeHeights(c *surface.Cloud, z []float64, wide bool) int {
	letter, line := smallLetter, smallLine
	if wide {
		letter, line = wideLetter, wideLine
	}
	order := []int{slices.Index(z, slices.Max(z)), slices.Index(z, slices.Min(z))}
	for k := range z {
		if k != order[0] && k != order[1] {
			order = append(order, k)
		}
	}
	type box struct{ x, y, half float64 }
	var written []box
	for _, k := range order {
		text := decimals(z[k])
		x, y := v.at(c.X[k], c.Y[k])
		b := box{x, y - line/2, letter * float64(utf8.RuneCountInString(text)) / 2}
		if slices.ContainsFunc(written, func(o box) bool { return math.Abs(b.x-o.x) < b.half+o.half && math.Abs(b.y-o.y) < line }) {
			continue
		}
		written = append(written, b)
		v.text("label", b.x, b.y, text)
	}
	return len(written)
}

// fillLines tells how a survey closes.
func (m *Measured) fillLines(f *measuredFill) error {
	if m.Survey == nil {
		return nil
	}
	s := m.Survey
	for _, p := range s.Stations {
		f.Stations = append(f.Stations, stationRow{position(p.X), position(p.Y), decimals(p.Z), decimals(p.SigmaUM)})
	}
	scatter := "there is none beyond those needed, so that nothing checks them"
	if s.Freedom > 0 {
		scatter = fmt.Sprintf("%d of them beyond those needed, and their residuals scatter %s times as much as was stated", s.Freedom, decimals(s.Scatter))
	}
	n := 0
	for _, l := range m.Lines {
		n += len(l.Readings)
	}
	f.About = fmt.Sprintf("%d lines over a plate, solved by least squares for %d stations.", len(m.Lines), len(s.Stations))
	f.LinesNote = fmt.Sprintf("%d readings: %s. A closure is how far a line misses the heights that the other lines alone give at the stations which it shares with them.", n, scatter)
	for k, l := range m.Lines {
		row := lineRow{Name: l.Name, Kind: l.Kind.String(), Closure: "–", Straight: "–"}
		if c := s.Lines[k].Closure; c != nil {
			row.Closure = micro(*c)
		}
		most := 0.0
		for _, r := range s.Lines[k].Residuals {
			most = math.Max(most, math.Abs(r))
		}
		row.Residual = micro(most)
		st, err := s.Straightness(k)
		if err != nil {
			return err
		}
		row.Straight = micro(st.MinimumZone.Width())
		f.Lines = append(f.Lines, row)
	}
	return nil
}

// position is a length of mm to a micrometre, no nought behind; + 0 takes the sign
// off a nought.
func position(mm float64) string {
	return strings.Replace(strconv.FormatFloat(math.Round(mm*1e3)/1e3+0, 'f', -1, 64), "-", "−", 1)
}
