package bench

import (
	"math"

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

	made   *lay.Region // the region of version madeOf
	madeOf int
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

// region is what is painted; the same one until something else is.
func (p *paint) region() *lay.Region {
	if p.made == nil || p.madeOf != p.version {
		r := lay.Paint(p.tile, p.nx, p.ny, p.at)
		p.made, p.madeOf = &r, p.version
	}
	return p.made
}

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
