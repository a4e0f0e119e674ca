package paint

import (
	"image/color"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// mesh collects triangles of plain colour, with edges that fade over a pixel, to
// be drawn in one call.
type mesh struct {
	vertices []ebiten.Vertex
	indices  []uint32
}

var white = func() *ebiten.Image {
	m := ebiten.NewImage(3, 3)
	m.Fill(color.White)
	return m
}()

func (m *mesh) add(x, y float64, c [4]float32, share float64) uint32 {
	s := float32(share)
	m.vertices = append(m.vertices, ebiten.Vertex{
		DstX: float32(x), DstY: float32(y), SrcX: 1.5, SrcY: 1.5,
		ColorR: c[0] * s, ColorG: c[1] * s, ColorB: c[2] * s, ColorA: c[3] * s,
	})
	return uint32(len(m.vertices) - 1)
}

func (m *mesh) quad(a, b, c, d uint32) { m.indices = append(m.indices, a, b, c, a, c, d) }

func premultiplied(c color.RGBA) [4]float32 {
	a := float32(c.A) / 255
	return [4]float32{float32(c.R) / 255 * a, float32(c.G) / 255 * a, float32(c.B) / 255 * a, a}
}

// line is a straight line, width px wide, its ends square.
func (m *mesh) line(x0, y0, x1, y1, width float64, c [4]float32) {
	dx, dy := x1-x0, y1-y0
	l := math.Hypot(dx, dy)
	if l == 0 {
		return
	}
	dx, dy = dx/l, dy/l
	// Thinner than a pixel, a line is as much fainter.
	strength := min(1, width)
	core, soft := max(0, width/2-.5), max(1, width/2+.5)
	side := func(off, share float64) (a, b uint32) {
		nx, ny := -dy*off, dx*off
		return m.add(x0+nx, y0+ny, c, share*strength), m.add(x1+nx, y1+ny, c, share*strength)
	}
	a0, a1 := side(-soft, 0)
	b0, b1 := side(-core, 1)
	c0, c1 := side(core, 1)
	d0, d1 := side(soft, 0)
	m.quad(a0, a1, b1, b0)
	m.quad(b0, b1, c1, c0)
	m.quad(c0, c1, d1, d0)
}

// path is a line through points with round joints and ends, dashed when a
// pattern is given: lengths on and off, px.
func (m *mesh) path(xy [][2]float64, width float64, c [4]float32, pattern []float64) {
	if len(pattern) > 0 {
		m.dashed(xy, width, c, pattern)
		return
	}
	for i, p := range xy {
		if i > 0 {
			m.line(xy[i-1][0], xy[i-1][1], p[0], p[1], width, c)
		}
		if width > 2 {
			m.ring(p[0], p[1], 0, width/2, c)
		}
	}
}

func (m *mesh) dashed(xy [][2]float64, width float64, c [4]float32, pattern []float64) {
	n, left := 0, pattern[0]
	for i := 1; i < len(xy); i++ {
		x, y := xy[i-1][0], xy[i-1][1]
		dx, dy := xy[i][0]-x, xy[i][1]-y
		l := math.Hypot(dx, dy)
		if l == 0 {
			continue
		}
		for done := 0.0; done < l; {
			step := min(left, l-done)
			if n%2 == 0 {
				m.line(x+dx*done/l, y+dy*done/l, x+dx*(done+step)/l, y+dy*(done+step)/l, width, c)
			}
			done += step
			if left -= step; left <= 0 {
				n++
				left = pattern[n%len(pattern)]
			}
		}
	}
}

// ring is the area between two radii.
func (m *mesh) ring(x, y, inner, outer float64, c [4]float32) {
	n := max(12, int(outer*1.5))
	var last [4]uint32
	for i := 0; i <= n; i++ {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		at := func(r, share float64) uint32 { return m.add(x+cos*r, y+sin*r, c, share) }
		now := [4]uint32{at(max(0, inner-.5), 0), at(inner+.5, 1), at(max(0, outer-.5), 1), at(outer+.5, 0)}
		if inner == 0 {
			now[0], now[1] = at(0, 1), at(0, 1)
		}
		if i > 0 {
			for k := range 3 {
				m.quad(last[k], now[k], now[k+1], last[k+1])
			}
		}
		last = now
	}
}

// rect is a rectangle, its edges as sharp as pixels.
func (m *mesh) rect(x, y, w, h float64, c [4]float32) {
	x, y, w, h = math.Round(x), math.Round(y), math.Round(x+w)-math.Round(x), math.Round(y+h)-math.Round(y)
	m.quad(m.add(x, y, c, 1), m.add(x+w, y, c, 1), m.add(x+w, y+h, c, 1), m.add(x, y+h, c, 1))
}

// fade is a rectangle from nothing to a colour, downwards or upwards.
func (m *mesh) fade(x, y, w, h float64, c [4]float32, down bool) {
	upper, lower := c, [4]float32{}
	if down {
		upper, lower = lower, upper
	}
	m.quad(m.add(x, y, upper, 1), m.add(x+w, y, upper, 1), m.add(x+w, y+h, lower, 1), m.add(x, y+h, lower, 1))
}

// rounded is a rectangle with rounded corners.
func (m *mesh) rounded(x, y, w, h, radius float64, c [4]float32) {
	x, y, w, h = math.Round(x), math.Round(y), math.Round(x+w)-math.Round(x), math.Round(y+h)-math.Round(y)
	radius = min(radius, w/2, h/2)
	mid := m.add(x+w/2, y+h/2, c, 1)
	const steps = 5
	var ring, fade []uint32
	for corner := range 4 {
		cx, cy := x+radius, y+radius
		if corner == 1 || corner == 2 {
			cx = x + w - radius
		}
		if corner >= 2 {
			cy = y + h - radius
		}
		for i := 0; i <= steps; i++ {
			sin, cos := math.Sincos(math.Pi + math.Pi/2*(float64(corner)+float64(i)/steps))
			ring = append(ring, m.add(cx+cos*(radius-.25), cy+sin*(radius-.25), c, 1))
			fade = append(fade, m.add(cx+cos*(radius+.5), cy+sin*(radius+.5), c, 0))
		}
	}
	for i := range ring {
		k := (i + 1) % len(ring)
		m.indices = append(m.indices, mid, ring[i], ring[k])
		m.quad(ring[i], fade[i], fade[k], ring[k])
	}
}

// frame is the outline of a rectangle with rounded corners, inside it.
func (m *mesh) frame(x, y, w, h, radius, width float64, c [4]float32) {
	x, y, w, h = math.Round(x), math.Round(y), math.Round(x+w)-math.Round(x), math.Round(y+h)-math.Round(y)
	radius = min(radius, w/2, h/2)
	const steps = 5
	var rings [4][]uint32
	for corner := range 4 {
		cx, cy := x+radius, y+radius
		if corner == 1 || corner == 2 {
			cx = x + w - radius
		}
		if corner >= 2 {
			cy = y + h - radius
		}
		for i := 0; i <= steps; i++ {
			sin, cos := math.Sincos(math.Pi + math.Pi/2*(float64(corner)+float64(i)/steps))
			for k, p := range [4][2]float64{{radius + .25, 0}, {radius - .25, 1}, {radius - width + .25, 1}, {radius - width - .5, 0}} {
				rings[k] = append(rings[k], m.add(cx+cos*p[0], cy+sin*p[0], c, p[1]))
			}
		}
	}
	n := len(rings[0])
	for i := range n {
		j := (i + 1) % n
		for k := range 3 {
			m.quad(rings[k][i], rings[k][j], rings[k+1][j], rings[k+1][i])
		}
	}
}

// polygon is a filled polygon, cut into triangles ear by ear.
func (m *mesh) polygon(xy [][2]float64, c [4]float32) {
	var at []uint32
	for _, p := range xy {
		at = append(at, m.add(p[0], p[1], c, 1))
	}
	left := make([]int, len(xy))
	for i := range left {
		left[i] = i
	}
	if area(xy) < 0 {
		for i, k := 0, len(left)-1; i < k; i, k = i+1, k-1 {
			left[i], left[k] = left[k], left[i]
		}
	}
	for len(left) > 2 {
		cut := false
		for i := range left {
			p, q, r := left[(i+len(left)-1)%len(left)], left[i], left[(i+1)%len(left)]
			if !ear(xy, left, p, q, r) {
				continue
			}
			m.indices = append(m.indices, at[p], at[q], at[r])
			left = append(left[:i], left[i+1:]...)
			cut = true
			break
		}
		if !cut {
			return // crossed over itself: what is left is not drawn
		}
	}
}

func area(xy [][2]float64) float64 {
	sum := 0.0
	for i, p := range xy {
		q := xy[(i+1)%len(xy)]
		sum += p[0]*q[1] - q[0]*p[1]
	}
	return sum
}

func turn(a, b, c [2]float64) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

func ear(xy [][2]float64, left []int, p, q, r int) bool {
	a, b, c := xy[p], xy[q], xy[r]
	if turn(a, b, c) < 0 {
		return false
	}
	for _, k := range left {
		if k == p || k == q || k == r {
			continue
		}
		if d := xy[k]; turn(a, b, d) > 0 && turn(b, c, d) > 0 && turn(c, a, d) > 0 {
			return false
		}
	}
	return true
}

// drawn draws what was collected and begins afresh.
func (m *mesh) drawn(dst *ebiten.Image) {
	if len(m.indices) > 0 {
		dst.DrawTriangles32(m.vertices, m.indices, white, &ebiten.DrawTrianglesOptions{ColorScaleMode: ebiten.ColorScaleModePremultipliedAlpha})
	}
	m.vertices, m.indices = m.vertices[:0], m.indices[:0]
}
