package iron

import (
	"image"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/before-iron/beforeiron/sim/run"
)

func TestTilesCoverOnceAndReachOver(t *testing.T) {
	for _, c := range []struct{ nx, ny, apron, limit int }{{4000, 2000, 64, 4096}, {4097, 10, 64, 4096}, {9000, 5000, 64, 4096}, {300, 200, 4, 96}} {
		covered := 0
		for _, tile := range tilesOf(c.nx, c.ny, c.apron, c.limit) {
			covered += tile.inner.Dx() * tile.inner.Dy()
			if tile.bounds.Dx() > c.limit || tile.bounds.Dy() > c.limit {
				t.Errorf("%v: a tile of %v", c, tile.bounds.Size())
			}
			if want := tile.inner.Inset(-c.apron).Intersect(image.Rect(0, 0, c.nx, c.ny)); tile.bounds != want {
				t.Errorf("%v: tile %v holds %v", c, tile.inner, tile.bounds)
			}
		}
		if covered != c.nx*c.ny {
			t.Errorf("%v: %d cells covered", c, covered)
		}
	}
	if n := len(tilesOf(4000, 2000, 64, textureLimit)); n != 1 {
		t.Errorf("4000 x 2000 cells take %d tiles: they fit one", n)
	}
}

// Levels of a face are means of the cells under each block, worked out here from
// scratch.
func TestLevelsAreMeans(t *testing.T) {
	a, r := scraped(150, 101, .2, nil)
	f := NewFace(a)
	f.Print(r, f.all())
	fine := packed(a)
	l := f.levels[2] // blocks of four by four
	for j := range l.ny - 1 {
		for i := range l.nx - 1 {
			var slope, slopeY, colour, square float64
			for y := 4 * j; y < 4*j+4; y++ {
				for x := 4 * i; x < 4*i+4; x++ {
					k := y*a.NX + x
					sx, sy := float64(fine[4*k])-128, float64(fine[4*k+1])-128
					slope += sx / 16
					slopeY += sy / 16
					square += (sx*sx + sy*sy) / 16
					colour += float64(r.Colour[k]) / 16
				}
			}
			k := 4 * (j*l.nx + i)
			if got := float64(l.relief[k]) - 128; math.Abs(got-slope) > 1 {
				t.Fatalf("block %d %d: slope %g, mean of its cells %g", i, j, got, slope)
			}
			if got := float64(l.cover[k]); math.Abs(got-colour) > 1 {
				t.Fatalf("block %d %d: colour %g, mean of its cells %g", i, j, got, colour)
			}
			want := 2 * math.Sqrt(max(0, (square-slope*slope-slopeY*slopeY)/2))
			if got := float64(l.cover[k+2]); math.Abs(got-min(255, want)) > 3 {
				t.Fatalf("block %d %d: spread %g, that of its cells %g", i, j, got, want)
			}
		}
	}
}

// packed is the first level of an appearance.
func packed(a *run.Appearance) []byte {
	p := newPacker(a, 0, a.NX)
	out := make([]byte, 4*a.NX*a.NY)
	for j := range a.NY {
		p.relief(j, 0, a.NX, out[4*j*a.NX:])
	}
	return out
}

// A part of a face shown again leaves the same levels as the whole.
func TestShowingAPartIsAsGoodAsShowingAll(t *testing.T) {
	a, r := scraped(300, 220, .2, nil)
	part := NewFace(a)
	part.Print(r, part.all())
	mark(a, 31, 22, .6)
	r.Colour[110*300+155] = 250
	part.Show(a, part.Cells(31, 22, 31, 22, 4))
	part.Print(r, image.Rect(150, 105, 160, 115))
	whole := NewFace(a)
	whole.Print(r, whole.all())
	for n := 1; n < len(whole.levels); n++ {
		for k := range whole.levels[n].relief {
			if part.levels[n].relief[k] != whole.levels[n].relief[k] || part.levels[n].cover[k] != whole.levels[n].cover[k] {
				t.Fatalf("level %d differs at %d", n, k)
			}
		}
	}
}

