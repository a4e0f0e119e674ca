package iron

import (
	"errors"
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// Map is a map of heights or gaps on the graphics card, for a debrief: the truth,
// or what a cycle did to it.
type Map struct {
	face   *Face
	span   float64
	levels []*mapLevel
}

type mapLevel struct {
	cell   int
	nx, ny int
	values []float32
	tiles  []*mapTile
}

type mapTile struct {
	bounds, inner image.Rectangle
	image         *ebiten.Image
}

// Scale is how a map is drawn, um.
type Scale struct {
	Range float64 // at the ends of the two hues
	Step  float64 // from line to line; 0 draws none
	Low   float64 // below 0: outlines and hatches what is lower; 0 draws none
}

// mapScale are the hues of a map, linear: from near white down to a deep blue for
// low, up to a deep orange brown for high. They differ for every kind of eye;
// dotted lines below zero say the sign once more.
var (
	lowHues  = [9]float32{.80, .82, .80, .12, .33, .72, .006, .03, .16}
	highHues = [9]float32{.80, .82, .80, .86, .36, .06, .20, .035, .004}
	mapLine  = [3]float32{.02, .02, .025}
)

// NewMap is a map over the cells of a face: values um, x fastest, not a number
// where there is none.
func NewMap(f *Face, values []float32) (*Map, error) {
	if len(values) != f.nx*f.ny {
		return nil, errors.New("a map needs a value for each cell of its face")
	}
	m := &Map{face: f, span: 1}
	for _, v := range values {
		if d := math.Abs(float64(v)); d > m.span {
			m.span = d
		}
	}
	for n, of := range f.levels {
		l := &mapLevel{cell: of.cell, nx: of.nx, ny: of.ny, values: values}
		if n > 0 {
			l.values = m.levels[n-1].halved(l.nx, l.ny)
		}
		for _, t := range of.tiles {
			own := &mapTile{t.bounds, t.inner, dataImage(t.bounds.Dx(), t.bounds.Dy())}
			writeRect(own.image, image.Rectangle{Max: t.bounds.Size()}, m.pack(l, t.bounds))
			l.tiles = append(l.tiles, own)
		}
		m.levels = append(m.levels, l)
	}
	for _, l := range m.levels {
		l.values = nil
	}
	return m, nil
}

// halved is the mean of the values that there are under each block of nx by ny.
func (l *mapLevel) halved(nx, ny int) []float32 {
	out := make([]float32, nx*ny)
	for j := range ny {
		for i := range nx {
			sum, n := float32(0), float32(0)
			for y := 2 * j; y < min(2*j+2, l.ny); y++ {
				for x := 2 * i; x < min(2*i+2, l.nx); x++ {
					if v := l.values[y*l.nx+x]; v == v {
						sum, n = sum+v, n+1
					}
				}
			}
			out[j*nx+i] = sum / n
		}
	}
	return out
}

func (m *Map) pack(l *mapLevel, r image.Rectangle) []byte {
	pix := make([]byte, 0, 4*r.Dx()*r.Dy())
	for j := r.Min.Y; j < r.Max.Y; j++ {
		for _, v := range l.values[j*l.nx+r.Min.X : j*l.nx+r.Max.X] {
			if v != v {
				pix = append(pix, 128, 0, 0, 255)
				continue
			}
			u := uint16(math.Round((float64(v)/m.span + 1) / 2 * 65535))
			pix = append(pix, byte(u>>8), byte(u), 255, 255)
		}
	}
	return pix
}

// Draw draws the map over v.Dst; where it has no value nothing is drawn. scale is
// pixels a point.
func (m *Map) Draw(dst *ebiten.Image, v View, s Scale, scale float64) {
	f := m.face
	n := 0
	for k, l := range f.levels {
		if l == f.levelFor(v.PxPerMM) {
			n = k
		}
	}
	l := m.levels[n]
	bx, by := f.dx*float64(l.cell), f.dy*float64(l.cell)
	for _, t := range l.tiles {
		part := v.whole(
			f.x0+float64(t.inner.Min.X)*bx, f.y0+float64(t.inner.Min.Y)*by, f.x0+float64(t.inner.Max.X)*bx, f.y0+float64(t.inner.Max.Y)*by,
			t.inner.Min.X == 0, t.inner.Min.Y == 0, t.inner.Max.X == l.nx, t.inner.Max.Y == l.ny)
		quad(part, func(px, py float64) (q ebiten.Vertex) {
			x, y := v.MM(px, py)
			q.DstX, q.DstY = float32(px), float32(py)
			q.SrcX, q.SrcY = float32((x-f.x0)/bx-float64(t.bounds.Min.X)), float32((y-f.y0)/by-float64(t.bounds.Min.Y))
			q.Custom0, q.Custom1 = float32(1/(v.PxPerMM*bx)), float32(1/(v.PxPerMM*by))
			return q
		}).draw(dst, "map", ebiten.BlendSourceOver, map[string]any{
			"Span": float32(m.span), "Range": float32(max(1e-6, s.Range)), "Step": float32(s.Step), "Low": float32(s.Low),
			"Px": float32(max(.1, scale)), "Below": lowHues[:], "Above": highHues[:], "Line": mapLine[:],
		}, t.image)
	}
}

// Colour is the colour that the scale gives a value, for a legend.
func (s Scale) Colour(um float64) (r, g, b uint8) {
	hues := highHues
	if um < 0 {
		hues = lowHues
	}
	t := min(1, math.Abs(um)/max(1e-6, s.Range)) * 2
	n := 0
	if t > 1 {
		n, t = 1, t-1
	}
	at := func(c int) uint8 {
		return unit(math.Sqrt(float64(hues[3*n+c])*(1-t) + float64(hues[3*n+3+c])*t))
	}
	return at(0), at(1), at(2)
}

// Dispose gives the map's textures back at once.
func (m *Map) Dispose() {
	for _, l := range m.levels {
		for _, t := range l.tiles {
			t.image.Deallocate()
		}
	}
}
