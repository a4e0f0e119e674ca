package gauge

import (
	"math"
	"math/bits"

	"github.com/before-iron/beforeiron/sim/surface"
)

// MM2PerIn2 is the area of a square inch, mm^2.
const MM2PerIn2 = 25.4 * 25.4

// hair is the relative rounding that a comparison of lengths forgives, so that
// half a millimetre is five cells of a tenth and a centroid exactly on the edge
// of a frame is known to be there.
const hair = 1e-9

// PointRule says what counts as a point on a blued face.
type PointRule struct {
	MinSpotMM2 float64 // patches below this area are dropped
	NeckMM     float64 // patches are split where they are narrower; 0 never
	Connect    int     // 8, or 4: whether the cells of a patch touch over their corners; cores always do
}

// DefaultRule: no norm fixes a least size, a connectivity or a neck (assumed;
// 8-connected is what image libraries take by default).
var DefaultRule = PointRule{MinSpotMM2: 0.5, NeckMM: 1.0, Connect: 8}

// Patch is a connected patch of colour before splitting.
type Patch struct {
	X, Y    float64 // centroid, mm
	AreaMM2 float64
	// The patch lies within cells I0 <= i < I1, J0 <= j < J1.
	I0, J0, I1, J1 int
	Points         int // into how many points it splits
}

// Point is one bearing point: a core of a patch, or the whole of a patch too
// thin to have one.
type Point struct {
	X, Y         float64 // centroid of the core (a thin patch: its own), mm
	PatchAreaMM2 float64
	CoreAreaMM2  float64 // 0 for a thin patch
	Patch        int     // index in PointCount.Patches
}

// PointCount is the count of a mask by a PointRule.
type PointCount struct {
	Cells   int     // cells of the mask, small patches included
	Spots   int     // patches of at least the least size
	Patches []Patch // those, in raster order of their first cells
	// HasPoints is false where the pitch is above half the neck: a core cannot
	// be told there, and what follows is empty.
	HasPoints bool
	Points    int
	List      []Point // in raster order of the first cells of patches, then cores
	PerIn2    float64 // points over the valid area
	// FrameMin and FrameMax are the fewest and most points in any inch frame
	// that lies wholly on the face; HasFrames is false where none does.
	HasFrames          bool
	FrameMin, FrameMax int
	// ValidCells and ValidMM2 are the area of the face.
	ValidCells int
	ValidMM2   float64

	grid    surface.Grid
	valid   []bool // nil: all
	blue    *bitmap
	patches *runs
	kept    []int32 // raw patch id -> index in Patches, -1 where dropped
	cores   *runs
	pointOf []int32 // raw core id -> index in List, -1 where dropped
}

// CountPoints counts the points of mask, a face's coloured cells, over the
// valid cells (nil: all). A core is what is left of the mask when every cell is
// taken away whose centre lies within half a neck of the centre of a cell that
// is not coloured, off the part and off the grid included; each connected core
// of a patch is a point, and a patch without a core is one. Holes in a patch
// stay holes.
func CountPoints(mask, valid []bool, g surface.Grid, rule PointRule) PointCount {
	b := packed(mask, g.NX, g.NY)
	cells := g.Cells()
	if valid != nil {
		v := packed(valid, g.NX, g.NY)
		for k := range b.w {
			b.w[k] &= v.w[k]
		}
		cells = v.count()
	}
	c := PointCount{
		ValidCells: cells, ValidMM2: float64(cells) * g.CellArea(),
		Cells: b.count(), grid: g, valid: valid, blue: b, patches: b.runs(rule.Connect),
	}
	sizes := c.patches.measure()
	c.kept = make([]int32, len(sizes))
	for id, s := range sizes {
		c.kept[id] = -1
		if area := float64(s.cells) * g.CellArea(); area >= rule.MinSpotMM2*(1-hair) {
			c.kept[id] = int32(len(c.Patches))
			x, y := s.centroid(g)
			c.Patches = append(c.Patches, Patch{
				X: x, Y: y, AreaMM2: area,
				I0: int(s.i0), J0: int(s.j0), I1: int(s.i1), J1: int(s.j1),
			})
		}
	}
	c.Spots = len(c.Patches)
	if rule.NeckMM > 0 && max(g.DX, g.DY) > rule.NeckMM/2*(1+hair) {
		return c
	}
	c.HasPoints = true
	c.split(b, rule)
	c.Points = len(c.List)
	c.PerIn2 = c.Per(MM2PerIn2)
	var fewest, most Frame
	fewest, most, c.HasFrames = c.Frames(FrameMM)
	c.FrameMin, c.FrameMax = fewest.Points, most.Points
	return c
}

