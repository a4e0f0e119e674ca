package iron

import (
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/run"
)

// Face is the face of one part on the graphics card: slopes and lay of the
// metal, and the pigment on it, in levels of halved size for far views.
type Face struct {
	nx, ny         int
	dx, dy         float64 // pitch, mm
	x0, y0, x1, y1 float64 // outer edges, mm
	mask           []bool

	film    float64 // um
	levels  []*level
	outline *outline

	// changes are what changed, the newest last, version after version.
	version int
	changes []change
}

// change is that relief or cover of some cells is new.
type change struct {
	cells image.Rectangle
	what  what
}

// level is the face in blocks of 1<<n by 1<<n cells.
type level struct {
	cell   int // cells of the face along one side of a block
	nx, ny int
	// relief is (slope x, slope y, cos 2a, sin 2a) as bytes 128 + v and cover
	// (colour, shine, slope spread, metal) of each block; nil at the first level,
	// which is packed from its source whenever it is wanted.
	relief, cover []byte
	tiles         []*tile
}

// tile is a part of a level that fits a texture: the blocks of bounds, of which
// the level shows those of inner; the rest lets neighbours blend over the seam.
type tile struct {
	bounds, inner image.Rectangle
	relief, cover *ebiten.Image
}

const (
	// textureLimit is the side of the largest texture that weak devices take.
	textureLimit = 4096
	// apron is how far the tiles of the first level reach over each other, in
	// cells: one block of the last level that is used.
	apron = 64
	// smallestLevel is the side in blocks at which no further level is made.
	smallestLevel = 24
	// changesKept bounds the list of changes; a camera that is further behind
	// starts afresh.
	changesKept = 32
)

// NewFace is the face that a shows, without pigment.
func NewFace(a *run.Appearance) *Face { return newFace(a, textureLimit) }

func newFace(a *run.Appearance, limit int) *Face {
	f := &Face{nx: a.NX, ny: a.NY, dx: a.DX, dy: a.DY, mask: a.Mask}
	f.x0, f.y0, f.x1, f.y1 = a.Edges()
	f.outline = newOutline(f)
	nx, ny, cell := f.nx, f.ny, 1
	for {
		l := &level{cell: cell, nx: nx, ny: ny}
		if cell > 1 {
			l.relief, l.cover = make([]byte, 4*nx*ny), make([]byte, 4*nx*ny)
		}
		l.tiles = tilesOf(nx, ny, apron/cell, limit)
		f.levels = append(f.levels, l)
		if min(nx, ny) <= smallestLevel || cell == apron {
			break
		}
		nx, ny, cell = (nx+1)/2, (ny+1)/2, cell*2
	}
	f.Show(a, f.all())
	f.Wipe()
	return f
}

// tilesOf splits nx by ny blocks into as few tiles of even size as the limit
// allows.
func tilesOf(nx, ny, apron, limit int) []*tile {
	split := func(n int) []int {
		parts := 1
		if n > limit {
			inner := limit - 2*apron
			parts = (n + inner - 1) / inner
		}
		cuts := make([]int, parts+1)
		for i := range cuts {
			cuts[i] = n * i / parts
		}
		return cuts
	}
	xs, ys := split(nx), split(ny)
	var out []*tile
	for j := range len(ys) - 1 {
		for i := range len(xs) - 1 {
			t := &tile{inner: image.Rect(xs[i], ys[j], xs[i+1], ys[j+1])}
			t.bounds = t.inner.Inset(-apron).Intersect(image.Rect(0, 0, nx, ny))
			out = append(out, t)
		}
	}
	return out
}

// Edges are the outer edges of the face, mm.
func (f *Face) Edges() (x0, y0, x1, y1 float64) { return f.x0, f.y0, f.x1, f.y1 }

// Cells is the rectangle of cells that has to be shown again after something
// happened between (x0, y0) and (x1, y1) mm, with a margin of marginMM.
func (f *Face) Cells(x0, y0, x1, y1, marginMM float64) image.Rectangle {
	x0, x1 = min(x0, x1)-marginMM, max(x0, x1)+marginMM
	y0, y1 = min(y0, y1)-marginMM, max(y0, y1)+marginMM
	return image.Rect(
		int(math.Floor((x0-f.x0)/f.dx)), int(math.Floor((y0-f.y0)/f.dy)),
		int(math.Ceil((x1-f.x0)/f.dx)), int(math.Ceil((y1-f.y0)/f.dy)),
	).Intersect(f.all())
}

func (f *Face) all() image.Rectangle { return image.Rect(0, 0, f.nx, f.ny) }

