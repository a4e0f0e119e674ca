package run

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// fineWithAHollow is a part so fine and flat that it wrings, with a hollow of 4 um in it.
func fineWithAHollow() Setup {
	s := small()
	s.Part = Part{Recipe: &surface.Recipe{LengthMM: 40, WidthMM: 32, PitchMM: .4, Finish: surface.Fine,
		Form: surface.Form{Humps: []surface.Hump{{XMM: 20, YMM: 16, RadiusMM: 9, HeightUM: -4}}}}}
	s.Master = seat.Master{Grade: seat.True}
	return s
}

// inHollow is the share of the cells within 4 mm of the hollow's middle that
// print.
func inHollow(r *Run) float64 {
	n, all := 0.0, 0.0
	for k := range r.pigment.Colour {
		dx, dy := r.face.X(k%r.face.NX)-20, r.face.Y(k/r.face.NX)-16
		if dx*dx+dy*dy < 16 {
			all++
			if r.pigment.Coloured(k) {
				n++
			}
		}
	}
	return n / all
}

// A face that touches nearly everywhere sticks and drags: its hollow prints as
// if it touched, a hand that trusts the print leaves it, and sliding the part off
// takes time. A crossed pass over the whole face breaks it, and the hollow shows.
func TestWringingFacesDragAndACrossedPassBreaksThem(t *testing.T) {
	s := fineWithAHollow()
	s.Effects.Wringing = true
	s.Target.AreaPct = [2]float64{50, 100}
	s.Target.PointsPerIn2, s.Target.FrameMin = 0, 0
	r := begin(t, s)
	do(t, r, Act{Roll: &Roll{Film: 250}}, Act{Place: &Place{}})
	out := do(t, r, Act{Rub: &Rub{Path: circles}})
	if out.Drag < 300 {
		t.Errorf("%d thousandths drag, and at least %g do", out.Drag, 1000*blue.WringShare)
	}
	if out := do(t, r, Act{Lift: &Lift{}}); out.MS != liftMS+stuckMS {
		t.Errorf("a part that sticks is off in %d ms", out.MS)
	}
	if p := inHollow(r); p < .95 {
		t.Errorf("dragged, %.0f %% of a hollow of 4 um prints at 2.5 um", 100*p)
	}
	if !r.acceptable() {
		t.Error("a hand that trusts the print does not accept it")
	}
	do(t, r, rows(785, 500), rows(-785, 500), Act{Stone: &Stone{Passes: 1}}, Act{Wipe: &Wipe{What: "part"}}, Act{Place: &Place{}})
	if out := do(t, r, Act{Rub: &Rub{Path: circles}}); out.Drag != 0 {
		t.Errorf("crossed out, it still drags: %d thousandths", out.Drag)
	}
	if out := do(t, r, Act{Lift: &Lift{}}); out.MS != liftMS {
		t.Errorf("a part that does not stick takes %d ms to lift", out.MS)
	}
	if p := inHollow(r); p > .05 {
		t.Errorf("crossed out, %.0f %% of the hollow still prints", 100*p)
	}
	// Off, the same face prints as it is.
	off := begin(t, fineWithAHollow())
	do(t, off, printing(250)...)
	if p := inHollow(off); p > .05 {
		t.Errorf("without the effect %.0f %% of the hollow prints", 100*p)
	}
}

// What wrings is a face of the grinder's best; a scraped one does not: a few per
// cent of it touch within half a micrometre.
func TestScrapedFacesDoNotWring(t *testing.T) {
	s := small()
	s.Effects.Wringing = true
	r := begin(t, s)
	for n := range 10 {
		do(t, r, append(printing(400), rows([]int{785, -785}[n%2], 300), Act{Stone: &Stone{Passes: 1}})...)
	}
	tops := r.face.Tops(nil)
	rest, err := seat.OnBed(tops, seat.Weight(tops), seat.Stiffness)
	if err != nil {
		t.Fatal(err)
	}
	if share := blue.Touching(tops, rest.Plane, blue.WringGap); share > blue.WringShare/2 {
		t.Errorf("%.0f %% of a scraped face touch", 100*share)
	}
}

// blunted wears the blade out on strokes that take next to nothing.
func blunted(t *testing.T, r *Run) {
	t.Helper()
	for r.blade.Bluntness() < 1 {
		do(t, r, rows(0, 1))
	}
}

