package debrief

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// marksPart is the marks, the losses and the curves.
func (d *Debrief) marksPart(u *kit.UI, r kit.Rect) scene.Next {
	u.Panel(r, "marks", words.Say("debrief.marks"))
	c := u.ScrollColumn("marks.column", r.Inset(gap), gap-2)
	defer c.Close()
	report := d.report()
	switch {
	case d.older:
		text := words.Say("debrief.older", "physics", d.log.Header.Physics, "now", run.Physics)
		if total, ok := d.sealed(); ok {
			text += " " + words.Say("debrief.older.marks", "total", fmt.Sprintf("%.0f", total))
		}
		c.Text("older", text, kit.Body, kit.Caution)
	case d.locked:
		c.Text("locked", words.Say("debrief.locked"), kit.Body, kit.Caution)
	case report == nil && d.marking != nil && d.trouble == "":
		u.Progress(c.Take(u.ControlHeight()), "marking", words.Say("debrief.marking"), d.marking.Share())
	}
	if report != nil {
		d.total(u, c, report)
		d.declared(c, report)
	}
	d.page, _ = c.Tabs("page", []string{words.Say("debrief.losses"), words.Say("debrief.curves")}, d.page)
	if d.page == 1 {
		d.curves(u, c, report)
	} else {
		d.losses(u, c, report)
	}
	return scene.Next{}
}

// total is the sum of the marks and what it is made of.
func (d *Debrief) total(u *kit.UI, c *kit.Column, r *score.Report) {
	key := "debrief.total.failed"
	tone := kit.Plain
	switch {
	case !d.log.SignedOff():
		key = "debrief.total.open"
	case r.Marks.Passed:
		key, tone = "debrief.total.passed", kit.Lit
	}
	c.Text("total", words.Say(key, "total", fmt.Sprintf("%.0f", r.Marks.Total)), kit.Heading, tone)
	c.Text("families", words.Say("debrief.families", "outcome", fmt.Sprintf("%.0f", r.Marks.Outcome), "process", fmt.Sprintf("%.0f", r.Marks.Process),
		"economy", fmt.Sprintf("%.0f", r.Marks.Economy), "errors", fmt.Sprintf("%.0f", r.Marks.Errors)), kit.Small, kit.Quiet)
}

// declared holds what was declared against what is.
func (d *Debrief) declared(c *kit.Column, r *score.Report) {
	var said *run.Declare
	for _, e := range d.log.Entries {
		if e.Act.Declare != nil {
			said = e.Act.Declare
		}
	}
	if said == nil || said.PointsPerIn2 == nil || said.FrameMin == nil || said.AreaPct == nil {
		return
	}
	f := r.Final
	c.Text("declared", words.Say("debrief.declared", "points", *said.PointsPerIn2, "frame", *said.FrameMin, "area", *said.AreaPct,
		"points2", number(f.PointsPerIn2), "frame2", whole(f.FrameMin), "area2", number(f.AreaPct)), kit.Body, kit.Plain)
}

// losses is the list of them, and of the one looked at what happened, why, and
// what to try next.
func (d *Debrief) losses(u *kit.UI, c *kit.Column, r *score.Report) {
	if r == nil {
		return
	}
	if len(r.Losses) == 0 {
		c.Text("noloss", words.Say("debrief.noloss"), kit.Body, kit.Quiet)
	}
	for i, l := range r.Losses {
		where := ""
		if l.XMM != nil && l.YMM != nil {
			where = words.Say("debrief.loss.at", "place", d.desk.Set.Units.Place(*l.XMM, *l.YMM))
		}
		detail := words.Say("debrief.loss", "cycle", l.Cycle, "cost", fmt.Sprintf("%.1f", l.Cost), "where", where)
		if i == d.loss {
			detail += "\n" + l.Why + "\n" + words.Say("debrief.loss.next", "next", l.Next)
		}
		if c.Option("losses", i, l.What, detail, kit.Opts{Checked: i == d.loss}) {
			d.look(i, l.Cycle)
		}
	}
	if l := work.LessonOf(d.log.Header); l != nil && d.log.SignedOff() {
		c.Name("after.name", words.Say("debrief.lesson"))
		c.Text("after.text", l.Debrief, kit.Body, kit.Plain)
	}
}

