//go:build window && unix

package iron

import (
	"fmt"
	"image"
	"image/color"
	"math/rand/v2"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"
)

// BenchmarkFrame measures whole frames of a window of 1280 x 800, presentation
// included, and reports them in fills: frames that only fill the screen, in the
// same run: by the clock, and, for a machine that is busy with other things, by
// the processor time of this program (cpu-fills).
//
//	xvfb-run -s '-screen 0 1920x1200x24' go test -tags window -run - -bench Frame -benchtime 60x ./render/iron
func BenchmarkFrame(b *testing.B) {
	for _, size := range [][2]int{{500, 375}, {1000, 750}, {4000, 2000}} {
		nx, ny := size[0], size[1]
		pitch := 100 / float64(nx)
		if nx == 4000 {
			pitch = .25
		}
		a, r := scraped(nx, ny, pitch, nil)
		face := NewFace(a)
		face.Print(r, face.all())
		bench := &Bench{}
		window := image.Rect(0, 0, 1280, 800)
		x0, y0, x1, y1 := face.Edges()
		w, h := x1-x0, y1-y0
		views := []struct {
			name string
			view View
		}{
			{"whole", Fit(window, x0, y0, x1, y1, 20)},
			{"inch", Fit(window, x0+w/2-12.7, y0+h/2-12.7, x0+w/2+12.7, y0+h/2+12.7, 10)},
			{"covering", Fit(window, x0+w/4, y0+h/4, x1-w/4, y1-h/4, 0)},
		}
		rng := rand.New(rand.NewPCG(1, 1))
		for _, v := range views {
			frame := func(n int, stroke, pan bool) func(*ebiten.Image) {
				return func(screen *ebiten.Image) {
					n++
					view := v.view
					if pan {
						view.X += float64(n%40*3) / view.PxPerMM
					}
					s := Scene{Face: face, PlateX: 100, PlateY: 90, Look: Look{Metal: Dark, Pigment: Blue},
						Lamp: LampOver(view, float64(200+n*7%900), 150), Film: Film{X1: 2000, Y1: 2000, UM: 2.5}}
					if stroke {
						x, y := view.X+rng.Float64()*8, view.Y+rng.Float64()*8
						mark(a, x, y, rng.Float64()*3)
						face.Show(a, face.Cells(x, y, x, y, 4))
					}
					bench.Draw(screen, view, s)
				}
			}
			for _, kind := range []struct {
				name        string
				stroke, pan bool
			}{{"lit", false, false}, {"stroke", true, false}, {"pan", false, true}} {
				b.Run(fmt.Sprintf("%dx%d/%s/%s", nx, ny, v.name, kind.name), func(b *testing.B) {
					fill := func(screen *ebiten.Image) { screen.Fill(color.RGBA{30, 32, 34, 255}) }
					draw := frame(0, kind.stroke, kind.pan)
					bare, took := alternate(max(8, b.N), fill, draw)
					b.ReportMetric(took.wall/bare.wall, "fills")
					b.ReportMetric(took.cpu/bare.cpu, "cpu-fills")
					b.ReportMetric(took.wall, "ms/frame")
					b.ReportMetric(bare.wall, "ms/fill")
					b.ReportMetric(0, "ns/op")
				})
			}
		}
		face.Dispose()
	}
}

// cost is what a frame takes, ms: of time, and of the processor by this program,
// the driver's threads included.
type cost struct{ wall, cpu float64 }

// alternate draws n frames of either kind, some at a time in turn so that a drift
// of the machine leans on both, and returns what a frame of each costs: the lower
// quartile over the turns, for other work on the machine only ever adds. Single
// frames say nothing: the driver returns before one is on the screen.
func alternate(n int, a, b func(*ebiten.Image)) (ofA, ofB cost) {
	const turn = 10
	turns := max(2, n/turn)
	var walls, cpus [2][]float64
	var began time.Time
	var spent time.Duration
	frame := 0
	inFrames(2*turns*turn+1, func(screen *ebiten.Image) {
		if frame%turn == 0 {
			now, used := time.Now(), processorTime()
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

func processorTime() time.Duration {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}

// BenchmarkTakingOver measures what of a face has to be taken over: all of it when
// it is first shown, colour after a print, the surroundings of a stroke.
func BenchmarkTakingOver(b *testing.B) {
	for _, size := range [][2]int{{500, 375}, {1000, 750}, {4000, 2000}} {
		a, r := scraped(size[0], size[1], .1, nil)
		face := NewFace(a)
		for name, take := range map[string]func(){
			"face":   func() { face.Show(a, face.all()) },
			"print":  func() { face.Print(r, face.all()) },
			"stroke": func() { face.Show(a, face.Cells(20, 20, 26, 24, 1)) },
		} {
			b.Run(fmt.Sprintf("%dx%d/%s", size[0], size[1], name), func(b *testing.B) {
				b.StopTimer()
				for range b.N {
					inFrames(1, func(*ebiten.Image) {
						b.StartTimer()
						take()
						b.StopTimer()
					})
				}
			})
		}
		inFrames(1, func(*ebiten.Image) { face.Dispose() })
	}
}
