package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// series is one line of a chart: a value a cycle, no number where there is none.
type series struct {
	name   string
	class  string // of the line in the page's style
	values []float64
}

// chart is one figure over the cycles.
type chart struct {
	id, title, unit string
	low, high       float64 // the band that is asked for; low > high for none
	lines           []series
}

// figure is one of the figures that are drawn over the cycles.
type figure struct {
	id, title, unit string
	of              func(f *score.Figures) float64
	band            func(t run.Target) (low, high float64)
}

func or(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}

func orInt(v *int) float64 {
	if v == nil {
		return math.NaN()
	}
	return float64(*v)
}

var figures = []figure{
	{"points", "Points per square inch", "", func(f *score.Figures) float64 { return or(f.PointsPerIn2) },
		func(t run.Target) (float64, float64) { return t.PointsPerIn2, math.Inf(1) }},
	{"frame", "Points in the worst inch frame", "", func(f *score.Figures) float64 { return orInt(f.FrameMin) },
		func(t run.Target) (float64, float64) { return float64(t.FrameMin), math.Inf(1) }},
	{"bearing", "Bearing", "%", func(f *score.Figures) float64 { return or(f.AreaPct) },
		func(t run.Target) (float64, float64) { return t.AreaPct[0], t.AreaPct[1] }},
	{"flatness", "Minimum zone, marks included", "µm", func(f *score.Figures) float64 { return or(f.MinimumZoneUM) }, nil},
	{"bridged", "Range over the gauge block", "µm", func(f *score.Figures) float64 { return or(f.BridgedUM) },
		func(t run.Target) (float64, float64) { return 0, t.BridgedUM }},
	{"lows", "New lows", "", func(f *score.Figures) float64 { return float64(f.NewLows) }, nil},
}

// charts are the figures of the reports over their cycles, each under a name and
// a class.
func charts(t run.Target, names, classes []string, reports []*score.Report) []chart {
	var out []chart
	for _, f := range figures {
		c := chart{id: f.id, title: f.title, unit: f.unit, low: 1, high: 0}
		if f.band != nil {
			c.low, c.high = f.band(t)
		}
		for n, r := range reports {
			if r == nil {
				continue
			}
			s := series{name: names[n], class: classes[n]}
			for k := range r.PerCycle {
				s.values = append(s.values, f.of(&r.PerCycle[k]))
			}
			c.lines = append(c.lines, s)
		}
		out = append(out, c)
	}
	return out
}

// Size of a chart, in units of its own.
const (
	chartW, chartH               = 340.0, 190.0
	marginL, marginR, marginT, g = 40.0, 10.0, 26.0, 30.0
)

// svg draws the chart; a reader who does not see it is told first and last values.
func (c chart) svg() template.HTML {
	top, n := 0.0, 2
	for _, s := range c.lines {
		n = max(n, len(s.values))
		for _, v := range s.values {
			if v == v {
				top = math.Max(top, v)
			}
		}
	}
	for _, v := range []float64{c.low, c.high} {
		if c.low <= c.high && !math.IsInf(v, 0) {
			top = math.Max(top, 1.1*v)
		}
	}
	tick := nice(top / 4)
	top = math.Max(tick, tick*math.Ceil(top/tick))
	x := func(k int) float64 { return marginL + (chartW-marginL-marginR)*float64(k)/float64(n-1) }
	y := func(v float64) float64 { return marginT + (chartH-marginT-g)*(1-v/top) }

	var b strings.Builder
	title := c.title
	if c.unit != "" {
		title += ", " + c.unit
	}
	fmt.Fprintf(&b, `<svg class="chart" viewBox="0 0 %g %g" role="img" aria-labelledby="%s-t %s-d">`, chartW, chartH, c.id, c.id)
	fmt.Fprintf(&b, `<title id="%s-t">%s</title><desc id="%s-d">%s</desc>`, c.id, esc(title), c.id, esc(c.told()))
	fmt.Fprintf(&b, `<text class="name" x="%g" y="15">%s</text>`, 4.0, esc(title))
	if c.low <= c.high {
		lo, hi := y(c.low), marginT
		if !math.IsInf(c.high, 1) {
			hi = y(c.high)
		}
		fmt.Fprintf(&b, `<rect class="asked" x="%g" y="%.1f" width="%g" height="%.1f"/>`, marginL, hi, chartW-marginL-marginR, lo-hi)
		for _, v := range []float64{c.low, c.high} {
			if v > 0 && !math.IsInf(v, 1) {
				fmt.Fprintf(&b, `<line class="bound" x1="%g" x2="%g" y1="%.1f" y2="%.1f"/>`, marginL, chartW-marginR, y(v), y(v))
			}
		}
	}
	for v := 0.0; v <= top+tick/2; v += tick {
		fmt.Fprintf(&b, `<line class="grid" x1="%g" x2="%g" y1="%.1f" y2="%.1f"/><text class="tick" x="%g" y="%.1f" text-anchor="end">%s</text>`,
			marginL, chartW-marginR, y(v), y(v), marginL-5, y(v)+4, short(v))
	}
	every := max(1, int(nice(float64(n)/10)))
	for k := range n {
		if k > 0 && (k+1)%every != 0 {
			continue
		}
		fmt.Fprintf(&b, `<text class="tick" x="%.1f" y="%g" text-anchor="middle">%d</text>`, x(k), chartH-g+14, k+1)
	}
	fmt.Fprintf(&b, `<text class="tick" x="%g" y="%g" text-anchor="middle">print</text>`, (marginL+chartW-marginR)/2, chartH-3)
	for _, s := range c.lines {
		var path strings.Builder
		pen := "M"
		for k, v := range s.values {
			if v != v {
				pen = "M"
				continue
			}
			fmt.Fprintf(&path, "%s%.1f %.1f", pen, x(k), y(v))
			pen = "L"
		}
		fmt.Fprintf(&b, `<path class="%s" d="%s"/>`, s.class, path.String())
		if s.class == "mine" && len(s.values) <= 60 {
			for k, v := range s.values {
				if v == v {
					fmt.Fprintf(&b, `<circle class="dot" cx="%.1f" cy="%.1f" r="2.2"/>`, x(k), y(v))
				}
			}
		}
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// told says what the lines do.
func (c chart) told() string {
	var parts []string
	for _, s := range c.lines {
		first, last, n := math.NaN(), math.NaN(), 0
		for _, v := range s.values {
			if v == v {
				if first != first {
					first = v
				}
				last = v
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%s: from %s to %s over %d prints.", s.name, short(first), short(last), n))
		}
	}
	switch {
	case c.low > c.high:
	case math.IsInf(c.high, 1):
		parts = append(parts, fmt.Sprintf("Asked for: at least %s.", short(c.low)))
	default:
		parts = append(parts, fmt.Sprintf("Asked for: %s to %s.", short(c.low), short(c.high)))
	}
	return strings.Join(parts, " ")
}

// nice is the least of 1, 2, 5 times a power of ten that is at least v.
func nice(v float64) float64 {
	if !(v > 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*p >= v*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}

func short(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") }

func esc(text string) string { return template.HTMLEscapeString(text) }
