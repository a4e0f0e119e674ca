package page

import (
	"fmt"
	"html/template"
	"image/color"
	"math"
	"strings"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/surface"
)

// view is a drawing of a face, or of a part of it, with its positions in mm at its
// edges.
type view struct {
	b              strings.Builder
	w, h           float64 // of the face, in units of its own
	x0, y0, x1, y1 float64 // mm
}

// Room for the positions along the left edge and the lower one.
const viewLeft, viewBelow, viewRight = 17.0, 13.0, 8.0

func newView(g surface.Grid, w, h int, told string) *view {
	v := &view{w: float64(w), h: float64(h)}
	v.x0, v.y0, v.x1, v.y1 = g.Edges()
	// A face of few readings is as large on paper as one of many.
	if s := 200 / math.Max(v.w, v.h); s > 1 {
		v.w, v.h = v.w*s, v.h*s
	}
	fmt.Fprintf(&v.b, `<svg viewBox="%g -4 %.4g %.4g" role="img" aria-label="%s">`, -viewLeft, v.w+viewLeft+viewRight, v.h+viewBelow+4, esc(told))
	return v
}

func (v *view) picture(p picture) {
	fmt.Fprintf(&v.b, `<image href="%s" width="%.4g" height="%.4g" preserveAspectRatio="none"/>`, p.uri(), v.w, v.h)
}

// at is a position, mm, in the units of the drawing.
func (v *view) at(x, y float64) (float64, float64) {
	return v.w * (x - v.x0) / (v.x1 - v.x0), v.h * (y - v.y0) / (v.y1 - v.y0)
}

func (v *view) text(class string, x, y float64, text string) {
	fmt.Fprintf(&v.b, `<text class="%s" x="%.1f" y="%.1f">%s</text>`, class, x, y, esc(text))
}

func (v *view) dot(x, y float64) {
	x, y = v.at(x, y)
	fmt.Fprintf(&v.b, `<circle class="point" cx="%.1f" cy="%.1f" r="2.4"/>`, x, y)
}

func (v *view) circle(class string, c gauge.Circle) {
	x, y := v.at(c.X, c.Y)
	r := v.w * c.Diameter / 2 / (v.x1 - v.x0)
	fmt.Fprintf(&v.b, `<circle class="%s casing" cx="%.1f" cy="%.1f" r="%.1f"/><circle class="%s" cx="%.1f" cy="%.1f" r="%.1f"/>`, class, x, y, r, class, x, y, r)
}

func (v *view) frame(class string, x, y, side float64, name string) {
	x0, y0 := v.at(x, y)
	x1, y1 := v.at(x+side, y+side)
	for _, c := range []string{class + " casing", class} {
		fmt.Fprintf(&v.b, `<rect class="%s" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, c, x0, y0, x1-x0, y1-y0)
	}
	v.text("label", x0+6, y0+9, name)
}

// svg ends the drawing.
func (v *view) svg() template.HTML {
	fmt.Fprintf(&v.b, `<rect class="edge" x="0" y="0" width="%.4g" height="%.4g"/>`, v.w, v.h)
	step := nice((v.x1 - v.x0) / 6)
	for x := step * math.Ceil(v.x0/step); x <= v.x1+1e-9; x += step {
		at, _ := v.at(x, v.y0)
		fmt.Fprintf(&v.b, `<path class="mark" d="M%.1f %.4gv2.5"/><text class="axis" x="%.1f" y="%.4g" text-anchor="middle">%s</text>`, at, v.h, at, v.h+9, axisText(x, step))
	}
	step = math.Max(step, nice((v.y1-v.y0)/6))
	for y := step * math.Ceil(v.y0/step); y <= v.y1+1e-9; y += step {
		_, at := v.at(v.x0, y)
		fmt.Fprintf(&v.b, `<path class="mark" d="M0 %.1fh-2.5"/><text class="axis" x="-4" y="%.1f" text-anchor="end">%s</text>`, at, at+2.2, axisText(y, step))
	}
	return template.HTML(v.b.String() + "</svg>")
}

// axisText writes a multiple of step.
func axisText(v, step float64) string {
	places := 0
	for s := step; s < 1-1e-9 && places < 6; s *= 10 {
		places++
	}
	if math.Abs(v) < step/2 {
		v = 0
	}
	return strings.Replace(fmt.Sprintf("%.*f", places, v), "-", "−", 1)
}

// sharePicture is a share of each element in the marking colour on iron.
func sharePicture(f *review.Field) picture {
	var colours []color.RGBA
	for c := range inkSteps + 1 {
		colours = append(colours, mix(iron, ink, float64(c)/inkSteps))
	}
	p := newPicture(f.W, f.H, append(colours, noIron))
	for k, v := range f.V {
		p.img.Pix[k] = inkSteps + 1
		if v == v {
			p.img.Pix[k] = uint8(step(float64(v), inkSteps))
		}
	}
	return p
}

type xy struct{ x, y float64 }

// plotLine is a line of a plot under a class of the page's style.
type plotLine struct {
	class string
	at    []xy
}

// plot is lines over x from 0 to x1; the range of y, um, is that of the lines.
type plot struct {
	id, title, told string
	x1              float64
	lines           []plotLine
}

// straightUM is the range below which a line is straight: what is left is rounding.
const straightUM = 1e-6

func (p plot) svg() template.HTML {
	low, high := math.Inf(1), math.Inf(-1)
	for _, l := range p.lines {
		for _, q := range l.at {
			low, high = math.Min(low, q.y), math.Max(high, q.y)
		}
	}
	if high-low < straightUM {
		low, high = low-.5, high+.5
	}
	step := nice((high - low) / 5)
	low, high = step*math.Floor(low/step), step*math.Ceil(high/step)
	x := func(v float64) float64 { return marginL + (chartW-marginL-marginR)*v/p.x1 }
	y := func(v float64) float64 { return marginT + (chartH-marginT-g)*(high-v)/(high-low) }
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="chart" viewBox="0 0 %g %g" role="img" aria-labelledby="%s-t %s-d">`, chartW, chartH-10, p.id, p.id)
	fmt.Fprintf(&b, `<title id="%s-t">%s</title><desc id="%s-d">%s</desc><text class="name" x="4" y="15">%s</text>`, p.id, esc(p.title), p.id, esc(p.told), esc(p.title))
	for v := low; v <= high+step/2; v += step {
		fmt.Fprintf(&b, `<line class="grid" x1="%g" x2="%g" y1="%.1f" y2="%.1f"/><text class="tick" x="%g" y="%.1f" text-anchor="end">%s</text>`,
			marginL, chartW-marginR, y(v), y(v), marginL-5, y(v)+4, axisText(v, step))
	}
	every := nice(p.x1 / 8)
	for v := 0.0; v <= p.x1+1e-9; v += every {
		fmt.Fprintf(&b, `<text class="tick" x="%.1f" y="%g" text-anchor="middle">%s</text>`, x(v), chartH-g+15, axisText(v, every))
	}
	for _, l := range p.lines {
		fmt.Fprintf(&b, `<path class="%s thin" d="`, l.class)
		pen := "M"
		for _, q := range l.at {
			fmt.Fprintf(&b, "%s%.1f %.1f", pen, x(q.x), y(q.y))
			pen = "L"
		}
		b.WriteString(`"/>`)
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}
