package debrief

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// beside is the run that this one is held beside: the careful hand's, or another
// run of one's own of the same surface. Nobody else's is looked for.
type beside struct {
	listed bool
	files  []store.File // still to be looked into
	others []other

	at    int // 0 is the careful hand, then the others
	study *study
	apart *review.Apart
	of    *review.Review
	err   error
	kept  bool // the careful hand's run
}

// other is a run of one's own of the same surface.
type other struct {
	name string
	log  *run.Log
}

func (b *beside) leave() { b.study.Leave() }

// find looks for other runs of the surface, a file at a time.
func (d *Debrief) find() {
	b := &d.beside
	if !b.listed {
		b.listed = true
		b.files, b.err = d.desk.Store.RunFiles()
	}
	if len(b.files) == 0 {
		return
	}
	saved := d.desk.Store.Load(b.files[0])
	b.files = b.files[1:]
	if saved.Log == nil || saved.Name == d.name {
		return
	}
	h := saved.Log.Header
	if h.Physics != run.Physics || !review.SameSurface(h, d.log.Header) || h.Setup.Scored && !saved.Log.SignedOff() {
		return
	}
	b.others = append(b.others, other{saved.Name, saved.Log})
}

// hold holds the run beside the one chosen, once both are there.
func (d *Debrief) hold(v *review.Review) (o *review.Review) {
	b := &d.beside
	if b.at == 0 {
		o, _, _ = d.par.Get()
	} else {
		var err error
		if o, _, err = b.study.Get(); err != nil {
			b.err = err
		}
	}
	if o != nil && b.of != o {
		b.of = o
		apart, err := review.Part(v, o)
		if b.apart, b.err = nil, err; err == nil {
			b.apart = &apart
		}
	}
	return o
}

// choose another run to be held beside.
func (d *Debrief) choose(at int) {
	b := &d.beside
	b.study.Leave()
	b.at, b.study, b.of, b.apart, b.err = at, nil, nil, nil, nil
	if at > 0 {
		b.study = startStudy(b.others[at-1].log, d.rubric, d.study)
	}
}

// besidePart holds two runs beside each other: where they parted, the cycle looked
// at, and the curves.
func (d *Debrief) besidePart(u *kit.UI, c *kit.Column, v *review.Review) (next scene.Next) {
	d.find()
	b := &d.beside
	labels := []string{words.Say("debrief.beside.careful")}
	for _, o := range b.others {
		prints := len(cyclesOf(o.log.Entries))
		labels = append(labels, words.Count("debrief.beside.own", prints, "name", o.name))
	}
	for i, l := range labels {
		if c.Option("others", i, l, "", kit.Opts{Checked: i == b.at}) && i != b.at {
			d.choose(i)
		}
	}
	if b.at == 0 && d.log.Header.Setup.Effects != (run.Effects{}) {
		c.Text("told", words.Say("debrief.beside.told"), kit.Small, kit.Quiet)
	}
	o := d.hold(v)
	switch {
	case b.err != nil:
		c.Text("nobeside", b.err.Error(), kit.Small, kit.Caution)
		return next
	case o == nil && b.at == 0:
		if _, over, err := d.par.Get(); over && err != nil {
			c.Text("nopar", err.Error(), kit.Small, kit.Caution)
			return next
		}
		u.Progress(c.Take(u.ControlHeight()), "par", words.Say("debrief.par.working", "n", d.par.Done()), d.par.Share())
		return next
	case o == nil:
		u.Progress(c.Take(u.ControlHeight()), "studying", words.Say("debrief.reviewing"), b.study.Share())
		return next
	}
	next = d.parted(c)
	d.compared(c, v, o)
	for _, k := range d.curveList() {
		d.plot(u, c, k, k.values(v.Report), k.values(o.Report))
	}
	c.Text("legend", words.Say("debrief.legend"), kit.Small, kit.Quiet)
	return next
}

