package run_test

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Golden runs are replayed on every processor that the program is for, and end
// in the same heights, step for step. One that comes out otherwise says that
// physics changed: raise run.Physics, then write the runs anew with
//
//	go test ./sim/run -run TestGolden -update
//
// which leaves alone the runs of the present version.
var update = flag.Bool("update", false, "write golden runs that are missing or of another physics version")

const goldenFolder = "../../testdata/runs"

// golden makes each run from nothing.
var golden = map[string]func(*testing.T) []byte{
	"careful-crowned-pad.run": func(t *testing.T) []byte { return byHand(t, "crowned-pad", hand.Careful{}, "careful", 3, 45) },
	"careless-coupon.run":     func(t *testing.T) []byte { return byHand(t, "coupon", hand.Careless{}, "careless", 1, 4) },
	"every-act.run":           everyAct,
	"blue-lies.run":           blueLies,
	"iron-moves.run":          ironMoves,
}

func TestGolden(t *testing.T) {
	for name, write := range golden {
		path := filepath.Join(goldenFolder, name)
		content, err := os.ReadFile(path)
		if *update && (errors.Is(err, fs.ErrNotExist) || err == nil && parsed(t, content).Header.Physics != run.Physics) {
			content = write(t)
			err = os.WriteFile(path, content, 0o666)
		}
		if err != nil {
			t.Fatal(err)
		}
		l := parsed(t, content)
		if l.Header.Physics != run.Physics {
			t.Errorf("%s is of physics version %d, this is %d: write it anew", name, l.Header.Physics, run.Physics)
			continue
		}
		if l.Seal == nil || l.Torn != 0 {
			t.Errorf("%s is not sealed", name)
			continue
		}
		if _, err := run.Replay(l, nil); err != nil {
			t.Errorf("%s: %v: raise run.Physics when heights or readings change", name, err)
		}
	}
}

// The same acts, done anew, are written down in the same bytes.
func TestGoldenBytes(t *testing.T) {
	want, err := os.ReadFile(filepath.Join(goldenFolder, "every-act.run"))
	if err != nil {
		t.Fatal(err)
	}
	if got := everyAct(t); !bytes.Equal(got, want) {
		a, b := bytes.Split(got, []byte("\n")), bytes.Split(want, []byte("\n"))
		for k := range min(len(a), len(b)) {
			if !bytes.Equal(a[k], b[k]) {
				t.Fatalf("line %d is now\n%s\nand was\n%s", k+1, a[k], b[k])
			}
		}
		t.Fatalf("%d lines, and it was %d", len(a), len(b))
	}
}