// A blunt edge tears pits into its marks: the face bears less than one cut sharp
// by the same strokes. Honed, a few light passes take the pits out again.
func TestABluntEdgeTears(t *testing.T) {
	bears := func(blunt, hone bool) float64 {
		s := small()
		s.Effects.Torn = true
		s.Part.Recipe.RangeUM, s.Part.Recipe.Finish = 0, surface.Fine
		s.Master = seat.Master{Grade: seat.True}
		r := begin(t, s)
		do(t, r, rows(785, 400), rows(-785, 400))
		if blunt {
			blunted(t, r)
		}
		do(t, r, rows(785, 300), rows(-785, 300))
		if hone {
			for n := range 6 {
				do(t, r, Act{Hone: &Hone{}}, rows([]int{785, -785}[n%2], 150))
			}
		}
		return truly(t, r, 5)
	}
	sharp, torn, mended, never := bears(false, false), bears(true, false), bears(true, true), bears(false, true)
	if torn > .75*sharp {
		t.Errorf("%.0f %% bear cut sharp, %.0f %% torn", sharp, torn)
	}
	if mended < .9*never {
		t.Errorf("honed and taken down lightly, %.0f %% bear, and %.0f %% of a face that was never torn", mended, never)
	}
}

// truly is what a face bears on a true plane at a film, per cent.
func truly(t *testing.T, r *Run, film float64) float64 {
	t.Helper()
	m := r.face.Heights(nil)
	rest, err := seat.OnBed(m, seat.Weight(m), seat.Stiffness)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := gauge.Bearing(m, rest.Plane, film, gauge.DefaultRule)
	return b.AreaPct
}

// Iron is scraped dry and steel wet (Scientific American's recipe for true iron
// plates: cast iron dry, steel, wrought iron and brass wet with water). Dry steel
// tears at the first stroke, throws more burr and takes more force.
func TestSteelIsCutWet(t *testing.T) {
	work := func(metal string, wet bool) (bears float64, burr int) {
		s := small()
		s.Effects.Torn = true
		s.Part.Metal = metal
		s.Part.Recipe.RangeUM, s.Part.Recipe.Finish = 0, surface.Fine
		r := begin(t, s)
		for _, dir := range []int{785, -785} {
			a := rows(dir, 400)
			a.Cut.Wet = wet
			do(t, r, a)
		}
		for _, b := range r.face.Burr {
			burr = max(burr, int(b))
		}
		return truly(t, r, 5), burr
	}
	iron, ironBurr := work("", false)
	wet, steelBurr := work("steel", true)
	dry, _ := work("steel", false)
	if math.Abs(wet-iron) > .02*iron || dry > .8*wet {
		t.Errorf("bears %.1f %% in iron, %.1f %% in wet and %.1f %% in dry steel", iron, wet, dry)
	}
	if ratio := float64(steelBurr) / float64(ironBurr); math.Abs(ratio-blade.SteelBurr) > .01 {
		t.Errorf("steel throws %.2f times the burr of iron", ratio)
	}
	force := func(metal string) float64 {
		s := small()
		s.Part.Metal = metal
		return begin(t, s).Blade().ForceFromDepth(5)
	}
	if ratio := force("steel") / force("grey-iron"); math.Abs(ratio-blade.SteelForce) > 1e-6 {
		t.Errorf("steel takes %.3f times the force of iron", ratio)
	}
	s := small()
	s.Part.Metal = "butter"
	if _, err := New(s, "", 1, 1, "", "test"); err == nil || !strings.Contains(err.Error(), "grey-iron") {
		t.Errorf("a part of butter: %v", err)
	}
}

