package iron

import (
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// outlineReach is how far from the outline, mm, its distance is told; shadow and
// side of the block end within it.
const outlineReach = 24.0

// outline is the distance from the edge of the metal, positive outside, in an
// image whose texels are pitch mm apart, the first centred on (x0, y0) mm.
type outline struct {
	nx, ny int
	pitch  float64
	x0, y0 float64
	pix    []byte
	image  *ebiten.Image
}

// outlineTexels bounds the longer side of the distance image.
const outlineTexels = 1000

func newOutline(f *Face) *outline {
	length := max(f.x1-f.x0, f.y1-f.y0) + 2*outlineReach
	o := &outline{pitch: max(length/outlineTexels, min(f.dx, f.dy))}
	// Where texels are as large as cells they lie on their middles.
	o.x0, o.y0 = f.x0-math.Ceil(outlineReach/o.pitch)*o.pitch+f.dx/2, f.y0-math.Ceil(outlineReach/o.pitch)*o.pitch+f.dy/2
	o.nx = int(math.Ceil((f.x1-f.x0+2*outlineReach)/o.pitch)) + 2
	o.ny = int(math.Ceil((f.y1-f.y0+2*outlineReach)/o.pitch)) + 2
	o.pix = make([]byte, 4*o.nx*o.ny)
	distance := o.ofRectangle(f)
	if f.mask != nil {
		distance = o.ofMask(f)
	}
	for k, d := range distance {
		// Two bytes hold -reach to +reach.
		v := uint16(math.Round((max(-1, min(1, d/outlineReach)) + 1) / 2 * 65535))
		o.pix[4*k], o.pix[4*k+1], o.pix[4*k+3] = byte(v>>8), byte(v), 255
	}
	o.image = upload(o.nx, o.ny, o.pix)
	return o
}

func (o *outline) ofRectangle(f *Face) []float64 {
	out := make([]float64, o.nx*o.ny)
	for j := range o.ny {
		y := o.y0 + float64(j)*o.pitch
		dy := max(f.y0-y, y-f.y1)
		for i := range o.nx {
			x := o.x0 + float64(i)*o.pitch
			dx := max(f.x0-x, x-f.x1)
			if dx > 0 && dy > 0 {
				out[j*o.nx+i] = math.Hypot(dx, dy)
			} else {
				out[j*o.nx+i] = max(dx, dy)
			}
		}
	}
	return out
}

// ofMask is the distance to the nearest texel of the other kind, by squared
// distances along rows, then columns (Felzenszwalb and Huttenlocher, 2012).
func (o *outline) ofMask(f *Face) []float64 {
	metal, air := make([]float64, o.nx*o.ny), make([]float64, o.nx*o.ny)
	for j := range o.ny {
		cj := int(math.Floor((o.y0 + float64(j)*o.pitch - f.y0) / f.dy))
		for i := range o.nx {
			ci := int(math.Floor((o.x0 + float64(i)*o.pitch - f.x0) / f.dx))
			k := j*o.nx + i
			if image.Pt(ci, cj).In(f.all()) && f.mask[cj*f.nx+ci] {
				air[k] = math.Inf(1)
			} else {
				metal[k] = math.Inf(1)
			}
		}
	}
	nearest(metal, o.nx, o.ny)
	nearest(air, o.nx, o.ny)
	for k := range metal {
		// Half a texel lies between a centre and the edge.
		if d := math.Sqrt(metal[k]) - .5; d > 0 {
			metal[k] = d * o.pitch
		} else {
			metal[k] = -(math.Sqrt(air[k]) - .5) * o.pitch
		}
	}
	return metal
}

// nearest replaces 0 and infinity by the squared distance, in texels, to the
// nearest 0.
func nearest(v []float64, nx, ny int) {
	n := max(nx, ny)
	line, hull, cut := make([]float64, n), make([]int, n), make([]float64, n+1)
	pass := func(at, stride, count int) {
		for i := range count {
			line[i] = v[at+i*stride]
		}
		top := -1
		for q := range count {
			if math.IsInf(line[q], 1) {
				continue
			}
			from := math.Inf(-1)
			for top >= 0 {
				p := hull[top]
				from = (line[q] + float64(q*q) - line[p] - float64(p*p)) / float64(2*(q-p))
				if from > cut[top] {
					break
				}
				top--
			}
			if top < 0 {
				from = math.Inf(-1)
			}
			top++
			hull[top], cut[top] = q, from
		}
		if top < 0 {
			return
		}
		h := 0
		for i := range count {
			for h < top && cut[h+1] < float64(i) {
				h++
			}
			d := float64(i - hull[h])
			v[at+i*stride] = d*d + line[hull[h]]
		}
	}
	for j := range ny {
		pass(j*nx, 1, nx)
	}
	for i := range nx {
		pass(i, nx, ny)
	}
}