// Lines at a known angle are found by their slopes.
func TestMachinedLinesHaveALay(t *testing.T) {
	for _, degrees := range []float64{0, 30, 45, 90, 135, 160} {
		s, c := math.Sincos(degrees * math.Pi / 180)
		a := &run.Appearance{}
		a.NX, a.NY, a.DX, a.DY = 60, 60, .1, .1
		n := 3600
		a.SlopeX, a.SlopeY, a.LayCos, a.LaySin = make([]int8, n), make([]int8, n), make([]int8, n), make([]int8, n)
		for k := range n {
			across := float64(k/60)*c - float64(k%60)*s
			v := 60 * math.Sin(across)
			a.SlopeX[k], a.SlopeY[k] = int8(-v*s), int8(v*c)
		}
		px := packed(a)
		k := 4 * (30*60 + 30)
		gotC, gotS := float64(px[k+2])-128, float64(px[k+3])-128
		got := math.Atan2(gotS, gotC) / 2 * 180 / math.Pi
		if d := math.Abs(math.Remainder(got-degrees, 180)); d > 2 {
			t.Errorf("lines at %g degrees are read as at %g", degrees, got)
		}
		if size := math.Hypot(gotC, gotS); size < 110 {
			t.Errorf("lines at %g degrees: %g of 127 agree", degrees, size)
		}
	}
}

func TestChangesAreKeptAndThenGivenUp(t *testing.T) {
	a, r := scraped(100, 80, .2, nil)
	f := NewFace(a)
	was := f.version
	changed := func() [2][]image.Rectangle {
		relief, cover := f.changedSince(was)
		return [2][]image.Rectangle{relief, cover}
	}
	want := func(what string, want [2][]image.Rectangle) {
		t.Helper()
		if got := changed(); !reflect.DeepEqual(got, want) {
			t.Fatalf("%s: relief and cover of %v changed, want %v", what, got, want)
		}
	}
	want("nothing was shown", [2][]image.Rectangle{})
	f.Show(a, image.Rect(10, 10, 12, 12))
	f.Show(a, image.Rect(90, 70, 91, 71))
	f.Print(r, image.Rect(5, 6, 7, 8))
	reach := -layReach - evenReach
	want("two places and a print", [2][]image.Rectangle{
		{image.Rect(10, 10, 12, 12).Inset(reach).Intersect(f.all()), image.Rect(90, 70, 91, 71).Inset(reach).Intersect(f.all())},
		{image.Rect(5, 6, 7, 8)},
	})
	for range changesKept {
		f.Show(a, image.Rect(1, 1, 2, 2))
	}
	want("too far behind", [2][]image.Rectangle{{f.all()}, {f.all()}})
}

// Of a print that is like the last nothing is new; else every cell that differs lies in
// a rectangle, and no rectangle takes in a block without one.
func TestOfAPrintWhatDiffersIsNew(t *testing.T) {
	a, r := scraped(700, 500, .2, nil)
	f := NewFace(a)
	f.Print(r, f.all())
	rng := rand.New(rand.NewPCG(5, 5))
	for round := range 20 {
		was := f.version
		blocks := map[image.Point]bool{}
		for range round * round / 4 {
			k := rng.IntN(len(r.Colour))
			of := r.Colour
			if rng.IntN(2) == 0 {
				of = r.Shine
			}
			of[k]++
			blocks[image.Pt(k%700/block, k/700/block)] = true
		}
		f.Print(r, f.all())
		_, cover := f.changedSince(was)
		if len(blocks) == 0 && len(cover) > 0 {
			t.Fatalf("a print like the last: %v is new", cover)
		}
		if len(cover) == 1 && len(blocks) > 48 {
			continue // so much that it is one rectangle
		}
		for j := range 8 {
			for i := range 11 {
				block := image.Rect(i*block, j*block, (i+1)*block, (j+1)*block).Intersect(f.all())
				times := 0
				for _, c := range cover {
					if block.In(c) {
						times++
					} else if block.Overlaps(c) {
						t.Fatalf("%v takes in a part of block %v", c, block)
					}
				}
				differs := blocks[image.Pt(i, j)]
				if differs && times != 1 || !differs && times > 0 {
					t.Fatalf("round %d: block %v differs: %v; it is in %d of %v", round, block, differs, times, cover)
				}
			}
		}
	}
	was := f.version
	f.Print(r, image.Rect(70, 10, 71, 11))
	f.Print(r, f.all())
	if _, cover := f.changedSince(was); !slices.Equal(cover, []image.Rectangle{image.Rect(64, 0, 128, 64)}) {
		t.Errorf("after a print of a cell, and one of all, %v is new, want the cell's whole block", cover)
	}
	was = f.version
	r.Film++
	f.Print(r, f.all())
	if _, cover := f.changedSince(was); !slices.Equal(cover, []image.Rectangle{f.all()}) {
		t.Errorf("with another film %v is new, want the whole face", cover)
	}
	f.Wipe()
	was = f.version
	f.Print(r, f.all())
	if _, cover := f.changedSince(was); !slices.Equal(cover, []image.Rectangle{f.all()}) {
		t.Errorf("after a wipe %v is new, want the whole face", cover)
	}
}

