package main

import (
	"math"
	"path/filepath"
	"strings"

	"github.com/before-iron/beforeiron/render/app"
	"github.com/before-iron/beforeiron/render/ownpart"
	"github.com/before-iron/beforeiron/sim/surface"
)

type openCommand struct {
	Lesson string `placeholder:"ID" xor:"what" help:"Begin this lesson; see beforeiron lessons."`
	Part   string `placeholder:"FILE" xor:"what" help:"Show your own readings (.csv, .sdf, .x3p), to work them."`
	Saved  string `name:"run" placeholder:"NAME" xor:"what" help:"Go on with a run of the data folder."`
	Data   string `placeholder:"DIR" help:"Folder for settings and runs (by default beforeiron in XDG_DATA_HOME)."`
}

func (c *openCommand) Run(streams) error {
	name := strings.TrimSuffix(filepath.Base(c.Saved), ".run")
	if c.Saved == "" {
		name = ""
	}
	return app.Run(app.Options{Version: version, Data: c.Data, ReadPart: readPart, Lesson: c.Lesson, Part: c.Part, Run: name})
}

// readPart reads somebody's own part for the window.
func readPart(name string, content []byte, ask ownpart.Ask) (*ownpart.Part, error) {
	d, err := surface.Decode(name, content, surface.ReadOptions{Unit: ask.Unit})
	if err != nil {
		return nil, err
	}
	if ask.Flip {
		d = flipped(d)
	}
	finish := ask.Finish
	if finish == ownpart.Auto {
		finish = ""
	}
	setup, err := partSetup(d, finish, nil)
	if err != nil {
		return nil, err
	}
	x, y := size(d)
	p := &ownpart.Part{Setup: setup, X: x, Y: y, Unit: d.Unit, Unsaid: !d.UnitStated, Finish: setup.Part.Finish, Notes: d.Warnings}
	if d.Map != nil {
		p.NX, p.NY = d.Map.NX, d.Map.NY
	}
	points := d.Points()
	p.Points = len(points.Z)
	p.Low, p.High = math.Inf(1), math.Inf(-1)
	for _, z := range points.Z {
		p.Low, p.High = min(p.Low, z), max(p.High, z)
	}
	small(p, points)
	return p, nil
}

// flipped is data whose depths are taken for heights.
func flipped(d *surface.Data) *surface.Data {
	out := &surface.Data{Unit: d.Unit, UnitStated: d.UnitStated, Warnings: d.Warnings}
	turn := func(z []float64) []float64 {
		t := make([]float64, len(z))
		for k := range z {
			t[k] = -z[k]
		}
		return t
	}
	if m := d.Map; m != nil {
		out.Map = &surface.Map{Grid: m.Grid, Z: turn(m.Z)}
	}
	if c := d.Cloud; c != nil {
		out.Cloud = &surface.Cloud{X: c.X, Y: c.Y, Z: turn(c.Z)}
	}
	return out
}

// smallSide is the longer side of the map in a preview.
const smallSide = 120

// small fills in the small map of a preview: each place has the height of the
// reading nearest to it.
func small(p *ownpart.Part, points *surface.Cloud) {
	x0, y0 := math.Inf(1), math.Inf(1)
	x1, y1 := math.Inf(-1), math.Inf(-1)
	for k := range points.Z {
		x0, x1 = min(x0, points.X[k]), max(x1, points.X[k])
		y0, y1 = min(y0, points.Y[k]), max(y1, points.Y[k])
	}
	long := max(x1-x0, y1-y0)
	p.W = max(2, int(math.Round(smallSide*(x1-x0)/long)))
	p.H = max(2, int(math.Round(smallSide*(y1-y0)/long)))
	p.Z = make([]float64, p.W*p.H)
	nearest := make([]float64, len(p.Z))
	for k := range nearest {
		nearest[k], p.Z[k] = math.Inf(1), math.NaN()
	}
	// Each reading claims the places within the mean distance of readings.
	reach := 1.2 * math.Sqrt((x1-x0)*(y1-y0)/float64(len(points.Z)))
	dx, dy := (x1-x0)/float64(p.W-1), (y1-y0)/float64(p.H-1)
	ri, rj := int(reach/max(dx, 1e-9))+1, int(reach/max(dy, 1e-9))+1
	for k := range points.Z {
		ci, cj := int((points.X[k]-x0)/max(dx, 1e-9)+.5), int((points.Y[k]-y0)/max(dy, 1e-9)+.5)
		for j := max(0, cj-rj); j <= min(p.H-1, cj+rj); j++ {
			for i := max(0, ci-ri); i <= min(p.W-1, ci+ri); i++ {
				d := math.Hypot(x0+float64(i)*dx-points.X[k], y0+float64(j)*dy-points.Y[k])
				if at := j*p.W + i; d < nearest[at] {
					nearest[at], p.Z[at] = d, points.Z[k]
				}
			}
		}
	}
}
