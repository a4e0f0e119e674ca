package debrief

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/render/units"
	"github.com/before-iron/beforeiron/sim/review"
)

// What can be shown of the face.
const (
	seesPrint = iota
	seesTruth
	seesCut
	seesDid
	seesLows
	seesDifference // from the run beside it
)

var seesIDs = []string{"print", "truth", "cut", "did", "lows", "difference"}

// thumbSide is the height of the small prints, points.
const thumbSide = 56.0

// left is the face, with the row of prints under it.
func (d *Debrief) left(u *kit.UI, r kit.Rect) {
	below := d.belowHeight(u, r.W-2*gap)
	face := kit.Rect{X: r.X, Y: r.Y, W: r.W, H: r.H - below}
	if len(d.cycles) > 0 && d.tape != nil {
		d.face(u, face)
	} else {
		u.Panel(face, "noface", words.Say("debrief.face"))
	}
	low := kit.Rect{X: r.X, Y: r.Y + face.H, W: r.W, H: below}
	u.Panel(low, "cycles", words.Say("debrief.cycles"))
	c := u.ScrollColumn("cycles.column", low.Inset(gap), gap-4)
	defer c.Close()
	if len(d.cycles) == 0 {
		c.Text("nothing", words.Say("debrief.nothing"), kit.Body, kit.Quiet)
		return
	}
	d.timeline(u, c)
	if v := d.reviewed(); v != nil {
		var labels []string
		for _, id := range seesIDs[:d.canSee()] {
			labels = append(labels, words.Say("debrief.sees."+id))
		}
		was, end := d.sees, len(d.cycles)-1
		d.sees, _ = c.Tabs("sees", labels, min(d.sees, len(labels)-1))
		switch {
		case was < seesLows && d.sees >= seesLows:
			d.from, d.at = d.at, end // what is shown is of the end
		case was >= seesLows && d.sees < seesLows && d.at == end:
			d.at = d.from
		}
		if share, there := d.tape.seeking(d.at); !there {
			u.Progress(c.Take(u.ControlHeight()), "seeking", words.Say("debrief.seeking", "n", d.cycles[d.at].print.N), share)
		} else {
			text := d.caption(v)
			if d.sees >= seesLows && d.at == end {
				text += " " + words.Say("debrief.caption.end", "n", d.cycles[end].print.N)
			}
			c.Text("caption", text, kit.Body, kit.Plain)
		}
	}
	c.Text("told.cycle", d.told(), kit.Small, kit.Quiet)
}

// canSee is how many of the ways to see the face there are.
func (d *Debrief) canSee() int {
	if d.beside.apart != nil {
		return len(seesIDs)
	}
	return len(seesIDs) - 1
}

// belowHeight is that of the panel under the face: what it holds, but no more than
// leaves the face room.
func (d *Debrief) belowHeight(u *kit.UI, w float64) float64 {
	h := 2*gap + u.SliderHeight(w, words.Say("debrief.cycle"), "print 45 of 45") + u.ThumbHeight(thumbSide)
	h += u.ControlHeight() + 2*u.Line(kit.Body) + 2*u.Line(kit.Small) + 5*gap
	return math.Round(min(h, u.Size().H*.5))
}

// face is the canvas on which the face lies.
func (d *Debrief) face(u *kit.UI, r kit.Rect) {
	p := stage.Pixels(r)
	r = kit.Rect{X: float64(p.Min.X), Y: float64(p.Min.Y), W: float64(p.Dx()), H: float64(p.Dy())}
	h := u.Canvas(r, "iron", words.Say("debrief.face"), words.Say("debrief.cycle.of", "n", d.cycles[d.at].print.N, "of", d.cycles[len(d.cycles)-1].print.N), kit.Opts{})
	s, _, _, _ := d.tape.shown()
	if s == nil {
		return
	}
	if whole := stage.Whole(r, s.edges[0], s.edges[1], s.edges[2], s.edges[3]); whole != d.whole {
		d.view, d.whole = whole, whole
		d.lamp = kit.Point{X: r.X + r.W*.2, Y: r.Y + r.H*.15}
	}
	if h.Over {
		d.lamp = kit.Point{X: h.X, Y: h.Y}
		d.view = stage.Follow(d.view, h, d.whole)
	}
	if h.Focus {
		d.view = stage.ByKeys(d.view, u, d.whole)
	}
}