// A power scraper is quick, all of a length and evenly deep, less surely placed,
// and short of stroke.
func TestPushAndPowerAreTwoHands(t *testing.T) {
	type laid struct {
		ms            int
		lengths, deep float64 // spread over mean
		strokes       int
	}
	work := func(drive string) laid {
		s := small()
		s.Hand = lay.Skilled
		s.Blade.Drive = drive
		r := begin(t, s)
		j, err := r.Apply(rows(785, 400).On())
		if err != nil {
			t.Fatal(err)
		}
		spread := func(of func(blade.Stroke) float64) float64 {
			var sum, sq float64
			for _, s := range j.strokes {
				sum += of(s)
				sq += of(s) * of(s)
			}
			n := float64(len(j.strokes))
			return math.Sqrt(sq/n-sum*sum/n/n) / (sum / n)
		}
		l := laid{lengths: spread(blade.Stroke.Length), deep: spread(func(s blade.Stroke) float64 { return s.DepthUM }), strokes: j.Total()}
		if err := j.Finish(); err != nil {
			t.Fatal(err)
		}
		l.ms = j.Outcome().MS / l.strokes
		return l
	}
	push, power := work("push"), work("power")
	if push.ms != strokeMS || power.ms != powerMS {
		t.Errorf("%d ms a stroke pushed, %d by power", push.ms, power.ms)
	}
	if ratio := power.deep / push.deep; math.Abs(ratio-lay.PowerDepth) > .1 {
		t.Errorf("by power the depth scatters %.2f times as much", ratio)
	}
	if power.lengths > push.lengths {
		t.Errorf("lengths spread by %.3f pushed and %.3f by power", push.lengths, power.lengths)
	}
	s := small()
	s.Blade.Drive = "power"
	r := begin(t, s)
	a := rows(785, 400)
	a.Cut.Area.Length = 100*lay.PowerMostMM + 1
	if _, err := r.Do(a); err == nil || !strings.Contains(err.Error(), "at most 15 mm") {
		t.Errorf("a long stroke by power: %v", err)
	}
	s.Blade.Drive = "steam"
	if _, err := New(s, "", 1, 1, "", "test"); err == nil {
		t.Error("a steam scraper was taken")
	}
}

// Colour on the part and a clean master: bright spots on a coloured ground are
// what touches, within the highs of the usual print; a soiled master dulls them,
// wiping brings them back; and with colour on both nothing can be read.
func TestColourOnThePart(t *testing.T) {
	s := small()
	s.Effects.Film = true
	s.Master = seat.Master{Grade: seat.True}
	r := begin(t, s)
	for n := range 6 {
		do(t, r, append(printing(500), rows([]int{785, -785}[n%2], 250), Act{Stone: &Stone{Passes: 1}})...)
	}
	do(t, r, printing(250)...)
	usual := r.pigment
	bright := func(wipe bool) (n, within int, mean float64) {
		do(t, r, Act{Wipe: &Wipe{What: "part"}})
		if wipe {
			do(t, r, Act{Wipe: &Wipe{What: "master"}})
		}
		do(t, r, Act{Roll: &Roll{Film: 100, On: "part"}}, Act{Place: &Place{}}, Act{Rub: &Rub{Path: [][2]int{{1500, 0}, {0, 1500}, {-1500, 0}, {0, -1500}, {1500, 0}}}}, Act{Lift: &Lift{}})
		for k := range r.pigment.Shine {
			if r.pigment.Colour[k] == 0 && r.pigment.Shine[k] == 0 {
				t.Fatal("bare metal where colour was rolled")
			}
			mean += float64(r.pigment.Shine[k])
			if r.pigment.Coloured(k) {
				n++
				if usual.Coloured(k) {
					within++
				}
			}
		}
		return n, within, mean
	}
	n, within, clean := bright(true)
	if n == 0 || within < n*95/100 {
		t.Errorf("%d bright cells, %d of them among those of the usual print", n, within)
	}
	if r.Film() != 0 || !r.pigment.OnPart {
		t.Error("the master took a film")
	}
	if _, _, soiled := bright(false); soiled > .5*clean {
		t.Errorf("spots shine %.2f as bright off a soiled master", soiled/clean)
	}
	if again, _, _ := bright(true); again != n {
		t.Errorf("%d bright cells on a wiped master, %d before", again, n)
	}
	do(t, r, Act{Wipe: &Wipe{What: "part"}}, Act{Roll: &Roll{Film: 100, On: "part"}}, Act{Roll: &Roll{Film: 250}}, Act{Place: &Place{}}, Act{Rub: &Rub{Path: circles}}, Act{Lift: &Lift{}})
	if _, all := r.pigment.Marks(nil); all != len(r.pigment.Colour) {
		t.Errorf("with colour on both %d of %d cells are coloured", all, len(r.pigment.Colour))
	}
}

