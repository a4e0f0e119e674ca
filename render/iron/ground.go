package iron

import (
	"image"

	"github.com/hajimehoshi/ebiten/v2"
)

// ground holds the colour (one) and the shape (two) of what lies round the face
// in one view, before it is lit.
type ground struct {
	layers
	key groundKey
}

// groundKey is all that the picture round a face depends on, save the lamp.
type groundKey struct {
	outline        *outline
	plateX, plateY float64
	film           Film
	metal          Metal
	pigment        Pigment
}

func (g *ground) look(v View, s Scene, around []image.Rectangle, spare **ebiten.Image) {
	key := groundKey{nil, s.PlateX, s.PlateY, s.Film, s.Look.Metal, s.Look.Pigment}
	if s.Face != nil {
		key.outline = s.Face.outline
	}
	if g.key != key {
		g.key, g.view = key, View{}
	}
	stale := g.follow(v, spare)
	if len(stale) == 0 {
		return
	}

	stone, perMM := graniteFor(v.PxPerMM)
	var m mesh
	for _, r := range around {
		for _, new := range stale {
			m.append(quad(r.Intersect(new), func(px, py float64) (q ebiten.Vertex) {
				x, y := v.MM(px, py)
				q.DstX, q.DstY = float32(px)-float32(v.Dst.Min.X), float32(py)-float32(v.Dst.Min.Y)
				q.Custom0, q.Custom1, q.Custom2, q.Custom3 = float32(x), float32(y), float32(x+s.PlateX), float32(y+s.PlateY)
				return q
			}))
		}
	}
	p := s.Look.Pigment
	u := map[string]any{
		"GraniteScale": float32(perMM), "Side": float32(stone.Bounds().Dx()), "Px": float32(1 / v.PxPerMM),
		"Tall": float32(tall), "Front": float32(front), "Bevel": float32(bevel), "Iron": s.Look.Metal.Reflects[:],
		"Rolled": []float32{float32(s.Film.X0), float32(s.Film.Y0), float32(s.Film.X1), float32(s.Film.Y1)},
		"Film":   float32(s.Film.UM), "Absorb": p.Absorb[:], "Body": p.Body[:],
		"OutlineReach": float32(outlineReach), "OutlinePitch": float32(1),
	}
	// Without a block the stone's own image stands where an outline is asked for.
	shape := stone
	if o := key.outline; o != nil {
		shape = o.image
		u["Block"] = float32(1)
		u["OutlineAt"] = []float32{float32(o.x0), float32(o.y0)}
		u["OutlinePitch"] = float32(o.pitch)
	}
	m.draw(g.one, "ground+outline", ebiten.BlendCopy, u, stone, shape, noiseImage())
	m.draw(g.two, "shape+outline", ebiten.BlendCopy, u, stone, shape)
}
