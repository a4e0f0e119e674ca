package run

import (
	"testing"

	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// everything is every effect switched on.
var everything = Effects{
	Film: true, Grit: true, Edges: true, Wringing: true, Torn: true,
	Path: true, Overhang: true, Wear: true, Bending: true, Heat: true, Dial: true,
}

// BenchmarkPrint is a print, put down, rubbed and lifted, of 1000 x 750 cells
// near bearing: with no effect, with those of moving and bending, and with all.
func BenchmarkPrint(b *testing.B) {
	seatOnly := everything
	seatOnly.Film, seatOnly.Grit, seatOnly.Edges, seatOnly.Wringing, seatOnly.Torn = false, false, false, false, false
	for _, c := range []struct {
		name string
		e    Effects
	}{{"off", Effects{}}, {"moving", seatOnly}, {"all", everything}} {
		b.Run(c.name, func(b *testing.B) {
			r := scrapedField(b, c.e)
			b.ResetTimer()
			for b.Loop() {
				for _, a := range []Act{{Place: &Place{}}, {Rub: &Rub{Path: circles}}, {Lift: &Lift{}}} {
					if a.Rub != nil {
						r.film = 2.5
					}
					j, err := r.Apply(a.On())
					if err != nil {
						b.Fatal(err)
					}
					if a.Rub == nil {
						b.StopTimer()
					}
					if err := j.Finish(); err != nil {
						b.Fatal(err)
					}
					b.StartTimer()
				}
			}
		})
	}
}

// scrapedField is a run whose face of 200 x 150 mm at 0.2 mm was cut all over
// several times.
func scrapedField(b *testing.B, e Effects) *Run {
	s := small()
	s.Part = Part{Recipe: &surface.Recipe{LengthMM: 200, WidthMM: 150, PitchMM: .2, Finish: "milled"}}
	s.Master = seat.Master{Grade: seat.DIN8760, LengthMM: 400, WidthMM: 300}
	s.Effects = e
	r, err := New(s, "", 7, 11, "", "test")
	if err != nil {
		b.Fatal(err)
	}
	all := lay.Paint(100, 200, 150, func(i, j int) bool { return true })
	for _, dir := range []int{785, -785, 700, -700, 850, -850} {
		cut := Act{Cut: &Cut{Depth: 300, Area: &Area{Region: all, Dir: dir, Length: 600, Spacing: 800}}}
		for _, a := range []Act{cut, {Stone: &Stone{Passes: 2}}, {Wipe: &Wipe{What: "part"}}} {
			if _, err := r.Do(a); err != nil {
				b.Fatal(err)
			}
		}
	}
	if _, err := r.Do(Act{Roll: &Roll{Film: 250}}); err != nil {
		b.Fatal(err)
	}
	return r
}
