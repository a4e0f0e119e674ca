package run

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// small is a job on a small milled part.
func small() Setup {
	return Setup{
		Part:   Part{Recipe: &surface.Recipe{LengthMM: 40, WidthMM: 32, PitchMM: .4, RangeUM: 20, Finish: "milled"}},
		Master: seat.Master{Grade: seat.DIN8760, LengthMM: 250, WidthMM: 200},
		Blade:  Change{Radius: 9000, Width: 2000, Handle: 524},
		Hand:   lay.Skilled,
		Target: Target{FilmUM: 2.5, PointsPerIn2: 20, FrameMin: 12, AreaPct: [2]float64{30, 50}, BridgedUM: 5, BareUM: [2]float64{3, 8}},
	}
}

func begin(t *testing.T, s Setup) *Run {
	t.Helper()
	r, err := New(s, "test", 7, 11, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func do(t *testing.T, r *Run, acts ...Act) Outcome {
	t.Helper()
	var out Outcome
	for _, a := range acts {
		var err error
		if out, err = r.Do(a); err != nil {
			t.Fatalf("%s: %v", a.Kind(), err)
		}
	}
	return out
}

var circles = [][2]int{{500, 0}, {0, 500}, {-500, 0}, {0, -500}}

func printing(film int) []Act {
	return []Act{{Wipe: &Wipe{What: "part"}}, {Roll: &Roll{Film: film}}, {Place: &Place{}}, {Rub: &Rub{Path: circles}}, {Lift: &Lift{}}}
}

func whole() lay.Region { return lay.Paint(100, 40, 32, func(i, j int) bool { return true }) }

func rows(dir, depth int) Act {
	return Act{Cut: &Cut{Depth: depth, Area: &Area{Region: whole(), Dir: dir, Length: 1000, Spacing: 800}}}
}

// session is a run with every act that this physics has.
func session(t *testing.T, r *Run) {
	do(t, r, printing(800)...)
	do(t, r, rows(785, 600))
	do(t, r, Act{Stone: &Stone{Passes: 2}}, Act{Hone: &Hone{}}, Act{Change: &Change{Radius: 6000, Width: 1500, Handle: 500}})
	do(t, r, Act{Turn: &Turn{}})
	do(t, r, printing(500)...)
	do(t, r, Act{Frame: &Frame{At: [2]int{500, 400}}}, Act{Predict: &Predict{Region: whole(), Sure: 2}})
	do(t, r, Act{Cut: &Cut{Force: 90, Stroke: &Line{From: [2]int{500, 500}, To: [2]int{1100, 900}}}})
	do(t, r, Act{Cut: &Cut{Depth: 300, Row: &Row{Line: Line{From: [2]int{200, 600}, To: [2]int{3600, 600}}, Length: 600}}})
	do(t, r, printing(800)...)
	reading, _ := r.Reading()
	s := lay.Spots(reading)
	if len(s) == 0 {
		t.Fatal("nothing printed")
	}
	at := [2]int{int(100 * s[0].X), int(100 * s[0].Y)}
	do(t, r, Act{Cut: &Cut{Depth: 250, Area: &Area{Region: whole(), Dir: -785, Length: 500, Spacing: 1300, Example: &lay.Example{Cut: [][2]int{at}}}}})
	do(t, r, Act{Wipe: &Wipe{What: "master"}})
	do(t, r, printing(250)...)
	do(t, r, Act{Indicate: &Indicate{}}, Act{Bridge: &Bridge{}}, Act{Declare: &Declare{PointsPerIn2: new(5), FrameMin: new(0), AreaPct: new(3)}}, Act{SignOff: &SignOff{}})
}

// written is the log of a run, sealed.
func written(t *testing.T, r *Run) []byte {
	t.Helper()
	var b bytes.Buffer
	w, err := NewWriter(&b, r.Header())
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range r.Entries() {
		if err := w.Entry(e); err != nil {
			t.Fatal(err)
		}
	}
	if r.Signed() {
		if err := w.Seal(Seal{Digest: r.Digest(), Acts: len(r.Entries())}); err != nil {
			t.Fatal(err)
		}
	}
	return b.Bytes()
}

// The same acts give the same heights, twice; another scatter does not.
func TestReplayIsBitForBit(t *testing.T) {
	r := begin(t, small())
	session(t, r)
	l, err := Read(bytes.NewReader(written(t, r)))
	if err != nil {
		t.Fatal(err)
	}
	again, err := Replay(l, nil)
	if err != nil {
		t.Fatal(err)
	}
	if again.Digest() != r.Digest() || again.MS() != r.MS() || again.Prints() != r.Prints() {
		t.Error("a replayed run differs")
	}
	other := l.Header
	other.ScatterSeed++
	o, err := Begin(other)
	if err != nil {
		t.Fatal(err)
	}
	do(t, o, printing(800)...)
	do(t, o, rows(785, 600))
	one := begin(t, small())
	do(t, one, printing(800)...)
	do(t, one, rows(785, 600))
	if o.Digest() == one.Digest() {
		t.Error("another scatter seed scatters alike")
	}
}

// Whatever byte a crash stops the log at, what was written before it replays to
// the state that the run had then.
func TestCrashAtAnyByte(t *testing.T) {
	r := begin(t, small())
	digests := []string{r.Digest()}
	r.Record = func(Entry) error {
		digests = append(digests, r.Digest())
		return nil
	}
	session(t, r)
	log := written(t, r)
	// Replaying is the slow part: replay each length of log once, and hold what
	// is read at each byte against it.
	ends := []int{}
	for n, b := range log {
		if b == '\n' {
			ends = append(ends, n+1)
		}
	}
	replayed := map[int]bool{}
	for cut := 0; cut <= len(log); cut++ {
		l, err := Read(bytes.NewReader(log[:cut]))
		lines := 0
		for lines < len(ends) && ends[lines]-1 <= cut { // a line without its newline stands
			lines++
		}
		if lines == 0 {
			if err == nil {
				t.Fatalf("byte %d: half a header was taken for a run", cut)
			}
			continue
		}
		if err != nil {
			t.Fatalf("byte %d: %v", cut, err)
		}
		acts := min(lines-1, len(r.Entries()))
		if len(l.Entries) != acts {
			t.Fatalf("byte %d: %d acts read, want %d", cut, len(l.Entries), acts)
		}
		whole := ends[lines-1] == cut || ends[lines-1]-1 == cut
		if (l.Torn != 0) != !whole || l.Torn != 0 && l.Torn != lines+1 {
			t.Fatalf("byte %d: torn line %d after %d whole lines", cut, l.Torn, lines)
		}
		if replayed[lines] {
			continue
		}
		replayed[lines] = true
		again, err := Replay(l, nil)
		if err != nil {
			t.Fatalf("byte %d: %v", cut, err)
		}
		if again.Digest() != digests[acts] {
			t.Fatalf("byte %d: after %d acts the heights differ", cut, acts)
		}
	}
}

// An altered byte, a deleted or swapped line and an altered header are refused
// with the number of the line.
func TestDamageIsFoundWithItsLine(t *testing.T) {
	r := begin(t, small())
	session(t, r)
	log := written(t, r)
	lines := bytes.SplitAfter(log, []byte("\n"))
	lines = lines[:len(lines)-1]
	refused := func(what string, damaged []byte, line int) {
		t.Helper()
		_, err := Read(bytes.NewReader(damaged))
		if err == nil || !strings.HasPrefix(err.Error(), fmt.Sprintf("line %d: ", line)) {
			t.Errorf("%s: %v, want line %d", what, err, line)
		}
	}
	rng := rand.New(rand.NewPCG(1, 1))
	start := 0
	for n, line := range lines {
		for range 40 {
			at := rng.IntN(len(line) - 1)
			damaged := bytes.Clone(log)
			damaged[start+at] ^= byte(1 + rng.IntN(255))
			if damaged[start+at] == '\n' {
				continue
			}
			refused(fmt.Sprintf("line %d, byte %d", n+1, at), damaged, n+1)
		}
		start += len(line)
		if n > 0 && n < len(lines)-1 {
			refused("deleted", bytes.Join(append(append([][]byte{}, lines[:n]...), lines[n+1:]...), nil), n+1)
			swapped := append([][]byte{}, lines...)
			swapped[n], swapped[n+1] = swapped[n+1], swapped[n]
			refused("swapped", bytes.Join(swapped, nil), n+1)
		}
	}
	refused("without a header", bytes.Join(lines[1:], nil), 1)
	refused("after the seal", append(bytes.Clone(log), lines[1]...), len(lines)+1)
	other, err := New(small(), "test", 8, 11, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	do(t, other, printing(700)...)
	foreign := bytes.SplitAfter(written(t, other), []byte("\n"))
	mixed := append([][]byte{foreign[0]}, lines[1:]...)
	mixed[1] = foreign[1]
	mixed[2] = lines[2]
	refused("another run's lines", bytes.Join(mixed, nil), 3)
}

// A log that was altered and summed anew is another matter: the heights tell.
func TestForgedSealIsFound(t *testing.T) {
	r := begin(t, small())
	session(t, r)
	var b bytes.Buffer
	w, _ := NewWriter(&b, r.Header())
	for _, e := range r.Entries() {
		if e.Act.Cut != nil && e.Act.Cut.Area != nil && e.Act.Cut.Area.Example == nil {
			cut, area := *e.Act.Cut, *e.Act.Cut.Area
			area.Dir++
			cut.Area = &area
			e.Act.Cut = &cut
		}
		w.Entry(e)
	}
	w.Seal(Seal{Digest: r.Digest(), Acts: len(r.Entries())})
	l, err := Read(&b)
	if err != nil {
		t.Fatal(err)
	}
	var differs *Differs
	var digest *DigestDiffers
	if _, err := Replay(l, nil); !errors.As(err, &differs) && !errors.As(err, &digest) {
		t.Errorf("a forged act replays: %v", err)
	}
	l.Header.Physics++
	if _, err := Replay(l, nil); !errors.Is(err, ErrOtherPhysics) {
		t.Errorf("another physics version: %v", err)
	}
}

// A stopped area keeps the strokes that were laid, and replays to them.
func TestStoppedCut(t *testing.T) {
	r := begin(t, small())
	do(t, r, printing(800)...)
	j, err := r.Apply(rows(785, 600).On())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Apply(Act{Hone: &Hone{}}.On()); !errors.Is(err, ErrBusy) {
		t.Errorf("a second act at once: %v", err)
	}
	if ended, err := j.Step(5); ended || err != nil {
		t.Fatal(ended, err)
	}
	if err := j.Stop(); err != nil {
		t.Fatal(err)
	}
	last := r.Entries()[len(r.Entries())-1]
	if last.Out.Laid != 5 || last.Out.Planned <= 5 {
		t.Errorf("%d of %d strokes recorded, want 5", last.Out.Laid, last.Out.Planned)
	}
	again := begin(t, small())
	if err := again.Repeat(r.Entries()); err != nil {
		t.Fatal(err)
	}
	if again.Digest() != r.Digest() {
		t.Error("a stopped cut does not replay")
	}
	// Stopped before its first stroke, nothing has happened.
	before := len(r.Entries())
	j, err = r.Apply(rows(785, 600).On())
	if err != nil {
		t.Fatal(err)
	}
	if err := j.Stop(); err != nil || len(r.Entries()) != before {
		t.Errorf("a cut without a stroke was recorded (%v)", err)
	}
}

// A fork goes another way from any act, as practice; a scored run has none before it is
// signed off.
func TestFork(t *testing.T) {
	r := begin(t, small())
	session(t, r)
	const at = 6
	f, err := r.Fork(at)
	if err != nil {
		t.Fatal(err)
	}
	again := begin(t, small())
	if err := again.Repeat(r.Entries()[:at]); err != nil {
		t.Fatal(err)
	}
	if f.Digest() != again.Digest() || f.Header().Fork == nil || f.Header().Fork.Acts != at {
		t.Error("the fork does not stand where it was taken")
	}
	do(t, f, Act{Stone: &Stone{Passes: 1}})
	if len(r.Entries()) == len(f.Entries()) {
		t.Error("the fork wrote into its parent")
	}
	s := small()
	s.Scored = true
	scored := begin(t, s)
	if err := scored.Repeat(r.Entries()[:at]); err != nil {
		t.Fatal(err)
	}
	if _, err := scored.Fork(at); err == nil {
		t.Error("a scored run was forked while it was open")
	}
	do(t, scored, Act{SignOff: &SignOff{}})
	if f, err = scored.Fork(at); err != nil {
		t.Fatal(err)
	}
	if h := f.Header(); h.Setup.Scored || h.Fork.Of != scored.Header().Sum() || f.Digest() != again.Digest() {
		t.Errorf("forked after sign-off it is scored: %v, or does not stand where it was taken", h.Setup.Scored)
	}
	if _, err := f.Truth(); err != nil {
		t.Errorf("what is tried as practice hides its truth: %v", err)
	}
}

// The truth of a scored run is locked until it is signed off.
func TestTruthLock(t *testing.T) {
	s := small()
	s.Scored = true
	r := begin(t, s)
	if _, err := r.Truth(); !errors.Is(err, ErrLocked) {
		t.Errorf("open scored run: %v", err)
	}
	do(t, r, printing(800)...)
	if reading, fresh := r.Reading(); reading == nil || !fresh {
		t.Error("a scored run hides its print")
	}
	do(t, r, Act{SignOff: &SignOff{}})
	if _, err := r.Truth(); err != nil {
		t.Error(err)
	}
	if _, err := r.Do(Act{Hone: &Hone{}}); !errors.Is(err, ErrSigned) {
		t.Errorf("an act after sign-off: %v", err)
	}
	if _, err := begin(t, small()).Truth(); err != nil {
		t.Errorf("practice: %v", err)
	}
}

// What is out of order is refused with a line that says how to mend it, and
// changes nothing.
func TestActsOutOfOrder(t *testing.T) {
	r := begin(t, small())
	refuse := func(a Act, want string) {
		t.Helper()
		before, acts := r.Digest(), len(r.Entries())
		_, err := r.Do(a)
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, want %q", a.Kind(), err, want)
		}
		if r.Digest() != before || len(r.Entries()) != acts {
			t.Errorf("%s: a refused act changed the run", a.Kind())
		}
	}
	refuse(Act{Rub: &Rub{Path: circles}}, "place it first")
	refuse(Act{Lift: &Lift{}}, "not on the master")
	refuse(Act{Frame: &Frame{}}, "print it first")
	do(t, r, Act{Place: &Place{}})
	refuse(Act{Rub: &Rub{Path: circles}}, "roll colour")
	refuse(rows(0, 500), "lift it first")
	refuse(Act{Place: &Place{}}, "already")
	do(t, r, Act{Lift: &Lift{}})
	if r.Prints() != 0 {
		t.Error("lifting an unrubbed part counts as a print")
	}
	refuse(Act{Roll: &Roll{Film: 5}}, "film")
	refuse(Act{Cut: &Cut{Depth: 500}}, "one of stroke, row and area")
	refuse(Act{Cut: &Cut{Stroke: &Line{To: [2]int{100, 0}}}}, "depth or force")
	refuse(Act{Cut: &Cut{Depth: 500, Stroke: &Line{From: [2]int{90000, 0}, To: [2]int{90500, 0}}}}, "no stroke falls on the face")
	refuse(Act{Push: &Push{}}, "place it first")
	refuse(Act{Soak: &Soak{}}, "ms is 0")
	if _, err := r.Apply(Act{Face: "part.bottom", Hone: &Hone{}, Against: "blade"}); err == nil {
		t.Error("an act on a face that is not there was taken")
	}
	s := small()
	s.Limits = Limits{Prints: 1, ActMM2: 500}
	r = begin(t, s)
	do(t, r, printing(800)...)
	refuse(rows(0, 500), "allows 500 mm^2")
	do(t, r, Act{Roll: &Roll{Film: 500}}, Act{Place: &Place{}})
	refuse(Act{Rub: &Rub{Path: circles}}, "allowance of 1 prints is used up")
}

// A log that cannot be written ends the run rather than going on unrecorded.
func TestUnwritableLogEndsTheRun(t *testing.T) {
	r := begin(t, small())
	full := errors.New("no space left")
	r.Record = func(Entry) error { return full }
	if _, err := r.Do(Act{Hone: &Hone{}}); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	if _, err := r.Do(Act{Hone: &Hone{}}); !errors.Is(err, full) {
		t.Errorf("the run went on: %v", err)
	}
}

// Unstoned burrs hold the part up and print where the metal is not high; the
// stone restores the print.
func TestUnstonedBurrsPrintFalsely(t *testing.T) {
	coloured := func(stone bool) (int, *Run) {
		r := begin(t, small())
		do(t, r, printing(800)...)
		do(t, r, rows(785, 600), rows(-785, 600))
		if stone {
			do(t, r, Act{Stone: &Stone{Passes: 1}})
		}
		do(t, r, printing(800)...)
		reading, _ := r.Reading()
		_, n := reading.Marks(nil)
		return n, r
	}
	clean, _ := coloured(true)
	burred, r := coloured(false)
	if burred*4 > clean*3 {
		t.Errorf("%d cells coloured over burrs, %d stoned", burred, clean)
	}
	onBurr := 0
	reading, _ := r.Reading()
	for k := range r.face.Burr {
		if r.face.Burr[k] > 0 && reading.Coloured(k) {
			onBurr++
		}
	}
	share := 0
	for _, b := range r.face.Burr {
		if b > 0 {
			share++
		}
	}
	if float64(onBurr)/float64(burred) < 2*float64(share)/float64(len(r.face.Burr)) {
		t.Errorf("%d of %d coloured cells on burr, which stands on %d of %d", onBurr, burred, share, len(r.face.Burr))
	}
}

func FuzzRead(f *testing.F) {
	r, err := New(small(), "test", 7, 11, "", "test")
	if err != nil {
		f.Fatal(err)
	}
	for _, a := range append(printing(800), rows(785, 600), Act{SignOff: &SignOff{}}) {
		if _, err := r.Do(a); err != nil {
			f.Fatal(err)
		}
	}
	var b bytes.Buffer
	w, _ := NewWriter(&b, r.Header())
	for _, e := range r.Entries() {
		w.Entry(e)
	}
	w.Seal(Seal{Digest: r.Digest(), Acts: len(r.Entries())})
	f.Add(b.Bytes())
	f.Add(b.Bytes()[:b.Len()/2])
	f.Add([]byte("{}\n"))
	f.Add([]byte(nil))
	f.Fuzz(func(t *testing.T, in []byte) {
		l, err := Read(bytes.NewReader(in))
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Fatalf("more than one line: %q", err)
			}
			return
		}
		// What is read can be begun or is refused; neither panics.
		if l.Header.Setup.Part.Recipe == nil || l.Header.Setup.Part.Recipe.LengthMM < 50 {
			if r, err := Begin(l.Header); err == nil {
				r.Repeat(l.Entries)
			}
		}
	})
}

