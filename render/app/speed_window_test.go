//go:build window && unix

package app

import (
	"fmt"
	"os"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/work"
)

// sized is a window on a coupon of so many cells.
func sized(b *testing.B, nx, ny int) *shooter {
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
	return s
}

// BenchmarkPrintShows is from the key that begins the routine to the frame that
// shows the print, on three sizes of face, with the memory that the program then
// has:
//
//	xvfb-run go test -tags window -run xxx -bench PrintShows ./render/app
func BenchmarkPrintShows(b *testing.B) {
	for _, n := range [][2]int{{500, 375}, {1000, 750}, {4000, 2000}} {
		b.Run(fmt.Sprintf("%dx%d", n[0], n[1]), func(b *testing.B) {
			s := sized(b, n[0], n[1])
			spent := processorTime()
			for b.Loop() {
				s.in.Typed = []rune("r")
				for first := true; first || s.w.top().(*bench.Bench).Busy(); first = false {
					s.ticks(1)
				}
				s.w.Paint(s.m)
				pixels(s.m)
			}
			b.ReportMetric(float64((processorTime()-spent).Milliseconds())/float64(b.N), "cpu-ms/op")
			runtime.GC()
			b.ReportMetric(resident(), "MB")
		})
	}
}

// processorTime is what this program has had of the processor, the threads of the
// graphics driver included.
func processorTime() time.Duration {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
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
