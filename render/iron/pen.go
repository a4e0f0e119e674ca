package iron

import (
	"image"
	"image/color"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// Ink is how a pen draws: a line and the casing on either side of it, so that it
// shows on bright and on dark metal, and dashes, so that it is told by more than
// its hue.
type Ink struct {
	Line, Casing color.RGBA
	Width        float64 // points; 0 is 2
	Dash         float64 // period, points; 0 is unbroken
}

// Mark is a mark to be cut, mm on the face.
type Mark struct{ X0, Y0, X1, Y1, Width float64 }

// Pen draws over a face in its own coordinates, in one view. What is drawn comes
// out in the order of the calls once Draw is called.
type Pen struct {
	view  View
	scale float64
	calls []call
}

// call is one draw: triangles, the shader and what it is given.
type call struct {
	shader   string
	mesh     mesh
	uniforms map[string]any
	images   []*ebiten.Image
}

// NewPen is a pen for a view; scale is pixels a point.
func NewPen(v View, scale float64) *Pen { return &Pen{view: v, scale: max(.1, scale)} }

// Draw draws all that was asked for, within the view.
func (p *Pen) Draw(dst *ebiten.Image) {
	clip := p.view.Dst.Intersect(dst.Bounds())
	if clip.Empty() {
		return
	}
	dst = dst.SubImage(clip).(*ebiten.Image)
	for _, c := range p.calls {
		c.mesh.draw(dst, c.shader, ebiten.BlendSourceOver, c.uniforms, c.images...)
	}
	p.calls = p.calls[:0]
}

// lines is the mesh of the last call if it draws lines, else that of a new one.
func (p *Pen) lines() *mesh {
	if n := len(p.calls); n > 0 && p.calls[n-1].shader == "line" {
		return &p.calls[n-1].mesh
	}
	p.calls = append(p.calls, call{shader: "line"})
	return &p.calls[len(p.calls)-1].mesh
}

func (i Ink) width() float64 {
	if i.Width <= 0 {
		return 2
	}
	return i.Width
}

// casingWidth is how far a casing stands out on either side, points.
const casingWidth = 1.25

type dot struct{ x, y float64 } // px

// run draws a chain of stretches through dots, casing first; closed joins the
// last to the first.
func (p *Pen) run(dots []dot, closed bool, ink Ink) {
	if closed {
		dots = append(dots, dots[0])
	}
	half := ink.width() / 2 * p.scale
	m := p.lines()
	for _, layer := range []struct {
		c    color.RGBA
		half float64
	}{{ink.Casing, half + casingWidth*p.scale}, {ink.Line, half}} {
		if layer.c.A == 0 {
			continue
		}
		gone := 0.0
		for n := 0; n+1 < len(dots); n++ {
			gone += m.stretch(dots[n], dots[n+1], layer.half, ink.Dash*p.scale, gone, layer.c)
		}
	}
}

// disc draws a filled disc of radius px with its casing.
func (p *Pen) disc(at dot, radius float64, ink Ink) {
	m := p.lines()
	if ink.Casing.A > 0 {
		m.stretch(at, at, radius+casingWidth*p.scale, 0, 0, ink.Casing)
	}
	m.stretch(at, at, radius, 0, 0, ink.Line)
}

// stretch adds a stretch of line and returns its length, px.
func (m *mesh) stretch(a, b dot, half, dash, gone float64, c color.RGBA) float64 {
	dx, dy := b.x-a.x, b.y-a.y
	length := math.Hypot(dx, dy)
	ux, uy := 1.0, 0.0
	if length > 0 {
		ux, uy = dx/length, dy/length
	}
	reach := half + 1
	red, green, blue, alpha := straight(c)
	corner := func(along, aside float64) ebiten.Vertex {
		return ebiten.Vertex{
			DstX: float32(a.x + along*ux - aside*uy), DstY: float32(a.y + along*uy + aside*ux),
			SrcX: float32(along), SrcY: float32(aside),
			ColorR: red, ColorG: green, ColorB: blue, ColorA: alpha,
			Custom0: float32(length), Custom1: float32(half), Custom2: float32(dash), Custom3: float32(gone),
		}
	}
	m.append(mesh{
		[]ebiten.Vertex{corner(-reach, -reach), corner(length+reach, -reach), corner(-reach, reach), corner(length+reach, reach)},
		[]uint32{0, 1, 2, 1, 2, 3},
	})
	return length
}

// straight is a colour's channels, 0 to 1, not multiplied by alpha.
func straight(c color.RGBA) (r, g, b, a float32) {
	if c.A == 0 {
		return 0, 0, 0, 0
	}
	a = float32(c.A)
	return float32(c.R) / a, float32(c.G) / a, float32(c.B) / a, a / 255
}

func vec4(c color.RGBA) []float32 {
	r, g, b, a := straight(c)
	return []float32{r, g, b, a}
}

func (p *Pen) at(x, y float64) dot {
	px, py := p.view.Px(x, y)
	return dot{px, py}
}

// Line draws through places on the face, mm, as x, y, x, y...
func (p *Pen) Line(ink Ink, places ...float64) {
	var dots []dot
	for n := 0; n+1 < len(places); n += 2 {
		dots = append(dots, p.at(places[n], places[n+1]))
	}
	if len(dots) > 1 {
		p.run(dots, false, ink)
	}
}

// Rectangle outlines (x0, y0) to (x1, y1) mm.
func (p *Pen) Rectangle(ink Ink, x0, y0, x1, y1 float64) {
	p.run([]dot{p.at(x0, y0), p.at(x1, y0), p.at(x1, y1), p.at(x0, y1)}, true, ink)
}

// Ring draws a circle of radius mm, never smaller than leastPoints across.
func (p *Pen) Ring(ink Ink, x, y, radius, leastPoints float64) {
	p.ring(p.at(x, y), max(radius*p.view.PxPerMM, leastPoints/2*p.scale), ink)
}

func (p *Pen) ring(at dot, radius float64, ink Ink) {
	n := int(max(16, min(96, radius)))
	dots := make([]dot, n)
	for i := range dots {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		dots[i] = dot{at.x + radius*c, at.y + radius*s}
	}
	p.run(dots, true, ink)
}

// Ghost outlines marks that are not cut yet.
func (p *Pen) Ghost(marks []Mark, ink Ink) {
	half := ink.width() / 2 * p.scale
	var m mesh
	red, green, blue, alpha := straight(ink.Line)
	for _, k := range marks {
		a, b := p.at(k.X0, k.Y0), p.at(k.X1, k.Y1)
		dx, dy := b.x-a.x, b.y-a.y
		length := math.Hypot(dx, dy)
		if length == 0 {
			continue
		}
		ux, uy := dx/length, dy/length
		along, aside := length/2, max(1, k.Width/2*p.view.PxPerMM)
		if aside > along { // a mark broader than long
			along, aside, ux, uy = aside, along, -uy, ux
		}
		cx, cy := (a.x+b.x)/2, (a.y+b.y)/2
		reach := half + casingWidth*p.scale + 1
		if !near(p.view.Dst, cx, cy, along+reach) {
			continue
		}
		corner := func(u, v float64) ebiten.Vertex {
			u, v = u*(along+reach), v*(aside+reach)
			return ebiten.Vertex{
				DstX: float32(cx + u*ux - v*uy), DstY: float32(cy + u*uy + v*ux),
				SrcX: float32(u), SrcY: float32(v),
				ColorR: red, ColorG: green, ColorB: blue, ColorA: alpha,
				Custom0: float32(along), Custom1: float32(aside), Custom2: float32(half),
			}
		}
		m.append(mesh{[]ebiten.Vertex{corner(-1, -1), corner(1, -1), corner(-1, 1), corner(1, 1)}, []uint32{0, 1, 2, 1, 2, 3}})
	}
	p.calls = append(p.calls, call{shader: "ghost", mesh: m, uniforms: map[string]any{
		"Casing": vec4(ink.Casing), "CasingWidth": float32(casingWidth * p.scale),
	}})
}

func near(r image.Rectangle, x, y, reach float64) bool {
	return x+reach >= float64(r.Min.X) && y+reach >= float64(r.Min.Y) &&
		x-reach <= float64(r.Max.X) && y-reach <= float64(r.Max.Y)
}

// Cut rings a spot that was pointed out to be cut, with its number, 1 to 3.
func (p *Pen) Cut(x, y float64, number int, ink Ink) {
	const across = 26 // points
	at := p.at(x, y)
	p.ring(at, across/2*p.scale, ink)
	p.tag(dot{at.x + across/2*p.scale, at.y - across/2*p.scale}, number, ink)
}

// Spare rings the spot to be spared and strikes it through.
func (p *Pen) Spare(x, y float64, ink Ink) {
	const across = 26 // points
	at, r := p.at(x, y), across/2*p.scale
	p.ring(at, r, ink)
	p.run([]dot{{at.x - r*math.Sqrt2/2, at.y + r*math.Sqrt2/2}, {at.x + r*math.Sqrt2/2, at.y - r*math.Sqrt2/2}}, false, ink)
}

// Pin sticks a numbered pin in a place.
func (p *Pen) Pin(x, y float64, number int, ink Ink) {
	at := p.at(x, y)
	head := dot{at.x, at.y - 22*p.scale}
	p.run([]dot{at, head}, false, Ink{Line: ink.Line, Casing: ink.Casing, Width: 2.5})
	p.disc(at, 3*p.scale, ink)
	p.tag(head, number, ink)
}

// tag is a disc with a number in the colour of the casing.
func (p *Pen) tag(at dot, number int, ink Ink) {
	digits := digitsOf(number)
	radius := (9 + 3*float64(len(digits)-1)) * p.scale
	p.disc(at, radius, ink)
	const width, height = 5.5, 9.0 // points of a digit
	x := at.x - (width*float64(len(digits))+2*float64(len(digits)-1))/2*p.scale
	for _, d := range digits {
		for _, chain := range digitChains[d] {
			dots := make([]dot, len(chain))
			for n, c := range chain {
				dots[n] = dot{x + c[0]*width*p.scale, at.y + (c[1]-.5)*height*p.scale}
			}
			p.run(dots, false, Ink{Line: ink.Casing, Width: 1.8})
		}
		x += (width + 2) * p.scale
	}
}

func digitsOf(n int) []int {
	if n < 10 {
		return []int{max(0, n)}
	}
	return append(digitsOf(n/10), n%10)
}

// digitChains draw the ten digits in a box of one by one, y down.
var digitChains = [10][][][2]float64{
	{{{.5, 0}, {.9, .15}, {1, .5}, {.9, .85}, {.5, 1}, {.1, .85}, {0, .5}, {.1, .15}, {.5, 0}}},
	{{{.1, .22}, {.55, 0}, {.55, 1}}},
	{{{.02, .2}, {.3, 0}, {.7, 0}, {.97, .2}, {.9, .45}, {0, 1}, {1, 1}}},
	{{{.05, .12}, {.35, 0}, {.75, 0}, {.95, .22}, {.75, .46}, {.4, .48}}, {{.75, .46}, {1, .72}, {.75, 1}, {.3, 1}, {0, .86}}},
	{{{.75, 1}, {.75, 0}, {0, .7}, {1, .7}}},
	{{{.92, 0}, {.15, 0}, {.08, .45}, {.5, .38}, {.9, .5}, {1, .72}, {.8, .96}, {.35, 1}, {0, .88}}},
	{{{.85, .03}, {.4, .2}, {.05, .65}, {.2, .95}, {.55, 1}, {.92, .9}, {1, .65}, {.8, .45}, {.4, .42}, {.08, .6}}},
	{{{0, 0}, {1, 0}, {.4, 1}}},
	{{{.5, .47}, {.12, .32}, {.12, .12}, {.5, 0}, {.88, .12}, {.88, .32}, {.5, .47}, {0, .65}, {.05, .9}, {.5, 1}, {.95, .9}, {1, .65}, {.5, .47}}},
	{{{.15, .97}, {.6, .8}, {.95, .35}, {.8, .05}, {.45, 0}, {.08, .1}, {0, .35}, {.2, .55}, {.6, .58}, {.92, .4}}},
}

// Block draws a gauge block or the foot of an indicator: length by width mm about
// (x, y).
func (p *Pen) Block(ink Ink, x, y, length, width float64) {
	a, b := p.at(x-length/2, y-width/2), p.at(x+length/2, y+width/2)
	// Ground steel: a light body with a dark side under it.
	body := color.RGBA{176, 180, 184, 255}
	m := p.lines()
	half := (b.y - a.y) / 2
	for _, part := range []struct {
		drop float64
		c    color.RGBA
	}{{4 * p.scale, color.RGBA{0, 0, 0, 110}}, {2 * p.scale, color.RGBA{84, 88, 92, 255}}, {0, body}} {
		// A stretch as thick as the block, its round ends cut off by steps.
		m.box(dot{a.x, a.y + half + part.drop}, dot{b.x, a.y + half + part.drop}, half, part.c)
	}
	p.run([]dot{a, {b.x, a.y}, b, {a.x, b.y}}, true, Ink{Line: ink.Line, Casing: ink.Casing, Width: 1.5})
}

// box adds a filled rectangle along a to b, half px to either side.
func (m *mesh) box(a, b dot, half float64, c color.RGBA) {
	red, green, blue, alpha := straight(c)
	corner := func(x, y float64) ebiten.Vertex {
		// At no distance from a stretch without end all is within it.
		return ebiten.Vertex{DstX: float32(x), DstY: float32(y), ColorR: red, ColorG: green, ColorB: blue, ColorA: alpha, Custom1: 1}
	}
	m.append(mesh{
		[]ebiten.Vertex{corner(a.x, a.y-half), corner(b.x, a.y-half), corner(a.x, a.y+half), corner(b.x, a.y+half)},
		[]uint32{0, 1, 2, 1, 2, 3},
	})
}

// Trace draws readings of an instrument, um, taken at x mm along the row at y mm:
// a base line, and the readings over it, pointsPerUM upwards.
func (p *Pen) Trace(ink Ink, y float64, x, um []float64, pointsPerUM float64) {
	n := min(len(x), len(um))
	if n < 2 {
		return
	}
	dots := make([]dot, n)
	for k := range dots {
		dots[k] = p.at(x[k], y)
		dots[k].y -= um[k] * pointsPerUM * p.scale
	}
	p.run([]dot{p.at(x[0], y), p.at(x[n-1], y)}, false, Ink{Line: ink.Line, Casing: ink.Casing, Width: 1, Dash: 8})
	p.run(dots, false, ink)
}

// Lens frames sideMM by sideMM, its first corner at (x, y) mm, frames the view
// that magnifies it, and joins the corners that see each other.
func (p *Pen) Lens(ink Ink, x, y, sideMM float64, lens View) {
	d := lens.Dst
	l := []dot{{float64(d.Min.X), float64(d.Min.Y)}, {float64(d.Max.X), float64(d.Min.Y)}, {float64(d.Max.X), float64(d.Max.Y)}, {float64(d.Min.X), float64(d.Max.Y)}}
	f := []dot{p.at(x, y), p.at(x+sideMM, y), p.at(x+sideMM, y+sideMM), p.at(x, y+sideMM)}
	var from, to [2]int
	switch {
	case l[0].x >= f[1].x:
		from, to = [2]int{1, 2}, [2]int{0, 3}
	case l[1].x <= f[0].x:
		from, to = [2]int{0, 3}, [2]int{1, 2}
	case l[0].y >= f[2].y:
		from, to = [2]int{3, 2}, [2]int{0, 1}
	default:
		from, to = [2]int{0, 1}, [2]int{3, 2}
	}
	thin := Ink{Line: ink.Line, Casing: ink.Casing, Width: 1}
	for n := range from {
		p.run([]dot{f[from[n]], l[to[n]]}, false, thin)
	}
	p.run(f, true, ink)
	p.run(l, true, Ink{Line: ink.Line, Casing: ink.Casing, Width: 3})
}