// parted tells the first decision in which the two differ.
func (d *Debrief) parted(c *kit.Column) (next scene.Next) {
	a := d.beside.apart
	if a == nil {
		return next
	}
	if !a.Parted {
		c.Text("parted", words.Say("debrief.together"), kit.Body, kit.Plain)
		return next
	}
	told := d.desk.Told
	p := a.Parting
	c.Text("parted", words.Say("debrief.parted", "cycle", p.Cycle, "own", told(p.Own), "other", told(p.Par)), kit.Body, kit.Lit)
	for k := range d.cycles {
		if d.cycles[k].print.N == p.Cycle && c.Button("parted.fork", words.Say("debrief.fork", "n", p.Cycle), d.forkOpts("")) {
			return d.fork(k)
		}
	}
	return next
}

// compared is the cycle looked at in both runs, and the end of both.
func (d *Debrief) compared(c *kit.Column, v, o *review.Review) {
	s := d.desk.Set.Units
	head := []string{words.Say("debrief.cycle.at", "n", d.cycles[d.at].print.N), words.Say("debrief.sheet.yours"), words.Say("debrief.beside.other"), words.Say("debrief.beside.difference")}
	mine := v.Report.PerCycle[d.at]
	var theirs score.Figures
	if d.at < len(o.Report.PerCycle) {
		theirs = o.Report.PerCycle[d.at]
	}
	rows := d.rowsOf(mine, theirs)
	c.Table("compared", head, rows)
	head[0] = words.Say("debrief.beside.end")
	end := d.rowsOf(v.Report.Final, o.Report.Final)
	plain := func(f float64) string { return fmt.Sprintf("%.0f", f) }
	a, b := v.Report, o.Report
	end = append(end,
		[]string{words.Say("debrief.beside.marks"), plain(a.Marks.Total), plain(b.Marks.Total), signed(plain, a.Marks.Total-b.Marks.Total)},
		[]string{words.Say("debrief.beside.prints"), fmt.Sprint(a.Cycles), fmt.Sprint(b.Cycles), signed(plain, float64(a.Cycles-b.Cycles))},
		[]string{words.Say("debrief.curve.flatness"), length(s, a.Final.MinimumZoneUM), length(s, b.Final.MinimumZoneUM), difference(s.Height, a.Final.MinimumZoneUM, b.Final.MinimumZoneUM)})
	c.Table("ends", head, end)
}

// rowsOf are the figures of two faces and by how much they differ.
func (d *Debrief) rowsOf(a, b score.Figures) [][]string {
	plain := func(f float64) string { return fmt.Sprintf("%.0f", f) }
	real := func(v *int) *float64 {
		if v == nil {
			return nil
		}
		f := float64(*v)
		return &f
	}
	return [][]string{
		{words.Say("debrief.sheet.points_per_in2"), number(a.PointsPerIn2), number(b.PointsPerIn2), difference(plain, a.PointsPerIn2, b.PointsPerIn2)},
		{words.Say("debrief.sheet.frame_min"), count(a.FrameMin), count(b.FrameMin), difference(plain, real(a.FrameMin), real(b.FrameMin))},
		{words.Say("debrief.curve.bearing"), number(a.AreaPct), number(b.AreaPct), difference(plain, a.AreaPct, b.AreaPct)},
	}
}

func difference(say func(float64) string, a, b *float64) string {
	if a == nil || b == nil {
		return "–"
	}
	return signed(say, *a-*b)
}

func signed(say func(float64) string, v float64) string {
	switch text := say(math.Abs(v)); {
	case text == say(0):
		return text
	case v < 0:
		return "−" + text
	default:
		return "+" + text
	}
}

// curve is one figure over the cycles.
type curve struct {
	id        string
	of        func(f *score.Figures) *float64
	low, high float64 // the band to reach; low > high for none
	format    func(v float64) string
}

func (d *Debrief) curveList() []curve {
	t := d.log.Header.Setup.Target
	plain := func(v float64) string { return fmt.Sprintf("%.0f", v) }
	return []curve{
		{"points", func(f *score.Figures) *float64 { return f.PointsPerIn2 }, t.PointsPerIn2, math.Inf(1), plain},
		{"bearing", func(f *score.Figures) *float64 { return f.AreaPct }, t.AreaPct[0], t.AreaPct[1], plain},
		{"flatness", func(f *score.Figures) *float64 { return f.MinimumZoneUM }, 1, 0, d.desk.Set.Units.Height},
	}
}

