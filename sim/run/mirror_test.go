package run

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// A mirrored or quarter-turned part, with acts mirrored or turned likewise by an
// exact hand on a true plane, prints and ends mirrored or turned.
func TestRunsAreBlindToMirrorAndTurn(t *testing.T) {
	const n, pitch = 120, .25
	const units = n * pitch * 100
	height := func(i, j int) float64 {
		x, y := float64(i)*pitch, float64(j)*pitch
		return 6*math.Sin(x/7) + 4*math.Cos(y/5+x/9) + .02*x*y/4
	}
	type move struct {
		name  string
		cell  func(i, j int) (int, int)
		point func(x, y int) [2]int
	}
	same := move{"", func(i, j int) (int, int) { return i, j }, func(x, y int) [2]int { return [2]int{x, y} }}
	work := func(m move) *Run {
		g := surface.Grid{NX: n, NY: n, DX: pitch, DY: pitch, X0: pitch / 2, Y0: pitch / 2}
		part := surface.NewMap(g)
		for j := range n {
			for i := range n {
				p, q := m.cell(i, j)
				part.Z[q*n+p] = height(i, j)
			}
		}
		s := small()
		s.Part = Part{Readings: ReadingsOf(&surface.Data{Map: part})}
		s.Master = seat.Master{Grade: seat.True}
		s.Hand = lay.Hand{}
		r, err := New(s, "", 1, 1, "", "test")
		if err != nil {
			t.Fatal(err)
		}
		line := func(x0, y0, x1, y1 int) Line { return Line{From: m.point(x0, y0), To: m.point(x1, y1)} }
		l1, l2 := line(400, 700, 1500, 1600), line(2500, 300, 1900, 1200)
		do(t, r, printing(800)...)
		do(t, r, Act{Cut: &Cut{Depth: 700, Stroke: &l1}}, Act{Cut: &Cut{Depth: 400, Stroke: &l2}},
			Act{Cut: &Cut{Depth: 500, Row: &Row{Line: line(200, 2000, 2800, 2400), Length: 800}}}, Act{Stone: &Stone{Passes: 1}})
		do(t, r, printing(500)...)
		return r
	}
	plain := work(same)
	for _, m := range []move{
		{"mirror in x", func(i, j int) (int, int) { return n - 1 - i, j }, func(x, y int) [2]int { return [2]int{units - x, y} }},
		{"mirror in y", func(i, j int) (int, int) { return i, n - 1 - j }, func(x, y int) [2]int { return [2]int{x, units - y} }},
		{"quarter turn", func(i, j int) (int, int) { return n - 1 - j, i }, func(x, y int) [2]int { return [2]int{units - y, x} }},
	} {
		moved := work(m)
		heights, colours := 0, 0
		for j := range n {
			for i := range n {
				p, q := m.cell(i, j)
				k, l := j*n+i, q*n+p
				// Burr is drawn at random for each stroke: the same draw, so the same.
				if plain.face.H[k] != moved.face.H[l] || plain.face.Burr[k] != moved.face.Burr[l] {
					heights++
				}
				if d := int(plain.pigment.Colour[k]) - int(moved.pigment.Colour[l]); d < -2 || d > 2 {
					colours++
				}
			}
		}
		if heights > 0 || colours > 0 {
			t.Errorf("%s: %d heights and %d colours differ", m.name, heights, colours)
		}
	}
}
