package review

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// candidates is how many other decisions are tried in the place of one.
const candidates = 5

// candidate is another decision; came is what its trials came to.
type candidate struct {
	what string
	acts []run.Act
	came []Value
}

// do does it. That nothing fell on the face is no mishap: the next print tells.
func (c *candidate) do(r *run.Run) error {
	for _, a := range c.acts {
		if _, err := r.Do(a); err != nil && !errors.Is(err, run.ErrNoStroke) {
			return err
		}
	}
	return nil
}

// candidatesFor are the decisions tried in the place of p, from the print that it
// went by: they see the reading and nothing else.
func candidatesFor(p *point, st stand) []candidate {
	reading, _ := st.run.Reading()
	if reading == nil {
		// Nothing is left to go by: the part was wiped.
		return []candidate{printAgain()}
	}
	crossing := crossed(st.run.Entries())
	deep := math.Max(1.5, math.Min(8, reading.Film))
	light := math.Max(1.2, .6*deep)
	all := []candidate{
		rows(reading, deep, crossing),
		marks(reading, light, crossing),
	}
	if p.stopped {
		all = append(all, rows(reading, light, crossing), marks(reading, math.Max(1, .4*deep), crossing), printAgain())
		return all
	}
	all = append(all, keptToBlue(p.cuts, reading), halfAsDeep(p.cuts))
	if st.run.Prints() > 0 && st.meets() {
		return append(all, candidate{what: "sign off here", acts: []run.Act{{SignOff: &run.SignOff{}}}})
	}
	return append(all, printAgain())
}

// meets reports whether the face meets its target as it stands.
func (st stand) meets() bool {
	a, err := st.run.Aside(0)
	if err != nil {
		return false
	}
	w := st.watch.Aside()
	a.Record = func(e run.Entry) error { return w.See(a, &e) }
	if _, err := a.Do(run.Act{SignOff: &run.SignOff{}}); err != nil {
		return false
	}
	rep, err := w.Report(a)
	return err == nil && rep.Marks.Passed
}

// crossed is the direction, mrad, across the last area that was cut.
func crossed(done []run.Entry) int {
	for n := len(done) - 1; n >= 0; n-- {
		if c := done[n].Act.Cut; c != nil && c.Area != nil {
			d := c.Area.Dir + 1571
			if d > 3141 {
				d -= 3142
			}
			return d
		}
	}
	return 785
}

func hundredths(um float64) int { return int(math.Round(um * 100)) }

func rows(reading *blue.Reading, depth float64, dir int) candidate {
	region := tiles(reading, func(share float64) bool { return share >= .3 })
	return candidate{
		what: fmt.Sprintf("take the blue regions down in rows, %.1f um deep, across the last pass", depth),
		acts: area(run.Area{Region: region, Dir: dir, Length: 1000, Spacing: 800}, depth),
	}
}

func marks(reading *blue.Reading, depth float64, dir int) candidate {
	c := candidate{what: fmt.Sprintf("set single marks %.1f um deep on the strong spots, across the last pass, and spare the faint", depth)}
	spots := lay.Spots(reading)
	if len(spots) == 0 {
		return c
	}
	strength := func(s lay.Spot) float64 { return s.Colour + 255*s.Pale }
	sort.SliceStable(spots, func(a, b int) bool { return strength(spots[a]) > strength(spots[b]) })
	at := func(n int) [2]int {
		return [2]int{int(math.Round(spots[n].X * 100)), int(math.Round(spots[n].Y * 100))}
	}
	last := len(spots) - 1
	e := lay.Example{Cut: [][2]int{at(0)}}
	for _, n := range []int{last / 2, last * 4 / 5} {
		if q := at(n); q != e.Cut[len(e.Cut)-1] {
			e.Cut = append(e.Cut, q)
		}
	}
	if last >= 5 {
		q := at(last)
		e.Spare = &q
	}
	region := tiles(reading, func(float64) bool { return true })
	c.acts = area(run.Area{Region: region, Dir: dir, Length: 500, Spacing: 1300, Example: &e}, depth)
	return c
}

