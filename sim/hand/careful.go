package hand

import (
	"errors"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
)

// Careful is a hand that works by the rules of the trade: cross the machining
// marks out, take the blue regions down in rows until blue comes everywhere,
// then go over to single marks, shallower and read thinner as the points come,
// cross every pass, and stop at the first print that is good enough and whose
// good looks the indicator and the block confirm.
//
// Its fields are ways of departing from that, for hands that show what each
// costs; the zero value is the careful hand itself.
type Careful struct {
	FinishUM   float64 // depth of the last marks, um; 0 fits it to the print
	FinishFilm float64 // film of the last prints, um; 0 is the target's
	LeaveRimMM float64 // breadth of rim that it will not cut
	OneWay     bool    // never crosses
	Dots       bool    // single marks from the start, whatever the form
	Heedless   bool    // takes no care of what the day can bring
	Midway     bool    // goes on with a face of which the machined skin is cut already

	Aim      Aim     // what it takes a print to say
	Depth    float64 // factor on every depth; 0 is 1
	Sparse   bool    // sets half as many rows and marks as it should
	NoStone  bool    // never stones
	PressN   int     // newtons with which it leans on the part while it rubs
	NoStop   bool    // goes on to the end of its allowance
	StopMean bool    // signs off at the first print with enough points in the mean
	// Slip is the share of its decisions that go wrong: where, how deep, which
	// way, whether to stone, how thick to roll, whether to stop.
	Slip float64
}

// Aim is where a hand cuts, given a print.
type Aim int

// The aims that a hand can have.
const (
	AtBlue    Aim = iota // what is blue
	AtDarkest            // only what is darkest
	AtRims               // the rims of the blue and of the part
	AtBare               // what carries no blue
)

// Directions of the passes, mrad: 45 degrees either way.
var crossed = [2]int{785, -785}

// Work implements Hand.
func (c Careful) Work(r *run.Run, cycles int, progress func(run.Print)) error {
	w := &careful{Careful: c, bench: bench{Run: r, cycles: cycles, progress: progress, pressN: c.PressN}}
	if w.care = careFor(r); c.Heedless {
		w.care = heedless
	}
	w.slips = newSlips(r, c.Slip)
	w.target = r.Header().Setup.Target
	if c.FinishFilm > 0 {
		w.target.FilmUM = c.FinishFilm
	}
	if err := w.change(9000, 2000, 524); err != nil {
		return err
	}
	w.step = (*careful).begin
	if c.Midway {
		w.step = (*careful).rough
		w.goOn(r.Entries())
	}
	for w.step != nil {
		if err := w.step(w); err != nil {
			return err
		}
	}
	_, err := w.Do(run.Act{SignOff: &run.SignOff{}})
	return err
}

// careful is the hand at work; step is what it does next, nil to sign off.
type careful struct {
	Careful
	bench
	slips
	target run.Target
	passes int
	step   func(*careful) error
}

// look prints, as the careful hand means to or as it slips.
func (w *careful) look(film float64, stone bool) error {
	if stone && (w.NoStone || w.slip()) {
		stone = false
	}
	rolled := film
	if w.slip() {
		rolled = min(12, 2*film)
	}
	if err := w.print(rolled, stone, shortRub); err != nil {
		return err
	}
	// It takes the film for the one that it meant to roll.
	w.film = film
	return nil
}

func (w *careful) change(radius, width, handle int) error {
	_, err := w.Do(run.Act{Change: &run.Change{Radius: radius, Width: width, Handle: handle}})
	return err
}

// goOn takes from what was done before which way the next pass has to cross.
func (w *careful) goOn(before []run.Entry) {
	for _, e := range before {
		if c := e.Act.Cut; c != nil && c.Area != nil {
			w.passes = 0
			if c.Area.Dir < 0 {
				w.passes = 1
			}
		}
	}
}

// dir is the direction of the next pass.
func (w *careful) dir() int {
	if w.OneWay {
		return crossed[0]
	}
	if w.slip() {
		return crossed[w.passes%2]
	}
	w.passes++
	return crossed[w.passes%2]
}

