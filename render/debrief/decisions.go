package debrief

import (
	"fmt"
	"time"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/units"
	"github.com/before-iron/beforeiron/sim/review"
)

// decisions are the three that cost most, each with what another would have come
// to, and the way back to it. They are looked for once this is first shown.
func (d *Debrief) decisions(u *kit.UI, c *kit.Column) (next scene.Next) {
	if d.search == nil {
		d.search = d.startSearch(searchTime)
	}
	f, over, err := d.search.Get()
	switch {
	case err != nil:
		c.Text("nosearch", err.Error(), kit.Body, kit.Caution)
		return next
	case !over:
		c.Text("searching", words.Say("debrief.decisions.how"), kit.Small, kit.Quiet)
		u.Progress(c.Take(u.ControlHeight()), "search", words.Say("debrief.decisions.searching"), d.search.Share())
		return next
	case !f.whole:
		c.Text("cut", words.Say("debrief.decisions.cut"), kit.Body, kit.Caution)
		if c.Button("further", words.Say("debrief.decisions.further"), kit.Opts{}) {
			d.search = d.startSearch(0)
			return next
		}
	case len(f.dearest) == 0:
		c.Text("nodecision", words.Say("debrief.decisions.none"), kit.Body, kit.Quiet)
		return next
	}
	c.Text("searched", words.Say("debrief.decisions.how"), kit.Small, kit.Quiet)
	told := d.desk.Told
	for i, x := range f.dearest {
		best := x.Tried[x.Best]
		id := fmt.Sprint("decision.", i)
		c.Name(id+".name", words.Say("debrief.decision", "n", i+1, "cycle", x.Cycle, "lost", fmt.Sprintf("%.0f", x.Lost)))
		c.Text(id+".did", words.Say("debrief.decision.did", "did", told(x.Did), "came", d.came(x.Came)), kit.Body, kit.Plain)
		c.Text(id+".best", words.Say("debrief.decision.best", "what", told(best.What), "came", d.came(best.Came)), kit.Body, kit.Lit)
		for k := range d.cycles {
			if d.cycles[k].print.N != x.Cycle {
				continue
			}
			o := d.forkOpts("")
			switch c.Buttons([]string{words.Say("debrief.decision.see"), words.Say("debrief.decision.again")}, []string{id + ".see", id + ".fork"}, []kit.Opts{{}, o}) {
			case 0:
				d.at = k
			case 1:
				return d.fork(k)
			}
		}
	}
	return next
}

// startSearch begins to look for them, for as long as limit.
func (d *Debrief) startSearch(limit time.Duration) *search {
	return startSearch(d.log, d.rubric, limit, d.par, d.tape.cells)
}

// came is what a trial came to.
func (d *Debrief) came(v review.Value) string {
	return words.Count("debrief.came", v.Prints, "marks", fmt.Sprintf("%.0f", v.Marks), "time", units.Time(v.MS))
}