func TestOutlineOfARectangle(t *testing.T) {
	a, _ := scraped(200, 100, .25, nil) // 50 x 25 mm
	f := NewFace(a)
	for _, c := range []struct{ x, y, want float64 }{
		{25, 12.5, -12.5}, {25, -3, 3}, {-4, 12.5, 4}, {53, 29, 5}, {25, 1, -1}, {-100, 0, outlineReach},
	} {
		// A texel is a quarter of a mm.
		if got := f.outline.at(c.x, c.y); math.Abs(got-c.want) > .25 {
			t.Errorf("(%g, %g) is %g mm from the outline, want %g", c.x, c.y, got, c.want)
		}
	}
}

// Distances from a mask against the nearest cell of the other kind, looked for
// one by one.
func TestOutlineOfAMask(t *testing.T) {
	const nx, ny, pitch = 60, 40, .5
	mask := make([]bool, nx*ny)
	rng := rand.New(rand.NewPCG(3, 3))
	for k := range mask {
		x, y := float64(k%nx), float64(k/nx)
		mask[k] = math.Hypot(x-30, y-20) < 17 && math.Hypot(x-24, y-22) > 5
	}
	a, _ := scraped(nx, ny, pitch, mask)
	f := NewFace(a)
	for range 300 {
		i, j := rng.IntN(nx), rng.IntN(ny)
		best := math.Inf(1)
		for k, on := range mask {
			if on != mask[j*nx+i] {
				best = min(best, math.Hypot(float64(k%nx-i), float64(k/nx-j)))
			}
		}
		want := (best - .5) * pitch
		if mask[j*nx+i] {
			want = -want
		}
		if got := f.outline.at(a.X(i), a.Y(j)); math.Abs(got-want) > pitch {
			t.Fatalf("cell %d %d is %g mm from the outline, want %g", i, j, got, want)
		}
	}
}

// at is the distance at the nearest texel.
func (o *outline) at(x, y float64) float64 {
	i := max(0, min(o.nx-1, int(math.Round((x-o.x0)/o.pitch))))
	j := max(0, min(o.ny-1, int(math.Round((y-o.y0)/o.pitch))))
	k := 4 * (j*o.nx + i)
	v := float64(o.pix[k])*256 + float64(o.pix[k+1])
	return (v/65535*2 - 1) * outlineReach
}

// A face fits what has the same cells, at the same places, in the same shape.
func TestFits(t *testing.T) {
	a, _ := scraped(60, 40, .2, nil)
	f := NewFace(a)
	like, _ := scraped(60, 40, .2, nil)
	if !f.Fits(like) {
		t.Error("another face of the same cells does not fit")
	}
	moved, _ := scraped(60, 40, .2, nil)
	moved.X0++
	for what, other := range map[string]func() *run.Appearance{
		"one of more columns": func() *run.Appearance { o, _ := scraped(61, 40, .2, nil); return o },
		"a coarser one":       func() *run.Appearance { o, _ := scraped(60, 40, .25, nil); return o },
		"one moved along":     func() *run.Appearance { return moved },
		"one with a hole": func() *run.Appearance {
			mask := make([]bool, 60*40)
			for k := range mask {
				mask[k] = k != 1230
			}
			o, _ := scraped(60, 40, .2, mask)
			return o
		},
	} {
		if f.Fits(other()) {
			t.Errorf("%s fits", what)
		}
	}
}
