package surface

import (
	"math"
	"sort"
	"strconv"
)

// latticeTolerance is how far from its lattice position a point may stand, as
// a share of the pitch: room for positions printed with few decimals.
const latticeTolerance = 0.01

// lattice finds the regular grid that points stand on and the cell of each.
// ok is false when there is none: positions off the lattice, or so few of its
// cells taken that the points are scattered ones whose coordinates happen to
// be round numbers. Two points may share a cell: that is for the caller.
func lattice(x, y []float64) (g Grid, cell []int, ok bool) {
	ax, okX := findAxis(x)
	ay, okY := findAxis(y)
	n := len(x)
	if !okX || !okY || ax.n > 16*n/ay.n+1 {
		return Grid{}, nil, false
	}
	g = Grid{NX: ax.n, NY: ay.n, DX: ax.pitch, DY: ay.pitch, X0: ax.origin, Y0: ay.origin}
	cell = make([]int, n)
	taken := make([]bool, g.Cells())
	for k := range cell {
		cell[k] = ay.index(y[k])*g.NX + ax.index(x[k])
		taken[cell[k]] = true
	}
	if 2*n < g.Cells() && !neighbourly(g, taken) {
		return Grid{}, nil, false
	}
	return g, cell, true
}

// neighbourly reports whether at least three quarters of the taken cells have
// a taken cell beside them both in x and in y: a ring or a frame of a lattice
// does, scattered points do not.
func neighbourly(g Grid, taken []bool) bool {
	at := func(i, j int) bool { return i >= 0 && j >= 0 && i < g.NX && j < g.NY && taken[j*g.NX+i] }
	n, good := 0, 0
	for j := range g.NY {
		for i := range g.NX {
			if !at(i, j) {
				continue
			}
			n++
			if (at(i-1, j) || at(i+1, j)) && (at(i, j-1) || at(i, j+1)) {
				good++
			}
		}
	}
	return 4*good >= 3*n
}

// axis is a row of evenly spaced positions.
type axis struct {
	origin, pitch float64
	n             int
}

func (a axis) index(v float64) int {
	return int(math.Floor((v-a.origin)/a.pitch + 0.5))
}

// findAxis finds the spacing of which every gap between neighbouring values is
// a whole number.
func findAxis(v []float64) (axis, bool) {
	u := append([]float64(nil), v...)
	sort.Float64s(u)
	first, last := u[0], u[len(u)-1]
	same := 1e-9 * (last - first)
	gap := math.Inf(1)
	distinct := u[:1]
	for _, p := range u[1:] {
		if d := p - distinct[len(distinct)-1]; d > same {
			gap = min(gap, d)
			distinct = append(distinct, p)
		}
	}
	if len(distinct) < 2 {
		return axis{}, false
	}
	steps := 0
	for k, p := range distinct[1:] {
		m := math.Round((p - distinct[k]) / gap)
		if m > MaxSide {
			return axis{}, false
		}
		if steps += int(m); steps >= MaxSide {
			return axis{}, false
		}
	}
	a := axis{first, decimal((last - first) / float64(steps)), steps + 1}
	if a.pitch < MinPitchMM || a.pitch > MaxPositionMM {
		return axis{}, false
	}
	for _, p := range distinct {
		at := (p - first) / a.pitch
		if math.Abs(at-math.Round(at)) > latticeTolerance {
			return axis{}, false
		}
	}
	return a, true
}

// decimal is the number of twelve digits nearest to a quotient of positions: those
// were written as decimals, and 59.8 mm in 299 steps are 0.2 mm each, not a bit less.
func decimal(v float64) float64 {
	d, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64) // of what was just written
	return d
}
