package debrief

import (
	"image/color"
	"math"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/run"
)

// pictures draws small pictures of a face as the run is made again.
type pictures struct {
	pigment string
	nx, ny  int       // cells of the face
	w, h    int       // of the pictures
	before  []float64 // heights at the last print, um, by picture element; nil while hidden
	now     []float64
	bare    []bool // elements without colour at the last print
	cuts    []cutting
	guess   *run.Predict
}

func (p *pictures) begin(r *run.Run) {
	g := r.Grid()
	p.nx, p.ny = g.NX, g.NY
	p.w = min(thumbWidth, g.NX)
	p.h = max(1, int(math.Round(float64(p.w)*float64(g.NY)*g.DY/(float64(g.NX)*g.DX))))
	p.bare = make([]bool, p.w*p.h)
	p.next(r)
}

// each calls see with every element of the picture and the cells under it.
func (p *pictures) each(see func(k, i0, j0, i1, j1 int)) {
	for j := range p.h {
		j0, j1 := j*p.ny/p.h, max(j*p.ny/p.h+1, (j+1)*p.ny/p.h)
		for i := range p.w {
			see(j*p.w+i, i*p.nx/p.w, j0, max(i*p.nx/p.w+1, (i+1)*p.nx/p.w), j1)
		}
	}
}

// heights are the mean heights under the elements; nil while the truth is hidden.
func (p *pictures) heights(r *run.Run) []float64 {
	m, err := r.Truth()
	if err != nil {
		return nil
	}
	out := make([]float64, p.w*p.h)
	p.each(func(k, i0, j0, i1, j1 int) {
		sum, n := 0.0, 0
		for j := j0; j < j1; j++ {
			for i := i0; i < i1; i++ {
				if z := m.Z[j*p.nx+i]; z == z {
					sum += z
					n++
				}
			}
		}
		out[k] = sum / float64(n)
	})
	return out
}

// next begins the count of what is cut afresh.
func (p *pictures) next(r *run.Run) {
	p.before = p.heights(r)
	p.now = p.before
	p.cuts, p.guess = nil, nil
	if reading, _ := r.Reading(); reading != nil {
		p.each(func(k, i0, j0, i1, j1 int) {
			p.bare[k] = true
			for j := j0; j < j1; j++ {
				for i := i0; i < i1; i++ {
					p.bare[k] = p.bare[k] && !reading.Coloured(j*p.nx+i)
				}
			}
		})
	}
}

// cut takes in a cut act.
func (p *pictures) cut(r *run.Run, e run.Entry) {
	c := e.Act.Cut
	cut := cutting{depth: float64(c.Depth) / 100, strokes: e.Out.Laid}
	if c.Force > 0 {
		cut.depth = r.Blade().DepthFromForce(float64(c.Force))
	}
	if c.Area != nil {
		d := int(math.Round(float64(c.Area.Dir) / 1000 * 180 / math.Pi))
		cut.whole, cut.degrees = true, ((d%360)+360)%360
	}
	p.cuts = append(p.cuts, cut)
	p.now = p.heights(r)
}

func (p *pictures) blank() *kit.Image {
	return &kit.Image{W: p.w, H: p.h, Pix: make([]byte, 4*p.w*p.h)}
}

func set(m *kit.Image, k int, c color.RGBA) {
	m.Pix[4*k], m.Pix[4*k+1], m.Pix[4*k+2], m.Pix[4*k+3] = c.R, c.G, c.B, c.A
}

func mix(a, b color.RGBA, t float64) color.RGBA {
	f := func(x, y uint8) uint8 { return uint8(float64(x)*(1-t) + float64(y)*t + .5) }
	return color.RGBA{f(a.R, b.R), f(a.G, b.G), f(a.B, b.B), 255}
}

// reading is the print.
func (p *pictures) reading(r *run.Run) *kit.Image {
	reading, _ := r.Reading()
	if reading == nil {
		return nil
	}
	iron, colour, bare := palette.Print(p.pigment)
	m := p.blank()
	p.each(func(k, i0, j0, i1, j1 int) {
		c, s, n := 0, 0, 0
		for j := j0; j < j1; j++ {
			for i := i0; i < i1; i++ {
				c += int(reading.Colour[j*p.nx+i])
				s += int(reading.Shine[j*p.nx+i])
				n++
			}
		}
		// The eye sees a film by more than its strength.
		strength := math.Sqrt(float64(c) / float64(255*n))
		set(m, k, mix(mix(iron, colour, strength), bare, float64(s)/float64(255*n)))
	})
	return m
}

