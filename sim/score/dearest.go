package score

import (
	"slices"
	"sort"
)

// targetMissed is the rule of economy that does not count for want of a face on
// target: it only follows from what kept the face off it.
const targetMissed = "target-missed"

// Dearest are the losses, the dearest first; what only follows from others stands
// last.
func (r *Report) Dearest() []Loss {
	all := slices.Clone(r.Losses)
	sort.SliceStable(all, func(a, b int) bool {
		if x, y := all[a].Rule == targetMissed, all[b].Rule == targetMissed; x != y {
			return y
		}
		return all[a].Cost > all[b].Cost
	})
	return all
}

// Most is the most that each family can give; insight stands beside the total.
func (r *Rubric) Most() (outcome, process, economy, insight float64) {
	return r.most("outcome"), r.most("process"), r.most("economy"), r.most("insight")
}