// look looks at a loss, and at the cycle in which it was made.
func (d *Debrief) look(i, print int) {
	if d.loss == i {
		d.loss = -1
		return
	}
	d.loss = i
	for k := range d.cycles {
		if d.cycles[k].print.N == print {
			d.at = k
		}
	}
}

// curve is one figure over the cycles.
type curve struct {
	id        string
	of        func(f *score.Figures) (float64, bool)
	recorded  func(p run.Print) (float64, bool) // when there is no report
	low, high float64                           // the band to reach; low > high for none
	format    func(v float64) string
}

func valueOf(v *float64) (float64, bool) {
	if v == nil {
		return 0, false
	}
	return *v, true
}

func (d *Debrief) curveList() []curve {
	t := d.log.Header.Setup.Target
	plain := func(v float64) string { return fmt.Sprintf("%.0f", v) }
	return []curve{
		{"points", func(f *score.Figures) (float64, bool) { return valueOf(f.PointsPerIn2) },
			func(p run.Print) (float64, bool) { return float64(p.PerIn2) / 100, true }, t.PointsPerIn2, math.Inf(1), plain},
		{"bearing", func(f *score.Figures) (float64, bool) { return valueOf(f.AreaPct) },
			func(p run.Print) (float64, bool) { return float64(p.Permille) / 10, true }, t.AreaPct[0], t.AreaPct[1], plain},
		{"flatness", func(f *score.Figures) (float64, bool) { return valueOf(f.MinimumZoneUM) },
			nil, 1, 0, d.desk.Set.Units.Height},
	}
}

// curves are points, bearing and flatness over the cycles, beside those of the
// careful hand.
func (d *Debrief) curves(u *kit.UI, c *kit.Column, r *score.Report) {
	var parReport *score.Report
	if d.par != nil {
		var prints int
		var err error
		parReport, prints, err = d.par.answer()
		switch {
		case err != nil:
			c.Text("nopar", err.Error(), kit.Small, kit.Caution)
		case parReport == nil:
			u.Progress(c.Take(u.ControlHeight()), "par", words.Say("debrief.par.working", "n", prints), float64(prints)/parCycles)
		}
	}
	for _, k := range d.curveList() {
		var mine, careful []float64
		for i := range d.cycles {
			v, ok := 0.0, false
			switch {
			case r != nil && i < len(r.PerCycle):
				v, ok = k.of(&r.PerCycle[i])
			case r == nil && k.recorded != nil:
				v, ok = k.recorded(d.cycles[i].print)
			}
			if !ok {
				v = math.NaN()
			}
			mine = append(mine, v)
		}
		if parReport != nil {
			for i := range parReport.PerCycle {
				v, ok := k.of(&parReport.PerCycle[i])
				if !ok {
					v = math.NaN()
				}
				careful = append(careful, v)
			}
		}
		d.plot(u, c, k, mine, careful)
	}
	c.Text("legend", words.Say("debrief.legend"), kit.Small, kit.Quiet)
}

// plotHeight is the height of a curve, points.
const plotHeight = 108.0

// plot draws a curve: solid for the learner, dashed for the careful hand, dotted
// for the band to reach, and a line at the cycle looked at.
func (d *Debrief) plot(u *kit.UI, c *kit.Column, k curve, mine, careful []float64) {
	name := words.Say("debrief.curve." + k.id)
	top := 1.0
	for _, v := range append(append([]float64(nil), mine...), careful...) {
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
	n := max(2, len(mine), len(careful))
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
	if d.at < len(mine) {
		art = append(art, kit.Mark{Shape: kit.Line, Points: []kit.Point{at(d.at, 0), at(d.at, top)}, Width: 1, Ink: palette.Rule})
		if v := mine[d.at]; v == v {
			art = append(art, kit.Mark{Shape: kit.Circle, Points: []kit.Point{at(d.at, v)}, Width: 4.5, Ink: palette.Mine})
		}
	}
	art = append(art, through(careful, at, palette.Par, kit.Dashed)...)
	art = append(art, through(mine, at, palette.Mine, kit.Solid)...)
	value := ""
	if d.at < len(mine) && mine[d.at] == mine[d.at] {
		value = k.format(mine[d.at])
	}
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
