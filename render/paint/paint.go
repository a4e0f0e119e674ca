// Package paint draws the nodes of a scene with Ebitengine.
package paint

import (
	"bytes"
	"image"
	"image/color"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/text/v2"

	"github.com/before-iron/beforeiron/assets/fonts"
	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/kit"
)

// Painter draws nodes.
type Painter struct {
	Theme     *palette.Theme
	Pixels    float64 // a point
	TextScale float64

	faces  map[fonts.Face]*text.GoTextFaceSource
	images map[*kit.Image]*picture
	mesh   mesh
}

type picture struct {
	image   *ebiten.Image
	version int
	used    bool
}

// New is a painter of a theme at one pixel a point.
func New(theme *palette.Theme) *Painter {
	return &Painter{Theme: theme, Pixels: 1, TextScale: 1, faces: map[fonts.Face]*text.GoTextFaceSource{}, images: map[*kit.Image]*picture{}}
}

// rect is a rectangle of points in pixels, outwards.
func (p *Painter) rect(r kit.Rect) image.Rectangle {
	return image.Rect(int(math.Floor(r.X*p.Pixels+.01)), int(math.Floor(r.Y*p.Pixels+.01)),
		int(math.Ceil((r.X+r.W)*p.Pixels-.01)), int(math.Ceil((r.Y+r.H)*p.Pixels-.01)))
}

// Draw draws the nodes that reach into the clip, in order, on what is there.
func (p *Painter) Draw(dst *ebiten.Image, nodes []kit.Node, clip kit.Rect) {
	for _, m := range p.images {
		m.used = false
	}
	for i := range nodes {
		n := &nodes[i]
		p.keep(n)
		seen := n.Visible()
		switch {
		case n.Role == kit.RoleDialog:
			seen = clip // it dims what is below
		case n.Focus:
			seen = n.Ringed()
		}
		if seen = seen.Meets(clip); seen.Empty() {
			continue
		}
		p.node(dst.SubImage(p.rect(seen)).(*ebiten.Image), n)
	}
	for k, m := range p.images {
		if !m.used {
			m.image.Deallocate()
			delete(p.images, k)
		}
	}
}

// keep keeps the pictures of a node on the graphics card, though it lie outside of what
// is drawn now.
func (p *Painter) keep(n *kit.Node) {
	for i := range n.Art {
		if m := p.images[n.Art[i].Image]; m != nil {
			m.used = true
		}
	}
}

func (p *Painter) of(n palette.Name) [4]float32 { return premultiplied(p.Theme.Of(n)) }

// radius of corners, points.
const radius = 4.0

func (p *Painter) node(dst *ebiten.Image, n *kit.Node) {
	k, m := p.Pixels, &p.mesh
	look := n.Look()
	x, y, w, h := n.Rect.X*k, n.Rect.Y*k, n.Rect.W*k, n.Rect.H*k
	switch n.Role {
	case kit.RolePanel:
		m.rect(x, y, w, h, p.of(look.Ground))
		m.drawn(dst)
		speckle(dst, x, y, w, h, k)
		p.bevel(x, y, w, h)
	case kit.RoleDialog:
		b := dst.Bounds()
		m.rect(float64(b.Min.X), float64(b.Min.Y), float64(b.Dx()), float64(b.Dy()), premultiplied(shade))
		m.rounded(x, y, w, h, radius*2*k, p.of(look.Ground))
		m.frame(x, y, w, h, radius*2*k, 1.5*k, p.of(look.Edge))
	case kit.RoleMore:
		m.fade(x, y, w, h, p.of(look.Ground), n.Now > 0)
	case kit.RoleScroll:
		m.rect(x, y, w, h, p.of(look.Ground))
		t := n.Thumb()
		m.rounded(t.X*k+3*k, t.Y*k, t.W*k-6*k, t.H*k, radius*k, p.of(look.Ink))
	case kit.RoleSlider:
		p.slider(n, look)
	case kit.RoleProgress:
		m.rounded(x, y, w, h, radius*k, p.of(look.Ground))
		m.rounded(x+2*k, y+2*k, (w-4*k)*n.Share(), h-4*k, radius*k, p.of(palette.Down))
		m.rect(x+2*k, y+h-6*k, (w-4*k)*n.Share(), 4*k, p.of(palette.Accent))
		m.frame(x, y, w, h, radius*k, 1*k, p.of(look.Edge))
	default:
		if look.Ground != palette.None {
			m.rounded(x, y, w, h, radius*k, p.of(look.Ground))
		}
		if look.Edge != palette.None {
			width := 1.0
			if n.Checked {
				width = 2
			}
			m.frame(x, y, w, h, radius*k, width*k, p.of(look.Edge))
		}
	}
	p.lines(dst, n, look)
	for i := range n.Art {
		p.mark(dst, &n.Art[i])
	}
	if n.Focus {
		p.ring(n)
	}
	m.drawn(dst)
}