func parsed(t *testing.T, content []byte) *run.Log {
	t.Helper()
	l, err := run.Read(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// recorded begins a run whose log goes to a buffer.
func recorded(t *testing.T, r *run.Run, err error) (*run.Run, *bytes.Buffer, *run.Writer) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w, err := run.NewWriter(&out, r.Header())
	if err != nil {
		t.Fatal(err)
	}
	r.Record = w.Entry
	return r, &out, w
}

func seal(t *testing.T, r *run.Run, w *run.Writer) {
	t.Helper()
	if err := w.Seal(run.Seal{Digest: r.Digest(), Acts: len(r.Entries())}); err != nil {
		t.Fatal(err)
	}
}

func byHand(t *testing.T, lesson string, h hand.Hand, name string, seed uint64, cycles int) []byte {
	l, err := lessons.Load(lesson)
	if err != nil {
		t.Fatal(err)
	}
	r, err := l.Begin(seed, seed, name, "golden")
	r, out, w := recorded(t, r, err)
	if err := h.Work(r, cycles, nil); err != nil {
		t.Fatal(err)
	}
	seal(t, r, w)
	return out.Bytes()
}

// everyAct works a part made of readings, one of them missing, through each act
// that this version can do, one of them stopped half way.
func everyAct(t *testing.T) []byte {
	z := []float64{4, 0, -3, 0, 5, 1, -4, -6, -3, 2, 3, -2, 0, -1, 6, 7, 2, 1, 2, 9}
	readings := &run.Readings{NX: 5, NY: 4, DX: 15, DY: 15, X0: -10, Y0: 2.5}
	for k := range z {
		readings.Z = append(readings.Z, z[k])
	}
	readings.Z[9] = math.NaN()
	r, err := run.New(run.Setup{
		Part:   run.Part{Readings: readings, Finish: "ground", PitchMM: .25},
		Master: seat.Master{Grade: seat.DIN8761, LengthMM: 400, WidthMM: 250},
		Blade:  run.Change{Radius: 6000, Width: 2000, Handle: 436},
		Hand:   lay.Novice,
		Target: run.Target{FilmUM: 2.5},
	}, "", 18446744073709551615, 12345678901234567890, "", "golden")
	r, out, w := recorded(t, r, err)
	do := func(a run.Act) {
		t.Helper()
		if _, err := r.Do(a); err != nil {
			t.Fatalf("%s: %v", a.Kind(), err)
		}
	}
	whole := lay.Paint(100, 62, 47, func(i, j int) bool { return true })
	for n := range whole.Runs {
		whole.Runs[n][1] -= 10
		whole.Runs[n][2] -= 10
	}
	print := func(film int, press int) {
		t.Helper()
		do(run.Act{Wipe: &run.Wipe{What: "master"}})
		do(run.Act{Roll: &run.Roll{Film: film}})
		do(run.Act{Place: &run.Place{X: 1500, Y: -700}})
		do(run.Act{Rub: &run.Rub{Path: [][2]int{{2000, 0}, {2000, 1500}, {0, 0}}, Press: press, Load: [2]int{900, 1400}}})
		do(run.Act{Lift: &run.Lift{}})
	}
	print(800, 0)
	do(run.Act{Cut: &run.Cut{Depth: 800, Area: &run.Area{Region: whole, Dir: 785, Length: 1500, Spacing: 800}}})
	do(run.Act{Hone: &run.Hone{}})
	stopped, err := r.Apply(run.Act{Cut: &run.Cut{Force: 120, Area: &run.Area{Region: whole, Dir: -785, Length: 1000, Spacing: 900}}}.On())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := stopped.Step(stopped.Total() / 2); err != nil {
		t.Fatal(err)
	}
	if err := stopped.Stop(); err != nil {
		t.Fatal(err)
	}
	do(run.Act{Stone: &run.Stone{Passes: 2}})
	do(run.Act{Wipe: &run.Wipe{What: "part"}})
	do(run.Act{Turn: &run.Turn{}})
	do(run.Act{Predict: &run.Predict{Region: lay.Region{Tile: 500, Runs: [][3]int{{1, 2, 5}, {2, 2, 4}}}, Sure: 2}})
	print(500, 15)
	do(run.Act{Frame: &run.Frame{At: [2]int{0, 500}}})
	do(run.Act{Indicate: &run.Indicate{}})
	do(run.Act{Bridge: &run.Bridge{}})
	do(run.Act{Change: &run.Change{Radius: 9000, Width: 1500, Handle: 524}})
	do(run.Act{Cut: &run.Cut{Depth: 350, Stroke: &run.Line{From: [2]int{500, 800}, To: [2]int{1200, 1500}}}})
	do(run.Act{Cut: &run.Cut{Force: 90, Row: &run.Row{Line: run.Line{From: [2]int{-500, 3000}, To: [2]int{4000, 2600}}, Length: 600}}})
	reading, _ := r.Reading()
	spots := lay.Spots(reading)
	if len(spots) < 2 {
		t.Fatalf("%d spots", len(spots))
	}
	at := func(s lay.Spot) [2]int { return [2]int{int(100 * s.X), int(100 * s.Y)} }
	spare := at(spots[len(spots)-1])
	do(run.Act{Cut: &run.Cut{Depth: 300, Area: &run.Area{Region: whole, Dir: 785, Length: 500, Spacing: 1300,
		Example: &lay.Example{Cut: [][2]int{at(spots[0])}, Spare: &spare}}}})
	// Burrs left on, colour left on, printed once more.
	do(run.Act{Place: &run.Place{}})
	do(run.Act{Rub: &run.Rub{Path: [][2]int{{1000, 0}, {-1000, 0}, {0, 0}}}})
	do(run.Act{Lift: &run.Lift{}})
	do(run.Act{Declare: &run.Declare{PointsPerIn2: new(12), FrameMin: new(5), AreaPct: new(20)}})
	do(run.Act{SignOff: &run.SignOff{}})
	seal(t, r, w)
	return out.Bytes()
}

// blueLies works a part of steel through every way in which blue lies and a blade
// misbehaves, and through the cures.
func blueLies(t *testing.T) []byte {
	r, err := run.New(run.Setup{
		Part: run.Part{
			Recipe: &surface.Recipe{LengthMM: 45, WidthMM: 30, PitchMM: .25, RangeUM: 15, Finish: surface.Ground}, Metal: "steel",
		},
		Master:  seat.Master{Grade: seat.DIN8760, LengthMM: 250, WidthMM: 160},
		Blade:   run.Change{Radius: 9000, Width: 2000, Handle: 524},
		Hand:    lay.Novice,
		Target:  run.Target{FilmUM: 2.5},
		Effects: run.Effects{Film: true, Grit: true, Edges: true, Wringing: true, Torn: true},
	}, "", 5, 6, "", "golden")
	r, out, w := recorded(t, r, err)
	whole := lay.Paint(100, 45, 30, func(i, j int) bool { return true })
	cut := func(dir, depth int, wet bool) run.Act {
		return run.Act{Cut: &run.Cut{Depth: depth, Wet: wet, Area: &run.Area{Region: whole, Dir: dir, Length: 900, Spacing: 900}}}
	}
	wipe := func(what string) run.Act { return run.Act{Wipe: &run.Wipe{What: what}} }
	print := func(press int) []run.Act {
		return []run.Act{{Place: &run.Place{X: 700, Y: -300}}, {Rub: &run.Rub{Path: [][2]int{{1500, 200}, {0, 900}, {-700, 0}, {0, 0}}, Press: press, Load: [2]int{2000, 1400}}}, {Lift: &run.Lift{}}}
	}
	for _, acts := range [][]run.Act{
		{{Roll: &run.Roll{Film: 900, Passes: 1}}}, print(25),
		{cut(785, 600, true)}, print(0),
		{{Stone: &run.Stone{Passes: 1}}, {Chamfer: &run.Chamfer{Width: 75}}, wipe("part"), wipe("master"), {Roll: &run.Roll{Film: 500}}}, print(0), print(0),
		{{Change: &run.Change{Radius: 6000, Width: 1500, Handle: 500, Drive: "power"}}, cut(-785, 400, false), wipe("part"), {Contrast: &run.Contrast{Colour: "red"}}, {Turn: &run.Turn{}}}, print(0),
		{wipe("part"), wipe("master"), {Roll: &run.Roll{Film: 120, On: "part"}}}, print(0),
		{{Flake: &run.Flake{Pattern: "half-moon", Depth: 1800, Region: whole}}, {Stone: &run.Stone{Passes: 1}}, wipe("part"), {Roll: &run.Roll{Film: 300, Passes: 6}}}, print(0),
		{{SignOff: &run.SignOff{}}},
	} {
		for _, a := range acts {
			if _, err := r.Do(a); err != nil {
				t.Fatalf("%s: %v", a.Kind(), err)
			}
		}
	}
	seal(t, r, w)
	return out.Bytes()
}

// ironMoves works a slender warm part on a worn plate through every way in which
// part and master move and bend.
func ironMoves(t *testing.T) []byte {
	r, err := run.New(run.Setup{
		Part: run.Part{
			Recipe: &surface.Recipe{LengthMM: 120, WidthMM: 32, PitchMM: .4, RangeUM: 14, Finish: surface.Milled},
			Stock:  run.Stock{ThicknessMM: 6, BackBowUM: 8, WarmK: 3},
		},
		Master:  seat.Master{Grade: seat.DIN8761, LengthMM: 250, WidthMM: 160, WornUM: 3},
		Blade:   run.Change{Radius: 9000, Width: 2000, Handle: 524},
		Hand:    lay.Novice,
		Target:  run.Target{FilmUM: 2.5},
		Effects: run.Effects{Path: true, Overhang: true, Wear: true, Bending: true, Heat: true, Dial: true},
	}, "", 8, 9, "", "golden")
	r, out, w := recorded(t, r, err)
	whole := lay.Paint(100, 120, 32, func(i, j int) bool { return true })
	print := func(x, press int) []run.Act {
		return []run.Act{{Wipe: &run.Wipe{What: "part"}}, {Roll: &run.Roll{Film: 400}}, {Place: &run.Place{X: x}},
			{Rub: &run.Rub{Path: [][2]int{{1500, 200}, {0, 900}, {-700, 0}, {0, 0}}, Press: press, Load: [2]int{7000, 1400}}}, {Lift: &run.Lift{}}}
	}
	push := func(x, dir int) run.Act { return run.Act{Push: &run.Push{At: [2]int{x, 1200}, Dir: dir}} }
	ends := run.Act{Support: &run.Support{Points: [][2]int{{0, 1200}, {12000, 1200}}}}
	for _, acts := range [][]run.Act{
		print(0, 0), {{Cut: &run.Cut{Depth: 500, Area: &run.Area{Region: whole, Dir: 785, Length: 900, Spacing: 900}}}, {Stone: &run.Stone{Passes: 1}}},
		{ends, {Indicate: &run.Indicate{}}, {Bridge: &run.Bridge{}}, {Support: &run.Support{Clamp: true}}, {Indicate: &run.Indicate{}}},
		{{Place: &run.Place{}}, {Soak: &run.Soak{MS: 300_000}}, push(0, 1571), push(12000, 1571), push(12000, -1571), {Lift: &run.Lift{}}},
		print(9000, 0), print(13000, 0), {{Turn: &run.Turn{}}}, print(2000, 30),
		{{SignOff: &run.SignOff{}}},
	} {
		for _, a := range acts {
			if _, err := r.Do(a); err != nil {
				t.Fatalf("%s: %v", a.Kind(), err)
			}
		}
	}
	seal(t, r, w)
	return out.Bytes()
}

func goldenRun(t *testing.T, name string) []byte {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(goldenFolder, name))
	if err != nil {
		t.Fatal(err)
	}
	return content
}

