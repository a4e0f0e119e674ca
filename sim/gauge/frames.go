package gauge

import "math"

const (
	// FrameMM is the side of the inspection frame: one inch.
	FrameMM     = 25.4
	frameStepMM = 1.0
)

// window is the bounding box of the valid cells: their columns and rows, and
// its edges in mm, half a pitch outside the centres.
type window struct {
	i0, i1, j0, j1 int // i0 <= i < i1
	x0, y0, x1, y1 float64
}

func (c *PointCount) window() window {
	g, valid := c.grid, c.valid
	w := window{0, g.NX, 0, g.NY, 0, 0, 0, 0}
	if valid != nil {
		w = window{g.NX, 0, g.NY, 0, 0, 0, 0, 0}
		for j := 0; j < g.NY; j++ {
			for i, ok := range valid[j*g.NX : (j+1)*g.NX] {
				if ok {
					w.i0, w.i1 = min(w.i0, i), max(w.i1, i+1)
					w.j0, w.j1 = min(w.j0, j), j+1
				}
			}
		}
	}
	w.x0, w.x1 = g.X(w.i0)-g.DX/2, g.X(w.i1-1)+g.DX/2
	w.y0, w.y1 = g.Y(w.j0)-g.DY/2, g.Y(w.j1-1)+g.DY/2
	return w
}

// frameStarts are the positions of a frame of side mm between two edges: every
// step from the first edge, and one flush with the far edge.
func frameStarts(lo, hi, side, step float64) []float64 {
	room := hi - lo - side
	tiny := float64(hair * (hi - lo))
	if room < -tiny {
		return nil
	}
	var at []float64
	for k := 0; float64(float64(k)*step) <= room+tiny; k++ {
		at = append(at, lo+float64(float64(k)*step))
	}
	if hi-side-at[len(at)-1] > tiny {
		at = append(at, hi-side)
	}
	return at
}

// Frame is a square inspection frame by its first corner, mm, and the points in
// it.
type Frame struct {
	X, Y   float64
	Points int
}

// Frames finds the frames with the fewest and the most points among the square
// ones of side mm that lie wholly on the face, the first of equals in raster
// order; ok is false where none lies so.
func (c *PointCount) Frames(side float64) (fewest, most Frame, ok bool) {
	for k, f := range c.frames(side) {
		if k == 0 {
			fewest, most, ok = f, f, true
		}
		if f.Points < fewest.Points {
			fewest = f
		}
		if f.Points > most.Points {
			most = f
		}
	}
	return fewest, most, ok
}

// frames counts the points in every square frame of the given side that lies
// wholly on the face. A point belongs where its centroid falls, the first edges
// of a frame belonging to it and the far ones not.
func (c *PointCount) frames(side float64) []Frame {
	if c.ValidMM2 == 0 {
		return nil
	}
	w := c.window()
	xs := frameStarts(w.x0, w.x1, side, frameStepMM)
	ys := frameStarts(w.y0, w.y1, side, frameStepMM)
	if len(xs) == 0 || len(ys) == 0 {
		return nil
	}
	// Every point adds one to a rectangle of frames: mark its corners, sum.
	nx := len(xs) + 1
	acc := make([]int, nx*(len(ys)+1))
	tx, ty := float64(hair*(w.x1-w.x0)), float64(hair*(w.y1-w.y0))
	for _, p := range c.List {
		a0, a1 := framesAround(xs, p.X, side, tx)
		b0, b1 := framesAround(ys, p.Y, side, ty)
		acc[b0*nx+a0]++
		acc[b0*nx+a1]--
		acc[b1*nx+a0]--
		acc[b1*nx+a1]++
	}
	whole := c.wholeFrames(xs, ys, side)
	out := make([]Frame, 0, len(xs)*len(ys))
	for b := range ys {
		for a := range xs {
			k := b*nx + a
			if a > 0 {
				acc[k] += acc[k-1]
			}
			if b > 0 {
				acc[k] += acc[k-nx]
			}
			if a > 0 && b > 0 {
				acc[k] -= acc[k-nx-1]
			}
			if whole(a, b) {
				out = append(out, Frame{xs[a], ys[b], acc[k]})
			}
		}
	}
	return out
}

// framesAround is the range of frames, from the first to one past the last,
// with start <= at < start + side.
func framesAround(starts []float64, at, side, tiny float64) (from, to int) {
	for from < len(starts) && starts[from]+side <= at+tiny {
		from++
	}
	for to = from; to < len(starts) && starts[to] <= at+tiny; {
		to++
	}
	return from, to
}

// wholeFrames tells of a frame whether no missing cell reaches into it.
func (c *PointCount) wholeFrames(xs, ys []float64, side float64) func(a, b int) bool {
	valid := c.valid
	if valid == nil {
		return func(int, int) bool { return true }
	}
	g := c.grid
	nx := g.NX + 1
	missing := make([]int32, nx*(g.NY+1)) // how many lie before (i, j)
	for j := 0; j < g.NY; j++ {
		for i := 0; i < g.NX; i++ {
			n := missing[j*nx+i+1] + missing[(j+1)*nx+i] - missing[j*nx+i]
			if !valid[j*g.NX+i] {
				n++
			}
			missing[(j+1)*nx+i+1] = n
		}
	}
	span := func(at, first, pitch float64, n int) (int, int) {
		tiny := float64(hair * float64(n))
		lo := math.Floor((at-first)/pitch + 0.5 + tiny)
		hi := math.Ceil((at+side-first)/pitch + 0.5 - tiny)
		return max(int(lo), 0), min(int(hi), n)
	}
	return func(a, b int) bool {
		i0, i1 := span(xs[a], g.X0, g.DX, g.NX)
		j0, j1 := span(ys[b], g.Y0, g.DY, g.NY)
		return missing[j1*nx+i1]-missing[j0*nx+i1]-missing[j1*nx+i0]+missing[j0*nx+i0] == 0
	}
}
