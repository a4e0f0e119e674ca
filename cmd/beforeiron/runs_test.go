package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/sim/run"
)

// readings are a fitter's indicator readings, um, every 15 mm over 60 x 45 mm,
// the lowest at (30, 15).
const readings = `# readings on the plate, units um
x_mm,y_mm,z_um
0,0,9
15,0,4
30,0,1
45,0,3
60,0,8
0,15,6
15,15,2
30,15,-1
45,15,2
60,15,6
0,30,7
15,30,3
30,30,0
45,30,4
60,30,9
0,45,11
15,45,6
30,45,3
45,45,6
60,45,12
`

// short lets a hand work the fitter's part for a few prints and gives the run.
func short(t *testing.T, cycles int) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "short.run")
	r := call(t, "practise", "--part", write(t, "part.csv", readings), "--finish", "ground", "--cycles", fmt.Sprint(cycles), "-o", file)
	if r.code != 1 || !strings.Contains(r.err, "attempt failed") {
		t.Fatalf("%d prints: exit %d: %s", cycles, r.code, r.err)
	}
	return file
}

func content(t *testing.T, file string) []byte {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func log(t *testing.T, file string) *run.Log {
	t.Helper()
	l, err := run.Read(bytes.NewReader(content(t, file)))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// forge writes a log with sums that fit.
func forge(t *testing.T, l *run.Log, edit func(*run.Log)) string {
	t.Helper()
	edit(l)
	var out bytes.Buffer
	w, err := run.NewWriter(&out, l.Header)
	for _, e := range l.Entries {
		if err == nil {
			err = w.Entry(e)
		}
	}
	if err == nil && l.Seal != nil {
		err = w.Seal(*l.Seal)
	}
	if err != nil {
		t.Fatal(err)
	}
	return write(t, "forged.run", out.String())
}

type report struct {
	OK            bool             `json:"ok"`
	Digest        *string          `json:"digest"`
	Lesson        *string          `json:"lesson"`
	Seed          uint64           `json:"seed"`
	Hand          *string          `json:"hand"`
	Cycles        int              `json:"cycles"`
	Strokes       int              `json:"strokes"`
	SecondsOnIron float64          `json:"seconds_on_iron"`
	Final         map[string]any   `json:"final"`
	PerCycle      []map[string]any `json:"per_cycle"`
	Marks         map[string]any   `json:"marks"`
	Losses        []map[string]any `json:"losses"`
}

// A lesson is practised, replayed and taken apart.
func TestALesson(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a.run")
	practised := good(t, "practise", "--lesson", "crowned-pad", "--seed", "3", "-o", file, "--json")
	replayed := good(t, "replay", file, "--json")
	if practised != replayed {
		t.Errorf("practise printed\n%s\nreplay printed\n%s", practised, replayed)
	}
	sameKeys(t, "replay", replayed, "ok digest lesson seed hand cycles strokes seconds_on_iron final per_cycle marks losses")
	part := decode[map[string]json.RawMessage](t, replayed)
	figures := "film_um points_per_in2 frame_min frame_max area_pct bare_range_um bridged_range_um minimum_zone_um ls_total_um new_lows"
	sameKeys(t, "final", string(part["final"]), figures)
	var cycles, losses []json.RawMessage
	if json.Unmarshal(part["per_cycle"], &cycles) != nil || json.Unmarshal(part["losses"], &losses) != nil || len(losses) == 0 {
		t.Fatalf("%s, %s", part["per_cycle"], part["losses"])
	}
	sameKeys(t, "per_cycle", string(cycles[0]), figures)
	sameKeys(t, "losses", string(losses[0]), "rule cycle x_mm y_mm cost what why next")
	if k := keys(t, string(part["marks"])); k[0] != "total" || k[1] != "passed" || len(k) < 3 {
		t.Errorf("marks have the keys %v", k)
	}

	r := decode[report](t, replayed)
	if !r.OK || *r.Lesson != "crowned-pad" || *r.Hand != "careful" || r.Seed != 3 || r.Cycles < 2 || len(cycles) != r.Cycles || r.Strokes < 100 || r.SecondsOnIron < 3600 || r.Marks["passed"] != true {
		t.Errorf("%s", replayed)
	}
	total := 100.0
	for _, l := range r.Losses {
		total -= l["cost"].(float64)
	}
	if got := r.Marks["total"].(float64); math.Abs(got-total) > .01 {
		t.Errorf("total %g, and a hundred less all costs is %g", got, total)
	}
	seal := log(t, file).Seal
	if seal == nil || seal.Digest != *r.Digest {
		t.Errorf("sealed %+v", seal)
	}
	if !strings.Contains(good(t, "replay", file), "passed") {
		t.Error("the table does not say that it passed")
	}

	// What convert writes is what replay measured.
	heights := filepath.Join(t.TempDir(), "end.csv")
	good(t, "convert", file, heights)
	m := decode[measured](t, good(t, "measure", heights, "--json"))
	near(t, "points", m.Bearing.PerIn2, r.Final["points_per_in2"].(float64), 1e-9)
	near(t, "bearing", m.Bearing.AreaPct, r.Final["area_pct"].(float64), 1e-9)
	near(t, "flatness", m.FlatnessUM.MinimumZone, r.Final["minimum_zone_um"].(float64), 1e-9)
	if *m.Bearing.FrameMin != int(r.Final["frame_min"].(float64)) {
		t.Errorf("worst frame %d and %v", *m.Bearing.FrameMin, r.Final["frame_min"])
	}
	// per_cycle n is the state just before print n: the end of cycle n-1.
	for _, cycle := range []int{0, 1, r.Cycles / 2, r.Cycles - 1} {
		good(t, "convert", file, heights, "--force", "--cycle", fmt.Sprint(cycle))
		m := decode[measured](t, good(t, "measure", heights, "--json"))
		near(t, fmt.Sprintf("flatness after cycle %d", cycle), m.FlatnessUM.MinimumZone, r.PerCycle[cycle]["minimum_zone_um"].(float64), 1e-9)
	}
	refused(t, 2, fmt.Sprintf("0 (as it began) to %d", r.Cycles), "convert", file, heights, "--force", "--cycle", fmt.Sprint(r.Cycles+1))
	refused(t, 2, "--cycle is -1", "convert", file, heights, "--force", "--cycle=-1")
	refused(t, 2, "--cycle is for runs", "convert", heights, heights, "--force", "--cycle", "1")

	// The same seeds give the same run, another scatter another one.
	again := filepath.Join(t.TempDir(), "b.run")
	good(t, "practise", "--lesson", "crowned-pad", "--seed", "3", "--scatter", "3", "-o", again)
	if !bytes.Equal(content(t, file), content(t, again)) {
		t.Error("the same seeds give another run")
	}
	good(t, "practise", "--lesson", "crowned-pad", "--seed", "3", "--scatter", "4", "-o", again, "--force")
	if bytes.Equal(content(t, file), content(t, again)) {
		t.Error("another scatter gives the same run")
	}
}

// The careless hand fails every lesson: exit 1, and the run is there all the
// same.
func TestTheCarelessHandFails(t *testing.T) {
	for _, id := range []string{"coupon", "crowned-pad", "twisted-foot", "flattering-film"} {
		file := filepath.Join(t.TempDir(), "a.run")
		r := call(t, "practise", "--lesson", id, "--hand", "careless", "-o", file, "--json")
		if got := decode[report](t, r.out); r.code != 1 || got.Marks["passed"] != false || *got.Hand != "careless" {
			t.Errorf("%s: exit %d, %v", id, r.code, got.Marks)
		}
		if log(t, file).Seal == nil {
			t.Errorf("%s: the run is not sealed", id)
		}
	}
}

// A fitter's own coarse readings give the form; the run is worked, replayed and
// its heights converted and measured.
func TestAFittersOwnPart(t *testing.T) {
	part := write(t, "part.csv", readings)
	file := filepath.Join(t.TempDir(), "a.run")
	good(t, "practise", "--part", part, "-o", file)
	r := decode[report](t, good(t, "replay", file, "--json"))
	if !r.OK || r.Lesson != nil || r.Marks["passed"] != true {
		t.Errorf("%+v", r)
	}
	folder := t.TempDir()
	began := filepath.Join(folder, "began.csv")
	good(t, "convert", file, began, "--cycle", "0")
	m := decode[measured](t, good(t, "measure", began, "--json"))
	if *m.Cells != [2]int{300, 225} || *m.PitchMM != [2]float64{.2, .2} {
		t.Errorf("%v cells at %v mm", *m.Cells, *m.PitchMM)
	}
	// Readings in um from -1 to 12 about no tilt: the face is as far out, give or
	// take the texture of a milled face.
	rough := decode[measured](t, good(t, "measure", part, "--json"))
	if d := *m.FlatnessUM.MinimumZone - *rough.FlatnessUM.MinimumZone; d < -1 || d > 12 {
		t.Errorf("the face begins %.1f um out, its readings are %.1f", *m.FlatnessUM.MinimumZone, *rough.FlatnessUM.MinimumZone)
	}
	// Every open format carries the same heights.
	end := filepath.Join(folder, "end.csv")
	good(t, "convert", file, end)
	want := decode[measured](t, good(t, "measure", end, "--json"))
	for _, ext := range []string{"x3p", "sdf"} {
		there, back := filepath.Join(folder, "end."+ext), filepath.Join(folder, ext+".csv")
		good(t, "convert", file, there)
		good(t, "convert", there, back)
		got := decode[measured](t, good(t, "measure", back, "--json"))
		near(t, ext, got.FlatnessUM.MinimumZone, *want.FlatnessUM.MinimumZone, 1e-9)
		if got.Bearing.Cells != want.Bearing.Cells {
			t.Errorf("%s: %d cells bear, want %d", ext, got.Bearing.Cells, want.Bearing.Cells)
		}
	}
	// A fine grid is a face as it stands.
	again := filepath.Join(folder, "again.run")
	r2 := call(t, "practise", "--part", end, "--cycles", "1", "-o", again)
	if r2.code == 2 {
		t.Fatal(r2.err)
	}
	began = filepath.Join(folder, "began-again.csv")
	good(t, "convert", again, began, "--cycle", "0")
	if !bytes.Equal(content(t, end), content(t, began)) {
		t.Error("a fine part does not begin as it was measured")
	}
}

// Readings of another unit, scattered readings, and parts that are narrower than
// the instruments are worked too.
func TestOddParts(t *testing.T) {
	scattered := "0,0,5\n61,3,2\n58,44,7\n2,41,3\n30,20,0\n45,11,1\n"
	var narrow strings.Builder
	for y := 0; y <= 27; y += 9 {
		for x := 0; x <= 60; x += 15 {
			fmt.Fprintf(&narrow, "%d,%d,%d\n", x, y, (x*y)%7)
		}
	}
	for name, c := range map[string]struct {
		text string
		args []string
	}{
		"scattered": {scattered, nil}, "tenths": {readings, []string{"--unit", "tenth"}}, "27 mm wide": {narrow.String(), nil},
		"worn": {readings, []string{"--finish", "worn"}},
	} {
		file := filepath.Join(t.TempDir(), "a.run")
		r := call(t, append([]string{"practise", "--part", write(t, "p.csv", c.text), "--cycles", "3", "-o", file}, c.args...)...)
		if r.code != 1 || !strings.Contains(r.err, "attempt failed") {
			t.Errorf("%s: exit %d: %s", name, r.code, r.err)
			continue
		}
		if again := decode[report](t, good(t, "replay", file, "--json")); again.Cycles != 3 {
			t.Errorf("%s: %d cycles", name, again.Cycles)
		}
	}
	huge := write(t, "huge.csv", "# pitch_mm: 1000\n1,2,3\n4,5,7\n1,2,3\n")
	refused(t, 2, "larger than any plate", "practise", "--part", huge, "-o", filepath.Join(t.TempDir(), "a.run"))
	refused(t, 2, "um off", "practise", "--part", write(t, "p.csv", readings), "--unit", "mm", "-o", filepath.Join(t.TempDir(), "a.run"))
}

func TestPractiseRefuses(t *testing.T) {
	out := filepath.Join(t.TempDir(), "a.run")
	part := write(t, "part.csv", readings)
	for _, c := range []struct{ want, args string }{
		{"coupon, crowned-pad", "--lesson nosuch"}, {"coupon", "--lesson ../coupon"}, {"careful-70 careless", "--lesson coupon --hand nobody"},
		{"--lesson and --part", "--lesson coupon --part " + part}, {"--lesson and --part", "--hand careful"}, {"goes with --part", "--lesson coupon --finish milled"},
		{"milled, ground, worn", "--part " + part + " --finish polished"}, {"furlong", "--part " + part + " --unit furlong"},
		{"--cycles", "--lesson coupon --cycles 0"}, {"seed", "--lesson coupon --seed -1"}, {"seed", "--lesson coupon --seed many"}, {"no such file", "--part nosuch.csv"},
		{"no such file", "--lesson nosuch.yaml"},
	} {
		refused(t, 2, c.want, append([]string{"practise", "-o", out}, strings.Fields(c.args)...)...)
	}
	if _, err := os.Stat(out); err == nil {
		t.Error("a refused attempt left a run")
	}
}

func TestOutputIsKept(t *testing.T) {
	file := short(t, 1)
	before := content(t, file)
	folder := filepath.Dir(file)
	refused(t, 2, "exists already: give --force", "practise", "--lesson", "coupon", "-o", file)
	refused(t, 2, "exists already: give --force", "convert", file, file)
	refused(t, 2, "is a folder", "practise", "--lesson", "coupon", "-o", folder)
	refused(t, 2, "is a folder", "practise", "--lesson", "coupon", "-o", folder, "--force")
	refused(t, 2, "no such file", "practise", "--lesson", "coupon", "-o", filepath.Join(folder, "none", "a.run"))
	refused(t, 2, "not a directory", "convert", file, filepath.Join(file, "a.csv"))
	refused(t, 2, ".csv, .sdf and .x3p", "convert", file, filepath.Join(folder, "a.stl"))
	refused(t, 2, "is what is read", "report", file, "-o", file, "--force")
	if !bytes.Equal(before, content(t, file)) {
		t.Error("a refused call changed the file")
	}
	heights := filepath.Join(folder, "a.csv")
	good(t, "convert", file, heights)
	measured := content(t, heights)
	link := filepath.Join(folder, "link.csv")
	if err := os.Symlink(heights, link); err != nil {
		t.Fatal(err)
	}
	for _, out := range []string{heights, link} {
		refused(t, 2, "is what is read", "measure", heights, "-o", out, "--force")
		refused(t, 2, "is what is read", "practise", "--part", heights, "-o", out, "--force")
		refused(t, 2, "is what is read", "practise", "--lesson", "coupon", "--texture", heights, "-o", out, "--force")
	}
	if !bytes.Equal(measured, content(t, heights)) {
		t.Error("a refused call changed the heights")
	}
	good(t, "convert", file, link, "--cycle", "0", "--force")
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link was replaced instead of the file")
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 3 {
		t.Errorf("%d files in the folder, want 3: %v", len(entries), entries)
	}
}

// A run cut off by a crash is read as far as it goes, at every line boundary and
// within lines.
func TestTruncatedRuns(t *testing.T) {
	file := short(t, 2)
	whole := content(t, file)
	ends := []int{}
	for k, b := range whole {
		if b == '\n' {
			ends = append(ends, k+1)
		}
	}
	for n, end := range ends {
		for _, at := range []int{end, end - 40} {
			if n == 0 && at < end {
				refused(t, 2, "line 1: ", "replay", write(t, "torn.run", string(whole[:at])))
				continue
			}
			r := call(t, "replay", write(t, "torn.run", string(whole[:at])), "--json")
			if r.code != 0 {
				t.Errorf("cut at byte %d of line %d: exit %d: %s", at, n+1, r.code, r.err)
				continue
			}
			torn := fmt.Sprintf("line %d was only half written", n+1)
			if sealed := at == len(whole); strings.Contains(r.err, torn) != (at < end) || strings.Contains(r.err, "no seal") == sealed {
				t.Errorf("cut at byte %d of line %d: %q", at, n+1, r.err)
			}
		}
	}
	refused(t, 2, "line 1: the file is empty", "replay", write(t, "empty.run", ""))
	refused(t, 2, "line 1: ", "replay", write(t, "binary.run", "\x00\xff\x01"))
	refused(t, 2, "line 1: ", "replay", write(t, "csv.run", readings))
	refused(t, 2, "line 1: ", "convert", write(t, "csv.run", readings), filepath.Join(t.TempDir(), "a.csv"))
	refused(t, 2, fmt.Sprintf("line %d: ", len(ends)+1), "replay", write(t, "twice.run", string(whole)+"{}\n"), "--json")
}

func TestDamagedRuns(t *testing.T) {
	file := short(t, 2)
	lines := bytes.SplitAfter(content(t, file), []byte("\n"))
	lines = lines[:len(lines)-1]
	for n := range lines {
		altered := append([][]byte(nil), lines...)
		altered[n] = bytes.Replace(lines[n], []byte(`:1`), []byte(`:2`), 1)
		if bytes.Equal(altered[n], lines[n]) {
			altered[n] = bytes.Replace(lines[n], []byte(`{"`), []byte(`{ "`), 1)
		}
		damaged := write(t, "a.run", string(bytes.Join(altered, nil)))
		want := fmt.Sprintf("line %d: ", n+1)
		refused(t, 2, want, "replay", damaged)
		refused(t, 2, want, "convert", damaged, filepath.Join(t.TempDir(), "a.csv"))
		if n+1 < len(lines) {
			deleted := append(append([][]byte(nil), lines[:n]...), lines[n+1:]...)
			refused(t, 2, want, "replay", write(t, "a.run", string(bytes.Join(deleted, nil))))
			swapped := append([][]byte(nil), lines...)
			swapped[n], swapped[n+1] = swapped[n+1], swapped[n]
			refused(t, 2, want, "replay", write(t, "a.run", string(bytes.Join(swapped, nil))))
		}
	}
}

// A run whose sums fit but that comes out otherwise: the answer is no.
func TestForgedRuns(t *testing.T) {
	file := short(t, 2)
	printed := 0
	for n, e := range log(t, file).Entries {
		if e.Out.Print != nil {
			printed = n
		}
	}
	differs := forge(t, log(t, file), func(l *run.Log) { l.Entries[printed].Out.Print.Points++ })
	r := call(t, "replay", differs, "--json")
	if want := fmt.Sprintf("line %d: act %d (lift) comes out otherwise", printed+2, printed+1); r.code != 1 || !strings.Contains(r.err, want) || decode[report](t, r.out).OK {
		t.Errorf("exit %d, %q: want %q; %s", r.code, r.err, want, r.out)
	}
	refused(t, 1, "comes out otherwise", "replay", differs)
	refused(t, 1, "comes out otherwise", "convert", differs, filepath.Join(t.TempDir(), "a.csv"))

	digest := forge(t, log(t, file), func(l *run.Log) { l.Seal.Digest = strings.Repeat("0", 64) })
	refused(t, 1, "digest", "replay", digest)
	refused(t, 2, "header", "replay", forge(t, log(t, file), func(l *run.Log) { l.Header.FormatVersion = 99 }))
	refused(t, 2, "film_um", "replay", forge(t, log(t, file), func(l *run.Log) { l.Header.Setup.Target.FilmUM = 0 }))
	refused(t, 2, "act 1", "replay", forge(t, log(t, file), func(l *run.Log) { l.Entries[0].Act.Face = "part.left" }))
}

// A run of another physics version shows the marks that it was given.
func TestRunsOfAnotherPhysics(t *testing.T) {
	file := short(t, 2)
	recorded := decode[report](t, good(t, "replay", file, "--json"))
	other := forge(t, log(t, file), func(l *run.Log) { l.Header.Physics = 99 })
	r := call(t, "replay", other, "--json")
	got := decode[report](t, r.out)
	if r.code != 1 || strings.Count(r.err, "\n") != 1 || !strings.Contains(r.err, "not re-checked") || got.OK ||
		got.Marks["total"] != recorded.Marks["total"] || got.Final["area_pct"] != recorded.Final["area_pct"] || len(got.Losses) != len(recorded.Losses) || got.Cycles != 2 || got.Strokes != recorded.Strokes {
		t.Errorf("exit %d, %q, %+v", r.code, r.err, got)
	}
	sameKeys(t, "replay of another physics", r.out, "ok digest lesson seed hand cycles strokes seconds_on_iron final per_cycle marks losses why")
	table := call(t, "replay", other)
	if table.code != 1 || !strings.Contains(table.out, "not re-checked") || !strings.Contains(table.out, "total") {
		t.Errorf("exit %d: %s", table.code, table.out)
	}
	refused(t, 1, "not re-checked", "convert", other, filepath.Join(t.TempDir(), "a.csv"))
	open := forge(t, log(t, file), func(l *run.Log) { l.Header.Physics = 99; l.Seal = nil; l.Entries = l.Entries[:3] })
	refused(t, 1, "not re-checked", "replay", open)
}

// The truth of a scored run stays locked until it is signed off.
func TestTheTruthOfAnOpenScoredRun(t *testing.T) {
	file := short(t, 2)
	scored := func(l *run.Log) { l.Header.Setup.Scored = true }
	closed := forge(t, log(t, file), scored)
	if r := decode[report](t, good(t, "replay", closed, "--json")); !r.OK || len(r.PerCycle) != 2 {
		t.Errorf("%+v", r)
	}
	good(t, "convert", closed, filepath.Join(t.TempDir(), "a.csv"), "--cycle", "1")
	open := forge(t, log(t, file), func(l *run.Log) { scored(l); l.Seal = nil; l.Entries = l.Entries[:len(l.Entries)-1] })
	out := filepath.Join(t.TempDir(), "a.csv")
	refused(t, 1, "locked", "replay", open)
	refused(t, 1, "locked", "replay", open, "--json")
	refused(t, 1, "locked", "convert", open, out)
	refused(t, 1, "locked", "convert", open, out, "--cycle", "0")
}

// Killed in the middle of its work, practise leaves what it did beside the place
// of the run, readable.
func TestPractiseKilled(t *testing.T) {
	folder := t.TempDir()
	out := filepath.Join(folder, "a.run")
	c := exec.Command(command, "practise", "--lesson", "coupon", "-o", out)
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	part := ""
	for range 3000 {
		time.Sleep(10 * time.Millisecond)
		if m, _ := filepath.Glob(filepath.Join(folder, "a.run.*.part")); len(m) == 1 && bytes.Count(content(t, m[0]), []byte("\n")) > 6 {
			part = m[0]
			break
		}
	}
	c.Process.Kill()
	c.Wait()
	if part == "" {
		t.Fatal("no run was begun")
	}
	if _, err := os.Stat(out); err == nil {
		t.Fatal("half a run stands where the whole one belongs")
	}
	if r := call(t, "replay", part, "--json"); r.code != 0 || decode[report](t, r.out).OK != true || !strings.Contains(r.err, "no seal") {
		t.Errorf("exit %d: %s", r.code, r.err)
	}
}

func TestPractiseInterrupted(t *testing.T) {
	folder := t.TempDir()
	out := filepath.Join(folder, "a.run")
	var stderr bytes.Buffer
	c := exec.Command(command, "practise", "--lesson", "coupon", "--cycles", "10000", "--hand", "careless", "-o", out)
	c.Stderr = &stderr
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	for range 3000 {
		time.Sleep(10 * time.Millisecond)
		if m, _ := filepath.Glob(filepath.Join(folder, "a.run.*.part")); len(m) == 1 && bytes.Count(content(t, m[0]), []byte("\n")) > 3 {
			break
		}
	}
	c.Process.Signal(os.Interrupt)
	c.Wait()
	if c.ProcessState.ExitCode() != 1 || strings.Count(stderr.String(), "\n") != 1 || !strings.Contains(stderr.String(), "until then are in "+out) {
		t.Errorf("exit %d: %s", c.ProcessState.ExitCode(), &stderr)
	}
}