// Show takes over slopes and lay of the given cells; nothing else is read.
func (f *Face) Show(a *run.Appearance, cells image.Rectangle) {
	// The lay of machined cells is read from their neighbours.
	cells = cells.Inset(-layReach).Intersect(f.all())
	if cells.Empty() {
		return
	}
	f.changed(cells, reliefOnly)
	cells = f.whole(cells)
	p := newPacker(a, cells.Min.X, cells.Max.X)
	f.write(cells, reliefOnly, p.relief)
}

// Print takes over colour and shine of the given cells of a reading.
func (f *Face) Print(r *blue.Reading, cells image.Rectangle) {
	cells = cells.Intersect(f.all())
	if cells.Empty() {
		return
	}
	f.changed(cells, coverOnly)
	cells = f.whole(cells)
	f.film = r.Film
	f.write(cells, coverOnly, func(j, i0, i1 int, out []byte) {
		for i := i0; i < i1; i++ {
			k := j*f.nx + i
			o := out[4*(i-i0):]
			o[0], o[1], o[2], o[3] = r.Colour[k], r.Shine[k], 0, f.metal(k)
		}
	})
}

// Wipe takes all pigment off.
func (f *Face) Wipe() {
	f.write(f.all(), coverOnly, func(j, i0, i1 int, out []byte) {
		for i := i0; i < i1; i++ {
			o := out[4*(i-i0):]
			o[0], o[1], o[2], o[3] = 0, 0, 0, f.metal(j*f.nx+i)
		}
	})
	f.changed(f.all(), coverOnly)
}

// whole grows cells to blocks of two by two, so that a block of the second level
// is always made from all of its cells; further levels are made from copies.
func (f *Face) whole(cells image.Rectangle) image.Rectangle {
	return image.Rect(cells.Min.X/2*2, cells.Min.Y/2*2, (cells.Max.X+1)/2*2, (cells.Max.Y+1)/2*2).Intersect(f.all())
}

func (f *Face) metal(k int) byte {
	if f.mask == nil || f.mask[k] {
		return 255
	}
	return 0
}

func (f *Face) changed(cells image.Rectangle, w what) {
	f.version++
	f.changes = append(f.changes, change{cells, w})
	if len(f.changes) > changesKept {
		f.changes = f.changes[1:]
	}
}

// changedSince is the cells whose relief, and those whose cover, changed after a
// version.
func (f *Face) changedSince(version int) (relief, cover image.Rectangle) {
	n := f.version - version
	if n > len(f.changes) {
		return f.all(), f.all()
	}
	for _, c := range f.changes[len(f.changes)-n:] {
		if c.what == reliefOnly {
			relief = relief.Union(c.cells)
		} else {
			cover = cover.Union(c.cells)
		}
	}
	return relief, cover
}

// what of a level is written.
type what bool

const (
	reliefOnly what = false
	coverOnly  what = true
)

// bandCells bounds the cells that are packed at a time, so that a large face
// needs no second copy of itself.
const bandCells = 1 << 19

// write packs rows of the first level, band after band, carries each band up
// through the levels and uploads it. The cells are whole blocks; row fills the
// texels of cells i0 to i1 of row j.
func (f *Face) write(cells image.Rectangle, w what, row func(j, i0, i1 int, out []byte)) {
	step := max(1, bandCells/cells.Dx()/2) * 2
	for y := cells.Min.Y; y < cells.Max.Y; y += step {
		f.writeBand(image.Rect(cells.Min.X, y, cells.Max.X, min(y+step, cells.Max.Y)), w, row)
	}
}

func (f *Face) writeBand(band image.Rectangle, w what, row func(j, i0, i1 int, out []byte)) {
	pix := make([]byte, 4*band.Dx()*band.Dy())
	for j := band.Min.Y; j < band.Max.Y; j++ {
		row(j, band.Min.X, band.Max.X, pix[4*(j-band.Min.Y)*band.Dx():])
	}
	f.levels[0].upload(band, w, pix)
	from := source{pix, band.Min, band.Dx(), band.Max}
	for n := 1; n < len(f.levels); n++ {
		l := f.levels[n]
		band = image.Rect(band.Min.X/2, band.Min.Y/2, (band.Max.X+1)/2, (band.Max.Y+1)/2)
		if w == reliefOnly {
			l.halveRelief(band, from, f.levels[n-1])
			l.uploadMirror(band, reliefOnly)
			from = source{l.relief, image.Point{}, l.nx, image.Pt(l.nx, l.ny)}
		} else {
			l.halveCover(band, from)
			from = source{l.cover, image.Point{}, l.nx, image.Pt(l.nx, l.ny)}
		}
		l.uploadMirror(band, coverOnly)
	}
}

// source is texels of a level: those of min up to end, width a row.
type source struct {
	pix   []byte
	min   image.Point
	width int
	end   image.Point
}