// rows takes everything in a region down.
func (w *careful) rows(region lay.Region, depthUM float64, lengthMM int) error {
	return w.cut(run.Cut{Depth: hundredths(depthUM), Area: &run.Area{
		Region: region, Dir: w.dir(), Length: 100 * lengthMM, Spacing: 800,
	}})
}

func (w *careful) cut(c run.Cut) error {
	if w.Depth > 0 {
		c.Depth = max(1, int(float64(c.Depth)*w.Depth+.5))
	}
	if c.Area != nil {
		if w.Sparse {
			c.Area.Spacing *= 2
		}
		if w.slip() {
			c.Depth = w.wrongDepth(c.Depth)
		}
		if w.slip() {
			c.Area.Region = w.wrongPlace(c.Area.Region, w.eye)
		}
		c.Area.Region = w.eye.spareRim(c.Area.Region, w.LeaveRimMM)
		if len(c.Area.Region.Runs) == 0 {
			return nil
		}
	}
	if w.Blade().CutMM > blade.EdgeLife/4 {
		if _, err := w.Do(run.Act{Hone: &run.Hone{}}); err != nil {
			return err
		}
	}
	c.Wet = w.care.wet
	return w.lay(c)
}

func hundredths(um float64) int { return int(um*100 + .5) }

// Films and depths of roughing, um.
const (
	richFilm  = 8.0
	roughFilm = 5.0
)

// begin prints rich and crosses the machining marks out over the whole face. A worn
// face has none: its first blue is worked as it is.
func (w *careful) begin() error {
	if err := w.breakEdges(); err != nil {
		return err
	}
	if w.Header().Setup.Part.Worn() && !w.Dots {
		w.film, w.eye.bald = richFilm, 1 // nothing is known to bear before the first print
		w.step = (*careful).rough
		return nil
	}
	if err := w.look(richFilm, false); err != nil {
		return err
	}
	if w.Dots {
		w.step = (*careful).bringIn
		return nil
	}
	for range 2 {
		if err := w.rows(w.eye.all(), 5, 15); err != nil {
			return err
		}
	}
	w.step = (*careful).rough
	return w.prove()
}

// rough takes the blue regions down in rows, deep while blue is far from
// everywhere, until hardly a square is bald.
func (w *careful) rough() error {
	film := roughFilm
	if w.film > roughFilm && w.eye.bald > .3 || w.last.N == 1 {
		film = richFilm
	}
	if err := w.look(film, true); err != nil {
		return err
	}
	if w.done() {
		w.step = nil
		return nil
	}
	// Rich prints are taken with the line of the blue, thinner ones inside it.
	depth, length, share, reach := 5.0, 10, .3, 0
	if film == richFilm {
		depth, length, share, reach = 8, 15, .15, 1
	}
	if film == roughFilm && w.eye.bald < .1 {
		if err := w.prove(); err != nil {
			return err
		}
		w.step = (*careful).bringIn
		return w.points(3.5)
	}
	if w.Aim != AtBlue {
		return w.rows(w.aimed(share), depth, length)
	}
	return w.rows(w.eye.near(share, reach), depth, length)
}

// aimed is the region that a hand with another aim takes for that to be worked.
func (w *careful) aimed(share float64) lay.Region {
	switch w.Aim {
	case AtDarkest:
		return w.eye.near(.95, 0)
	case AtRims:
		return w.eye.rims(share)
	}
	return w.eye.bare()
}

