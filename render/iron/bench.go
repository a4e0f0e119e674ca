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
	ground ground
	spare  *ebiten.Image // of the size of the view, for moving along

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
	seen := v.pixels(f.x0, f.y0, f.x1, f.y1)
	switch {
	case seen.Empty():
	case s.Back:
		b.back(dst, v, s, seen)
	default:
		b.camera.look(f, v, &b.spare)
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

func (s Scene) lit(u map[string]any) map[string]any {
	l := s.Lamp
	power := float32(l.Power)
	u["Lamp"] = []float32{float32(l.X), float32(l.Y), float32(max(1e-3, l.Height))}
	u["LampColour"] = []float32{lampColour[0] * power, lampColour[1] * power, lampColour[2] * power}
	// The light falls as 1 / (1 + d^2/r^2)^2.
	u["LampReach"] = float32(max(1e-6, l.Reach*l.Reach) / (math.Sqrt2 - 1))
	return u
}

func (b *Bench) light(dst *ebiten.Image, v View, s Scene, seen image.Rectangle) {
	p := s.Look.Pigment
	quad(seen, func(px, py float64) (q ebiten.Vertex) {
		x, y := v.MM(px, py)
		q.DstX, q.DstY = float32(px), float32(py)
		q.SrcX, q.SrcY = float32(px)-float32(v.Dst.Min.X), float32(py)-float32(v.Dst.Min.Y)
		q.Custom0, q.Custom1 = float32(x), float32(y)
		return q
	}).draw(dst, "light", ebiten.BlendCopy, s.lit(map[string]any{
		"Gain": float32(drawnSlope), "Level": s.Look.Metal.Level, "Iron": s.Look.Metal.Reflects[:],
		"Film": float32(s.Face.film), "Absorb": p.Absorb[:], "Body": p.Body[:],
		"Hatch": oneIf(s.Look.Hatch), "Pixel": s.Look.scale(),
	}), b.camera.one, b.camera.two)
}

// drawnSlope is the slope, drawn, of a third of a step of slope (a step is 0.25 um
// per mm): the real one is invisible, but a lamp along the bench makes much of it.
const drawnSlope = .005

func (b *Bench) back(dst *ebiten.Image, v View, s Scene, seen image.Rectangle) {
	quad(seen, func(px, py float64) (q ebiten.Vertex) {
		x, y := v.MM(px, py)
		q.DstX, q.DstY, q.Custom0, q.Custom1 = float32(px), float32(py), float32(x), float32(y)
		return q
	}).draw(dst, "back", ebiten.BlendCopy, s.lit(map[string]any{
		"Paint": []float32{.16, .20, .19}, "NoiseScale": noiseFor(v.PxPerMM),
	}), noiseImage())
}

// surround draws what lies round the face over the given rectangles.
func (b *Bench) surround(dst *ebiten.Image, v View, s Scene, around []image.Rectangle) {
	g := &b.ground
	g.look(v, s, around, &b.spare)
	u := s.lit(map[string]any{"Tall": float32(tall), "OutlineReach": float32(outlineReach), "Block": oneIf(s.Face != nil)})
	var m mesh
	for _, r := range around {
		m.append(quad(r, func(px, py float64) (q ebiten.Vertex) {
			x, y := v.MM(px, py)
			q.DstX, q.DstY = float32(px), float32(py)
			q.SrcX, q.SrcY = float32(px)-float32(v.Dst.Min.X), float32(py)-float32(v.Dst.Min.Y)
			q.Custom0, q.Custom1 = float32(x), float32(y)
			return q
		}))
	}
	m.draw(dst, "around", ebiten.BlendSourceOver, u, g.one, g.two)
}

func oneIf(on bool) float32 {
	if on {
		return 1
	}
	return 0
}
