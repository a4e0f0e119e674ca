package validity

import (
	"math"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Anew is a face measured from its heights alone, as they are when all is done, on a
// true plane: nothing that the marks kept on the way is in it. The block is laid all
// over the face, along and across, and not along its middle line alone.
type Anew struct {
	PointsPerIn2 float64 `json:"points_per_in2"`
	AreaPct      float64 `json:"area_pct"`
	FrameMin     int     `json:"frame_min"`
	BlockUM      float64 `json:"block_um"`
}

// anewBlock is how many targets the block may swing over the whole face; along the
// middle line it may swing one.
const anewBlock = 1.5

func measureAnew(m *surface.Map, t run.Target) (a Anew, err error) {
	rest, err := seat.OnBed(m, seat.Weight(m), seat.Stiffness)
	if err != nil {
		return a, err
	}
	plane := rest.Plane
	mask, valid := gauge.BearingMask(m, plane, t.FilmUM)
	count := gauge.CountPoints(mask, valid, m.Grid, gauge.DefaultRule)
	b := count.Bearing(t.FilmUM)
	if b.PerIn2 != nil {
		a.PointsPerIn2 = hundredth(*b.PerIn2)
	}
	a.AreaPct, a.FrameMin = hundredth(b.AreaPct), count.FrameMin
	across := surface.NewMap(surface.Grid{NX: m.NY, NY: m.NX, DX: m.DY, DY: m.DX, X0: m.Y0, Y0: m.X0})
	for k, z := range m.Z {
		across.Z[k%m.NX*m.NY+k/m.NX] = z
	}
	turned := surface.Plane{A: plane.A, B: plane.C, C: plane.B}
	a.BlockUM = hundredth(math.Max(blockSwing(m, plane), blockSwing(across, turned)))
	return a, nil
}

// blockSwing is the range of the block's height above a plane, laid every 5 mm where it
// lies wholly on the face.
func blockSwing(m *surface.Map, plane surface.Plane) float64 {
	const step = 5.0
	x0, y0, x1, y1 := m.Edges()
	hi, lo := math.Inf(-1), math.Inf(1)
	for y := y0 + gauge.BlockAcrossMM/2.0; y <= y1-gauge.BlockAcrossMM/2.0; y += step {
		for x := x0 + gauge.BlockAlongMM/2.0; x <= x1-gauge.BlockAlongMM/2.0; x += step {
			if h, ok := gauge.BlockHeight(m, plane, x, y); ok {
				hi, lo = max(hi, h), min(lo, h)
			}
		}
	}
	return math.Max(0, hi-lo)
}

// lack names the first thing in which a face misses the target by this measure; empty
// for none.
func (a Anew) lack(t run.Target) string {
	switch {
	case a.PointsPerIn2 < t.PointsPerIn2:
		return "points"
	case a.FrameMin < t.FrameMin:
		return "frame"
	case a.AreaPct < t.AreaPct[0] || a.AreaPct > t.AreaPct[1]:
		return "bearing"
	case a.BlockUM > anewBlock*t.BridgedUM:
		return "block"
	}
	return ""
}
