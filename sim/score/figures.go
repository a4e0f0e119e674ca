package score

import (
	"math"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// rested is a face at rest on a true plane under its own weight.
type rested struct {
	heights *surface.Map
	plane   surface.Plane
	valid   []bool // nil when all cells are
	mask    []bool // cells within the film
	count   gauge.PointCount
}

func rest(m *surface.Map, film float64) (rested, error) {
	s, err := seat.OnBed(m, seat.Weight(m), seat.Stiffness)
	if err != nil {
		return rested{}, err
	}
	f := rested{heights: m, plane: s.Plane}
	f.mask, f.valid = gauge.BearingMask(m, s.Plane, film)
	f.count = gauge.CountPoints(f.mask, f.valid, m.Grid, gauge.DefaultRule)
	return f, nil
}

// gap of cell k below the plane, um.
func (f rested) gap(k int) float64 {
	m := f.heights
	return f.plane.At(m.X(k%m.NX), m.Y(k/m.NX)) - m.Z[k]
}

// figures are the geometry of the face, new lows left out.
func (f rested) figures(film float64) Figures {
	b := f.count.Bearing(film)
	out := Figures{FilmUM: film, PointsPerIn2: b.PerIn2, FrameMin: b.FrameMin, FrameMax: b.FrameMax, AreaPct: &b.AreaPct}
	if r, _ := gauge.BareTip(f.heights, f.plane); r == r {
		out.BareRangeUM = &r
	}
	if r, ok := gauge.BridgedBlock(f.heights, f.plane); ok {
		out.BridgedUM = &r
	}
	if flat, err := gauge.Flatness(f.heights); err == nil {
		out.MinimumZoneUM, out.LSTotalUM = &flat.MinimumZone, &flat.LSTotal
	}
	return out
}

// meets reports whether a face meets the target.
func (f Figures) meets(t target) bool {
	return f.lack(t) == ""
}

// lack names the first thing in which a face misses the target; empty for none.
func (f Figures) lack(t target) string {
	switch {
	case f.PointsPerIn2 == nil || *f.PointsPerIn2 < t.PointsPerIn2:
		return "points"
	case f.FrameMin != nil && *f.FrameMin < t.FrameMin:
		return "frame"
	case f.AreaPct == nil || *f.AreaPct < t.AreaPct[0] || *f.AreaPct > t.AreaPct[1]:
		return "bearing"
	case f.BridgedUM != nil && *f.BridgedUM > t.BridgedUM:
		return "bridged"
	case f.BareRangeUM != nil && (*f.BareRangeUM < t.BareUM[0] || *f.BareRangeUM > t.BareUM[1]):
		return "bare"
	}
	return ""
}

// worstFrame is the middle, mm, of the inch frame with the fewest points.
func (f rested) worstFrame() (x, y float64) {
	const side = 25.4
	m := f.heights
	x0, y0, x1, y1 := m.Edges()
	best := math.MaxInt
	x, y = (x0+x1)/2, (y0+y1)/2
	for fy := y0; fy+side <= y1+1e-9; fy++ {
		for fx := x0; fx+side <= x1+1e-9; fx++ {
			n := 0
			for _, p := range f.count.List {
				if p.X >= fx && p.X < fx+side && p.Y >= fy && p.Y < fy+side {
					n++
				}
			}
			if n < best {
				best, x, y = n, fx+side/2, fy+side/2
			}
		}
	}
	return x, y
}