// Contrast colour halves what a hand misreads, stays until it is wiped, and is
// refused on a face that carries colour.
func TestContrast(t *testing.T) {
	misread := func(contrast bool) (strokes []blade.Stroke) {
		s := small()
		s.Hand = lay.Hand{Misread: .9}
		r := begin(t, s)
		for n := range 4 {
			do(t, r, append(printing(500), rows([]int{785, -785}[n%2], 250), Act{Stone: &Stone{Passes: 1}})...)
		}
		do(t, r, Act{Wipe: &Wipe{What: "part"}})
		if contrast {
			if _, err := r.Do(Act{Contrast: &Contrast{Colour: "blue"}}); err == nil {
				t.Error("blue under blue was taken")
			}
			do(t, r, Act{Contrast: &Contrast{Colour: "yellow"}})
		} else {
			do(t, r, Act{Turn: &Turn{}}, Act{Turn: &Turn{}}) // as many acts, the same draws
			do(t, r, Act{Place: &Place{}}, Act{Lift: &Lift{}})
		}
		do(t, r, Act{Roll: &Roll{Film: 500}}, Act{Place: &Place{}}, Act{Rub: &Rub{Path: circles}}, Act{Lift: &Lift{}})
		if got := r.pigment.Contrast; (got == "yellow") != contrast {
			t.Errorf("contrast is %q", got)
		}
		if _, err := r.Do(Act{Contrast: &Contrast{Colour: "red"}}); err == nil || !strings.Contains(err.Error(), "wipe it first") {
			t.Errorf("contrast over blue: %v", err)
		}
		spots := lay.Spots(r.pigment)
		at := [2]int{int(100 * spots[0].X), int(100 * spots[0].Y)}
		j, err := r.Apply(Act{Cut: &Cut{Depth: 250, Area: &Area{Region: whole(), Dir: -785, Length: 500, Spacing: 1300, Example: &lay.Example{Cut: [][2]int{at}}}}}.On())
		if err != nil {
			t.Fatal(err)
		}
		return j.strokes
	}
	// Every spot is misread but few: contrast changes what is cut.
	if a, b := len(misread(true)), len(misread(false)); a == b {
		t.Errorf("%d strokes with contrast, and as many without", a)
	}
	r := begin(t, small())
	do(t, r, Act{Contrast: &Contrast{Colour: "red"}}, Act{Wipe: &Wipe{What: "part"}})
	do(t, r, printing(500)[1:]...)
	if r.pigment.Contrast != "" {
		t.Error("contrast outlives wiping")
	}
}

// Flaked, a face bears less by the share of the pattern, at the depth asked for,
// within the region and nowhere else. Before acceptance it is done and called
// out; a face that a print has shown to be good is flaked without a word.
func TestFlaking(t *testing.T) {
	const depth = 2500
	half := lay.Paint(100, 40, 32, func(i, j int) bool { return i < 20 })
	for _, pattern := range blade.Patterns() {
		s := fineWithAHollow()
		s.Part.Recipe.Form = surface.Form{}
		s.Part.Recipe.LengthMM, s.Part.Recipe.WidthMM = 80, 64
		s.Target = Target{FilmUM: 2.5, AreaPct: [2]float64{50, 100}}
		region := lay.Paint(100, 80, 64, func(i, j int) bool { return true })
		r := begin(t, s)
		before := truly(t, r, 5)
		out := do(t, r, Act{Flake: &Flake{Pattern: pattern, Depth: depth, Region: region}})
		if out.Early != 1 {
			t.Errorf("%s: not called out before any print", pattern)
		}
		do(t, r, Act{Stone: &Stone{Passes: 1}})
		after := truly(t, r, 5)
		// The shallow run-out of a pocket still bears at 5 um.
		lost, deepest := (before-after)/before, 0.0
		for _, z := range r.face.Heights(nil).Z {
			deepest = math.Min(deepest, z)
		}
		if lost < .2 || lost > .4 {
			t.Errorf("%s takes %.0f %% of the bearing: common practice is a fifth to two fifths of the area", pattern, 100*lost)
		}
		if deepest < -1.2*depth/100-1 || deepest > -.8*depth/100 {
			t.Errorf("%s: the deepest pocket is %.1f um deep, %g asked for", pattern, deepest, depth/100.)
		}
		if out.Laid == 0 || out.Laid != out.Planned || out.MS != out.Laid*flakeMS {
			t.Errorf("%s: %+v", pattern, out)
		}
	}
	s := fineWithAHollow()
	s.Part.Recipe.Form = surface.Form{}
	s.Target = Target{FilmUM: 2.5, AreaPct: [2]float64{50, 100}}
	r := begin(t, s)
	do(t, r, printing(250)...)
	for n, flake := range []Flake{{Pattern: blade.HalfMoon, Depth: 1500, Region: half}, {Pattern: blade.Checker, Depth: 1500, Region: half}} {
		if out := do(t, r, Act{Flake: &flake}); out.Early != 0 {
			t.Errorf("flaking %d of an accepted face is called early", n+1)
		}
	}
	was := begin(t, s).face
	for k := range was.H {
		if r.face.X(k%was.NX) > 20+6 && (r.face.H[k] != was.H[k] || r.face.Burr[k] != 0) {
			t.Fatal("flaked beyond the region")
		}
	}
	do(t, r, rows(785, 300))
	if out := do(t, r, Act{Flake: &Flake{Pattern: blade.Checker, Depth: 1500, Region: half}}); out.Early != 1 {
		t.Error("cut since it was accepted, and flaked without a word")
	}
	for _, f := range []Flake{{Pattern: "stars", Depth: 1500, Region: half}, {Pattern: blade.Checker, Depth: 1100, Region: half}, {Pattern: blade.Checker, Depth: 5100, Region: half}, {Pattern: blade.Checker, Depth: 1500}} {
		if _, err := r.Do(Act{Flake: &f}); err == nil {
			t.Errorf("%+v was taken", f)
		}
	}
}

