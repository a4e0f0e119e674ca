//go:build window && unix

package iron

import (
	"fmt"
	"image"
	"math/rand/v2"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/render/fills"
)

// BenchmarkFrame measures whole frames of a window of 1280 x 800 that shows iron and
// nothing else, presentation included, in fills. What a frame of the program costs,
// with its panels, is measured in render/app.
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
					fills.Report(b, max(20, b.N), inFrames, frame(0, kind.stroke, kind.pan))
				})
			}
		}
		face.Dispose()
	}
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