// A crash may end a log at any byte: what stands of it is read, every whole line
// of it and no more, and the run goes on from there to the very same log.
func TestALogCutOffAtAnyByteIsReadAndGoesOn(t *testing.T) {
	content := goldenRun(t, "every-act.run")
	whole := parsed(t, content)
	header := bytes.IndexByte(content, '\n')
	for n := range content {
		l, err := run.Read(bytes.NewReader(content[:n]))
		if n < header {
			if err == nil {
				t.Fatalf("%d bytes of a header were read as a run", n)
			}
			continue
		}
		lines := bytes.Count(content[:n], []byte("\n"))
		// A line that lacks only its end is whole.
		if content[n] == '\n' {
			lines++
		}
		if err != nil || len(l.Entries) != min(lines-1, len(whole.Entries)) {
			t.Fatalf("%d bytes, %d whole lines: %v, %d acts", n, lines, err, len(l.Entries))
		}
		if torn := l.Torn > 0; torn != (content[n-1] != '\n' && content[n] != '\n') {
			t.Fatalf("%d bytes: torn is %v", n, torn)
		}
	}
	for acts := 0; acts <= len(whole.Entries); acts += 5 {
		at := header + 1
		for range acts {
			at += bytes.IndexByte(content[at:], '\n') + 1
		}
		torn := content[:min(at+17, len(content))]
		l := parsed(t, torn)
		r, err := run.Replay(l, nil)
		if err != nil {
			t.Fatal(err)
		}
		out := bytes.NewBuffer(append([]byte(nil), torn[:l.Good]...))
		w := run.Continue(out, l)
		r.Record = w.Entry
		if err := r.Repeat(whole.Entries[acts:]); err != nil {
			t.Fatal(err)
		}
		seal(t, r, w)
		if !bytes.Equal(out.Bytes(), content) {
			t.Fatalf("cut off after %d acts and gone on with, the log differs", acts)
		}
	}
}