// truth is the heights from their mean plane, in a colour map, with isolines of
// the form under the marks, and their reach, um.
func (p *pictures) truth(r *run.Run) (m *kit.Image, high, low float64) {
	z := p.heights(r)
	if z == nil {
		return nil, 0, 0
	}
	p.level(z)
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range z {
		if v == v {
			low, high = min(low, v), max(high, v)
		}
	}
	step := isoStep(high - low)
	form := p.smooth(z)
	m = p.blank()
	for k, v := range z {
		if v != v {
			continue
		}
		c := palette.Cividis((v - low) / max(1e-9, high-low))
		line := math.Floor(form[k] / step)
		if i := k % p.w; i > 0 && math.Floor(form[k-1]/step) != line || k >= p.w && math.Floor(form[k-p.w]/step) != line {
			c = mix(c, color.RGBA{0, 0, 0, 255}, .55)
		}
		set(m, k, c)
	}
	return m, high, low
}

// smoothReach is how far the mean reaches, in elements, that takes single marks
// out of the form.
const smoothReach = 5

// smooth is the mean of heights over a square round each; missing ones are left
// out.
func (p *pictures) smooth(z []float64) []float64 {
	// sums and counts up to each element, so that any square is four of them.
	w := p.w + 1
	sum, n := make([]float64, w*(p.h+1)), make([]float64, w*(p.h+1))
	for j := range p.h {
		for i := range p.w {
			k := (j+1)*w + i + 1
			sum[k], n[k] = sum[k-1]+sum[k-w]-sum[k-w-1], n[k-1]+n[k-w]-n[k-w-1]
			if v := z[j*p.w+i]; v == v {
				sum[k] += v
				n[k]++
			}
		}
	}
	out := make([]float64, len(z))
	for k := range z {
		i0, i1 := max(0, k%p.w-smoothReach), min(p.w, k%p.w+smoothReach+1)
		j0, j1 := max(0, k/p.w-smoothReach), min(p.h, k/p.w+smoothReach+1)
		over := func(s []float64) float64 { return s[j1*w+i1] - s[j0*w+i1] - s[j1*w+i0] + s[j0*w+i0] }
		out[k] = over(sum) / over(n)
	}
	return out
}

// isoStep is the distance of isolines, um: about eight of them.
func isoStep(reach float64) float64 {
	for _, s := range []float64{.5, 1, 2, 5, 10, 20} {
		if reach/s <= 10 {
			return s
		}
	}
	return 50
}

// level takes the least-squares plane out; over a full lattice its slopes are
// those of the sums.
func (p *pictures) level(z []float64) {
	var n, sx, sy, sz, sxx, syy, sxy, sxz, syz float64
	for k, v := range z {
		if v != v {
			continue
		}
		x, y := float64(k%p.w), float64(k/p.w)
		n++
		sx, sy, sz = sx+x, sy+y, sz+v
		sxx, syy, sxy = sxx+x*x, syy+y*y, sxy+x*y
		sxz, syz = sxz+x*v, syz+y*v
	}
	cxx, cyy, cxy := sxx-sx*sx/n, syy-sy*sy/n, sxy-sx*sy/n
	cxz, cyz := sxz-sx*sz/n, syz-sy*sz/n
	det := cxx*cyy - cxy*cxy
	if det == 0 {
		return
	}
	b, c := (cxz*cyy-cyz*cxy)/det, (cyz*cxx-cxz*cxy)/det
	a := (sz - b*sx - c*sy) / n
	for k := range z {
		z[k] -= a + b*float64(k%p.w) + c*float64(k/p.w)
	}
}

// removed is what was cut since the last print: where it carried colour, and,
// chequered, where it carried none. Nil while the truth is hidden.
func (p *pictures) removed() *kit.Image {
	if p.before == nil || p.now == nil {
		return nil
	}
	iron, _, _ := palette.Print(p.pigment)
	m := p.blank()
	for k := range p.before {
		d := p.before[k] - p.now[k]
		if d != d {
			continue
		}
		c := iron
		if d > .2 {
			c = palette.CutOnHigh
			if p.bare[k] {
				c = palette.CutOnBare
				if (k%p.w/2+k/p.w/2)%2 == 0 {
					c = mix(c, iron, .35)
				}
			}
			c = mix(iron, c, min(1, .45+d/8))
		}
		set(m, k, c)
	}
	return m
}

// met is how much of the guess and of the print agree, tile by tile.
func (p *pictures) met(r *run.Run) float64 {
	reading, _ := r.Reading()
	if p.guess == nil || reading == nil {
		return 0
	}
	both, either := 0, 0
	p.each(func(k, i0, j0, i1, j1 int) {
		coloured, n := 0, 0
		for j := j0; j < j1; j++ {
			for i := i0; i < i1; i++ {
				n++
				if reading.Coloured(j*p.nx + i) {
					coloured++
				}
			}
		}
		blue := 10*coloured >= n
		said := p.guess.Region.Contains(reading.X((i0+i1)/2), reading.Y((j0+j1)/2))
		if blue && said {
			both++
		}
		if blue || said {
			either++
		}
	})
	if either == 0 {
		return 1
	}
	return float64(both) / float64(either)
}
