package app

import (
	"testing"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/sim/advice"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// The part that a newcomer opens on: one obvious patch that may be cut at once, and
// whose first cut can be seen in the next print.
func TestTheFirstPart(t *testing.T) {
	l, err := lessons.Load(bench.FirstLesson)
	if err != nil {
		t.Fatal(err)
	}
	r, err := l.Begin(firstSeed, 1, "", "")
	if err != nil {
		t.Fatal(err)
	}
	coach := advice.NewCoach()
	r.Record = func(e run.Entry) error {
		for _, a := range coach.See(r, &e) {
			if a.ID == "skin-first" {
				t.Errorf("the coach faults the first cut: %s", a.Text())
			}
		}
		return nil
	}
	do := func(acts ...run.Act) {
		t.Helper()
		for _, a := range acts {
			job, err := r.Apply(a.On())
			if err == nil {
				err = job.Finish()
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	print := func() (blue []bool, nx, ny, count int) {
		do(run.Act{Wipe: &run.Wipe{What: "part"}})
		do(bench.FirstPrint(firstFilm)...)
		reading, _ := r.Reading()
		blue = make([]bool, len(reading.Colour))
		for k := range blue {
			if blue[k] = reading.Coloured(k); blue[k] {
				count++
			}
		}
		return blue, reading.NX, reading.NY, count
	}
	was, nx, ny, n := print()
	if share := float64(n) / float64(len(was)); share < .1 || share > .5 {
		t.Errorf("the first print is %.0f %% blue, want one patch", 100*share)
	}
	spots, most := make([]int32, len(was)), 0
	gauge.Label(was, nx, ny, 8, spots)
	sizes := map[int32]int{}
	for k, s := range spots {
		if was[k] {
			sizes[s]++
			most = max(most, sizes[s])
		}
	}
	if float64(most) < .9*float64(n) {
		t.Errorf("its greatest patch holds %d of %d blue cells, want nine in ten", most, n)
	}
	blueAt := func(i, j int) bool {
		k := min(ny-1, 10*j+5)*nx + min(nx-1, 10*i+5) // tiles of 2 mm, cells of 0.2 mm
		return was[k]
	}
	region := lay.Paint(200, (nx+9)/10, (ny+9)/10, blueAt)
	do(run.Act{Cut: &run.Cut{Depth: 600, Area: &run.Area{Region: region, Dir: 785, Length: 1200, Spacing: 800}}})
	now, _, _, _ := print()
	gone := 0
	for k := range was {
		if was[k] && !now[k] {
			gone++
		}
	}
	if float64(gone) < .25*float64(n) {
		t.Errorf("after the first cut %d of %d blue cells are bare, want a quarter at the least", gone, n)
	}
}
