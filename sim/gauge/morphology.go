package gauge

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
)

// BallClosing is the surface that a ball of radius mm leaves when it rolls over
// m (the morphological closing filter of ISO 16610-85; of a map with one row,
// closing by a disc, ISO 16610-41): it bridges what the ball does not reach and
// is nowhere below m.
//
// Edge effects: the ball's centre stays over metal, and nothing beyond an edge
// or in a missing cell holds it up, so near an edge it sinks as deep as the
// metal on one side lets it. Missing cells stay missing. Positions are those of
// the cells: waves shorter than some four pitches are not resolved.
func BallClosing(m *surface.Map, radius float64) *surface.Map {
	return rolled(m, radius, 1)
}

// BallOpening is the same from below: it cuts off peaks too narrow for the ball
// and is nowhere above m.
func BallOpening(m *surface.Map, radius float64) *surface.Map {
	return rolled(m, radius, -1)
}

// rolled closes side times the heights of m: the heights of a ball resting over
// every cell, and then the underside that those balls leave together.
func rolled(m *surface.Map, radius, side float64) *surface.Map {
	none := math.Inf(-1)
	z := make([]float64, m.Cells())
	hi, lo := none, math.Inf(1)
	for k, v := range m.Z {
		z[k] = none
		if v == v {
			z[k] = side * v
			hi, lo = max(hi, z[k]), min(lo, z[k])
		}
	}
	ball := undersideOf(radius, m.DX, m.DY, hi-lo)
	rest := raise(z, m.NX, m.NY, ball)
	// The underside is the same operation upside down.
	for k, v := range m.Z {
		rest[k] = -rest[k]
		if v != v {
			rest[k] = none
		}
	}
	under := raise(rest, m.NX, m.NY, ball)
	out := surface.NewMap(m.Grid)
	for k, v := range m.Z {
		out.Z[k] = -side * under[k]
		if v != v {
			out.Z[k] = v
		}
	}
	return out
}

// ballRow is a ball's underside in the row dj places from its middle: how far,
// um, it is above its lowest point at 0, 1, 2 ... columns from its middle.
type ballRow struct {
	dj   int
	rise []float64
}

// undersideOf is a ball as far as its underside rises by no more than deepest
// um: beyond that it cannot touch before its middle does.
func undersideOf(radius, dx, dy, deepest float64) []ballRow {
	r2 := float64(radius * radius)
	rise := func(di, dj int) (float64, bool) {
		x, y := float64(di)*dx, float64(dj)*dy
		d2 := float64(x*x) + float64(y*y)
		if d2 > r2 {
			return 0, false
		}
		h := 1000 * d2 / (radius + math.Sqrt(r2-d2))
		return h, h <= deepest
	}
	var rows []ballRow
	for dj := 0; ; dj++ {
		row := ballRow{dj: dj}
		for di := 0; ; di++ {
			h, ok := rise(di, dj)
			if !ok {
				break
			}
			row.rise = append(row.rise, h)
		}
		if len(row.rise) == 0 {
			return rows
		}
		rows = append(rows, row)
		if dj > 0 {
			rows = append(rows, ballRow{-dj, row.rise})
		}
	}
}

// raise is, over every cell, the height of the lowest point of a ball that
// stands on z; -Inf where there is nothing to stand on.
func raise(z []float64, nx, ny int, ball []ballRow) []float64 {
	out := make([]float64, len(z))
	for j := 0; j < ny; j++ {
		to := out[j*nx : (j+1)*nx]
		for i := range to {
			to[i] = math.Inf(-1)
		}
		for _, b := range ball {
			q := j + b.dj
			if q < 0 || q >= ny {
				continue
			}
			from := z[q*nx : (q+1)*nx]
			for di, rise := range b.rise {
				if di >= nx {
					break
				}
				lift(to[di:], from[:nx-di], rise)
				if di > 0 {
					lift(to[:nx-di], from[di:], rise)
				}
			}
		}
	}
	return out
}

// lift raises every value of to that lies below from less rise up to it.
func lift(to, from []float64, rise float64) {
	to = to[:len(from)]
	for i, v := range from {
		if v -= rise; v > to[i] {
			to[i] = v
		}
	}
}
