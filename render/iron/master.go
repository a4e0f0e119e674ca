package iron

import (
	"image"

	"github.com/hajimehoshi/ebiten/v2"
)

// Master is a straightedge or a prism over a face or beside it: its outline, mm on
// the face, and which side of it is seen.
type Master struct {
	X0, Y0, X1, Y1 float64
	Prism          bool
	Up             bool    // its blued side is up, and it lies beside the part
	Film           float64 // on that side, um
}

// painted is the paint of castings, linear.
var painted = [3]float32{.16, .20, .19}

// masterShadow is how far round a master its shadow reaches, mm.
const masterShadow = 14.0

// Draw draws it over what is there.
func (m Master) Draw(dst *ebiten.Image, v View, lamp Lamp, look Look) {
	seen := v.pixels(m.X0-masterShadow, m.Y0-masterShadow, m.X1+masterShadow, m.Y1+masterShadow)
	if seen.Empty() {
		return
	}
	mesh := lamp.mesh(v, []image.Rectangle{seen})
	for n := range mesh.vertices {
		q := &mesh.vertices[n]
		x, y := v.MM(float64(q.DstX), float64(q.DstY))
		q.Custom2, q.Custom3 = q.Custom0, q.Custom1
		q.Custom0, q.Custom1 = float32(x-(m.X0+m.X1)/2), float32(y-(m.Y0+m.Y1)/2)
	}
	p := look.Pigment
	mesh.draw(dst, "master", ebiten.BlendSourceOver, map[string]any{
		"LampColour": lampColour[:], "Iron": look.Metal.Reflects[:], "Paint": painted[:],
		"Half":  []float32{float32(m.X1-m.X0) / 2, float32(m.Y1-m.Y0) / 2},
		"Prism": oneIf(m.Prism), "Up": oneIf(m.Up), "Film": float32(m.Film), "Absorb": p.Absorb[:], "Body": p.Body[:],
		"Front": float32(front), "Px": float32(1 / v.PxPerMM), "Reach": float32(masterShadow),
	}, noiseImage())
}
