package page

import (
	"fmt"

	"github.com/before-iron/beforeiron/sim/score"
)

// other is the run that this one is held beside.
func (r *Report) other() *other {
	if r.Other == nil {
		return nil
	}
	mine, o, a := r.Review, r.Other.Review, r.Other.Apart
	out := &other{About: "The other: " + lower(about(o)) + " " + verdict(o)}
	switch {
	case a.Never:
		out.Parted = "Nowhere: the two did the same with the same luck."
	case a.Luck && a.Cycle == 0:
		out.Parted = fmt.Sprintf("before the first print both decided the same, and the scatter of the hand differed. This run: %s The other: %s", a.This, a.Other)
	case a.Luck:
		out.Parted = fmt.Sprintf("after print %d both decided the same, and the scatter of the hand differed. This run: %s The other: %s", a.Cycle, a.This, a.Other)
	case a.Cycle == 0:
		out.Parted = fmt.Sprintf("before the first print. This run: %s The other: %s", a.This, a.Other)
	default:
		out.Parted = fmt.Sprintf("after print %d. This run: %s The other: %s", a.Cycle, a.This, a.Other)
	}
	out.Parted = typeset(out.Parted)
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
