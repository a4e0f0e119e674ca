package iron

import (
	"fmt"
	"image"
	"sync"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/assets/shaders"
)

var (
	compiled   = map[string]*ebiten.Shader{}
	compiledMu sync.Mutex
)

// shader compiles a source on its first use. A source that does not compile is a
// fault of the program; a test compiles them all.
func shader(name string) *ebiten.Shader {
	compiledMu.Lock()
	defer compiledMu.Unlock()
	if s := compiled[name]; s != nil {
		return s
	}
	s, err := ebiten.NewShader(shaders.Source(name))
	if err != nil {
		panic(fmt.Sprintf("iron: shader %s: %v", name, err))
	}
	compiled[name] = s
	return s
}

// mesh is triangles to be drawn by a shader.
type mesh struct {
	vertices []ebiten.Vertex
	indices  []uint32
}

// quad is a rectangle of pixels; at says what its corners carry.
func quad(r image.Rectangle, at func(px, py float64) ebiten.Vertex) mesh {
	if r.Empty() {
		return mesh{}
	}
	x0, y0, x1, y1 := float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y)
	return mesh{
		[]ebiten.Vertex{at(x0, y0), at(x1, y0), at(x0, y1), at(x1, y1)},
		[]uint32{0, 1, 2, 1, 2, 3},
	}
}

// append adds the triangles of another mesh.
func (m *mesh) append(o mesh) {
	base := uint32(len(m.vertices))
	m.vertices = append(m.vertices, o.vertices...)
	for _, i := range o.indices {
		m.indices = append(m.indices, base+i)
	}
}

func (m mesh) draw(dst *ebiten.Image, name string, blend ebiten.Blend, uniforms map[string]any, images ...*ebiten.Image) {
	if len(m.indices) == 0 {
		return
	}
	op := &ebiten.DrawTrianglesShaderOptions{Uniforms: uniforms, Blend: blend}
	copy(op.Images[:], images)
	dst.DrawTrianglesShader32(m.vertices, m.indices, shader(name), op)
}
