package score

import (
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

func coupon() run.Setup {
	return run.Setup{
		Part:   run.Part{Recipe: &surface.Recipe{LengthMM: 100, WidthMM: 75, PitchMM: .2, RangeUM: 46, Finish: "milled"}},
		Master: seat.Master{Grade: seat.DIN8760, LengthMM: 300, WidthMM: 200},
		Blade:  run.Change{Radius: 9000, Width: 2000, Handle: 524},
		Hand:   lay.Skilled,
		Target: run.Target{FilmUM: 2.5, PointsPerIn2: 20, FrameMin: 12, AreaPct: [2]float64{30, 50}, BridgedUM: 5, BareUM: [2]float64{3, 8}},
	}
}

var _ = 0

func TestExp(t *testing.T) {
	seeds := 1
	if s := os.Getenv("SEEDS"); s != "" {
		seeds, _ = strconv.Atoi(s)
	}
	name := os.Getenv("HAND")
	if name == "" {
		name = "careful"
	}
	for seed := 1; seed <= seeds; seed++ {
		r, err := run.New(coupon(), "coupon", uint64(seed), uint64(seed), name, "dev")
		if err != nil {
			t.Fatal(err)
		}
		h, err := hand.Named(name)
		if err != nil {
			h = map[string]hand.Hand{"five": hand.Careful{FinishUM: 5, FinishFilm: 5}, "rim": hand.Careful{LeaveRimMM: 1.5}, "oneway": hand.Careful{OneWay: true}, "dots": hand.Careful{Dots: true}}[name]
		}
		if err = h.Work(r, 45, nil); err != nil {
			t.Fatal(err)
		}
		t0 := time.Now()
		rep, err := Mark(&run.Log{Header: r.Header(), Entries: r.Entries()}, nil)
		if err != nil {
			t.Fatal(err)
		}
		f := rep.Final
		fmt.Printf("seed %d cyc %d: pts %.1f fmin %d area %.1f bare %.1f br %.1f mz %.1f lows %d | %+v strokes %d h %.1f | %.1fs\n", seed, rep.Cycles, *f.PointsPerIn2, *f.FrameMin, *f.AreaPct, *f.BareRangeUM, *f.BridgedUM, *f.MinimumZoneUM, f.NewLows, rep.Marks, rep.Strokes, rep.SecondsOnIron/3600, time.Since(t0).Seconds())
		if seeds <= 2 {
			for _, l := range rep.Losses[:min(12, len(rep.Losses))] {
				fmt.Printf("   %-18s c%d %.2f  %s\n", l.Rule, l.Cycle, l.Cost, l.What)
			}
		}
	}
}