// timeline is the row of prints, as many as fit round the one looked at.
func (d *Debrief) timeline(u *kit.UI, c *kit.Column) {
	n := len(d.cycles)
	was := d.at
	at, _ := c.Slider("timeline", words.Say("debrief.cycle"), words.Say("debrief.cycle.of", "n", d.cycles[d.at].print.N, "of", d.cycles[n-1].print.N),
		float64(d.at), 0, float64(max(1, n-1)), 1, kit.Opts{Disabled: n == 1})
	d.at = min(n-1, int(at))
	if u.Typed(',') && d.at > 0 {
		d.at--
	}
	if u.Typed('.') && d.at < n-1 {
		d.at++
	}
	var small []*kit.Image
	share := 1.0
	if d.tape != nil {
		_, small, share, _ = d.tape.shown()
	}
	width := math.Round(max(thumbSide*1.35, u.Width(kit.Small, fmt.Sprint(d.cycles[n-1].print.N))+8))
	fit := max(1, int((c.Width()+6)/(width+6)))
	from := max(0, min(d.at-fit/2, n-fit))
	row := c.Take(u.ThumbHeight(thumbSide))
	for k := from; k < min(n, from+fit); k++ {
		cell := kit.Rect{X: row.X + float64(k-from)*(width+6), Y: row.Y, W: width, H: row.H}
		label := fmt.Sprint(d.cycles[k].print.N)
		var m *kit.Image
		if k < len(small) {
			m = small[k]
		}
		o := kit.Opts{Checked: k == d.at, Group: "thumbs", Tip: words.Say("debrief.tip.thumb", "n", d.cycles[k].print.N)}
		if u.Thumb(cell, "thumb."+label, label, m, o) {
			d.at = k
		}
	}
	if d.at != was {
		d.loss = -1
	}
	if share < 1 {
		u.Progress(c.Take(u.ControlHeight()), "reviewing", words.Say("debrief.reviewing"), share)
	}
}

// caption says what is shown of the face.
func (d *Debrief) caption(v *review.Review) string {
	h := d.desk.Set.Units.Height
	now := &v.Cycles[d.at]
	switch d.sees {
	case seesTruth:
		low, high := now.Truth.Range()
		return words.Say("debrief.caption.truth", "reach", h(high-low), "step", h(isoStep(high-low)))
	case seesCut:
		if now.Removed == nil {
			return words.Say("debrief.uncut")
		}
		return words.Say("debrief.caption.cut", "done", d.desk.Told(now.Done.Words()))
	case seesDid:
		if now.Did == nil {
			return words.Say("debrief.uncut")
		}
		return words.Say("debrief.caption.did", "from", number(now.At.PointsPerIn2), "to", number(now.After.PointsPerIn2), "area", number(now.At.AreaPct), "area2", number(now.After.AreaPct))
	case seesLows:
		if n := v.Report.Final.NewLows; n > 0 {
			return words.Count("debrief.caption.lows", n)
		}
		return words.Say("debrief.caption.nolows")
	case seesDifference:
		low, high := d.beside.apart.Difference.Range()
		return words.Say("debrief.caption.difference", "low", h(low), "high", h(high))
	}
	text := words.Say("debrief.reading", "n", d.cycles[d.at].print.N, "film", h(d.cycles[d.at].film))
	if now.Guess != nil {
		text += " " + words.Say("debrief.guess", "share", int(math.Round(100*now.Met)), "sure", words.Say(fmt.Sprint("bench.told.sure.", now.Guess.Sure)))
	}
	return text
}

// told says what the cycle came to.
func (d *Debrief) told() string {
	h := d.desk.Set.Units.Height
	c := d.cycles[d.at]
	line := words.Say("debrief.time", "time", units.Time(c.ms))
	if v := d.reviewed(); v != nil {
		f := v.Cycles[d.at].At
		return words.Say("debrief.figures", "film", h(f.FilmUM), "points", number(f.PointsPerIn2), "frame", count(f.FrameMin),
			"area", number(f.AreaPct), "bridged", length(d.desk.Set.Units, f.BridgedUM), "lows", f.NewLows) + " " + line
	}
	return words.Say("debrief.read", "points", fmt.Sprintf("%.0f", float64(c.print.PerIn2)/100), "frame", c.print.FrameMin, "area", fmt.Sprintf("%.0f", float64(c.print.Permille)/10)) + " " + line
}

// chart is the map that lies over the face, kept as long as it is the same.
type chart struct {
	cells   [2]int
	at      int
	sees    int
	of      *review.Review
	against *review.Apart
	m       *stage.Map
}

