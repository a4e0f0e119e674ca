package main

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/sim/gauge"
)

// lineFigures are what the adjustment of lines over a plate says.
type lineFigures struct {
	Readings int           `json:"readings"`
	Spare    int           `json:"spare"`   // readings beyond those needed
	Scatter  *float64      `json:"scatter"` // of the residuals over the stated uncertainty
	Stations []lineStation `json:"stations"`
	Lines    []lineFigure  `json:"lines"`
}

type lineStation struct {
	X     float64 `json:"x_mm"`
	Y     float64 `json:"y_mm"`
	Z     float64 `json:"z_um"` // above the least-squares plane of all stations
	Sigma float64 `json:"sigma_um"`
}

type lineFigure struct {
	Name         string    `json:"name"`
	Kind         string    `json:"kind"`
	Closure      *float64  `json:"closure_um"`
	Residuals    []float64 `json:"residuals_um"`
	Straightness *float64  `json:"straightness_um"` // minimum zone of the heights along it
}

func linesOf(lines []gauge.SurveyLine, s *gauge.Survey) (*lineFigures, error) {
	f := &lineFigures{Spare: s.Freedom, Scatter: figure(s.Scatter)}
	for _, p := range s.Stations {
		f.Stations = append(f.Stations, lineStation{p.X, p.Y, p.Z, p.SigmaUM})
	}
	for k, l := range lines {
		straight, err := s.Straightness(k)
		if err != nil {
			return nil, err
		}
		residuals := s.Lines[k].Residuals
		for q, r := range residuals {
			residuals[q] = math.Round(r*1e9) / 1e9 // below that is rounding
		}
		f.Readings += len(l.Readings)
		f.Lines = append(f.Lines, lineFigure{l.Name, l.Kind.String(), s.Lines[k].Closure, residuals, figure(straight.MinimumZone.Width())})
	}
	return f, nil
}

func (f *lineFigures) rows(t table) {
	t.row("lines", len(f.Lines), fmt.Sprintf("%d readings for %d stations, %d beyond those needed", f.Readings, len(f.Stations), f.Spare))
	if f.Scatter != nil {
		t.row("scatter of residuals", f.Scatter, "times the stated uncertainty")
	}
	for _, l := range f.Lines {
		most := 0.0
		for _, r := range l.Residuals {
			most = max(most, math.Abs(r))
		}
		t.row(l.Name, l.Straightness, fmt.Sprintf("um out of straight; closes to %s, residuals up to %s um", show(l.Closure), show(most)))
	}
	for _, p := range f.Stations {
		t.row(fmt.Sprintf("at %s, %s mm", decimal(p.X), decimal(p.Y)), p.Z, fmt.Sprintf("um, +- %s (k = 1)", show(p.Sigma)))
	}
}