// shade lies over everything below a dialog.
var shade = color.RGBA{0, 0, 0, 140}

// bevel lights the upper edge of a panel and darkens the lower one.
func (p *Painter) bevel(x, y, w, h float64) {
	k, m := p.Pixels, &p.mesh
	m.rect(x, y, w, k, premultiplied(color.RGBA{255, 255, 255, 18}))
	m.rect(x, y+h-k, w, k, premultiplied(color.RGBA{0, 0, 0, 90}))
	m.rect(x, y, k, h, premultiplied(color.RGBA{255, 255, 255, 10}))
	m.rect(x+w-k, y, k, h, premultiplied(color.RGBA{0, 0, 0, 70}))
}

// ring shows where the keys are: a light line in a dark one, so that it shows on
// any ground.
func (p *Painter) ring(n *kit.Node) {
	k, m := p.Pixels, &p.mesh
	r := n.Rect
	if n.Role == kit.RoleCanvas {
		r = r.Inset(4)
	}
	m.frame((r.X-2)*k, (r.Y-2)*k, (r.W+4)*k, (r.H+4)*k, (radius+2)*k, 2.5*k, p.of(palette.Focus))
	m.frame((r.X+.5)*k, (r.Y+.5)*k, (r.W-1)*k, (r.H-1)*k, radius*k, 1*k, p.of(palette.Granite))
}

func (p *Painter) slider(n *kit.Node, look kit.Look) {
	k, m := p.Pixels, &p.mesh
	if n.Hover {
		m.rounded(n.Rect.X*k, n.Rect.Y*k, n.Rect.W*k, n.Rect.H*k, radius*k, p.of(look.Ground))
	}
	if len(n.Lines) == 0 {
		return // a dial draws itself
	}
	t := n.Track()
	mid, at := t.Y+t.H/2, t.X+t.W*n.Share()
	ink := p.of(palette.Accent)
	if n.Disabled {
		ink = p.of(palette.Edge)
	}
	m.rounded(t.X*k, (mid-2)*k, t.W*k, 4*k, 2*k, p.of(palette.Edge))
	m.rounded(t.X*k, (mid-2)*k, (at-t.X)*k, 4*k, 2*k, ink)
	m.ring(at*k, mid*k, 0, 9*k, p.of(palette.Granite))
	m.ring(at*k, mid*k, 0, 7.5*k, ink)
}

// lines sets the words of a node in its box, in the middle of its height.
func (p *Painter) lines(dst *ebiten.Image, n *kit.Node, look kit.Look) {
	if len(n.Lines) == 0 {
		return
	}
	p.mesh.drawn(dst)
	line := n.Type.Line(p.TextScale)
	y := n.TextBox.Y + max(0, (n.TextBox.H-float64(len(n.Lines))*line)/2)
	for _, l := range n.Lines {
		x := n.TextBox.X
		switch n.Align {
		case kit.Middle:
			x += n.TextBox.W / 2
		case kit.Finish:
			x += n.TextBox.W
		}
		p.words(dst, l, n.Type, x, y, n.Align, p.Theme.Of(look.Ink))
		y += line
	}
}

