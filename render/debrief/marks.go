package debrief

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/render/units"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/score"
)

// total is the sum of the marks and what it is made of.
func (d *Debrief) total(c *kit.Column, r *score.Report) {
	key, tone := "debrief.total.failed", kit.Plain
	switch {
	case !d.log.SignedOff():
		key = "debrief.total.open"
	case r.Marks.Passed:
		key, tone = "debrief.total.passed", kit.Lit
	}
	c.Text("total", words.Say(key, "total", fmt.Sprintf("%.0f", r.Marks.Total)), kit.Heading, tone)
	plain := func(v float64) string { return fmt.Sprintf("%.0f", math.Round(v)+0) } // and no -0
	outcome, process, economy, insight := d.rubric.Most()
	c.Text("families", words.Say("debrief.families", "outcome", plain(r.Marks.Outcome), "outcome2", plain(outcome), "process", plain(r.Marks.Process),
		"process2", plain(process), "economy", plain(r.Marks.Economy), "economy2", plain(economy), "errors", plain(r.Marks.Errors), "insight", plain(r.Marks.Insight), "insight2", plain(insight)), kit.Small, kit.Quiet)
	if d.desk.Set.Rubric != "" {
		c.Text("by", words.Say("debrief.by", "rubric", d.rubric.Name), kit.Small, kit.Quiet)
	}
}

// losses is what to try next, the sheet, and the losses, of which the one looked
// at is told whole.
func (d *Debrief) losses(c *kit.Column, v *review.Review) scene.Next {
	told := d.desk.Told
	all := listed(v.Report)
	if next := v.Report.Dearest(); len(next) > 0 {
		c.Name("next.name", words.Say("debrief.next"))
		c.Text("next", told(next[0].Next), kit.Strong, kit.Plain)
	}
	d.sheet(c, v)
	c.Name("losses.name", words.Say("debrief.losses"))
	if len(all) == 0 {
		c.Text("noloss", words.Say("debrief.noloss"), kit.Body, kit.Quiet)
	}
	for i, l := range all {
		detail := words.Say("debrief.loss", "cycle", l.Cycle, "cost", fmt.Sprintf("%.1f", l.Cost))
		if l.XMM != nil && l.YMM != nil {
			detail += " " + words.Say("debrief.loss.at", "place", d.desk.Set.Units.Place(*l.XMM, *l.YMM))
		}
		if i == d.loss {
			detail += "\n" + told(l.Why) + "\n" + words.Say("debrief.loss.next", "next", told(l.Next))
		}
		if c.Option("losses", i, words.Say("debrief.numbered", "n", i+1, "text", told(l.What)), detail, kit.Opts{Checked: i == d.loss}) {
			if d.loss == i {
				d.loss = -1
				continue
			}
			d.goTo(l.Cycle)
			d.loss = i
		}
	}
	if l := d.lesson; l != nil && d.log.SignedOff() {
		c.Name("after.name", words.Say("debrief.lesson"))
		c.Text("after.text", told(kit.Flow(l.Debrief)), kit.Body, kit.Plain)
	}
	return scene.Next{}
}

// listed are the losses as the window lists them: by their cost alone, without those
// whose cost is written as 0.0.
func listed(r *score.Report) []score.Loss {
	all := slices.DeleteFunc(r.Dearest(), func(l score.Loss) bool { return l.Cost < .05 })
	slices.SortStableFunc(all, func(a, b score.Loss) int { return cmp.Compare(b.Cost, a.Cost) })
	return all
}

// pinned is how many of the dearest losses have pins.
const pinned = 6

// pins stand where the dearest losses were made, one in a place, and where the one
// looked at was.
func (d *Debrief) pins(v *review.Review) []stage.Pin {
	const apart = 4.0 // mm
	all := listed(v.Report)
	var out []stage.Pin
	add := func(i int) {
		l := all[i]
		if l.XMM == nil || l.YMM == nil || *l.XMM == (v.X0+v.X1)/2 && *l.YMM == (v.Y0+v.Y1)/2 {
			return // it is of the whole face
		}
		for _, p := range out {
			if math.Hypot(p.X-*l.XMM, p.Y-*l.YMM) < apart {
				return
			}
		}
		out = append(out, stage.Pin{X: *l.XMM, Y: *l.YMM, N: i + 1, Lit: i == d.loss})
	}
	if d.loss >= 0 && d.loss < len(all) {
		add(d.loss)
	}
	if d.tab == 0 {
		for i := range min(pinned, len(all)) {
			add(i)
		}
	}
	return out
}

