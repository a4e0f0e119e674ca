package iron

import (
	"image"
	"math"
	"runtime"
	"slices"
	"sync"

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
	inked   inked
	dulled  string // contrast colour under the film; empty for none
	levels  []*level
	outline *outline
	scratch []byte // a band of texels being packed

	// changes are what changed, the newest last, version after version.
	version int
	changes []change
}

// change is that relief or cover of some cells is new.
type change struct {
	cells []image.Rectangle
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
	unsettled     bool // since settle, something was written
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

// Fits reports whether an appearance is of the cells of the face, so that it can show
// that too.
func (f *Face) Fits(a *run.Appearance) bool {
	x0, y0, x1, y1 := a.Edges()
	return a.NX == f.nx && a.NY == f.ny && [4]float64{x0, y0, x1, y1} == [4]float64{f.x0, f.y0, f.x1, f.y1} && slices.Equal(a.Mask, f.mask)
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
	// The lay of machined cells is read from their neighbours, and along it they are
	// evened.
	cells = cells.Inset(-layReach - evenReach).Intersect(f.all())
	if cells.Empty() {
		return
	}
	f.changed(reliefOnly, cells)
	cells = f.whole(cells)
	f.write(cells, reliefOnly, func() packRow { return newPacker(a, cells.Min.X, cells.Max.X).relief })
}

// Print takes over colour and shine of the given cells of a reading.
func (f *Face) Print(r *blue.Reading, cells image.Rectangle) {
	cells = cells.Intersect(f.all())
	if r.Film != f.film || r.Contrast != f.dulled {
		f.inked.forget() // a film of another thickness looks different everywhere
	}
	fresh := []image.Rectangle{cells}
	if cells == f.all() {
		fresh = f.inked.differing(r)
	} else {
		f.inked.unsure(cells, f.nx) // of the rest of its blocks nobody says that they are as they were
	}
	if len(fresh) == 0 || fresh[0].Empty() {
		return
	}
	f.changed(coverOnly, fresh...)
	cells = image.Rectangle{}
	for _, c := range fresh {
		cells = cells.Union(c)
	}
	cells = f.whole(cells)
	f.film, f.dulled = r.Film, r.Contrast
	f.write(cells, coverOnly, func() packRow {
		return func(j, i0, i1 int, out []byte) {
			colour, shine := r.Colour[j*f.nx+i0:j*f.nx+i1], r.Shine[j*f.nx+i0:j*f.nx+i1]
			f.metalRow(j, i0, out)
			for i, c := range colour {
				out[4*i], out[4*i+1], out[4*i+2] = c, shine[i], 0
			}
		}
	})
}

// Wipe takes all pigment off.
func (f *Face) Wipe() {
	f.dulled = ""
	f.inked.forget()
	f.write(f.all(), coverOnly, func() packRow {
		return func(j, i0, i1 int, out []byte) {
			clear(out)
			f.metalRow(j, i0, out)
		}
	})
	f.changed(coverOnly, f.all())
}

// whole grows cells to blocks of two by two, so that a block of the second level
// is always made from all of its cells; further levels are made from copies.
func (f *Face) whole(cells image.Rectangle) image.Rectangle {
	return image.Rect(cells.Min.X/2*2, cells.Min.Y/2*2, (cells.Max.X+1)/2*2, (cells.Max.Y+1)/2*2).Intersect(f.all())
}

// metalRow says in the last byte of each texel, from cell i0 of row j on, whether
// there is metal.
func (f *Face) metalRow(j, i0 int, texels []byte) {
	if f.mask == nil {
		for o := 3; o < len(texels); o += 4 {
			texels[o] = 255
		}
		return
	}
	for i, metal := range f.mask[j*f.nx+i0 : j*f.nx+i0+len(texels)/4] {
		texels[4*i+3] = 0
		if metal {
			texels[4*i+3] = 255
		}
	}
}

func (f *Face) changed(w what, cells ...image.Rectangle) {
	f.version++
	f.changes = append(f.changes, change{cells, w})
	if len(f.changes) > changesKept {
		f.changes = f.changes[1:]
	}
}

// changedSince is the cells whose relief, and those whose cover, changed after a
// version.
func (f *Face) changedSince(version int) (relief, cover []image.Rectangle) {
	n := f.version - version
	if n > len(f.changes) {
		return []image.Rectangle{f.all()}, []image.Rectangle{f.all()}
	}
	for _, c := range f.changes[len(f.changes)-n:] {
		if c.what == reliefOnly {
			relief = append(relief, c.cells...)
		} else {
			cover = append(cover, c.cells...)
		}
	}
	return fewer(relief), fewer(cover)
}

// fewer is rectangles, or one round them where they are so many that it is drawn
// sooner.
func fewer(rs []image.Rectangle) []image.Rectangle {
	const most = 48
	var all image.Rectangle
	for _, r := range rs {
		all = all.Union(r)
	}
	if len(rs) > most || area(rs) > all.Dx()*all.Dy() {
		return []image.Rectangle{all}
	}
	return rs
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

// packRow fills the texels of cells i0 to i1 of row j. It is asked for rows in
// rising order, mostly without gaps.
type packRow func(j, i0, i1 int, out []byte)

// write packs rows of the first level, band after band, carries each band up
// through the levels and uploads it. The cells are whole blocks; rows makes what
// packs a stretch of rows.
func (f *Face) write(cells image.Rectangle, w what, rows func() packRow) {
	step := max(1, bandCells/cells.Dx()/2) * 2
	for y := cells.Min.Y; y < cells.Max.Y; y += step {
		f.writeBand(image.Rect(cells.Min.X, y, cells.Max.X, min(y+step, cells.Max.Y)), w, rows)
	}
}

func (f *Face) writeBand(band image.Rectangle, w what, rows func() packRow) {
	size := 4 * band.Dx() * band.Dy()
	if cap(f.scratch) < size {
		f.scratch = make([]byte, size)
	}
	pix := f.scratch[:size]
	inShares(band.Min.Y, band.Max.Y, band.Dx(), func(j0, j1 int) {
		row := rows()
		for j := j0; j < j1; j++ {
			o := 4 * (j - band.Min.Y) * band.Dx()
			row(j, band.Min.X, band.Max.X, pix[o:o+4*band.Dx()])
		}
	})
	f.levels[0].upload(band, w, pix)
	from := source{pix, band.Min, band.Dx(), band.Max}
	for n := 1; n < len(f.levels); n++ {
		l := f.levels[n]
		band = image.Rect(band.Min.X/2, band.Min.Y/2, (band.Max.X+1)/2, (band.Max.Y+1)/2)
		inShares(band.Min.Y, band.Max.Y, band.Dx(), func(j0, j1 int) {
			for j := j0; j < j1; j++ {
				if w == reliefOnly {
					l.halveRelief(j, band.Min.X, band.Max.X, from, f.levels[n-1])
				} else {
					l.halveCover(j, band.Min.X, band.Max.X, from)
				}
			}
		})
		from = source{l.cover, image.Point{}, l.nx, image.Pt(l.nx, l.ny)}
		if w == reliefOnly {
			l.uploadMirror(band, reliefOnly)
			from.pix = l.relief
		}
		l.uploadMirror(band, coverOnly)
	}
}

// shareCells is how many cells or blocks are worth a processor of their own.
const shareCells = 1 << 15

// inShares does rows j0 to j1 of so many cells, a share of them on each processor.
func inShares(j0, j1, cells int, do func(j0, j1 int)) {
	n := max(1, min(runtime.GOMAXPROCS(0), (j1-j0)*cells/shareCells))
	var all sync.WaitGroup
	for i := 1; i < n; i++ {
		all.Go(func() { do(j0+(j1-j0)*i/n, j0+(j1-j0)*(i+1)/n) })
	}
	do(j0, j0+(j1-j0)/n)
	all.Wait()
}

// source is texels of a level: those of min up to end, width a row.
type source struct {
	pix   []byte
	min   image.Point
	width int
	end   image.Point
}

// two are the rows of texels under row j of the next level, from the texel of
// block i0 on; at an odd edge the last row stands for the missing one.
func (s source) two(j, i0 int) (upper, lower []byte) {
	row := func(y int) []byte {
		at := (min(y, s.end.Y-1) - s.min.Y) * s.width
		return s.pix[4*(at+2*i0-s.min.X) : 4*(at+s.end.X-s.min.X)]
	}
	return row(2 * j), row(2*j + 1)
}

// halveRelief averages slopes and lay of row j, blocks i0 to i1, and keeps what
// the mean loses of the slopes, as their spread, in the cover.
func (l *level) halveRelief(j, i0, i1 int, s source, finer *level) {
	upper, lower := s.two(j, i0)
	relief, cover := l.relief[4*(j*l.nx+i0):4*(j*l.nx+i1)], l.cover[4*(j*l.nx+i0):4*(j*l.nx+i1)]
	var upperSpread, lowerSpread []byte
	if finer.cover != nil {
		upperSpread, lowerSpread = source{finer.cover, image.Point{}, finer.nx, image.Pt(finer.nx, finer.ny)}.two(j, i0)
	}
	for o := 0; o < len(relief); o += 4 {
		p := 2 * o
		q := min(p+4, len(upper)-4) // of an odd edge the last column twice
		a, b, c, d := upper[p:p+4], upper[q:q+4], lower[p:p+4], lower[q:q+4]
		x := int(a[0]) + int(b[0]) + int(c[0]) + int(d[0])
		y := int(a[1]) + int(b[1]) + int(c[1]) + int(d[1])
		relief[o], relief[o+1] = byte((x+2)/4), byte((y+2)/4)
		relief[o+2] = byte((int(a[2]) + int(b[2]) + int(c[2]) + int(d[2]) + 2) / 4)
		relief[o+3] = byte((int(a[3]) + int(b[3]) + int(c[3]) + int(d[3]) + 2) / 4)
		// Sixteen times the variance of the two axes together: four times the sum
		// of squares less the square of the sum.
		squares := square(a[0]) + square(b[0]) + square(c[0]) + square(d[0]) + square(a[1]) + square(b[1]) + square(c[1]) + square(d[1])
		if upperSpread != nil {
			// Spread is stored doubled; two axes share it.
			squares += (int(upperSpread[p+2])*int(upperSpread[p+2]) + int(upperSpread[q+2])*int(upperSpread[q+2]) +
				int(lowerSpread[p+2])*int(lowerSpread[p+2]) + int(lowerSpread[q+2])*int(lowerSpread[q+2])) / 2
		}
		x, y = x-4*128, y-4*128
		cover[o+2] = byte(min(255, math.Sqrt(float64(max(0, 4*squares-x*x-y*y))/8)+.5))
	}
}

// square is the square of a slope, stored as 128 + v.
func square(b byte) int { v := int(b) - 128; return v * v }

// halveCover averages colour, shine and metal of row j, blocks i0 to i1.
func (l *level) halveCover(j, i0, i1 int, s source) {
	upper, lower := s.two(j, i0)
	cover := l.cover[4*(j*l.nx+i0) : 4*(j*l.nx+i1)]
	for o := 0; o < len(cover); o += 4 {
		p := 2 * o
		q := min(p+4, len(upper)-4)
		a, b, c, d := upper[p:p+4], upper[q:q+4], lower[p:p+4], lower[q:q+4]
		cover[o] = byte((int(a[0]) + int(b[0]) + int(c[0]) + int(d[0]) + 2) / 4)
		cover[o+1] = byte((int(a[1]) + int(b[1]) + int(c[1]) + int(d[1]) + 2) / 4)
		cover[o+3] = byte((int(a[3]) + int(b[3]) + int(c[3]) + int(d[3]) + 2) / 4)
	}
}

// uploadMirror uploads the given blocks from the level's own copy.
func (l *level) uploadMirror(blocks image.Rectangle, w what) {
	from := l.cover
	if w == reliefOnly {
		from = l.relief
	}
	if blocks.Dx() == l.nx {
		l.upload(blocks, w, from[4*blocks.Min.Y*l.nx:4*blocks.Max.Y*l.nx])
		return
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
		t.unsettled = true
	}
}

// settle has all that was written go to the graphics card with this frame. Ebitengine
// keeps what is written to an image until the image is drawn, and strokes write to every
// level, while a view looks at one: of each a texel is drawn.
func (f *Face) settle() {
	for _, l := range f.levels {
		for _, t := range l.tiles {
			if !t.unsettled {
				continue
			}
			t.unsettled = false
			for _, m := range []*ebiten.Image{t.relief, t.cover} {
				nowhere().DrawImage(m.SubImage(image.Rect(0, 0, 1, 1)).(*ebiten.Image), nil)
			}
		}
	}
}

// nowhere is an image that nobody looks at.
var nowhere = sync.OnceValue(func() *ebiten.Image { return dataImage(2, 2) })

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