// A line altered, deleted or swapped is refused, and its number is told.
func TestADamagedLogIsRefusedByLine(t *testing.T) {
	content := goldenRun(t, "every-act.run")
	lines := bytes.SplitAfter(content, []byte("\n"))
	lines = lines[:len(lines)-1]
	refused := func(what string, line int, damaged [][]byte) {
		t.Helper()
		_, err := run.Read(bytes.NewReader(bytes.Join(damaged, nil)))
		if want := fmt.Sprintf("line %d: ", line); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: %v: want %q", what, err, want)
		}
	}
	for n := range lines {
		for at := 0; at < len(lines[n])-1; at += 1 + len(lines[n])/50 {
			altered := slices.Clone(lines)
			altered[n] = slices.Clone(lines[n])
			altered[n][at] ^= 1
			refused(fmt.Sprintf("byte %d of line %d altered", at, n+1), n+1, altered)
		}
		if n+1 < len(lines) {
			refused(fmt.Sprintf("line %d deleted", n+1), n+1, slices.Delete(slices.Clone(lines), n, n+1))
			swapped := slices.Clone(lines)
			swapped[n], swapped[n+1] = swapped[n+1], swapped[n]
			refused(fmt.Sprintf("lines %d and %d swapped", n+1, n+2), n+1, swapped)
		}
		refused(fmt.Sprintf("line %d given twice", n+1), n+2, slices.Insert(slices.Clone(lines), n, lines[n]))
	}
}