// over is what lies over the face: a map, pins, where blue was expected.
func (d *Debrief) over(o *stage.Over, s *still) {
	v := d.reviewed()
	if v == nil {
		return
	}
	if want := (chart{cells: [2]int{s.look.NX, s.look.NY}, at: d.at, sees: d.sees, of: v, against: d.beside.apart}); !d.chart.same(want) {
		want.m = d.mapFor(v, s.look.NX, s.look.NY)
		d.chart = want
	}
	o.Map = d.chart.m
	if now := &v.Cycles[d.at]; d.sees == seesPrint && now.Guess != nil {
		o.Region, o.Guess = &now.Guess.Region, true
	}
	o.Pins = d.pins(v)
}

func (c chart) same(other chart) bool {
	return c.cells == other.cells && c.at == other.at && c.sees == other.sees && c.of == other.of && c.against == other.against
}

// mapFor is the map of what is to be seen; nil for the print itself.
func (d *Debrief) mapFor(v *review.Review, nx, ny int) *stage.Map {
	now := &v.Cycles[d.at]
	heights := func(f *review.Field) *stage.Map {
		low, high := f.Range()
		return &stage.Map{UM: spreadOver(f, nx, ny), Scale: iron.Scale{Range: math.Max(math.Abs(low), high), Step: isoStep(high - low)}}
	}
	switch {
	case d.sees == seesTruth:
		return heights(now.Truth)
	case d.sees == seesDifference:
		return heights(d.beside.apart.Difference)
	case d.sees == seesLows:
		return &stage.Map{UM: spreadOver(lowsOf(v), nx, ny), Scale: iron.Scale{Range: 1, Low: -.5}}
	case d.sees == seesCut && now.Removed != nil:
		_, most := now.Removed.Range()
		return &stage.Map{UM: spreadOver(cutOf(now), nx, ny), Scale: iron.Scale{Range: math.Max(1, most), Low: -.05}}
	case d.sees == seesDid && now.Did != nil:
		return &stage.Map{UM: spreadOver(didOf(now.Did), nx, ny), Scale: iron.Scale{Range: 1, Low: -.8}}
	}
	return nil
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

var nan = float32(math.NaN())

// each makes a field of the elements of others.
func each(f *review.Field, value func(k int) float32) *review.Field {
	out := &review.Field{W: f.W, H: f.H, V: make([]float32, len(f.V))}
	for k := range out.V {
		out.V[k] = value(k)
	}
	return out
}

// cutOf is what was cut, um: above zero where it carried colour, below where it
// carried none, so that the map outlines and hatches that.
func cutOf(c *review.Cycle) *review.Field {
	const least = .2 // um, below which nothing is seen
	return each(c.Removed, func(k int) float32 {
		switch um := c.Removed.V[k]; {
		case !(um > least):
			return nan
		case c.Bare.V[k] > .5:
			return -um
		default:
			return um
		}
	})
}

// didOf is what became of each element: from 1, came to bear, to -1, dug.
func didOf(f *review.Field) *review.Field {
	return each(f, func(k int) float32 {
		switch review.Change(f.V[k]) {
		case review.CameOn:
			return 1
		case review.StaysOn:
			return .3
		case review.WentOff:
			return -.6
		case review.Dug:
			return -1
		}
		return nan
	})
}

// lowsOf is where new lows lie at the end.
func lowsOf(v *review.Review) *review.Field {
	return each(v.Lows, func(k int) float32 {
		if v.Lows.V[k] >= .25 {
			return -1
		}
		return nan
	})
}

// spreadOver is a field over nx by ny cells, between its elements where there are
// values on all sides.
func spreadOver(f *review.Field, nx, ny int) []float32 {
	out := make([]float32, 0, nx*ny)
	for j := range ny {
		y := (float64(j)+.5)*float64(f.H)/float64(ny) - .5
		j0 := max(0, min(f.H-2, int(math.Floor(y))))
		ty := float32(max(0, min(1, y-float64(j0))))
		for i := range nx {
			x := (float64(i)+.5)*float64(f.W)/float64(nx) - .5
			i0 := max(0, min(f.W-2, int(math.Floor(x))))
			tx := float32(max(0, min(1, x-float64(i0))))
			k := j0*f.W + i0
			right, down := min(1, f.W-1), f.W*min(1, f.H-1)
			v := (f.V[k]*(1-tx)+f.V[k+right]*tx)*(1-ty) + (f.V[k+down]*(1-tx)+f.V[k+down+right]*tx)*ty
			if v != v {
				v = f.V[k+right*int(tx+.5)+down*int(ty+.5)]
			}
			out = append(out, v)
		}
	}
	return out
}
