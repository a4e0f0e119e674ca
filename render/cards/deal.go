package cards

import (
	"cmp"
	_ "embed"
	"errors"
	"math"
	"slices"
	"sync"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/prints"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// piece is the job of every card.
//
//go:embed card.yaml
var piece []byte

// mostPrints is how many prints playing out may take before it is called never.
const mostPrints = 40

// stages are after how many prints of the careful hand a card may stand.
var stages = []int{2, 3, 5, 8, 11, 14}

// card is a print and what can be decided on it.
type card struct {
	number uint64
	run    *run.Run
	prints int
	film   float64
	offers []offer

	pigment string
}

// offer is a choice that the card allows, and what it would do.
type offer struct {
	choice int
	act    run.Act
}

var errEnough = errors.New("enough prints")

// deal makes a card: the careful hand works a piece up to a print.
func deal(number uint64, pigment string) (*card, error) {
	l, err := lessons.Parse("card.yaml", piece)
	if err != nil {
		return nil, err
	}
	r, err := run.New(l.Setup, "", number, number, "careful", work.Program)
	if err != nil {
		return nil, err
	}
	// A card is the run up to the wanted print: the hand is stopped there by the
	// refusal to write the next act down, and the run made again without it.
	want := stages[number%uint64(len(stages))]
	r.Record = func(e run.Entry) error {
		work.Breathe()
		if e.Out.Print != nil && e.Out.Print.N == want {
			return errEnough
		}
		return nil
	}
	if err := (hand.Careful{}).Work(r, mostPrints, nil); err != nil && !errors.Is(err, errEnough) {
		return nil, err
	}
	at := 0
	for i, e := range r.Entries() {
		if e.Out.Print != nil {
			at = i + 1
		}
	}
	f, err := r.Fork(at)
	if err != nil {
		return nil, err
	}
	c := &card{number: number, run: f, prints: f.Prints(), film: f.Film(), pigment: pigment}
	for i, ch := range choices {
		if a, ok := ch.act(c); ok {
			c.offers = append(c.offers, offer{i, a})
		}
	}
	return c, nil
}

// choice is something that can be decided on a card.
type choice struct {
	id  string
	act func(c *card) (run.Act, bool)
}

// choices are those of every card, from taking much to taking little.
var choices = []choice{
	{"deep", func(c *card) (run.Act, bool) { return c.rows(9, c.blue()), true }},
	{"rows", func(c *card) (run.Act, bool) { return c.rows(5, c.blue()), true }},
	{"points", func(c *card) (run.Act, bool) { return c.points(2.5) }},
	{"all", func(c *card) (run.Act, bool) { return c.rows(5, c.whole()), true }},
	{"bare", func(c *card) (run.Act, bool) { return c.rows(5, c.notBlue()), true }},
}

// tile is the side of the tiles in which a card is painted, mm.
const tile = 1.0

// region is the tiles of which the share of colour is wanted.
func (c *card) region(want func(share float64) bool) lay.Region {
	reading, _ := c.run.Reading()
	_, _, x1, y1 := reading.Edges()
	nx, ny := int(math.Ceil(x1/tile)), int(math.Ceil(y1/tile))
	coloured, cells := make([]int, nx*ny), make([]int, nx*ny)
	for j := 0; j < reading.NY; j++ {
		for i := 0; i < reading.NX; i++ {
			t := min(ny-1, int(reading.Y(j)/tile))*nx + min(nx-1, int(reading.X(i)/tile))
			cells[t]++
			if reading.Coloured(j*reading.NX + i) {
				coloured[t]++
			}
		}
	}
	return lay.Paint(100*tile, nx, ny, func(i, j int) bool {
		n := cells[j*nx+i]
		return n > 0 && want(float64(coloured[j*nx+i])/float64(n))
	})
}

func (c *card) blue() lay.Region { return c.region(func(s float64) bool { return s > .15 }) }

func (c *card) notBlue() lay.Region { return c.region(func(s float64) bool { return s == 0 }) }

func (c *card) whole() lay.Region { return c.region(func(float64) bool { return true }) }

// dir crosses the last pass.
func (c *card) dir() int {
	last := 785
	for _, e := range c.run.Entries() {
		if k := e.Act.Cut; k != nil && k.Area != nil {
			last = k.Area.Dir
		}
	}
	if last > 0 {
		return -785
	}
	return 785
}

func (c *card) rows(depth float64, r lay.Region) run.Act {
	return run.Act{Cut: &run.Cut{Depth: int(100 * depth), Area: &run.Area{Region: r, Dir: c.dir(), Length: 1000, Spacing: 800}}}
}

// points cuts the strongest spots, by example, and spares those like the
// faintest.
func (c *card) points(depth float64) (a run.Act, ok bool) {
	reading, _ := c.run.Reading()
	spots := lay.Spots(reading)
	if len(spots) < 2 {
		return a, false
	}
	strong, faint := spots[0], spots[0]
	for _, s := range spots {
		if s.Colour*s.AreaMM2 > strong.Colour*strong.AreaMM2 {
			strong = s
		}
		if s.Colour*s.AreaMM2 < faint.Colour*faint.AreaMM2 {
			faint = s
		}
	}
	at := func(s lay.Spot) [2]int { return [2]int{int(math.Round(100 * s.X)), int(math.Round(100 * s.Y))} }
	spare := at(faint)
	return run.Act{Cut: &run.Cut{Depth: int(100 * depth), Area: &run.Area{
		Region: c.whole(), Dir: c.dir(), Length: 500, Spacing: 1300,
		Example: &lay.Example{Cut: [][2]int{at(strong)}, Spare: &spare},
	}}}, true
}

// played is what a choice came to when the careful hand went on from it: the
// middle one of several goes, for a hand is never twice the same.
type played struct {
	prints  int      // more until it was accepted; mostPrints and more is never
	minutes int      // more on iron
	cut     *run.Cut // the first, the chosen one or the hand's own
	next    *kit.Image
	film    float64 // um of the print after it, which next shows
	err     error
}

// goes is how often a choice is played out.
const goes = 5

// play plays a choice out, nil for nothing of one's own.
func (c *card) play(a *run.Act) played {
	var all []played
	for extra := range goes {
		p := c.once(a, extra)
		if p.err != nil {
			return p
		}
		all = append(all, p)
	}
	slices.SortFunc(all, func(a, b played) int {
		return cmp.Or(cmp.Compare(a.prints, b.prints), cmp.Compare(a.minutes, b.minutes))
	})
	return all[goes/2]
}

// once forks the card, does what was chosen, and lets the careful hand go on.
// Honing the edge a few times more before it takes other numbers for its scatter.
func (c *card) once(a *run.Act, hones int) played {
	r, err := c.run.Fork(len(c.run.Entries()))
	if err != nil {
		return played{err: err}
	}
	for range hones {
		if _, err := r.Do(run.Act{Hone: &run.Hone{}}); err != nil {
			return played{err: err}
		}
	}
	begun := r.MS()
	var p played
	r.Record = func(e run.Entry) error {
		work.Breathe()
		switch {
		case e.Act.Cut != nil && p.cut == nil:
			p.cut = e.Act.Cut
		case e.Out.Print != nil && p.cut != nil && p.next == nil:
			reading, _ := r.Reading()
			p.next, p.film = prints.Small(reading, c.pigment, reading.NX), reading.Film
		}
		return nil
	}
	if a != nil {
		if _, err := r.Do(*a); err != nil {
			return played{err: err}
		}
	}
	if err := (hand.Careful{Midway: true}).Work(r, c.prints+mostPrints, nil); err != nil {
		return played{err: err}
	}
	p.prints, p.minutes = r.Prints()-c.prints, (r.MS()-begun)/60000
	return p
}

// playing is cards and choices being made beside the window.
type playing struct {
	mu      sync.Mutex
	card    *card
	err     error
	mine    *played
	careful *played
}

// startDeal deals a card beside the window.
func startDeal(number uint64, pigment string) *playing {
	p := &playing{}
	go func() {
		c, err := deal(number, pigment)
		p.mu.Lock()
		p.card, p.err = c, err
		p.mu.Unlock()
	}()
	return p
}

// startPlay plays a choice out, and beside it the careful hand's own.
func (p *playing) startPlay(c *card, a run.Act) {
	go func() {
		careful := c.play(nil)
		p.mu.Lock()
		p.careful = &careful
		p.mu.Unlock()
		mine := c.play(&a)
		p.mu.Lock()
		p.mine = &mine
		p.mu.Unlock()
	}()
}

// dealt is the card once it is there.
func (p *playing) dealt() (*card, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.card, p.err
}

// told is what came of the choice once that is there.
func (p *playing) told() (mine, careful *played) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.mine, p.careful
}
