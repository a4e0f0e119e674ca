package hand

import "github.com/before-iron/beforeiron/sim/run"

// Careless makes the mistakes that beginners make: it never stones, rolls thick
// and leaves old colour on, presses the part while it rubs it long, cuts deep
// single marks wherever there is blue, in one direction until it happens to
// turn, and signs off when the print looks blue enough.
type Careless struct{}

// Work implements Hand.
func (Careless) Work(r *run.Run, cycles int, progress func(run.Print)) error {
	b := &bench{Run: r, cycles: cycles, progress: progress}
	g := r.Grid()
	x0, y0, x1, y1 := g.Edges()
	// The right hand leans on the part, off its middle.
	load := [2]int{int(100*x0 + 65*(x1-x0)), int(100*y0 + 40*(y1-y0))}
	var long [][2]int
	for range 6 {
		long = append(long, [2]int{3000, 0}, [2]int{0, 0})
	}
	for {
		for _, a := range []run.Act{
			{Roll: &run.Roll{Film: 1000}}, {Place: &run.Place{}},
			{Rub: &run.Rub{Path: long, Press: 25, Load: load}}, {Lift: &run.Lift{}},
		} {
			out, err := b.Do(a)
			if err != nil {
				return err
			}
			if out.Print != nil {
				b.saw(10, *out.Print)
			}
		}
		looksGood := b.last.Permille > 400 && b.last.PerIn2 > 2000
		if looksGood || b.done() {
			_, err := b.Do(run.Act{SignOff: &run.SignOff{}})
			return err
		}
		dir := 0
		if b.last.N%3 == 0 {
			dir = 785
		}
		region := b.eye.near(.1, 0)
		if len(region.Runs) == 0 {
			continue
		}
		if err := b.lay(run.Cut{Depth: 1000, Area: &run.Area{
			Region: region, Dir: dir, Length: 800, Spacing: 1500,
		}}); err != nil {
			return err
		}
	}
}
