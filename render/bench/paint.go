package bench

import (
	"math"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/lay"
)

// paint is a part of the face that was painted, in square tiles from the face's
// origin.
type paint struct {
	tile    int // 10 um
	nx, ny  int
	x0, y0  float64 // edges of the face, mm
	x1, y1  float64
	on      []bool
	count   int
	version int
}

// mostTiles bounds the tiles along the longer side of a face.
const mostTiles = 250

// newPaint is an unpainted face with the given edges, mm.
func newPaint(x0, y0, x1, y1 float64) *paint {
	side := max(1, math.Ceil(max(x1, y1)/mostTiles))
	p := &paint{tile: int(side) * 100, x0: x0, y0: y0, x1: x1, y1: y1}
	p.nx, p.ny = int(math.Ceil(x1/side)), int(math.Ceil(y1/side))
	p.on = make([]bool, p.nx*p.ny)
	return p
}

func (p *paint) side() float64 { return float64(p.tile) / 100 }

func (p *paint) at(i, j int) bool { return i >= 0 && j >= 0 && i < p.nx && j < p.ny && p.on[j*p.nx+i] }

func (p *paint) set(i, j int, on bool) {
	if i < 0 || j < 0 || i >= p.nx || j >= p.ny || p.on[j*p.nx+i] == on {
		return
	}
	s := p.side()
	if x, y := (float64(i)+.5)*s, (float64(j)+.5)*s; x < p.x0-s/2 || y < p.y0-s/2 {
		return
	}
	p.on[j*p.nx+i] = on
	p.version++
	if on {
		p.count++
	} else {
		p.count--
	}
}

// sweep paints, or wipes, what a round brush covers from one place to another,
// mm.
func (p *paint) sweep(x0, y0, x1, y1, radius float64, on bool) {
	s := p.side()
	dx, dy := x1-x0, y1-y0
	l2 := dx*dx + dy*dy
	for j := int((min(y0, y1) - radius) / s); j <= int((max(y0, y1)+radius)/s); j++ {
		for i := int((min(x0, x1) - radius) / s); i <= int((max(x0, x1)+radius)/s); i++ {
			x, y := (float64(i)+.5)*s, (float64(j)+.5)*s
			t := 0.0
			if l2 > 0 {
				t = max(0, min(1, ((x-x0)*dx+(y-y0)*dy)/l2))
			}
			if math.Hypot(x-x0-t*dx, y-y0-t*dy) <= max(radius, s*.71) {
				p.set(i, j, on)
			}
		}
	}
}

// fill paints the whole face.
func (p *paint) fill() {
	for j := range p.ny {
		for i := range p.nx {
			p.set(i, j, true)
		}
	}
}

func (p *paint) clear() {
	clear(p.on)
	p.count = 0
	p.version++
}

func (p *paint) empty() bool { return p.count == 0 }

func (p *paint) region() lay.Region { return lay.Paint(p.tile, p.nx, p.ny, p.at) }

func (p *paint) copy() *paint {
	q := *p
	q.on = append([]bool(nil), p.on...)
	return &q
}

// areaMM2 is the painted area.
func (p *paint) areaMM2() float64 { return float64(p.count) * p.side() * p.side() }

// agreement is the tiles that are both painted and coloured over those that are
// either: how well a guess of the blue met it. A tile counts as coloured when a
// tenth of it is.
func (p *paint) agreement(r *blue.Reading) float64 {
	coloured, cells := make([]int, len(p.on)), make([]int, len(p.on))
	s := p.side()
	for j := 0; j < r.NY; j++ {
		tj := min(p.ny-1, max(0, int(r.Y(j)/s)))
		for i := 0; i < r.NX; i++ {
			k := j*r.NX + i
			if r.Mask != nil && !r.Mask[k] {
				continue
			}
			t := tj*p.nx + min(p.nx-1, max(0, int(r.X(i)/s)))
			cells[t]++
			if r.Coloured(k) {
				coloured[t]++
			}
		}
	}
	both, either := 0, 0
	for t, n := range cells {
		blue := n > 0 && 10*coloured[t] >= n
		if p.on[t] && blue {
			both++
		}
		if p.on[t] && n > 0 || blue {
			either++
		}
	}
	if either == 0 {
		return 1
	}
	return float64(both) / float64(either)
}

// hatch is how a region is drawn: the slant of its lines and their pattern.
type hatch struct {
	ink   palette.Name
	dash  kit.Dash
	slant float64 // dx over dy of its lines
	gap   float64 // points
}

var (
	cutHatch   = hatch{palette.ToCut, kit.Solid, -1, 11}
	guessHatch = hatch{palette.Guess, kit.Dotted, 1, 9}
)

// outline are the edges between painted and unpainted tiles, as segments in
// points.
func (p *paint) outline(v iron.View) []kit.Point {
	var out []kit.Point
	s := p.side()
	point := func(i, j int) kit.Point {
		x, y := v.Px(float64(i)*s, float64(j)*s)
		return kit.Point{X: x, Y: y}
	}
	for j := 0; j <= p.ny; j++ {
		for i := 0; i < p.nx; i++ {
			if p.at(i, j) != p.at(i, j-1) {
				from := i
				for i < p.nx && p.at(i, j) != p.at(i, j-1) {
					i++
				}
				out = append(out, point(from, j), point(i, j))
			}
		}
	}
	for i := 0; i <= p.nx; i++ {
		for j := 0; j < p.ny; j++ {
			if p.at(i, j) != p.at(i-1, j) {
				from := j
				for j < p.ny && p.at(i, j) != p.at(i-1, j) {
					j++
				}
				out = append(out, point(i, from), point(i, j))
			}
		}
	}
	return out
}

// lines are the hatching of the region, as segments in points.
func (p *paint) lines(v iron.View, h hatch) []kit.Point {
	var out []kit.Point
	s := p.side()
	gap := h.gap / v.PxPerMM
	w, t := float64(p.nx)*s, float64(p.ny)*s
	for c := math.Floor(min(0, -h.slant*t)/gap) * gap; c < w+max(0, -h.slant*t); c += gap {
		open := false
		var from kit.Point
		for j := 0; j <= p.ny; j++ {
			y := float64(j) * s
			in := j < p.ny && p.at(int(math.Floor((c+h.slant*(y+s/2))/s)), j)
			if in != open {
				x, py := v.Px(c+h.slant*y, y)
				if in {
					from = kit.Point{X: x, Y: py}
				} else {
					out = append(out, from, kit.Point{X: x, Y: py})
				}
				open = in
			}
		}
	}
	return out
}

// art draws the region over the iron.
func (p *paint) art(v iron.View, h hatch) []kit.Mark {
	if p.empty() {
		return nil
	}
	lines, edge := p.lines(v, h), p.outline(v)
	return []kit.Mark{
		{Shape: kit.Segments, Points: lines, Width: 3, Ink: palette.Casing, Dash: h.dash},
		{Shape: kit.Segments, Points: edge, Width: 4.5, Ink: palette.Casing},
		{Shape: kit.Segments, Points: lines, Width: 1.4, Ink: h.ink, Dash: h.dash},
		{Shape: kit.Segments, Points: edge, Width: 2, Ink: h.ink},
	}
}
