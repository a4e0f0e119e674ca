package page

import (
	"fmt"

	"github.com/before-iron/beforeiron/sim/par"
	"github.com/before-iron/beforeiron/sim/score"
)

// other is the run that this one is held beside.
func (r *Report) other() *other {
	if r.Other == nil {
		return nil
	}
	mine, o, a := r.Review, r.Other.Review, r.Other.Apart
	out := &other{About: "The other: " + lower(about(o)) + " " + verdict(o)}
	out.Parted = "Nowhere: both decided alike, and what differs is the luck of the hand."
	if p := a.Parting; a.Parted {
		out.Parted = parting(p, "this run", "the other")
	}
	d := smooth(a.Difference)
	low, high := d.Range()
	step := isoStep(high - low)
	out.Map = face(mine, d, signedPicture(d, step), labels(d, step), nil,
		fmt.Sprintf("Map of the difference of the two faces as they ended, from %s to %s", um(low), um(high)))
	out.MapCaption = fmt.Sprintf("This face less the other as they ended, µm, marks smoothed out: slanted lines and + where this one stands higher, dots and − where it stands lower; a line every %s.", um(step))
	for _, row := range result(mine, o.Report) {
		out.Rows = append(out.Rows, row)
	}
	for _, c := range charts(mine.Log.Header.Setup.Target, []string{"This run", "The other"}, []string{"mine", "other"}, []*score.Report{mine.Report, o.Report}) {
		c.id += "-2"
		out.Charts = append(out.Charts, c.svg())
	}
	return out
}

// parting says where two runs part.
func parting(p par.Parting, own, other string) string {
	return typeset(fmt.Sprintf("at print %d: %s %s; %s %s.", p.Cycle, own, p.Own, other, p.Par))
}