// sheet holds what was asked for, what the learner wrote, what is so, and what the
// careful hand came to, beside each other.
func (d *Debrief) sheet(c *kit.Column, v *review.Review) {
	t := d.log.Header.Setup.Target
	h := d.desk.Set.Units.Height
	asked := map[string]string{
		"points_per_in2": words.Say("debrief.sheet.least", "v", fmt.Sprint(t.PointsPerIn2)),
		"frame_min":      words.Say("debrief.sheet.least", "v", t.FrameMin),
		"area_pct":       words.Say("debrief.sheet.from", "low", fmt.Sprint(t.AreaPct[0]), "high", fmt.Sprint(t.AreaPct[1])),
		"film":           h(t.FilmUM),
	}
	if t.BridgedUM > 0 {
		asked["block"] = words.Say("debrief.sheet.most", "v", h(t.BridgedUM))
	}
	if t.BareUM[1] > 0 {
		asked["bare"] = words.Say("debrief.sheet.from", "low", h(t.BareUM[0]), "high", h(t.BareUM[1]))
	}
	is, careful := d.figures(v.Report.Final), map[string]string{}
	if p, _, _ := d.par.Get(); p != nil {
		careful = d.figures(p.Report.Final)
	}
	var rows [][]string
	row := func(id, wrote, really string) {
		cells := []string{words.Say("debrief.sheet." + id), asked[id], wrote, really, careful[id]}
		for k, text := range cells {
			if text == "" {
				cells[k] = words.Say("debrief.sheet.blank")
			}
		}
		rows = append(rows, cells)
	}
	if v.Sheet == nil {
		for _, id := range []string{"points_per_in2", "frame_min", "area_pct", "block", "bare"} {
			if asked[id] != "" {
				row(id, "", is[id])
			}
		}
	} else {
		for _, r := range v.Sheet.Rows {
			if r.Blank() && asked[r.ID] == "" {
				continue
			}
			wrote := ""
			if !r.Blank() {
				wrote = d.desk.Set.Units.Entry(r.Unit, r.Wrote)
				if r.Near {
					wrote += " " + words.Say("debrief.sheet.near")
				}
			}
			really := ""
			if r.Is == r.Is {
				really = d.desk.Set.Units.Entry(r.Unit, r.Is)
			}
			row(r.ID, wrote, really)
		}
	}
	c.Name("sheet.name", words.Say("debrief.sheet"))
	c.Table("sheet", []string{"", words.Say("debrief.sheet.asked"), words.Say("debrief.sheet.yours"), words.Say("debrief.sheet.truth"), words.Say("debrief.sheet.careful")}, rows)
	if p, over, err := d.par.Get(); !over {
		c.UI.Progress(c.Take(c.UI.ControlHeight()), "par", words.Say("debrief.par.working", "n", d.par.Done()), d.par.Share())
	} else if p == nil && err != nil {
		c.Text("nopar", err.Error(), kit.Small, kit.Caution)
	}
	if v.Sheet != nil && v.Sheet.Class != nil {
		c.Text("class", d.class(v.Sheet), kit.Body, kit.Plain)
	}
}

// figures are those of a face at its end, by the entries of the sheet.
func (d *Debrief) figures(f score.Figures) map[string]string {
	out := map[string]string{}
	if f.PointsPerIn2 != nil {
		out["points_per_in2"] = number(f.PointsPerIn2)
	}
	if f.FrameMin != nil {
		out["frame_min"] = count(f.FrameMin)
	}
	if f.FrameMax != nil {
		out["frame_max"] = count(f.FrameMax)
	}
	if f.AreaPct != nil {
		out["area_pct"] = number(f.AreaPct) + " %"
	}
	if f.BridgedUM != nil {
		out["block"] = d.desk.Set.Units.Height(*f.BridgedUM)
	}
	if f.BareRangeUM != nil {
		out["bare"] = d.desk.Set.Units.Height(*f.BareRangeUM)
	}
	return out
}

// class says whether the face meets the class that the learner would give it.
func (d *Debrief) class(s *review.Sheet) string {
	text := words.Say("debrief.class", "class", s.Class.Use)
	for _, f := range s.Findings {
		text += " " + d.desk.Told(f.Why) + "."
	}
	var would []string
	for _, w := range s.Would {
		would = append(would, w.Use)
	}
	if len(would) == 0 {
		return text + " " + words.Say("debrief.class.none")
	}
	return text + " " + words.Say("debrief.class.would", "classes", strings.Join(would, ", "))
}

func number(v *float64) string {
	if v == nil {
		return "–"
	}
	return fmt.Sprintf("%.0f", *v)
}

func count(v *int) string {
	if v == nil {
		return "–"
	}
	return fmt.Sprint(*v)
}

func length(s units.System, v *float64) string {
	if v == nil {
		return "–"
	}
	return s.Height(*v)
}
