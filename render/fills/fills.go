//go:build unix

// Package fills measures what frames of a window cost, beside frames that only
// fill it, so that figures of one machine mean something on another. It serves
// benchmarks.
package fills

import (
	"image/color"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"
)

// Report draws n frames, and as many that only fill the screen, and reports what
// one costs in fills: by the clock, and, for a machine that is busy with other
// things, by the processor time of this program (cpu-fills). inFrames calls a
// function for so many frames of a window and returns after the last.
func Report(b *testing.B, n int, inFrames func(n int, draw func(screen *ebiten.Image)), draw func(screen *ebiten.Image)) {
	bare, took := alternate(n, inFrames, func(screen *ebiten.Image) { screen.Fill(color.RGBA{30, 32, 34, 255}) }, draw)
	b.ReportMetric(took.wall/bare.wall, "fills")
	b.ReportMetric(took.cpu/bare.cpu, "cpu-fills")
	b.ReportMetric(took.wall, "ms/frame")
	b.ReportMetric(bare.wall, "ms/fill")
	b.ReportMetric(0, "ns/op")
}

// cost is what a frame takes, ms: of time, and of the processor by this program,
// the driver's threads included.
type cost struct{ wall, cpu float64 }

// alternate draws n frames of either kind, some at a time in turn so that a drift
// of the machine leans on both, and returns what a frame of each costs: the lower
// quartile over the turns, for other work on the machine only ever adds. Single
// frames say nothing: the driver returns before one is on the screen.
func alternate(n int, inFrames func(int, func(*ebiten.Image)), a, b func(*ebiten.Image)) (ofA, ofB cost) {
	const turn = 10
	turns := max(2, n/turn)
	var walls, cpus [2][]float64
	var began time.Time
	var spent time.Duration
	frame := 0
	inFrames(2*turns*turn+1, func(screen *ebiten.Image) {
		if frame%turn == 0 {
			now, used := time.Now(), ProcessorTime()
			if kind := (frame/turn + 1) % 2; frame > 0 {
				walls[kind] = append(walls[kind], now.Sub(began).Seconds()*1000/turn)
				cpus[kind] = append(cpus[kind], (used-spent).Seconds()*1000/turn)
			}
			began, spent = now, used
		}
		[]func(*ebiten.Image){a, b}[frame/turn%2](screen)
		frame++
	})
	quartile := func(t []float64) float64 {
		slices.Sort(t)
		return t[len(t)/4]
	}
	return cost{quartile(walls[0]), quartile(cpus[0])}, cost{quartile(walls[1]), quartile(cpus[1])}
}

// ProcessorTime is what this program has had of the processor, the threads of the
// graphics driver included.
func ProcessorTime() time.Duration {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
