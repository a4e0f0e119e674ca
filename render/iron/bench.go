package iron

import (
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// Scene is what lies on the bench, and how it is lit.
type Scene struct {
	Face *Face // nil shows the bare plate
	// Back shows the part face down on the plate.
	Back bool
	// PlateX and PlateY are where the face's origin lies on the plate, mm.
	PlateX, PlateY float64
	Film           Film
	Lamp           Lamp
	Look           Look
}

// Film is the pigment rolled on the plate over a rectangle in mm of the plate.
type Film struct {
	X0, Y0, X1, Y1 float64
	UM             float64 // 0 leaves the stone bare
}

// The block as it stands on the plate, mm.
const (
	tall  = 25.0 // height of the block
	front = 2.6  // of its front side, as seen
	bevel = .45  // broken edge
)

// Bench draws scenes. It keeps what a view has in common from frame to frame;
// give each view that is shown at a time its own Bench.
type Bench struct {
	camera camera
	// ground lies round a part that is face up, under round one that is face down:
	// that is seen from elsewhere, and a print is looked at where it was before.
	ground, under ground
	spare         *ebiten.Image // of the size of the view, for moving along

	drawn   bool
	scene   Scene
	view    View
	version int
}

// Stale reports whether a draw of the scene in this view would differ from the
// last one.
func (b *Bench) Stale(v View, s Scene) bool {
	return !b.drawn || v != b.view || s != b.scene || s.Face != nil && s.Face.version != b.version
}

// Draw draws the scene over v.Dst, opaque. Where dst is a sub-image only the
// part within its bounds is drawn.
func (b *Bench) Draw(dst *ebiten.Image, v View, s Scene) {
	b.drawn, b.view, b.scene = true, v, s
	if v.Dst.Empty() {
		return
	}
	if s.Face == nil {
		b.surround(dst, v, s, []image.Rectangle{v.Dst})
		return
	}
	b.version = s.Face.version
	f := s.Face
	f.settle()
	seen := v.pixels(f.x0, f.y0, f.x1, f.y1)
	switch {
	case seen.Empty():
	case s.Back:
		b.back(dst, v, s, seen)
	default:
		b.camera.look(f, v, s.Look.Pigment, &b.spare)
		b.light(dst, v, s, seen)
	}
	around := []image.Rectangle{v.Dst}
	if f.mask == nil {
		inset := bevel + 2/v.PxPerMM
		around = outside(v.Dst, v.pixels(f.x0+inset, f.y0+inset, f.x1-inset, f.y1-inset))
	}
	b.surround(dst, v, s, around)
}

// outside is r without hole, in up to four rectangles.
func outside(r, hole image.Rectangle) []image.Rectangle {
	hole = hole.Intersect(r)
	if hole.Empty() {
		return []image.Rectangle{r}
	}
	var out []image.Rectangle
	for _, s := range []image.Rectangle{
		{r.Min, image.Pt(r.Max.X, hole.Min.Y)},
		{image.Pt(r.Min.X, hole.Min.Y), image.Pt(hole.Min.X, hole.Max.Y)},
		{image.Pt(hole.Max.X, hole.Min.Y), image.Pt(r.Max.X, hole.Max.Y)},
		{image.Pt(r.Min.X, hole.Max.Y), r.Max},
	} {
		if !s.Empty() {
			out = append(out, s)
		}
	}
	return out
}

// mesh covers the rectangles with squares small enough that the direction of
// the lamp hardly bends over one; each vertex carries that direction and the light
// that arrives (colour), and the slope that throws it into the eye (custom.xy).
func (l Lamp) mesh(v View, cover []image.Rectangle) mesh {
	height := max(1e-3, l.Height)
	// Twice halved where d is the reach: (1 + d^2/r^2)^-2.
	reach := max(1e-6, l.Reach*l.Reach) / (math.Sqrt2 - 1)
	// Rasterisers work in tiles of 64 pixels: squares that lie within them cost least.
	square := 64
	for square > 16 && float64(square) > height*v.PxPerMM/4 {
		square /= 2
	}
	var m mesh
	for _, r := range cover {
		if r.Empty() {
			continue
		}
		xs, ys := steps(r.Min.X, r.Max.X, square), steps(r.Min.Y, r.Max.Y, square)
		first := uint32(len(m.vertices))
		for _, py := range ys {
			for _, px := range xs {
				x, y := v.MM(float64(px), float64(py))
				dx, dy := l.X-x, l.Y-y
				d2 := dx*dx + dy*dy
				away := math.Sqrt(d2 + height*height)
				lx, ly, lz := dx/away, dy/away, height/away
				glow := reach / (reach + d2)
				m.vertices = append(m.vertices, ebiten.Vertex{
					DstX: float32(px), DstY: float32(py),
					SrcX: float32(px - v.Dst.Min.X), SrcY: float32(py - v.Dst.Min.Y),
					ColorR: float32(lx), ColorG: float32(ly), ColorB: float32(lz), ColorA: float32(glow * glow * l.Power),
					Custom0: float32(lx / (1 + lz)), Custom1: float32(ly / (1 + lz)),
				})
			}
		}
		row := uint32(len(xs))
		for j := range len(ys) - 1 {
			for i := range len(xs) - 1 {
				a := first + uint32(j)*row + uint32(i)
				m.indices = append(m.indices, a, a+1, a+row, a+1, a+row, a+row+1)
			}
		}
	}
	return m
}

// steps are from, to, and the multiples of step between them.
func steps(from, to, step int) []int {
	out := []int{from}
	for at := (from/step + 1) * step; at < to; at += step {
		out = append(out, at)
	}
	return append(out, to)
}

// roomColour is the light of the room, linear.
var roomColour = [3]float32{.90, 1, 1.12}

// roots are the square roots of a times b times by, channel by channel.
func roots(a, b [3]float32, by float32) (out [3]float32) {
	for c := range out {
		out[c] = float32(math.Sqrt(float64(a[c] * b[c] * by)))
	}
	return out
}

// unalike is half the inverse variance of slopes along a lay less half that
// across it, in eighths of the powers of e; see light.kage.
const unalike = .896

func (b *Bench) light(dst *ebiten.Image, v View, s Scene, seen image.Rectangle) {
	p := s.Look.Pigment
	metal, shine := s.Look.Metal.under(s.Face.dulled)
	name := "light+plain"
	if s.Look.Hatch {
		name = "light+hatch"
	}
	// Of a root v of the light the lamp's part is v - d^2/v, where d is that of the
	// room; the line through v = d and bright stands for it.
	const bright = 1.3
	shade := 1 + 1.6*metal.Level
	dim := float32(math.Sqrt(.165 * float64(shade)))
	rise := (bright - dim*dim/bright) / (bright - dim)
	// Both are wanted of the root that is held back: the brighter iron is, the more.
	shoulder := float32(.28 * math.Sqrt(float64(metal.Reflects[1])))
	shown := func(v float32) float32 { return v * (1.08 - shoulder*v) }
	rise *= (bright - dim) / (shown(bright) - shown(dim))
	cool, warm := roots(metal.Reflects, roomColour, 1), roots(metal.Reflects, lampColour, 1)
	var full, lack [3]float32
	for c := range full {
		full[c] = cool[c] + (warm[c]-cool[c])*rise
		lack[c] = (warm[c] - cool[c]) * rise * shown(dim)
	}
	faint, strong := p.taken()
	ink, inkLit := roots(p.Body, roomColour, .14), roots(p.Body, lampColour, .55)
	s.Lamp.mesh(v, []image.Rectangle{seen}).draw(dst, name, ebiten.BlendCopy, map[string]any{
		// Slopes are bytes 128 + v, steps of the lay 7 + v.
		"Slope": []float32{255 * drawnSlope, -128 * drawnSlope}, "Lay": []float32{unalike / 7, -unalike},
		"Shade": []float32{shade, .15 + .17*metal.Level}, "Shoulder": shoulder, "Lobe": 1.45 * shine,
		"Metal": full[:], "Dim": lack[:], "Faint": faint[:], "Strong": strong[:],
		"Ink": ink[:], "InkLit": inkLit[:], "Gloss": float32(.14), "Pixel": s.Look.scale(),
	}, b.camera.one)
}

// drawnSlope is the slope, drawn, of a third of a step of slope (a step is 0.25 um
// per mm): the real one is invisible, but a lamp along the bench makes much of it.
const drawnSlope = .005

func (b *Bench) back(dst *ebiten.Image, v View, s Scene, seen image.Rectangle) {
	m := s.Lamp.mesh(v, []image.Rectangle{seen})
	for n := range m.vertices {
		q := &m.vertices[n]
		x, y := v.MM(float64(q.DstX), float64(q.DstY))
		q.Custom0, q.Custom1, q.Custom2, q.Custom3 = float32(x), float32(y), q.Custom0, q.Custom1
	}
	m.draw(dst, "back", ebiten.BlendCopy, map[string]any{
		"LampColour": lampColour[:], "Paint": painted[:], "NoiseScale": noiseFor(v.PxPerMM),
	}, noiseImage())
}

// surround draws what lies round the face over the given rectangles.
func (b *Bench) surround(dst *ebiten.Image, v View, s Scene, around []image.Rectangle) {
	g := &b.ground
	if s.Back {
		g = &b.under
	}
	g.look(v, s, around, &b.spare)
	s.Lamp.mesh(v, around).draw(dst, "around", ebiten.BlendSourceOver, map[string]any{
		"LampColour": lampColour[:], "Tall": float32(tall), "OutlineReach": float32(outlineReach), "Block": oneIf(s.Face != nil),
	}, g.one, g.two)
}

func oneIf(on bool) float32 {
	if on {
		return 1
	}
	return 0
}