func area(a run.Area, depth float64) []run.Act {
	if len(a.Region.Runs) == 0 {
		return nil
	}
	return []run.Act{{Cut: &run.Cut{Depth: hundredths(depth), Area: &a}}}
}

// keptToBlue is what was cut, where there was blue and nowhere else.
func keptToBlue(cuts []run.Cut, reading *blue.Reading) candidate {
	c := candidate{what: "make the same cuts, and only where the blue was"}
	inked := tiles(reading, func(share float64) bool { return share >= .15 })
	middle := func(l run.Line) bool {
		return inked.Contains(float64(l.From[0]+l.To[0])/200, float64(l.From[1]+l.To[1])/200)
	}
	for _, k := range cuts {
		switch {
		case k.Area != nil:
			a := *k.Area
			a.Region = common(inked, a.Region)
			if len(a.Region.Runs) == 0 {
				continue
			}
			k.Area = &a
		case k.Stroke != nil && !middle(*k.Stroke):
			continue
		case k.Row != nil && !middle(k.Row.Line):
			continue
		}
		c.acts = append(c.acts, run.Act{Cut: &k})
	}
	return c
}

// halfAsDeep is what was cut, half as deep.
func halfAsDeep(cuts []run.Cut) candidate {
	c := candidate{what: "make the same cuts half as deep"}
	for _, k := range cuts {
		if k.Depth > 0 {
			k.Depth = max(1, k.Depth/2)
		}
		// Depth goes with the force to the power of 0.82, so half of it takes 43 %.
		if k.Force > 0 {
			k.Force = max(1, k.Force*43/100)
		}
		c.acts = append(c.acts, run.Act{Cut: &k})
	}
	return c
}

func printAgain() candidate {
	return candidate{what: "cut nothing by this print: stone, wipe, and print again with a leaner film"}
}

// tileMM is the side of the tiles in which candidates are painted.
const tileMM = 1.0

// tiles paints those tiles of metal whose coloured share is wanted.
func tiles(r *blue.Reading, want func(share float64) bool) lay.Region {
	x0, y0, x1, y1 := r.Edges()
	i0, j0 := int(math.Floor(x0/tileMM+1e-9)), int(math.Floor(y0/tileMM+1e-9))
	nx, ny := int(math.Ceil(x1/tileMM-1e-9))-i0, int(math.Ceil(y1/tileMM-1e-9))-j0
	metal, coloured := make([]int, nx*ny), make([]int, nx*ny)
	for j := range r.NY {
		row := max(0, min(ny-1, int(math.Floor(r.Y(j)/tileMM))-j0))
		for i := range r.NX {
			k := j*r.NX + i
			if r.Mask != nil && !r.Mask[k] {
				continue
			}
			t := row*nx + max(0, min(nx-1, int(math.Floor(r.X(i)/tileMM))-i0))
			metal[t]++
			if r.Coloured(k) {
				coloured[t]++
			}
		}
	}
	region := lay.Paint(int(100*tileMM), nx, ny, func(i, j int) bool {
		t := j*nx + i
		return metal[t] > 0 && want(float64(coloured[t])/float64(metal[t]))
	})
	for n := range region.Runs {
		region.Runs[n][0] += j0
		region.Runs[n][1] += i0
		region.Runs[n][2] += i0
	}
	return region
}

// common is what two regions share, in the tiles of the first.
func common(a, b lay.Region) lay.Region {
	out := lay.Region{Tile: a.Tile}
	side := float64(a.Tile) / 100
	for _, r := range a.Runs {
		from, open := 0, false
		for i := r[1]; i <= r[2]; i++ {
			in := i < r[2] && b.Contains((float64(i)+.5)*side, (float64(r[0])+.5)*side)
			switch {
			case in && !open:
				from, open = i, true
			case !in && open:
				out.Runs = append(out.Runs, [3]int{r[0], from, i})
				open = false
			}
		}
	}
	return out
}