// Per is the number of points per area, mm^2, of face: 625 for 25 x 25 mm.
func (c *PointCount) Per(area float64) float64 {
	return float64(c.Points) / c.ValidMM2 * area
}

// split lists the points of the kept patches.
func (c *PointCount) split(b *bitmap, rule PointRule) {
	g := c.grid
	core := newBitmap(g.NX, g.NY)
	if rule.NeckMM > 0 {
		core = b.eroded(rule.NeckMM/2*(1+hair), g.DX, g.DY)
	}
	c.cores = core.runs(8)
	sizes := c.cores.measure()
	patchOf := c.patches.holding(c.cores)
	c.pointOf = make([]int32, len(sizes))
	byPatch := make([][]int32, len(c.Patches))
	for id := range sizes {
		c.pointOf[id] = -1
		if p := c.kept[patchOf[id]]; p >= 0 {
			byPatch[p] = append(byPatch[p], int32(id))
		}
	}
	for p := range c.Patches {
		patch := &c.Patches[p]
		patch.Points = max(1, len(byPatch[p]))
		if len(byPatch[p]) == 0 {
			c.List = append(c.List, Point{X: patch.X, Y: patch.Y, PatchAreaMM2: patch.AreaMM2, Patch: p})
		}
		for _, id := range byPatch[p] {
			x, y := sizes[id].centroid(g)
			c.pointOf[id] = int32(len(c.List))
			c.List = append(c.List, Point{
				X: x, Y: y, Patch: p,
				PatchAreaMM2: patch.AreaMM2, CoreAreaMM2: float64(sizes[id].cells) * g.CellArea(),
			})
		}
	}
}

// size is a patch in whole numbers of cells.
type size struct {
	cells, sumI2, sumJ int64 // sumI2 is twice the sum of the columns
	i0, j0, i1, j1     int32
}

func (s size) centroid(g surface.Grid) (x, y float64) {
	return g.X0 + float64(float64(s.sumI2)/float64(2*s.cells)*g.DX),
		g.Y0 + float64(float64(s.sumJ)/float64(s.cells)*g.DY)
}

// measure is the size of every patch.
func (r *runs) measure() []size {
	out := make([]size, r.n)
	list := r.of.edgeList()
	for j := 0; j < r.of.ny; j++ {
		edges(r.of.row(j), list)
		at := list
		for _, id := range r.id[r.start[j]:r.start[j+1]] {
			s, i0, i1 := &out[id], at[0], at[1]
			at = at[2:]
			if s.cells == 0 {
				s.i0, s.j0 = i0, int32(j)
			}
			n := int64(i1 - i0)
			s.cells += n
			s.sumI2 += n * int64(i0+i1-1)
			s.sumJ += n * int64(j)
			s.i0, s.i1, s.j1 = min(s.i0, i0), max(s.i1, i1), int32(j)+1
		}
	}
	return out
}

// holding is, for every patch of inner, the patch of r that it lies in.
func (r *runs) holding(inner *runs) []int32 {
	out := make([]int32, inner.n)
	outside, inside := r.of.edgeList(), inner.of.edgeList()
	for j := 0; j < r.of.ny; j++ {
		edges(r.of.row(j), outside)
		edges(inner.of.row(j), inside)
		at, ids := outside, r.id[r.start[j]:]
		for q, id := range inner.id[inner.start[j]:inner.start[j+1]] {
			for at[1] <= inside[2*q] {
				at, ids = at[2:], ids[1:]
			}
			out[id] = ids[0]
		}
	}
	return out
}

