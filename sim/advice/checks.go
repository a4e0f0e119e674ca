package advice

import (
	"cmp"
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// watch is what a teacher remembers of a run.
type watch struct {
	prints    []print
	film      float64 // um on the master
	filmUsed  bool    // it has printed since it was rolled
	burry     bool    // cut since the last stoning
	stoned    int     // passes of the stone since the last cut
	chips     bool    // cut since the part was wiped
	skin      int     // passes over the whole face so far
	lastDir   int     // mrad, of the last area pass
	hadPass   bool
	alongside int          // passes in a row along the one before
	cuts      []cut        // since the last print
	pivots    []pivot      // since the last cut
	supports  *run.Support // nil before the part was set up
	gauged    bool         // the indicator was drawn since the last cut
	cutSince  bool
	turned    bool // of the last print
}

// print is a print as it was read.
type print struct {
	run.Print
	film   float64
	zones  [3][3]float64 // share coloured, rows across, columns along
	tiles  []float64     // share coloured of squares of tileMM
	nx, ny int
	x0, y0 float64
	turned bool
	cutted bool // metal was cut since the print before
}

func (p print) area() float64   { return float64(p.Permille) / 10 }
func (p print) perIn2() float64 { return float64(p.PerIn2) / 100 }

// cut is a pass since the last print.
type cut struct {
	region lay.Region
	dir    int
	depth  float64
}

const tileMM = 2.0

// Advice that a check may give.
func (w *watch) say(id string, cycle int, happened, try string) Advice {
	for _, rules := range [][]Rule{Rules, More} {
		for _, r := range rules {
			if r.ID == id {
				return Advice{ID: id, Rule: r.N, Cycle: cycle, Happened: happened, Try: try}
			}
		}
	}
	panic("advice: no rule has the check " + id)
}

// notice lists what an act calls for, the gravest first.
func (w *watch) notice(r *run.Run, e *run.Entry) []Advice {
	a := e.Act
	switch {
	case a.Roll != nil:
		w.film, w.filmUsed = float64(a.Roll.Film)/100, false
	case a.Stone != nil:
		w.burry = false
		w.stoned += a.Stone.Passes
		if w.stoned > enoughStoning {
			return []Advice{w.say("stoned-long", r.Prints(),
				"The burrs went with the first passes of the stone; what it takes from now on is your time, and on iron the tops of the points.",
				"Wipe, and print.")}
		}
	case a.Wipe != nil && a.Wipe.What == "part":
		w.chips = false
	case a.Place != nil:
		return w.placed(r, a.Place)
	case a.Rub != nil:
		return w.rubbed(r, a.Rub)
	case e.Out.Print != nil:
		return w.printed(r, e.Out.Print)
	case a.Cut != nil:
		return w.cutting(r, a.Cut)
	case a.Bridge != nil, a.Indicate != nil:
		w.gauged = w.gauged || a.Indicate != nil
		return append(w.standing(r), w.measured(r, e)...)
	case a.Push != nil:
		w.pivots = append(w.pivots, pivot{e.Out.Pivot, a.Push.At})
	case a.Support != nil:
		w.supports = a.Support
	case a.Flake != nil && e.Out.Early > 0:
		return []Advice{w.say("flake-early", r.Prints(),
			"You flaked a face that no print has shown to be good, and pockets hide what is wrong under them.",
			"Bring it to the target and have it accepted, then flake.")}
	}
	return nil
}

// enoughStoning is the passes of the stone beyond which it has nothing to take: each
// leaves a fiftieth of a burr (blade.BurrLeft).
const enoughStoning = 4

// pivot is where the part turned when it was pushed at a place, 10 um.
type pivot struct {
	run.Pivot
	at [2]int
}

// hingeBand is how far, in thousandths of its length, a hinge may lie from that of even
// pressure.
const hingeBand = 50

// What one push in a hinge test says of the form.
const (
	Hollow = "hollow" // its ends bear
	Crown  = "crown"  // its middle does
	Even   = "even"   // it turns as even pressure would have it, seen from that end
)

// Hinge is what a pivot says of the form.
func Hinge(p run.Pivot) string {
	switch off := p.Far - p.Even; {
	case off < -hingeBand:
		return Hollow
	case off > hingeBand:
		return Crown
	}
	return Even
}

// hinge is what the pivots found since the last cut say of the form: the first that is not
// even, even where both ends are, or nothing.
func (w *watch) hinge() string {
	ends := map[bool]bool{}
	for _, p := range w.pivots {
		if form := Hinge(p.Pivot); form != Even {
			return form
		}
		ends[p.X > p.at[0]] = true
	}
	if len(ends) == 2 {
		return Even
	}
	return ""
}

// Supports of a long part stand at these shares of its length from the ends: between
// the points of least sag and those at which the ends stay level, and some more.
const (
	supportLeast, supportMost = .19, .25
	// A part longer than so many thicknesses bends under its own weight by what blue
	// tells.
	longPart = 8.0
)

// long is how many thicknesses the part is long, where it can bend; else 0.
func long(r *run.Run) float64 {
	s := r.Header().Setup
	if !s.Effects.Bending {
		return 0
	}
	thick := s.Part.Stock.ThicknessMM
	if thick == 0 {
		thick = run.ThicknessMM
	}
	x0, _, x1, _ := r.Grid().Edges()
	return (x1 - x0) / thick
}

// standing looks at how a part that can bend stands while something is laid on it.
func (w *watch) standing(r *run.Run) (out []Advice) {
	if long(r) < longPart || w.supports == nil {
		return nil
	}
	if w.supports.Clamp {
		out = append(out, w.say("clamped", r.Prints(),
			"The part is clamped down, and what is seen of it now springs away when the clamps come off.",
			"Loosen the clamps before you print or measure."))
	}
	x0, _, x1, _ := r.Grid().Edges()
	for _, p := range w.supports.Points {
		end := math.Min(float64(p[0])/100-x0, x1-float64(p[0])/100) / (x1 - x0)
		if end < supportLeast || end > supportMost {
			return append(out, w.say("supports", r.Prints(),
				fmt.Sprintf("A support stands at %.0f %% of the length from the end, where a long part sags or arches.", 100*end),
				"Set it on two supports at 22 % from either end, and leave them there."))
		}
	}
	return out
}

// masterOf is what the master of a run is called.
func masterOf(r *run.Run) string {
	return string(cmp.Or(r.Header().Setup.Master.Kind, seat.SurfacePlate))
}

// placed looks at how much hangs over: of the part over a plate, or of a master that is
// laid on the part over that.
func (w *watch) placed(r *run.Run, p *run.Place) []Advice {
	m := r.Header().Setup.Master
	x0, y0, x1, y1 := r.Grid().Edges()
	off := func(at int, part, master float64) bool {
		upper, lower := part, master
		if m.OnPart() {
			upper, lower = master, part
		}
		return master > 0 && math.Abs(float64(at)/100)+upper/2-lower/2 > upper/4
	}
	switch {
	case !off(p.X, x1-x0, m.LengthMM) && !off(p.Y, y1-y0, m.WidthMM):
	case m.OnPart():
		return []Advice{w.say("off-plate", r.Prints()+1,
			"More than a quarter of the "+masterOf(r)+" hangs over the edge of the part, so it tips and bears on that edge.",
			"Lift it and lay it with its middle on the part.")}
	default:
		return []Advice{w.say("off-plate", r.Prints()+1,
			"More than a quarter of the part hangs over the plate, so what hangs cannot take colour and the rest tips.",
			"Lift it and set it down whole on the plate.")}
	}
	return nil
}

// warmK is how far from the master's warmth, K, a part is told of.
const warmK = 0.5

// longRubMM is the length of rub from which a finishing print smears.
const longRubMM = 200.0

func (w *watch) rubbed(r *run.Run, rub *run.Rub) (out []Advice) {
	cycle := r.Prints() + 1
	if w.burry {
		out = append(out, w.say("stone", cycle,
			"This print is taken over burrs, which hold the part up and mark metal that is not high.",
			"Lift, stone the face, wipe it and print again."))
	}
	if rub.Press > 0 {
		out = append(out, w.say("press", cycle,
			"You leaned on the part, and a part that is pressed bends and tips towards the hand.",
			"Print again and let its own weight do it."))
	}
	if warmer := r.WarmerK(); math.Abs(warmer) >= warmK {
		out = append(out, w.say("warm", cycle,
			fmt.Sprintf("The part is %.1f K off the master's warmth, and a part that warms or cools on one side bows.", warmer),
			"Let it soak until both are alike, and print twice the same before you cut."))
	}
	if r.Header().Setup.Effects.Grit && w.chips {
		out = append(out, w.say("wipe", cycle,
			"Chips of the last pass lie on the face, and one of them holds the whole part up.",
			"Lift, wipe part and "+masterOf(r)+", and print again."))
	}
	if r.Header().Setup.Master.OnPart() {
		out = append(out, w.standing(r)...)
	}
	if w.filmUsed {
		out = append(out, w.say("old-film", cycle,
			"This film has printed before, so it is patchy and the next colour will be too.",
			"Wipe the "+masterOf(r)+" and roll a fresh film for every print."))
	}
	w.filmUsed = true
	length, at := 0.0, [2]int{}
	for _, p := range rub.Path {
		length += math.Hypot(float64(p[0]-at[0]), float64(p[1]-at[1])) / 100
		at = p
	}
	if w.film <= finishFilm && length > longRubMM {
		out = append(out, w.say("long-rub", cycle,
			fmt.Sprintf("A rub of %.0f mm smears a thin film, and smear looks like contact.", length),
			"A few short strokes are enough when you finish."))
	}
	return out
}

// finishFilm is the film, um, up to which a print is a finishing one.
const finishFilm = 3.0

func (w *watch) printed(r *run.Run, p *run.Print) (out []Advice) {
	reading, _ := r.Reading()
	now := read(reading)
	now.Print, now.film, now.turned, now.cutted = *p, w.film, r.Turned(), w.cutSince
	target := r.Header().Setup.Target
	if n := len(w.prints); n > 0 {
		last := w.prints[n-1]
		if !now.cutted && now.turned != last.turned && now.film == last.film && alike(now, last) < .5 {
			out = append(out, w.say("disagree", p.N,
				"Turned half round, the same face prints otherwise, so one of the two prints is false.",
				"Cut nothing: wipe, stone and look to the "+masterOf(r)+" until both agree."))
		}
		finishing := now.film <= finishFilm && last.film == now.film && now.cutted
		if finishing && now.perIn2() < .85*last.perIn2() && last.perIn2() > 3 {
			out = append(out, w.say("fell", p.N,
				fmt.Sprintf("Points fell from %.0f to %.0f, so the last marks went through spots or into their neighbours.", last.perIn2(), now.perIn2()),
				"Cut half as deep in the next pass."))
		} else if n > 1 && finishing && w.prints[n-2].film == now.film && now.perIn2() < target.PointsPerIn2 &&
			now.perIn2() <= 1.05*w.prints[n-2].perIn2() {
			out = append(out, w.say("stall", p.N,
				fmt.Sprintf("Points have stood at about %.0f for two cycles, so the marks are too long or too deep for more.", now.perIn2()),
				"Make them no longer than the spots are apart, and half as deep."))
		}
		if n > 2 && now.film > finishFilm && w.prints[n-3].film == now.film && now.area() <= w.prints[n-3].area()+1 {
			out = append(out, w.say("rate", p.N,
				"Three cycles at this film have brought no more blue, so the stage gives no more.",
				"Change something: a thinner film with lighter marks, or deeper rows if most of it is bare."))
		}
	}
	if !w.gauged && long(r) >= longPart && now.film <= target.FilmUM && now.perIn2() >= target.PointsPerIn2 && now.area() >= target.AreaPct[0] {
		out = append(out, w.say("thin", p.N,
			"The print is good, but so long a part gives way to the "+masterOf(r)+", and blue alone does not show its own shape.",
			"Set it free on its supports and draw the indicator along it."))
	}
	switch {
	case now.area() > 65 && now.film > target.FilmUM:
		out = append(out, w.say("blue-all-over", p.N,
			fmt.Sprintf("At %.1f um the face is blue nearly all over, and a film thicker than the error shows none of it.", now.film),
			"Wipe, roll thinner and print again before you cut."))
	case now.area() > 60 && now.film <= target.FilmUM:
		out = append(out, w.say("broad-bearing", p.N,
			"Most of the face bears in broad patches, and such a face holds no oil and sticks.",
			"Split every patch with single marks across it."))
	case now.film <= target.FilmUM && now.perIn2() >= target.PointsPerIn2 && now.area() < min(20, target.AreaPct[0]):
		out = append(out, w.say("thin-bearing", p.N,
			fmt.Sprintf("There are points enough but only %.0f %% bears, for the marks between them are deep.", now.area()),
			"Take very light passes over the tops and make no new deep mark."))
	}
	w.prints = append(w.prints, now)
	w.cuts, w.cutSince = nil, false
	return out
}

// read takes a reading in by zones and tiles.
func read(r *blue.Reading) print {
	x0, y0, x1, y1 := r.Edges()
	p := print{nx: int(math.Ceil((x1 - x0) / tileMM)), ny: int(math.Ceil((y1 - y0) / tileMM)), x0: x0, y0: y0}
	p.tiles = make([]float64, p.nx*p.ny)
	cells := make([]float64, len(p.tiles))
	var zone [3][3]float64
	// The cells of a row that lie in one tile and one zone are counted at once.
	tileOf := func(i int) int { return min(p.nx-1, int((r.X(i)-x0)/tileMM)) }
	var begins []int
	for i := range r.NX {
		if i == 0 || tileOf(i) != tileOf(i-1) || i*3/r.NX != (i-1)*3/r.NX {
			begins = append(begins, i)
		}
	}
	for j := range r.NY {
		row, down := min(p.ny-1, int((r.Y(j)-y0)/tileMM))*p.nx, j*3/r.NY
		for n, from := range begins {
			to := r.NX
			if n+1 < len(begins) {
				to = begins[n+1]
			}
			coloured, metal := r.ColouredIn(j*r.NX+from, j*r.NX+to)
			t, along := row+tileOf(from), from*3/r.NX
			cells[t] += float64(metal)
			p.tiles[t] += float64(coloured)
			zone[down][along] += float64(metal)
			p.zones[down][along] += float64(coloured)
		}
	}
	for t, n := range cells {
		p.tiles[t] /= max(1, n)
	}
	for j := range zone {
		for i := range zone[j] {
			p.zones[j][i] /= max(1, zone[j][i])
		}
	}
	return p
}

// alike is the overlap over union of the blue tiles of two prints.
func alike(a, b print) float64 {
	both, either := 0.0, 0.0
	for t := range a.tiles {
		x, y := a.tiles[t] > .2, b.tiles[t] > .2
		if x && y {
			both++
		}
		if x || y {
			either++
		}
	}
	if either == 0 {
		return 1
	}
	return both / either
}

// columns and rows of the zones, in the mean.
func (p print) columns() (c [3]float64) {
	for j := range p.zones {
		for i := range p.zones[j] {
			c[i] += p.zones[j][i] / 3
		}
	}
	return c
}

func (p print) rows() (c [3]float64) {
	for j := range p.zones {
		for i := range p.zones[j] {
			c[j] += p.zones[j][i] / 3
		}
	}
	return c
}

// form is what the blue of a print shows: hollow, crown, edge, twist, or nothing
// of the kind.
func (p print) form() string {
	const some, none, little = .1, .03, .2
	c, r := p.columns(), p.rows()
	z := p.zones
	switch {
	case z[0][0] > some && z[2][2] > some && z[0][2] < none && z[2][0] < none && z[1][1] < some,
		z[0][2] > some && z[2][0] > some && z[0][0] < none && z[2][2] < none && z[1][1] < some:
		return "twist"
	case c[0] > some && c[2] > some && c[1] < little*math.Min(c[0], c[2]):
		return "hollow"
	case c[1] > some && math.Max(c[0], c[2]) < little*c[1]:
		return "crown"
	case r[0] > some && r[1] < none && r[2] < none, r[2] > some && r[1] < none && r[0] < none:
		return "edge"
	}
	return ""
}

// painted is the share of each zone that a region takes.
func (p print) painted(region lay.Region) (out [3][3]float64) {
	var all [3][3]float64
	for t := range p.tiles {
		i, j := t%p.nx, t/p.nx
		zi, zj := i*3/p.nx, j*3/p.ny
		all[zj][zi]++
		if region.Contains(p.x0+(float64(i)+.5)*tileMM, p.y0+(float64(j)+.5)*tileMM) {
			out[zj][zi]++
		}
	}
	for j := range out {
		for i := range out[j] {
			out[j][i] /= max(1, all[j][i])
		}
	}
	return out
}

func (w *watch) cutting(r *run.Run, c *run.Cut) (out []Advice) {
	cycle := r.Prints()
	w.burry, w.cutSince, w.chips, w.stoned = true, true, true, 0
	say := func(id, happened, try string) { out = append(out, w.say(id, cycle, happened, try)) }
	if r.Blade().CutMM > blade.EdgeLife/2 {
		say("blunt", "The edge is worn, so marks come out uneven and torn.", "Hone it before the next pass.")
	}
	var p print
	have := len(w.prints) > 0
	if have {
		p = w.prints[len(w.prints)-1]
	}
	if c.Area == nil {
		w.pivots, w.gauged = nil, false
		if have && p.perIn2() < 3 {
			say("rows-first", "There are hardly any points yet, and single strokes bring a form down too slowly.",
				"Take the blue regions down in rows.")
		}
		return out
	}
	a := c.Area
	depth := float64(c.Depth) / 100
	if c.Force > 0 {
		depth = r.Blade().DepthFromForce(float64(c.Force))
	}
	x0, y0, x1, y1 := r.Grid().Edges()
	face := (x1 - x0) * (y1 - y0)
	whole := a.Example == nil && a.Region.AreaMM2() > .8*face
	if machined(r.Header().Setup.Part) && !whole && w.skin < 2 {
		why := "The machined skin is not broken, and its ridges print as if they were high places."
		if f := r.Header().Setup.Part.Recipe.Finish; f == surface.Ground || f == surface.Fine {
			why = "The ground skin is not broken, and so smooth a face may wring to the master and drag colour over hollows."
		}
		say("skin-first", why, "Cross it out first with two light passes in rows over the whole face.")
	}
	skinning := whole && w.skin < 2
	if whole {
		w.skin++
	}
	if w.hadPass {
		if alongside(a.Dir, w.lastDir) {
			w.alongside++
			say("cross", "This pass runs along the one before, and strokes in old ruts breed ripple.", "Turn the next pass by about a right angle.")
			if w.alongside >= 2 {
				say("ripple", "Three passes ran the same way, and by now the ruts show as a ripple.",
					"Lower the handle, hone, and cut across; do not press harder.")
			}
		} else {
			w.alongside = 0
		}
	}
	for _, before := range w.cuts {
		if alongside(before.dir, a.Dir) && share(before.region, a.Region, x0, y0, x1, y1) > .5 {
			say("same-groove", "The same metal was cut twice the same way in one cycle, so the second stroke follows the groove of the first.",
				"Cross the second pass, or set it off by a mark's width.")
		} else if !skinning && share(before.region, a.Region, x0, y0, x1, y1) < .2 && (depth > 1.6*before.depth || before.depth > 1.6*depth) {
			say("more-passes", "Two places were cut to different depths in one cycle, and the deep one is left rougher than the rest.",
				"Keep one depth, and give the place that must drop more another pass.")
		}
	}
	w.cuts = append(w.cuts, cut{a.Region, a.Dir, depth})
	w.lastDir, w.hadPass = a.Dir, true
	hinge := w.hinge()
	w.pivots, w.gauged = nil, false
	if !have || skinning {
		return out
	}
	return append(append(out, w.byHinge(r, p, a, hinge)...), w.byPrint(r, p, a, depth)...)
}

// byHinge is what a pass calls for, held against where the part turned before it.
func (w *watch) byHinge(r *run.Run, p print, a *run.Area, hinge string) (out []Advice) {
	if a.Example != nil {
		return nil
	}
	z := p.painted(a.Region)
	c := print{zones: z}.columns()
	say := func(id, happened, try string) { out = append(out, w.say(id, r.Prints(), happened, try)) }
	switch {
	case hinge == Hollow && c[1] > .3:
		say("hinge-form", "It swung about a place near its end, so it bears at the ends, and you cut the middle, which is low.", "Work the ends and swing it again.")
	case hinge == Crown && (c[0] > .3 || c[2] > .3):
		say("hinge-form", "It swung about a place near its middle, so it bears in the middle, and you cut an end, which is low.", "Work the middle and swing it again.")
	case hinge == Even && p.film > finishFilm && p.everywhere():
		say("hinge-even", "It swings from both ends as a flat part does and blue comes everywhere, so rows take down what is true already.", "Go over to single marks and a thinner film.")
	}
	return out
}

// everywhere reports whether each ninth of the face carries colour.
func (p print) everywhere() bool {
	for _, row := range p.zones {
		for _, v := range row {
			if v < .1 {
				return false
			}
		}
	}
	return true
}

// machined reports whether a part comes with a machined skin, which is to be broken
// before its prints are trusted. A worn face was scraped once and has none.
func machined(p run.Part) bool {
	return p.Recipe != nil && p.Recipe.Finish != "" && !p.Worn()
}

// byPrint is what a pass calls for, held against the print that it went by.
func (w *watch) byPrint(r *run.Run, p print, a *run.Area, depth float64) (out []Advice) {
	cycle := r.Prints()
	target := r.Header().Setup.Target
	say := func(id, happened, try string) { out = append(out, w.say(id, cycle, happened, try)) }
	z := p.painted(a.Region)
	columns := print{zones: z}.columns()
	rows := print{zones: z}.rows()
	switch p.form() {
	case "hollow":
		if columns[1] > .3 && a.Example == nil {
			say("hollow-middle", "Blue lies at both ends alone and you cut the middle, which is low already.", "Work the ends and leave the middle bare.")
		}
	case "crown":
		if (columns[0] > .3 || columns[2] > .3) && a.Example == nil {
			say("crown-ends", "Blue lies in the middle alone and you cut an end, which is low already.", "Work the middle and let the blue come to the ends.")
		}
	case "edge":
		far := 2
		if p.rows()[2] > p.rows()[0] {
			far = 0
		}
		if rows[far] > .3 && a.Example == nil {
			say("edge-only", "Blue lies along one edge and you cut the far side, which is low already.", "Work the blue edge, feathered inwards.")
		}
	case "twist":
		one, other := z[0][0], z[2][2]
		if p.zones[0][2] > p.zones[0][0] {
			one, other = z[0][2], z[2][0]
		}
		if (one > 1.6*other || other > 1.6*one) && a.Example == nil {
			say("twist-corners", "Two opposite corners stand high and you cut one more than the other, which turns the twist into a slope.",
				"Give both corners the same rows.")
		}
	}
	if p.perIn2() < 3 && a.Example != nil {
		say("rows-first", "There are hardly any points yet, and single marks bring a form down too slowly.", "Take the blue regions down in rows.")
	}
	// Of what was painted, how much was bare; of the blue rim, how much was left.
	var painted, bare, long, rim, rimLeft float64
	for t, blue := range p.tiles {
		i, j := t%p.nx, t/p.nx
		in := a.Region.Contains(p.x0+(float64(i)+.5)*tileMM, p.y0+(float64(j)+.5)*tileMM)
		if in {
			painted++
			if blue < .02 {
				bare++
				if n := len(w.prints); n > 1 && t < len(w.prints[n-2].tiles) && w.prints[n-2].tiles[t] < .02 {
					long++
				}
			}
		}
		if (i == 0 || j == 0 || i == p.nx-1 || j == p.ny-1) && blue > .2 {
			rim++
			if !in {
				rimLeft++
			}
		}
	}
	finishing := p.film <= finishFilm
	if a.Example == nil && painted > 0 {
		switch {
		case finishing && bare > .5*painted:
			say("bare", "More than half of what you cut carried no blue, and each mark off the blue costs a cycle.", "Paint the spots alone, or point at examples.")
		case !finishing && long > .4*painted:
			say("low-third", "You cut where two prints running showed nothing, and that is where the finishing line lies.",
				"Leave it until the rest has come down to it.")
		}
	}
	if rim >= 4 && rimLeft > .6*rim && a.Region.AreaMM2() > 0 {
		say("rim", "The rim is blue and you left it, and a rim that is left ends by carrying the whole part.",
			"Cut it with its neighbours, starting at the edge or lifting out at it.")
	}
	if finishing {
		if a.Example == nil {
			say("spare-faint", "Rows take strong and faint spots alike, and a faint spot that is cut becomes a low.",
				"Point at strong spots to cut and at a faint one to spare.")
		}
		if spot := p.area() / 100 * 645.16 / math.Max(p.perIn2(), .1); a.Example != nil && a.Spacing > 3000 &&
			target.PointsPerIn2 > 0 && spot > 2*.4*645.16/target.PointsPerIn2 {
			say("split", "The patches are broad and got one mark each, which leaves them broad.", "Cut each two or three times across.")
		}
		if p.FrameMin > 0 && p.FrameMax > 2*p.FrameMin && a.Region.AreaMM2() > .8*float64(p.nx*p.ny)*tileMM*tileMM {
			say("dense-frames", fmt.Sprintf("The poorest frame counts %d and the richest %d, and you cut both alike.", p.FrameMin, p.FrameMax),
				"Skip the dense frames for a pass and work the sparse ones.")
		}
	}
	if p.film <= target.FilmUM && p.perIn2() >= target.PointsPerIn2 && p.FrameMin >= target.FrameMin &&
		p.area() >= target.AreaPct[0] && p.area() <= target.AreaPct[1] {
		say("stop", "The print met the target and you went on, and scraping past it only sinks the size.",
			"Measure, print the other way round, and sign off.")
	}
	return out
}

func (w *watch) measured(r *run.Run, e *run.Entry) []Advice {
	target := r.Header().Setup.Target
	um := float64(e.Out.Range) / 100
	if e.Act.Bridge == nil || target.BridgedUM == 0 || um <= target.BridgedUM || len(w.prints) == 0 {
		return nil
	}
	if p := w.prints[len(w.prints)-1]; p.film <= target.FilmUM && p.perIn2() >= target.PointsPerIn2 {
		return []Advice{w.say("geometry", r.Prints(),
			fmt.Sprintf("Points are there but the block swings %.1f um, so the face fits the %s nearby and is not flat.", um, masterOf(r)),
			"Go back to rows over the high zone, and accept that points will go.")}
	}
	return nil
}

// alongside reports whether two directions, mrad, lie within 30 degrees, as marks do.
func alongside(a, b int) bool {
	const half = 3141.593
	d := math.Mod(math.Abs(float64(a-b)), half)
	return math.Min(d, half-d) < 524
}

// share is the overlap of two regions over the smaller of them, looked at in
// millimetres.
func share(a, b lay.Region, x0, y0, x1, y1 float64) float64 {
	var inA, inB, both float64
	for y := y0 + .5; y < y1; y++ {
		for x := x0 + .5; x < x1; x++ {
			p, q := a.Contains(x, y), b.Contains(x, y)
			if p {
				inA++
			}
			if q {
				inB++
			}
			if p && q {
				both++
			}
		}
	}
	return both / math.Max(1, math.Min(inA, inB))
}
