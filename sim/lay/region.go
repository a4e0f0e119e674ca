// Package lay turns a decision into strokes: a row along a line, rows over a
// painted region, or the learner's example carried through it; and it adds what
// a real hand adds, scatter of place, angle and depth and now and then a spot
// misread. Where, which, how deep and which way stay the learner's.
package lay

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// Region is a painted part of a face: square tiles of side Tile (10 um units)
// from the part's origin, as runs [row, from, to) of columns. Runs are sorted by
// row and column and do not touch within a row.
type Region struct {
	Tile int      `json:"tile"`
	Runs [][3]int `json:"runs"`
}

// Check reports the first thing that is wrong with the region.
func (r Region) Check() error {
	if r.Tile < 10 || r.Tile > 2000 {
		return fmt.Errorf("region: tile is %d: give its side in 10 um, 10 to 2000", r.Tile)
	}
	if len(r.Runs) == 0 {
		return errors.New("region: nothing is painted: give at least one run")
	}
	for n, run := range r.Runs {
		const far = 1 << 20
		if run[0] < -far || run[0] > far || run[1] < -far || run[2] > far || run[2] <= run[1] {
			return fmt.Errorf("region: run %d is %v: give [row, from, to) with from < to", n+1, run)
		}
		if n > 0 {
			if p := r.Runs[n-1]; run[0] < p[0] || run[0] == p[0] && run[1] <= p[2] {
				return fmt.Errorf("region: run %d %v does not follow %v: sort runs by row and column and join those that touch", n+1, run, p)
			}
		}
	}
	return nil
}

// AreaMM2 is the painted area, mm^2.
func (r Region) AreaMM2() float64 {
	tiles := 0
	for _, run := range r.Runs {
		tiles += run[2] - run[1]
	}
	side := float64(r.Tile) / 100
	return float64(tiles) * float64(side*side)
}

// Contains reports whether (x, y) mm is painted.
func (r Region) Contains(x, y float64) bool {
	side := float64(r.Tile) / 100
	i, j := int(math.Floor(x/side)), int(math.Floor(y/side))
	n := sort.Search(len(r.Runs), func(n int) bool {
		run := r.Runs[n]
		return run[0] > j || run[0] == j && run[2] > i
	})
	return n < len(r.Runs) && r.Runs[n][0] == j && r.Runs[n][1] <= i
}

// Within is what of the region lies on tiles that reach between the given sides,
// mm.
func (r Region) Within(x0, y0, x1, y1 float64) Region {
	side := float64(r.Tile) / 100
	i0, j0 := int(math.Floor(x0/side)), int(math.Floor(y0/side))
	i1, j1 := int(math.Ceil(x1/side)), int(math.Ceil(y1/side))
	out := Region{Tile: r.Tile}
	for _, run := range r.Runs {
		if run[0] < j0 || run[0] >= j1 {
			continue
		}
		if from, to := max(run[1], i0), min(run[2], i1); from < to {
			out.Runs = append(out.Runs, [3]int{run[0], from, to})
		}
	}
	return out
}

// bounds are the painted extent, mm.
func (r Region) bounds() (x0, y0, x1, y1 float64) {
	side := float64(r.Tile) / 100
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, run := range r.Runs {
		x0, x1 = math.Min(x0, float64(run[1])*side), math.Max(x1, float64(run[2])*side)
		y0, y1 = math.Min(y0, float64(run[0])*side), math.Max(y1, float64(run[0]+1)*side)
	}
	return x0, y0, x1, y1
}

// Paint makes the region of the tiles, columns by rows of them, for which on is
// true.
func Paint(tile, columns, rows int, on func(i, j int) bool) Region {
	r := Region{Tile: tile}
	for j := 0; j < rows; j++ {
		for i := 0; i < columns; i++ {
			if !on(i, j) {
				continue
			}
			from := i
			for i < columns && on(i, j) {
				i++
			}
			r.Runs = append(r.Runs, [3]int{j, from, i})
		}
	}
	return r
}
