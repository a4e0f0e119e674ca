package validity

import (
	"fmt"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// Careful is the hand that the others are held against.
const Careful = "careful"

// Gross and Subtle are the flawed hands that it has to beat: by how much the
// thresholds say. Others have flaws for which no threshold was set.
var (
	Gross  = []string{"idle", "random", "hollow-chaser", "over-cutter", "careless", "rim-sparer"}
	Subtle = []string{"timid", "darkest-only", "edge-chaser", "one-direction", "stops-early", "recipe"}
	Others = []string{"never-stops", "rich-film", "never-stones", "presser"}
	// Slips are the careful hand with more and more of its decisions gone wrong.
	Slips = []string{Careful, "careful-10", "careful-20", "careful-40", "careful-70"}
)

// Hands are all hands of the study.
func Hands() []string {
	var all []string
	for _, some := range [][]string{Slips, Gross, Subtle, Others} {
		all = append(all, some...)
	}
	return all
}

// Repeats is how often each hand works each part, with another scatter.
const Repeats = 2

// Trial is one hand on one part.
type Trial struct {
	Hand   string `json:"hand"`
	Seed   uint64 `json:"seed"` // of the part, from 1; it decides the family too
	Repeat int    `json:"repeat"`
}

// Family of the trial's part: consecutive seeds go through all of them.
func (t Trial) Family() string { return Families[(t.Seed-1)%uint64(len(Families))] }

// scatter is the seed of the hand.
func (t Trial) scatter() uint64 { return t.Seed*10 + uint64(t.Repeat) }

// Row is what came of a trial.
type Row struct {
	Trial
	Total  float64 `json:"total"`
	Passed bool    `json:"passed"`
	Cycles int     `json:"cycles"`
	// Lost is the marks lost by rule; what is left of a hundred, bounded, is the
	// total.
	Lost map[string]float64 `json:"lost"`
	// Lacks is what a face that passed misses when it is measured anew.
	Lacks string `json:"lacks,omitempty"`
}

// Do works a trial on its part.
func (t Trial) Do(part *Begun) (Row, error) {
	h, err := hand.Named(t.Hand)
	if err != nil {
		return Row{}, err
	}
	r, rep, err := part.worked(t.scatter(), h)
	if err != nil {
		return Row{}, fmt.Errorf("%s, seed %d: %w", t.Hand, t.Seed, err)
	}
	row := Row{Trial: t, Total: rep.Marks.Total, Passed: rep.Marks.Passed, Cycles: r.Prints(), Lost: map[string]float64{}}
	for _, l := range rep.Losses {
		row.Lost[l.Rule] += l.Cost
	}
	for rule, v := range row.Lost {
		row.Lost[rule] = hundredth(v)
	}
	if row.Passed {
		heights, err := r.Truth()
		if err != nil {
			return row, err
		}
		target := r.Header().Setup.Target
		anew, err := measureAnew(heights, target)
		if err != nil {
			return row, err
		}
		row.Lacks = anew.lack(target)
	}
	return row, nil
}

// worked lets a hand work a part, marking as it goes.
func (b *Begun) worked(scatter uint64, h hand.Hand) (*run.Run, *score.Report, error) {
	r, w, err := b.begin(scatter)
	if err != nil {
		return nil, nil, err
	}
	r.Record = func(e run.Entry) error { return w.See(r, &e) }
	if err := h.Work(r, Allowance, nil); err != nil {
		return nil, nil, err
	}
	rep, err := w.Report(r)
	return r, rep, err
}

// hundredth rounds v to a hundredth.
func hundredth(v float64) float64 {
	if v < 0 {
		return -hundredth(-v)
	}
	return float64(int(100*v+.5)) / 100
}

// Plan lists the trials of a study of so many seeds, part by part.
func Plan(seeds int) []Trial {
	var all []Trial
	for s := 1; s <= seeds; s++ {
		for _, h := range Hands() {
			for n := range Repeats {
				all = append(all, Trial{Hand: h, Seed: uint64(s), Repeat: n})
			}
		}
	}
	return all
}