// PatchImage writes, for every cell, 1 + the index in Patches of the patch that
// it belongs to, or 0, into dst (allocated when nil), and returns it.
func (c *PointCount) PatchImage(dst []int32) []int32 {
	if dst == nil {
		dst = make([]int32, c.grid.Cells())
	}
	label := make([]int32, len(c.kept))
	for id, p := range c.kept {
		label[id] = p + 1
	}
	c.patches.paint(dst, label)
	return dst
}

// PointImage writes, for every cell of a kept patch, 1 + the index in List of
// its point, or 0, into dst (allocated when nil), and returns it. A cell
// outside all cores goes to the core of its patch that is fewest steps away
// through the patch. Only where HasPoints.
func (c *PointCount) PointImage(dst []int32) []int32 {
	patch := c.PatchImage(nil)
	if dst == nil {
		dst = make([]int32, c.grid.Cells())
	}
	label := make([]int32, len(c.pointOf))
	for id, p := range c.pointOf {
		label[id] = p + 1
	}
	c.cores.paint(dst, label)
	only := make([]int32, len(c.Patches)+1) // 1 + the point of an unsplit patch
	for k, p := range c.List {
		if c.Patches[p.Patch].Points == 1 {
			only[p.Patch+1] = int32(k) + 1
		}
	}
	nx, ny := c.grid.NX, c.grid.NY
	var front, next []int32
	for k, p := range patch {
		switch {
		case p > 0 && only[p] > 0:
			dst[k] = only[p]
		case p > 0 && dst[k] > 0:
			front = append(front, int32(k))
		}
	}
	for len(front) > 0 {
		next = next[:0]
		for _, k := range front {
			i0, j0 := int(k)%nx, int(k)/nx
			for j := max(j0-1, 0); j <= min(j0+1, ny-1); j++ {
				for i := max(i0-1, 0); i <= min(i0+1, nx-1); i++ {
					if q := j*nx + i; dst[q] == 0 && patch[q] == patch[k] {
						dst[q] = dst[k]
						next = append(next, int32(q))
					}
				}
			}
		}
		front, next = next, front
	}
	return dst
}

func (b *bitmap) count() int {
	n := 0
	for _, w := range b.w {
		n += bits.OnesCount64(w)
	}
	return n
}

// eroded keeps the set cells that have no unset cell, and no place off the
// grid, within reach mm of their centres. A disc is a stack of rows: row dj off
// the middle must be set over the half width that the disc has there.
func (b *bitmap) eroded(reach, dx, dy float64) *bitmap {
	rows := int(math.Floor(reach / dy))
	half := make([]int, rows+1)
	for dj := range half {
		y := float64(dj) * dy
		half[dj] = int(math.Floor(math.Sqrt(max(0, float64(reach*reach)-float64(y*y))) / dx))
	}
	out := newBitmap(b.nx, b.ny)
	copy(out.w, b.w)
	narrow := newBitmap(b.nx, b.ny) // b narrowed by h cells on either side
	copy(narrow.w, b.w)
	h := 0
	for dj := rows; dj >= 0; dj-- { // half widths grow towards the middle row
		for ; h < half[dj]; h++ {
			for j := 0; j < b.ny; j++ {
				narrowRow(narrow.row(j))
			}
		}
		for j := 0; j < b.ny; j++ {
			for _, q := range [2]int{j - dj, j + dj} {
				if q < 0 || q >= b.ny {
					clear(out.row(j))
					continue
				}
				from := narrow.row(q)
				for k := range out.row(j) {
					out.row(j)[k] &= from[k]
				}
			}
		}
	}
	return out
}

// narrowRow keeps the set bits of a row whose two neighbours are set.
func narrowRow(row []uint64) {
	below := uint64(0)
	for k, w := range row {
		above := uint64(0)
		if k+1 < len(row) {
			above = row[k+1] << 63
		}
		row[k] = w & (w<<1 | below) & (w>>1 | above)
		below = w >> 63
	}
}
