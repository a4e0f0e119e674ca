//go:build window

package app

import (
	"fmt"
	"testing"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/work"
)

func TestSeeds(t *testing.T) {
	l, _ := lessons.Load("coupon")
	for _, seed := range []uint64{8, 19, 26, 32, 38} {
		s := newShooter(t, 960, 640, 1)
		wk, err := work.BeginLesson(s.w.desk.Store, l, seed, 1)
		if err != nil {
			t.Fatal(err)
		}
		wk.Do(bench.FirstPrint(8)...)
		for wk.Busy() {
			wk.Step(1e9, 0)
		}
		s.w.scenes = []Scene{bench.New(&s.w.desk, wk)}
		s.ticks(3)
		s.shoot(fmt.Sprint("seed-", seed))
	}
}