// A stopped flaking keeps the pockets that were cut, and replays to them.
func TestStoppedFlaking(t *testing.T) {
	r := begin(t, small())
	j, err := r.Apply(Act{Flake: &Flake{Pattern: blade.QuarterMoon, Depth: 2000, Region: whole()}}.On())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := j.Step(3); err != nil {
		t.Fatal(err)
	}
	if err := j.Stop(); err != nil {
		t.Fatal(err)
	}
	again := begin(t, small())
	if err := again.Repeat(r.Entries()); err != nil {
		t.Fatal(err)
	}
	if again.Digest() != r.Digest() || r.Digest() == begin(t, small()).Digest() {
		t.Error("a stopped flaking does not replay")
	}
}

// The rim that is chamfered away is no part of the face: it does not print, is
// not counted and carries no burr; a second, narrower chamfer takes nothing.
func TestChamfer(t *testing.T) {
	s := small()
	s.Effects.Edges = true
	r := begin(t, s)
	rim := func() (cells, burred int) {
		for k, b := range r.face.Burr {
			x, y := r.face.X(k%r.face.NX), r.face.Y(k/r.face.NX)
			if x > 1 && y > 1 && x < 39 && y < 31 {
				continue
			}
			if r.face.Metal(k) {
				cells++
			}
			if b > 0 {
				burred++
			}
		}
		return
	}
	if cells, burred := rim(); burred == 0 || cells == 0 {
		t.Fatal("the edges are not sharp")
	}
	do(t, r, Act{Stone: &Stone{Passes: 5}})
	if _, burred := rim(); burred == 0 {
		t.Error("a stone takes an edge's burr off for good")
	}
	was := r.face.Cells()
	do(t, r, Act{Chamfer: &Chamfer{Width: 100}})
	if cells, burred := rim(); cells != 0 || burred != 0 {
		t.Errorf("%d cells of the rim are left, %d with burr", cells, burred)
	}
	digest := r.Digest()
	do(t, r, Act{Chamfer: &Chamfer{Width: 50}})
	if r.Digest() != digest {
		t.Error("a narrower chamfer takes more")
	}
	do(t, r, rows(785, 300), rows(-785, 300))
	if _, burred := rim(); burred > was/100 {
		t.Errorf("%d cells of a chamfer carry burr", burred)
	}
	do(t, r, printing(800)...)
	for k := range r.pigment.Colour {
		if !r.face.Metal(k) && r.pigment.Coloured(k) {
			t.Fatal("a chamfer prints")
		}
	}
	if _, err := begin(t, s).Do(Act{Chamfer: &Chamfer{Width: 5}}); err == nil {
		t.Error("a chamfer of 0.05 mm was taken")
	}
	tiny := small()
	tiny.Part.Recipe.LengthMM = 10
	if _, err := begin(t, tiny).Do(Act{Chamfer: &Chamfer{Width: 300}}); err == nil || !strings.Contains(err.Error(), "too little") {
		t.Errorf("a chamfer of most of the face: %v", err)
	}
}