// bringIn works single points, the film thinner and the marks shallower as the
// blue spreads, until a print is good enough to be measured.
func (w *careful) bringIn() error {
	film := w.target.FilmUM
	switch {
	case w.eye.bald > .2 && w.film > film+1.5:
		film = w.film
	case w.eye.bald > .05 && w.film > film+.5:
		film = w.film - .5
	}
	if film > roughFilm {
		film = roughFilm
	}
	if err := w.look(film, true); err != nil {
		return err
	}
	if w.StopMean && float64(w.last.PerIn2)/100 >= w.target.PointsPerIn2 || w.tired() {
		w.step = nil
		return nil
	}
	if film <= w.target.FilmUM && w.looksGood() && !w.NoStop && !w.slip() {
		if ok, err := w.confirmed(); err != nil || ok {
			w.step = nil
			return err
		}
	}
	if w.done() {
		w.step = nil
		return nil
	}
	return w.points(w.fit())
}

// fit is the depth that the print asks for, um: half of the film or a little
// more while points are few, light once they bear, deeper again when the whole
// face begins to bear at once.
func (w *careful) fit() float64 {
	if w.FinishUM > 0 {
		return w.FinishUM
	}
	area := float64(w.last.Permille) / 10
	switch {
	case w.film > 3:
		return 3.5
	case area > w.target.AreaPct[1]:
		return 3
	case area < 15:
		return 2.5
	case area < w.target.AreaPct[0]:
		return 1.8
	}
	return 2.2
}

// points cuts single marks, by example: the strongest, a middling and a weak
// spot are to be cut, and the faintest is to be spared.
func (w *careful) points(depthUM float64) error {
	if w.Aim == AtRims || w.Aim == AtBare {
		return w.rows(w.aimed(.3), depthUM, 5)
	}
	reading, _ := w.Reading()
	e, ok := choose(lay.Spots(reading), w.Aim == AtDarkest)
	if !ok {
		return nil
	}
	spacing := 1300
	if w.Dots {
		spacing = 10000 // one mark a spot, however big it is
	}
	return w.cut(run.Cut{Depth: hundredths(depthUM), Area: &run.Area{
		Region: w.eye.all(), Dir: w.dir(), Length: 500, Spacing: spacing, Example: &e,
	}})
}

// looksGood reports whether the print meets the target with something to spare.
func (w *careful) looksGood() bool {
	t, p := w.target, w.last
	area, band := float64(p.Permille)/10, t.AreaPct[1]-t.AreaPct[0]
	return float64(p.PerIn2)/100 >= t.PointsPerIn2*1.1 && (float64(p.FrameMin) >= float64(t.FrameMin)*1.25 || !w.framed()) &&
		area >= t.AreaPct[0]+.35*band && area <= t.AreaPct[1]-.2*band
}

// confirmed reports whether block and indicator bear a good print out, and
// another one with the part turned half round on the master, which would show
// the master's own error.
func (w *careful) confirmed() (bool, error) {
	t := w.target
	block, asked, err := w.instrument(run.Act{Bridge: &run.Bridge{}})
	if err != nil || asked && block > t.BridgedUM {
		return false, err
	}
	bare, asked, err := w.instrument(run.Act{Indicate: &run.Indicate{}})
	if err != nil || asked && (bare < t.BareUM[0] || bare > t.BareUM[1]) {
		return false, err
	}
	if w.done() {
		return true, nil
	}
	if _, err := w.Do(run.Act{Turn: &run.Turn{}}); err != nil {
		return false, err
	}
	if err := w.look(w.film, false); err != nil {
		return false, err
	}
	area := float64(w.last.Permille) / 10
	return (w.last.FrameMin >= t.FrameMin || !w.framed()) && area >= t.AreaPct[0]+2 && area <= t.AreaPct[1]-2, nil
}

// instrument is the range that an instrument shows, um; asked is false on a face
// too small for it.
func (w *careful) instrument(a run.Act) (um float64, asked bool, err error) {
	out, err := w.Do(a)
	if errors.Is(err, run.ErrTooSmall) {
		return 0, false, nil
	}
	return float64(out.Range) / 100, true, err
}

// framed reports whether an inch frame fits on the face.
func (w *careful) framed() bool {
	const inch = 25.4
	x0, y0, x1, y1 := w.Grid().Edges()
	return x1-x0 >= inch && y1-y0 >= inch
}
