package main

import (
	"iter"
	"math"

	"github.com/before-iron/beforeiron/render/app"
	"github.com/before-iron/beforeiron/render/ownpart"
	"github.com/before-iron/beforeiron/sim/surface"
)

type openCommand struct {
	Lesson string `placeholder:"ID" xor:"what" help:"Show this lesson, to begin it; see beforeiron lessons."`
	Part   string `placeholder:"FILE" xor:"what" help:"Show your own readings (.csv, .sdf, .x3p), to work them."`
	Saved  string `name:"run" placeholder:"FILE" xor:"what" help:"Go on with the run in this file, where it lies; one that is signed off is looked back on."`
	Board  bool   `help:"For a projector: the whole screen, type that the back row can read, light iron."`
	Data   string `placeholder:"DIR" help:"Folder for settings and runs (by default beforeiron in XDG_DATA_HOME)."`
}

func (c *openCommand) Run(streams) error {
	return app.Run(app.Options{Version: version, Data: c.Data, ReadPart: readPart, Lesson: c.Lesson, Part: c.Part, Run: c.Saved, Board: c.Board})
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
	small(p, d)
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

// everyReading are the places, mm, and heights, um, that were measured. A map may have
// millions of them, so they are not copied.
func everyReading(d *surface.Data) iter.Seq2[[2]float64, float64] {
	return func(yield func([2]float64, float64) bool) {
		if c := d.Cloud; c != nil {
			for k, z := range c.Z {
				if !yield([2]float64{c.X[k], c.Y[k]}, z) {
					return
				}
			}
			return
		}
		for k, z := range d.Map.Z {
			if z == z && !yield([2]float64{d.Map.X(k % d.Map.NX), d.Map.Y(k / d.Map.NX)}, z) {
				return
			}
		}
	}
}

// small fills in what of the readings a preview shows: how many they are, from
// where to where, and a small map in which each place has the height of the
// reading nearest to it.
func small(p *ownpart.Part, d *surface.Data) {
	x0, y0, low := math.Inf(1), math.Inf(1), math.Inf(1)
	x1, y1, high := math.Inf(-1), math.Inf(-1), math.Inf(-1)
	for at, z := range everyReading(d) {
		p.Points++
		x0, x1 = min(x0, at[0]), max(x1, at[0])
		y0, y1 = min(y0, at[1]), max(y1, at[1])
		low, high = min(low, z), max(high, z)
	}
	p.Low, p.High = low, high
	long := max(x1-x0, y1-y0)
	p.W = max(2, int(math.Round(smallSide*(x1-x0)/long)))
	p.H = max(2, int(math.Round(smallSide*(y1-y0)/long)))
	p.Z = make([]float64, p.W*p.H)
	nearest := make([]float64, len(p.Z))
	for k := range nearest {
		nearest[k], p.Z[k] = math.Inf(1), math.NaN()
	}
	// Each reading claims the places within the mean distance of readings.
	reach := 1.2 * math.Sqrt((x1-x0)*(y1-y0)/float64(p.Points))
	dx, dy := (x1-x0)/float64(p.W-1), (y1-y0)/float64(p.H-1)
	ri, rj := int(reach/max(dx, 1e-9))+1, int(reach/max(dy, 1e-9))+1
	for at, z := range everyReading(d) {
		ci, cj := int((at[0]-x0)/max(dx, 1e-9)+.5), int((at[1]-y0)/max(dy, 1e-9)+.5)
		for j := max(0, cj-rj); j <= min(p.H-1, cj+rj); j++ {
			for i := max(0, ci-ri); i <= min(p.W-1, ci+ri); i++ {
				away := math.Hypot(x0+float64(i)*dx-at[0], y0+float64(j)*dy-at[1])
				if k := j*p.W + i; away < nearest[k] {
					nearest[k], p.Z[k] = away, z
				}
			}
		}
	}
}
