package hand

import (
	"math/rand/v2"

	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// slips decides which decisions of a hand go wrong, and how.
type slips struct {
	share  float64
	random *rand.Rand
}

func newSlips(r *run.Run, share float64) slips {
	return slips{share, random(r)}
}

// random is a hand's own stream: that of the scatter seed, apart from those of
// the acts.
func random(r *run.Run) *rand.Rand {
	const purpose = 0x68616e64 // "hand"
	return rand.New(rand.NewPCG(r.Header().ScatterSeed, purpose))
}

// slip reports whether the next decision goes wrong.
func (s *slips) slip() bool { return s.share > 0 && s.random.Float64() < s.share }

// tired reports whether the hand signs off where it should go on: an eighth as
// often as it slips.
func (s *slips) tired() bool { return s.share > 0 && s.random.Float64() < s.share/8 }

// wrongDepth is far too much or far too little.
func (s *slips) wrongDepth(depth int) int {
	if s.random.IntN(2) == 0 {
		return max(1, depth*2/5)
	}
	return min(7000, depth*5/2)
}

// wrongPlace is a region moved by 4 to 8 mm along both axes, as much of it as
// still lies on the metal.
func (s *slips) wrongPlace(r lay.Region, e eye) lay.Region {
	by := func() float64 {
		d := 4 + float64(4*s.random.Float64())
		if s.random.IntN(2) == 0 {
			return -d
		}
		return d
	}
	dx, dy := by(), by()
	return e.paint(func(t int) bool {
		x, y := e.x0+(float64(t%e.nx)+.5)*eyeMM, e.y0+(float64(t/e.nx)+.5)*eyeMM
		return e.metal[t] && r.Contains(x+dx, y+dy)
	})
}