// FuzzHeader feeds headers that pass their sums, as an editor with the program
// could make them.
func FuzzHeader(f *testing.F) {
	r, err := New(small(), "test", 7, 11, "", "test")
	if err != nil {
		f.Fatal(err)
	}
	var b bytes.Buffer
	NewWriter(&b, r.Header())
	line := b.Bytes()
	f.Add(line[:len(line)-len(sumTail)-67])
	f.Fuzz(func(t *testing.T, content []byte) {
		summed := append(append(append([]byte{}, content...), sumTail...), sumOf(content)...)
		summed = append(summed, '"', '}', '\n')
		l, err := Read(bytes.NewReader(summed))
		if err != nil {
			return
		}
		if p := l.Header.Setup.Part.Recipe; p != nil && (p.LengthMM > 50 || p.WidthMM > 50 || p.PitchMM < .3) {
			return
		}
		Begin(l.Header)
	})
}

// A run on a measured texture carries it and is made again from the log alone.
func TestTextureInARun(t *testing.T) {
	s := small()
	texture := &surface.Texture{File: "scan.csv", CutoffMM: 8, NX: 7, NY: 5, DX: s.Part.Recipe.PitchMM, DY: s.Part.Recipe.PitchMM}
	for k := range 35 {
		texture.Steps = append(texture.Steps, int32(k*k%13*600-3000))
	}
	recipe := *s.Part.Recipe
	recipe.Finish, recipe.Adjust, recipe.Texture = "", nil, texture
	s.Part.Recipe = &recipe
	r := begin(t, s)
	if r.Digest() == begin(t, small()).Digest() {
		t.Fatal("the texture changes nothing")
	}
	session(t, r)
	l, err := Read(bytes.NewReader(written(t, r)))
	if err != nil {
		t.Fatal(err)
	}
	again, err := Replay(l, nil)
	if err != nil || again.Digest() != r.Digest() {
		t.Errorf("made again it ends otherwise: %v", err)
	}
	l.Header.Setup.Part.Recipe.Texture.Steps[3]++
	if other, err := Begin(l.Header); err != nil || other.Digest() == begin(t, s).Digest() {
		t.Errorf("another height of the texture gives the same part: %v", err)
	}
}