// words draws a line of text with its top at y, points.
func (p *Painter) words(dst *ebiten.Image, s string, t kit.Type, x, y float64, align kit.Align, ink color.RGBA) {
	if s == "" {
		return
	}
	face := p.face(t)
	w := fonts.Width(t.Face, face.Size, s) / p.Pixels
	switch align {
	case kit.Middle:
		x -= w / 2
	case kit.Finish:
		x -= w
	}
	op := &text.DrawOptions{}
	op.GeoM.Translate(math.Round(x*p.Pixels), math.Round((y+fonts.Ascent*t.At(p.TextScale))*p.Pixels-face.Metrics().HAscent))
	op.ColorScale.ScaleWithColor(ink)
	text.Draw(dst, s, face, op)
}

// face is a type as it is drawn, a whole number of pixels high and no higher than it was
// measured.
func (p *Painter) face(t kit.Type) *text.GoTextFace {
	return &text.GoTextFace{Source: p.source(t.Face), Size: math.Floor(t.At(p.TextScale)*p.Pixels + .01)}
}

func (p *Painter) source(f fonts.Face) *text.GoTextFaceSource {
	s := p.faces[f]
	if s == nil {
		var err error
		if s, err = text.NewGoTextFaceSource(bytes.NewReader(f.TTF())); err != nil {
			panic("the built-in font is damaged: " + err.Error())
		}
		p.faces[f] = s
	}
	return s
}

// dashes are the patterns of lines, in widths of the line.
var dashes = map[kit.Dash][]float64{kit.Dashed: {4, 3}, kit.Dotted: {1.2, 2.4}}

func (p *Painter) mark(dst *ebiten.Image, a *kit.Mark) {
	k, m := p.Pixels, &p.mesh
	ink := p.of(a.Ink)
	at := func(i int) (x, y float64) { return a.Points[i].X * k, a.Points[i].Y * k }
	var pattern []float64
	for _, d := range dashes[a.Dash] {
		pattern = append(pattern, max(2, d*max(2, a.Width))*k)
	}
	switch a.Shape {
	case kit.Line:
		xy := make([][2]float64, len(a.Points))
		for i := range a.Points {
			xy[i][0], xy[i][1] = at(i)
		}
		m.path(xy, a.Width*k, ink, pattern)
	case kit.Segments:
		for i := 0; i+1 < len(a.Points); i += 2 {
			x0, y0 := at(i)
			x1, y1 := at(i + 1)
			if pattern != nil {
				m.dashed([][2]float64{{x0, y0}, {x1, y1}}, a.Width*k, ink, pattern)
			} else {
				m.line(x0, y0, x1, y1, a.Width*k, ink)
			}
		}
	case kit.Fill:
		xy := make([][2]float64, len(a.Points))
		for i := range a.Points {
			xy[i][0], xy[i][1] = at(i)
		}
		m.polygon(xy, ink)
	case kit.Circle:
		x, y := at(0)
		m.ring(x, y, 0, a.Width*k, ink)
	case kit.Ring:
		x, y := at(0)
		m.ring(x, y, max(0, a.Width-a.Thick/2)*k, (a.Width+a.Thick/2)*k, ink)
	case kit.Words:
		m.drawn(dst)
		p.words(dst, a.Text, a.Type, a.Points[0].X, a.Points[0].Y, a.Align, p.Theme.Of(a.Ink))
	case kit.Pixels:
		m.drawn(dst)
		p.pixels(dst, a)
	}
}

// pixels draws a small image over a rectangle.
func (p *Painter) pixels(dst *ebiten.Image, a *kit.Mark) {
	if a.Image == nil || a.Image.W == 0 {
		return
	}
	m := p.images[a.Image]
	if m == nil {
		m = &picture{image: ebiten.NewImage(a.Image.W, a.Image.H), version: a.Image.Version - 1, used: true}
		p.images[a.Image] = m
	}
	if m.version != a.Image.Version {
		m.image.WritePixels(a.Image.Pix)
		m.version = a.Image.Version
	}
	op := &ebiten.DrawImageOptions{Filter: ebiten.FilterLinear}
	x0, y0, x1, y1 := a.Points[0].X, a.Points[0].Y, a.Points[1].X, a.Points[1].Y
	op.GeoM.Scale((x1-x0)*p.Pixels/float64(a.Image.W), (y1-y0)*p.Pixels/float64(a.Image.H))
	op.GeoM.Translate(x0*p.Pixels, y0*p.Pixels)
	dst.DrawImage(m.image, op)
}
