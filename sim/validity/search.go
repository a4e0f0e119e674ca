package validity

import (
	"math"
	"math/rand/v2"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/score"
)

// trainingSeeds are parts that no study uses, one of each family and again.
var trainingSeeds = []uint64{20001, 20002, 20003, 20004, 20005, 20006, 20007, 20008}

// SearchSchedule looks for the whole-face schedule that earns most marks blind:
// half of the trials fall anywhere, the rest near the best so far.
func SearchSchedule(trials int, rubric *score.Rubric, progress func(trial int, best hand.Schedule, marks float64)) (hand.Schedule, float64, error) {
	dice := rand.New(rand.NewPCG(1, 0x73636864))
	between := func(lo, hi float64) float64 { return lo + float64((hi-lo)*dice.Float64()) }
	parts := map[uint64]*Begun{}
	for _, seed := range trainingSeeds {
		part, err := Begin(rubric, seed)
		if err != nil {
			return hand.Schedule{}, 0, err
		}
		parts[seed] = part
	}
	var best hand.Schedule
	most := math.Inf(-1)
	for n := range trials {
		s := hand.Schedule{
			Passes:   1 + dice.IntN(30),
			DepthUM:  [2]float64{between(.5, 12), between(.3, 6)},
			LengthMM: [2]float64{between(3, 20), between(2.5, 10)},
			Spacing:  [2]float64{between(.5, 1.5), between(.5, 3)},
		}
		if n > trials/2 {
			near := func(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v*between(.7, 1.4))) }
			s.Passes = max(1, min(40, best.Passes+dice.IntN(7)-3))
			for k := range 2 {
				s.DepthUM[k] = near(best.DepthUM[k], .3, 12)
				s.LengthMM[k] = near(best.LengthMM[k], 2.5, 20)
				s.Spacing[k] = near(best.Spacing[k], .4, 4)
			}
		}
		marks := 0.0
		for _, seed := range trainingSeeds {
			_, rep, err := parts[seed].worked(seed, hand.Recipe{Schedule: s})
			if err != nil {
				return best, most, err
			}
			marks += rep.Marks.Total / float64(len(trainingSeeds))
		}
		if marks > most {
			best, most = s, marks
			if progress != nil {
				progress(n+1, best, most)
			}
		}
	}
	return best, most, nil
}
