package hand

import (
	"math"

	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// Idle prints once and signs off.
type Idle struct{}

// Work implements Hand.
func (Idle) Work(r *run.Run, cycles int, progress func(run.Print)) error {
	b := &bench{Run: r, cycles: cycles, progress: progress}
	if err := b.print(richFilm, false, shortRub); err != nil {
		return err
	}
	return b.signOff()
}

// Random stones and prints as it should and cuts rows 5 um deep over squares of
// 15 mm that fall anywhere, any way, to the end of its allowance.
type Random struct{}

// Work implements Hand.
func (Random) Work(r *run.Run, cycles int, progress func(run.Print)) error {
	b := &bench{Run: r, cycles: cycles, progress: progress}
	dice := random(r)
	x0, y0, x1, y1 := r.Grid().Edges()
	const side = 15
	for {
		if err := b.print(roughFilm, b.Prints() > 0, shortRub); err != nil {
			return err
		}
		if b.done() {
			return b.signOff()
		}
		for range 3 {
			x, y := x0+float64(dice.Float64()*(x1-x0-side)), y0+float64(dice.Float64()*(y1-y0-side))
			i0, j0 := int(math.Floor(x)), int(math.Floor(y))
			square := lay.Paint(100, i0+side, j0+side, func(i, j int) bool { return i >= i0 && j >= j0 })
			if err := b.lay(run.Cut{Depth: 500, Area: &run.Area{
				Region: square, Dir: dice.IntN(3142), Length: 1000, Spacing: 800,
			}}); err != nil {
				return err
			}
		}
	}
}

// Recipe works the whole face by a schedule that was fixed before the part was
// seen, blind to where the blue is. It does all that can be done by rote: it
// crosses, stones, rolls a film that fits its depth, and makes the checks before
// it signs off, whatever they say.
type Recipe struct{ Schedule }

// Schedule is passes over the whole face: how many, and what the first and the
// last of them are like; those between go from the one to the other evenly,
// depths by equal shares.
type Schedule struct {
	Passes   int
	DepthUM  [2]float64 // first, last
	LengthMM [2]float64
	Spacing  [2]float64 // of rows, of a mark's width
}

// Best is the best schedule that 150 trials of validity.SearchSchedule found, rounded,
// on parts that no study uses: to break the skin lightly and to stop.
var Best = Schedule{Passes: 2, DepthUM: [2]float64{2.35, .87}, LengthMM: [2]float64{17.6, 5.2}, Spacing: [2]float64{.69, 3.8}}

// Work implements Hand.
func (h Recipe) Work(r *run.Run, cycles int, progress func(run.Print)) error {
	b := &bench{Run: r, cycles: cycles, progress: progress}
	at := func(v [2]float64, n int) float64 {
		return v[0] + float64((v[1]-v[0])*float64(n)/math.Max(1, float64(h.Passes-1)))
	}
	for n := range h.Passes {
		share := float64(n) / math.Max(1, float64(h.Passes-1))
		depth := h.DepthUM[0] * math.Pow(h.DepthUM[1]/h.DepthUM[0], share)
		if err := b.print(math.Max(1, depth), n > 0, shortRub); err != nil {
			return err
		}
		if b.done() {
			return b.signOff()
		}
		if err := b.lay(run.Cut{Depth: hundredths(depth), Area: &run.Area{
			Region: b.eye.all(), Dir: crossed[n%2],
			Length: int(100 * at(h.LengthMM, n)), Spacing: int(1000 * at(h.Spacing, n)),
		}}); err != nil {
			return err
		}
	}
	for _, a := range []run.Act{{Bridge: &run.Bridge{}}, {Indicate: &run.Indicate{}}, {Turn: &run.Turn{}}} {
		if _, err := b.Do(a); err != nil {
			return err
		}
	}
	if err := b.print(r.Header().Setup.Target.FilmUM, true, shortRub); err != nil {
		return err
	}
	return b.signOff()
}

func (b *bench) signOff() error {
	_, err := b.Do(run.Act{SignOff: &run.SignOff{}})
	return err
}