// values are those of a report, no number where there is none.
func (k curve) values(r *score.Report) []float64 {
	var out []float64
	for i := range r.PerCycle {
		v := math.NaN()
		if p := k.of(&r.PerCycle[i]); p != nil {
			v = *p
		}
		out = append(out, v)
	}
	return out
}

// plotHeight is the height of a curve, points.
const plotHeight = 108.0

// plot draws a curve: solid for the learner, dashed for the run beside it, dotted
// for the band to reach, and a line at the cycle looked at.
func (d *Debrief) plot(u *kit.UI, c *kit.Column, k curve, mine, theirs []float64) {
	name := words.Say("debrief.curve." + k.id)
	top := 1.0
	for _, v := range append(append([]float64(nil), mine...), theirs...) {
		if v == v {
			top = max(top, v)
		}
	}
	if k.low <= k.high {
		top = max(top, k.low*1.2)
		if !math.IsInf(k.high, 1) {
			top = max(top, k.high*1.1)
		}
	}
	line := u.Line(kit.Small)
	r := c.Take(math.Ceil(plotHeight + line + 8))
	n := max(2, len(mine), len(theirs))
	scale := k.format(top)
	if w := u.Width(kit.Small, name) + u.Width(kit.Small, scale) + 24; w > r.W {
		name = u.Shorten(kit.Small, name, max(20, r.W-24-u.Width(kit.Small, scale)))
	}
	box := kit.Rect{X: r.X + 8, Y: r.Y + line + 4, W: r.W - 16, H: plotHeight - 4}
	at := func(i int, v float64) kit.Point {
		return kit.Point{X: box.X + box.W*float64(i)/float64(n-1), Y: box.Y + box.H*(1-v/top)}
	}
	art := []kit.Mark{
		{Shape: kit.Words, Points: []kit.Point{{X: r.X + 8, Y: r.Y + 2}}, Text: name, Type: kit.Small, Ink: palette.Text, Ground: palette.Field},
		{Shape: kit.Words, Points: []kit.Point{{X: r.X + r.W - 8, Y: r.Y + 2}}, Text: scale, Type: kit.Small, Align: kit.Finish, Ink: palette.Dim, Ground: palette.Field},
	}
	if k.low <= k.high {
		for _, v := range []float64{k.low, k.high} {
			if !math.IsInf(v, 1) {
				art = append(art, kit.Mark{Shape: kit.Line, Points: []kit.Point{at(0, v), at(n-1, v)}, Width: 1.6, Dash: kit.Dotted, Ink: palette.Target})
			}
		}
	}
	value := ""
	if d.at < len(mine) {
		art = append(art, kit.Mark{Shape: kit.Line, Points: []kit.Point{at(d.at, 0), at(d.at, top)}, Width: 1, Ink: palette.Rule})
		if v := mine[d.at]; v == v {
			value = k.format(v)
			art = append(art, kit.Mark{Shape: kit.Circle, Points: []kit.Point{at(d.at, v)}, Width: 4.5, Ink: palette.Mine})
		}
	}
	art = append(art, through(theirs, at, palette.Par, kit.Dashed)...)
	art = append(art, through(mine, at, palette.Mine, kit.Solid)...)
	u.Picture(r, "curve."+k.id, name, value, art)
}

// through is a line through values, broken where there is none.
func through(values []float64, at func(int, float64) kit.Point, ink palette.Name, dash kit.Dash) []kit.Mark {
	var out []kit.Mark
	var line []kit.Point
	for i, v := range append(values, math.NaN()) {
		if v == v {
			line = append(line, at(i, v))
			continue
		}
		if len(line) > 0 {
			out = append(out, kit.Mark{Shape: kit.Line, Points: line, Width: 2.4, Dash: dash, Ink: ink})
		}
		line = nil
	}
	return out
}
