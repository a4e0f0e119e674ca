package page

import (
	"fmt"
	"math"
	"slices"

	"github.com/before-iron/beforeiron/sim/surface"
)

// most points whose heights are written beside them.
const writtenPoints = 120

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
	for k := range z {
		x, y := v.at(c.X[k], c.Y[k])
		fmt.Fprintf(&v.b, `<circle class="reading" cx="%.1f" cy="%.1f" r="1.6"/>`, x, y)
		if len(z) <= writtenPoints {
			v.text("label", x, y-3, decimals(z[k]))
		}
	}
	f.MapTitle, f.Map = "Heights", v.svg()
	f.MapCaption = "Where the points lie, and their heights from the least-squares plane, µm. x runs to the right and y down, mm."
}

// fillLines tells how a survey closes.
func (m *Measured) fillLines(f *measuredFill) error {
	if m.Survey == nil {
		return nil
	}
	s := m.Survey
	worst := 0.0
	for _, p := range s.Stations {
		worst = math.Max(worst, p.SigmaUM)
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
	f.LinesNote = fmt.Sprintf("%d readings: %s. Heights are known to %s or better (standard uncertainty). A closure is how far a line misses the heights that the other lines alone give at the stations which it shares with them.", n, scatter, micro(worst))
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