// Everything switched on at once replays bit for bit, acts of every kind among
// it.
func TestReplayWithEverythingOn(t *testing.T) {
	s := small()
	s.Effects = Effects{Film: true, Grit: true, Edges: true, Wringing: true, Torn: true}
	s.Part.Metal = "steel"
	r := begin(t, s)
	do(t, r, Act{Roll: &Roll{Film: 800, Passes: 1}}, Act{Place: &Place{X: 300}}, Act{Rub: &Rub{Path: circles, Press: 30, Load: [2]int{2000, 1600}}}, Act{Lift: &Lift{}})
	wet := rows(785, 600)
	wet.Cut.Wet = true
	do(t, r, wet, Act{Stone: &Stone{Passes: 1}}, Act{Place: &Place{}}, Act{Rub: &Rub{Path: circles}}, Act{Lift: &Lift{}})
	do(t, r, Act{Chamfer: &Chamfer{Width: 60}}, Act{Change: &Change{Radius: 9000, Width: 2000, Handle: 524, Drive: "power"}}, rows(-785, 500), Act{Wipe: &Wipe{What: "part"}},
		Act{Contrast: &Contrast{Colour: "red"}}, Act{Roll: &Roll{Film: 400}}, Act{Turn: &Turn{}}, Act{Place: &Place{}}, Act{Rub: &Rub{Path: circles}}, Act{Lift: &Lift{}},
		Act{Wipe: &Wipe{What: "master"}}, Act{Wipe: &Wipe{What: "part"}}, Act{Roll: &Roll{Film: 100, On: "part"}}, Act{Place: &Place{}}, Act{Rub: &Rub{Path: circles}}, Act{Lift: &Lift{}},
		Act{Flake: &Flake{Pattern: blade.HalfMoon, Depth: 2000, Region: whole()}}, Act{SignOff: &SignOff{}})
	l, err := Read(bytes.NewReader(written(t, r)))
	if err != nil {
		t.Fatal(err)
	}
	again, err := Replay(l, nil)
	if err != nil {
		t.Fatal(err)
	}
	if again.Digest() != r.Digest() || again.MS() != r.MS() || !bytes.Equal(again.pigment.Colour, r.pigment.Colour) || !bytes.Equal(again.pigment.Shine, r.pigment.Shine) {
		t.Error("replayed, it differs")
	}
	f, err := r.Fork(8)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Repeat(r.Entries()[8:]); err != nil || f.Digest() != r.Digest() {
		t.Errorf("forked and gone on with, it differs (%v)", err)
	}
}

// What an act costs on iron: every cure has its time.
func TestCuresTakeTime(t *testing.T) {
	r := begin(t, small())
	for _, c := range []struct {
		act Act
		ms  int
	}{
		{Act{Stone: &Stone{Passes: 2}}, 240_000}, {Act{Wipe: &Wipe{What: "part"}}, 90_000}, {Act{Wipe: &Wipe{What: "master"}}, 90_000},
		{Act{Roll: &Roll{Film: 300}}, 180_000}, {Act{Roll: &Roll{Film: 300, Passes: 2}}, 90_000}, {Act{Roll: &Roll{Film: 300, Passes: 6}}, 270_000},
		{Act{Place: &Place{}}, 30_000}, {Act{Soak: &Soak{MS: 900_000}}, 900_000},
		{Act{Lift: &Lift{}}, 20_000}, {Act{Turn: &Turn{}}, 10_000}, {Act{Place: &Place{X: 1500}}, 30_000}, {Act{Lift: &Lift{}}, 20_000},
		{Act{Contrast: &Contrast{Colour: "red"}}, 60_000}, {Act{Chamfer: &Chamfer{Width: 50}}, 300_000}, {Act{Hone: &Hone{}}, 180_000},
	} {
		if out := do(t, r, c.act); out.MS != c.ms {
			t.Errorf("%s takes %d ms, want %d", c.act.Kind(), out.MS, c.ms)
		}
	}
	if out := do(t, r, rows(785, 600)); out.Laid == 0 || out.MS != 2000*out.Laid {
		t.Errorf("%d strokes take %d ms, want two seconds each", out.Laid, out.MS)
	}
}