// four are the offsets of the texels under block (i, j) of the next level; at an
// odd edge the last row or column stands for the missing one.
func (s source) four(i, j int) [4]int {
	x0, y0 := 2*i, 2*j
	x1, y1 := min(x0+1, s.end.X-1), min(y0+1, s.end.Y-1)
	at := func(x, y int) int { return 4 * ((y-s.min.Y)*s.width + x - s.min.X) }
	return [4]int{at(x0, y0), at(x1, y0), at(x0, y1), at(x1, y1)}
}

// halveRelief averages slopes and lay, and keeps what the mean loses of the
// slopes, as their spread, in the cover.
func (l *level) halveRelief(blocks image.Rectangle, s source, finer *level) {
	for j := blocks.Min.Y; j < blocks.Max.Y; j++ {
		for i := blocks.Min.X; i < blocks.Max.X; i++ {
			q := s.four(i, j)
			var sum [4]int
			squares := 0
			for _, o := range q {
				for c := range sum {
					sum[c] += int(s.pix[o+c])
				}
				x, y := int(s.pix[o])-128, int(s.pix[o+1])-128
				squares += x*x + y*y
				if finer.cover != nil {
					// Spread is stored doubled; two axes share it.
					d := int(finer.cover[o+2])
					squares += d * d / 2
				}
			}
			k := 4 * (j*l.nx + i)
			for c, v := range sum {
				l.relief[k+c] = byte((v + 2) / 4)
			}
			mx, my := float64(sum[0])/4-128, float64(sum[1])/4-128
			variance := max(0, (float64(squares)/4-mx*mx-my*my)/2)
			l.cover[k+2] = byte(min(255, math.Round(2*math.Sqrt(variance))))
		}
	}
}

// halveCover averages colour, shine and metal.
func (l *level) halveCover(blocks image.Rectangle, s source) {
	for j := blocks.Min.Y; j < blocks.Max.Y; j++ {
		for i := blocks.Min.X; i < blocks.Max.X; i++ {
			q := s.four(i, j)
			k := 4 * (j*l.nx + i)
			for _, c := range [3]int{0, 1, 3} {
				sum := 2
				for _, o := range q {
					sum += int(s.pix[o+c])
				}
				l.cover[k+c] = byte(sum / 4)
			}
		}
	}
}

// uploadMirror uploads the given blocks from the level's own copy.
func (l *level) uploadMirror(blocks image.Rectangle, w what) {
	from := l.cover
	if w == reliefOnly {
		from = l.relief
	}
	pix := make([]byte, 0, 4*blocks.Dx()*blocks.Dy())
	for j := blocks.Min.Y; j < blocks.Max.Y; j++ {
		pix = append(pix, from[4*(j*l.nx+blocks.Min.X):4*(j*l.nx+blocks.Max.X)]...)
	}
	l.upload(blocks, w, pix)
}

// upload writes texels over the given blocks to every tile that has some of them.
func (l *level) upload(blocks image.Rectangle, w what, pix []byte) {
	for _, t := range l.tiles {
		part := blocks.Intersect(t.bounds)
		if part.Empty() {
			continue
		}
		own := pix
		if part != blocks {
			own = make([]byte, 0, 4*part.Dx()*part.Dy())
			for j := part.Min.Y; j < part.Max.Y; j++ {
				o := 4 * ((j-blocks.Min.Y)*blocks.Dx() + part.Min.X - blocks.Min.X)
				own = append(own, pix[o:o+4*part.Dx()]...)
			}
		}
		m := &t.cover
		if w == reliefOnly {
			m = &t.relief
		}
		if *m == nil {
			*m = dataImage(t.bounds.Dx(), t.bounds.Dy())
		}
		writeRect(*m, part.Sub(t.bounds.Min), own)
	}
}

func writeRect(m *ebiten.Image, r image.Rectangle, pix []byte) {
	if r == m.Bounds() {
		m.WritePixels(pix)
		return
	}
	m.SubImage(r).(*ebiten.Image).WritePixels(pix)
}

// dataImage is an image whose texels are figures, alone in its texture. Shaders
// read two by two texels, so it has at least as many.
func dataImage(w, h int) *ebiten.Image {
	return ebiten.NewImageWithOptions(image.Rect(0, 0, max(2, w), max(2, h)), &ebiten.NewImageOptions{Unmanaged: true})
}

// Dispose gives the face's textures back at once.
func (f *Face) Dispose() {
	for _, l := range f.levels {
		for _, t := range l.tiles {
			t.relief.Deallocate()
			t.cover.Deallocate()
		}
	}
	f.outline.image.Deallocate()
}
