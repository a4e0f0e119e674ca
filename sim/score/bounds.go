package score

import (
	"math"
	"slices"
	"sort"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Least is what no hand could stay below on a face, however well it chose.
type Least struct {
	// MetalMM3 must go at the least. On the final plane every inch frame holds
	// points, and the whole face the bearing that is asked for: so much metal lies
	// within the film of it, and since metal is never added, it lay no lower before.
	// The least is what stands above the best such plane. Planes are searched by
	// slope; for each slope the highest that will do is exact.
	MetalMM3 float64
	// Cycles are the fewest prints: one to see the face, then one for each time that
	// all metal a rich film colours is taken down to the last micrometre of what it
	// coloured, until frames and face bear at the target's film.
	Cycles int
}

// richFilmUM is the thickest film that tells anything (5 to 12 um is rolled rich).
const richFilmUM = 12.0

// LeastFor bounds what the face must cost to be brought to a target.
func LeastFor(m *surface.Map, t target) (Least, error) {
	frames := framesOf(m, t)
	l := Least{MetalMM3: leastMetal(m, frames, t.FilmUM)}
	z := *m
	z.Z = slices.Clone(m.Z)
	const never = 200
	for l.Cycles = 1; l.Cycles < never; l.Cycles++ {
		rest, err := seat.OnBed(&z, seat.Weight(&z), seat.Stiffness)
		if err != nil {
			return l, err
		}
		if frames.bear(&z, rest.Plane, t.FilmUM) {
			return l, nil
		}
		for k, h := range z.Z {
			// Down to the edge of the colour: all of it bears alike then.
			if floor := rest.Plane.At(z.X(k%z.NX), z.Y(k/z.NX)) - richFilmUM; h > floor {
				z.Z[k] = floor
			}
		}
	}
	return l, nil
}

// frames are inch frames over the face, about half an inch apart, and the whole
// face: where each lies, and how many of its cells must bear.
type frames []frame

type frame struct {
	i0, i1, j0, j1 int // cells, the last not of it
	need           int
}

// each calls of with the number of each cell of metal in the frame, row by row.
func (f frame) each(m *surface.Map, of func(k int)) {
	for j := f.j0; j < f.j1; j++ {
		for k := j*m.NX + f.i0; k < j*m.NX+f.i1; k++ {
			if m.Z[k] == m.Z[k] {
				of(k)
			}
		}
	}
}

func framesOf(m *surface.Map, t target) frames {
	const side = 25.4
	x0, y0, x1, y1 := m.Edges()
	starts := func(lo, hi float64) []float64 {
		n := max(1, int(math.Ceil((hi-lo-side)/(side/2)))+1)
		out := make([]float64, n)
		for k := range out {
			out[k] = lo + math.Max(0, hi-lo-side)*float64(k)/math.Max(1, float64(n-1))
		}
		return out
	}
	// within are the cells of n, at, whose middles lie in a frame that starts at lo.
	within := func(n int, at func(int) float64, lo float64) (from, to int) {
		from = sort.Search(n, func(k int) bool { return at(k) >= lo })
		return from, sort.Search(n, func(k int) bool { return at(k) >= lo+side })
	}
	need := max(1, int(float64(t.FrameMin)*gauge.DefaultRule.MinSpotMM2/m.CellArea()))
	var all frames
	cells := 0
	count := func(int) { cells++ }
	for _, fy := range starts(y0, y1) {
		for _, fx := range starts(x0, x1) {
			f := frame{need: need}
			f.i0, f.i1 = within(m.NX, m.X, fx)
			f.j0, f.j1 = within(m.NY, m.Y, fy)
			cells = 0
			f.each(m, count)
			// A frame that lies half off the metal asks for nothing.
			if float64(cells)*m.CellArea() > side*side/2 && cells >= need {
				all = append(all, f)
			}
		}
	}
	face := frame{i1: m.NX, j1: m.NY}
	cells = 0
	face.each(m, count)
	face.need = max(1, int(t.AreaPct[0]/100*float64(cells)))
	return append(all, face)
}

// bear reports whether everywhere enough metal lies within film of the plane.
func (all frames) bear(m *surface.Map, p surface.Plane, film float64) bool {
	for _, f := range all {
		n := 0
		f.each(m, func(k int) {
			if p.At(m.X(k%m.NX), m.Y(k/m.NX))-m.Z[k] <= film {
				n++
			}
		})
		if n < f.need {
			return false
		}
	}
	return true
}

// leastMetal is the volume, mm^3, above the best plane on which face and frames bear.
func leastMetal(m *surface.Map, all frames, film float64) float64 {
	x0, y0, x1, y1 := m.Edges()
	// The slopes of a least-squares plane are near enough to begin with.
	b, c := slopes(m)
	above, heights := make([]float64, len(m.Z)), make([]float64, 0, len(m.Z)) // scratch
	volume := func(b, c float64) float64 { return all.volumeAt(m, film, b, c, above, heights) }
	best := volume(b, c)
	for step := 16.0; step > .2; step /= 2 {
		for better := true; better; {
			better = false
			for _, d := range [8][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
				tb, tc := b+d[0]*step/(x1-x0), c+d[1]*step/(y1-y0)
				if v := volume(tb, tc); v < best-1e-9 {
					best, b, c, better = v, tb, tc, true
				}
			}
		}
	}
	return best
}

// volumeAt is the metal, mm^3, above the highest plane of slopes b and c, um per
// mm, on which face and frames bear. above and heights are scratch: room for the
// heights of all cells.
func (all frames) volumeAt(m *surface.Map, film, b, c float64, above, heights []float64) float64 {
	for j := range m.NY {
		y, row := m.Y(j), above[j*m.NX:(j+1)*m.NX]
		for i, z := range m.Z[j*m.NX : (j+1)*m.NX] {
			row[i] = z - b*m.X(i) - c*y
		}
	}
	top := math.Inf(1)
	for _, f := range all {
		// Where enough stands no lower than what holds so far, nothing is to be sorted.
		reach := 0
		for j := f.j0; j < f.j1; j++ {
			for _, z := range above[j*m.NX+f.i0 : j*m.NX+f.i1] {
				if z+film >= top {
					reach++
				}
			}
		}
		if reach >= f.need {
			continue
		}
		heights = heights[:0]
		f.each(m, func(k int) { heights = append(heights, above[k]) })
		top = math.Min(top, nth(heights, len(heights)-f.need)+film)
	}
	sum := 0.0
	for _, z := range above {
		if z > top {
			sum += z - top
		}
	}
	return sum * m.CellArea() / 1000
}

// nth is the value that would stand at n if v were sorted; it reorders v.
func nth(v []float64, n int) float64 {
	for lo, hi := 0, len(v)-1; lo < hi; {
		pivot := v[lo+(hi-lo)/2]
		i, j := lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case n <= j:
			hi = j
		case n >= i:
			lo = i
		default:
			return v[n]
		}
	}
	return v[n]
}

func slopes(m *surface.Map) (b, c float64) {
	var n, sx, sy, sz, sxx, sxy, syy, sxz, syz float64
	for k, z := range m.Z {
		if z == z {
			x, y := m.X(k%m.NX), m.Y(k/m.NX)
			n++
			sx, sy, sz = sx+x, sy+y, sz+z
			sxx, sxy, syy, sxz, syz = sxx+x*x, sxy+x*y, syy+y*y, sxz+x*z, syz+y*z
		}
	}
	xx, xy, yy, xz, yz := sxx-sx*sx/n, sxy-sx*sy/n, syy-sy*sy/n, sxz-sx*sz/n, syz-sy*sz/n
	d := xx*yy - xy*xy
	if d == 0 {
		return 0, 0
	}
	return (xz*yy - yz*xy) / d, (yz*xx - xz*xy) / d
}
