//go:build window && unix

package app

import (
	"fmt"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/fills"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// sized is a window on a coupon of so many cells.
func sized(b *testing.B, nx, ny int) (*shooter, *work.Work) {
	l, err := lessons.Load("coupon")
	if err != nil {
		b.Fatal(err)
	}
	big := *l
	recipe := *l.Setup.Part.Recipe
	recipe.LengthMM, recipe.WidthMM = .2*float64(nx), .2*float64(ny)
	big.Setup.Part.Recipe = &recipe
	big.Setup.Master.LengthMM, big.Setup.Master.WidthMM = recipe.LengthMM+400, recipe.WidthMM+400
	s := newShooter(&testing.T{}, 1280, 800, 1)
	s.w.desk.StepTime = stepTime
	wk, err := work.BeginLesson(s.w.desk.Store, &big, 1, 1)
	if err != nil {
		b.Fatal(err)
	}
	s.w.show(bench.New(&s.w.desk, wk), false)
	s.ticks(2)
	s.w.Paint(s.m)
	return s, wk
}

// BenchmarkPrintShows is from letting go to the frame that shows the print, presented:
// of the part, rubbed by hand and lifted, and of the key that does the whole routine,
// stoning included; with the processor time of it, for a machine that is busy with
// other things, and the memory that the program then has.
//
//	xvfb-run -s '-screen 0 1920x1200x24' go test -tags window -run - -bench PrintShows -benchtime 10x ./render/app
func BenchmarkPrintShows(b *testing.B) {
	// As in the program: without it a frame would be presented beside the making of the next.
	ebiten.SetVsyncEnabled(true)
	defer ebiten.SetVsyncEnabled(false)
	gentle := [][2]int{{1000, 0}, {0, 500}, {-1000, 0}, {0, -500}, {1000, 0}, {0, 500}, {-1000, 0}, {0, -500}}
	clean := func(film int) []run.Act {
		return []run.Act{{Wipe: &run.Wipe{What: "part"}}, {Wipe: &run.Wipe{What: "master"}}, {Roll: &run.Roll{Film: film}}, {Place: &run.Place{}}}
	}
	printed := []run.Act{{Rub: &run.Rub{Path: gentle}}, {Lift: &run.Lift{}}}
	// A print of another film lies there before, so that every cell of the new one differs.
	other := append(clean(500), printed...)
	for _, n := range [][2]int{{500, 375}, {1000, 750}, {4000, 2000}} {
		s, wk := sized(b, n[0], n[1])
		finish := func(screen *ebiten.Image) {
			s.ticks(1)
			s.w.Paint(screen)
		}
		shown := func() {
			for first := true; first || wk.Busy(); first = false {
				inFrames(1, finish)
			}
			inFrames(1, func(*ebiten.Image) {}) // as it begins, the one before is on the screen
		}
		for _, c := range []struct {
			name     string
			before   []run.Act
			letGo    []run.Act
			routined bool
		}{
			{"rub", append(slices.Clone(other), clean(800)...), printed, false},
			{"routine", other, nil, true},
		} {
			b.Run(fmt.Sprintf("%dx%d/%s", n[0], n[1], c.name), func(b *testing.B) {
				spent := time.Duration(0)
				for b.Loop() {
					b.StopTimer()
					wk.Do(c.before...)
					shown()
					shown() // what of the metal was left to the tick after
					from := fills.ProcessorTime()
					b.StartTimer()
					if c.routined {
						s.in.Typed = []rune("r")
					}
					wk.Do(c.letGo...)
					shown()
					spent += fills.ProcessorTime() - from
				}
				b.ReportMetric(float64(spent.Milliseconds())/float64(b.N), "cpu-ms/op")
				runtime.GC()
				b.ReportMetric(resident(), "MB")
			})
		}
	}
}

// BenchmarkFrames measures whole frames of the window at 1280 x 800, presentation
// included, on a part that lies printed on the bench: the lamp moving, and a
// stroke landing on every frame besides. They are reported in fills, frames that
// only fill the screen, drawn in turn with them: by the clock, and, for a machine
// that is busy with other things, by the processor time of this program. A face
// that covers the whole window is measured in render/iron.
//
//	xvfb-run -s '-screen 0 1920x1200x24' go test -tags window -run - -bench Frames -benchtime 60x ./render/app
func BenchmarkFrames(b *testing.B) {
	for _, n := range [][2]int{{1000, 750}, {4000, 2000}} {
		s, wk := sized(b, n[0], n[1])
		s.in.Typed = []rune("r")
		for first := true; first || s.w.top().(*bench.Bench).Busy(); first = false {
			s.ticks(1)
		}
		v := s.w.top().(*bench.Bench).Stage().View
		for _, kind := range []string{"lit", "stroke"} {
			b.Run(fmt.Sprintf("%dx%d/%s", n[0], n[1], kind), func(b *testing.B) {
				frame := 0
				draw := func(screen *ebiten.Image) {
					frame++
					s.in.X = float64(v.Dst.Min.X) + float64(frame*7%v.Dst.Dx())
					s.in.Y = float64(v.Dst.Min.Y) + 100
					if kind == "stroke" {
						x, y := v.MM(s.in.X, s.in.Y+float64(frame%5)*60)
						from := [2]int{int(100 * x), int(100 * y)}
						wk.Do(run.Act{Cut: &run.Cut{Depth: 500, Stroke: &run.Line{From: from, To: [2]int{from[0] + 1200, from[1] + 500}}}})
					}
					s.ticks(1)
					if !s.w.Paint(screen) {
						b.Error("a frame drew nothing")
					}
				}
				fills.Report(b, max(20, b.N), inFrames, draw)
			})
		}
	}
}

// resident is the memory that the program has, MB.
func resident() float64 {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for _, line := range strings.Split(string(status), "\n") {
		var kb float64
		if n, _ := fmt.Sscanf(line, "VmRSS: %f kB", &kb); n == 1 {
			return kb / 1024
		}
	}
	return 0
}
