package run_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"regexp"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
)

// small is a short run on a part of a few hundred cells.
func small(t testing.TB) []byte {
	z := make([]float64, 9)
	readings := &run.Readings{NX: 3, NY: 3, DX: 5, DY: 5}
	for k := range z {
		z[k] = float64(k % 4)
		readings.Z = append(readings.Z, z[k])
	}
	r, err := run.New(run.Setup{
		Part:   run.Part{Readings: readings, Finish: "ground", PitchMM: .5},
		Master: seat.Master{Grade: seat.True},
		Blade:  run.Change{Radius: 6000, Width: 2000, Handle: 436},
		Target: run.Target{FilmUM: 2.5},
	}, "", 1, 1, "", "fuzz")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w, err := run.NewWriter(&out, r.Header())
	if err != nil {
		t.Fatal(err)
	}
	r.Record = w.Entry
	region := lay.Region{Tile: 500, Runs: [][3]int{{0, 0, 2}, {1, 0, 2}}}
	for _, a := range []run.Act{
		{Roll: &run.Roll{Film: 500}}, {Place: &run.Place{}}, {Rub: &run.Rub{Path: [][2]int{{500, 0}, {0, 0}}, Press: 3, Load: [2]int{400, 500}}}, {Lift: &run.Lift{}},
		{Cut: &run.Cut{Depth: 300, Area: &run.Area{Region: region, Dir: 785, Length: 500, Spacing: 900}}},
		{Cut: &run.Cut{Force: 90, Row: &run.Row{Line: run.Line{From: [2]int{100, 100}, To: [2]int{900, 900}}, Length: 400}}},
		{Cut: &run.Cut{Depth: 300, Stroke: &run.Line{From: [2]int{100, 100}, To: [2]int{500, 900}}}},
		{Change: &run.Change{Radius: 9000, Width: 1500, Handle: 524}}, {Hone: &run.Hone{}}, {Turn: &run.Turn{}},
		{Wipe: &run.Wipe{What: "part"}}, {Stone: &run.Stone{Passes: 1}}, {Indicate: &run.Indicate{}},
		{Predict: &run.Predict{Region: region, Sure: 1}}, {Declare: &run.Declare{AreaPct: new(30)}}, {SignOff: &run.SignOff{}},
	} {
		if _, err := r.Do(a); err != nil {
			t.Fatalf("%s: %v", a.Kind(), err)
		}
	}
	if err := w.Seal(run.Seal{Digest: r.Digest(), Acts: len(r.Entries())}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

var (
	tail = regexp.MustCompile(`,"sum":"[^"]*"}$`)
	prev = regexp.MustCompile(`"prev":"[^"]*"`)
)

// resummed gives every line its right sum, as somebody would who edits a run.
func resummed(content []byte) []byte {
	var out bytes.Buffer
	last := ""
	for _, line := range strings.Split(strings.TrimSuffix(string(content), "\n"), "\n") {
		line = tail.ReplaceAllString(line, "")
		line = prev.ReplaceAllLiteralString(line, `"prev":"`+last+`"`)
		sum := sha256.Sum256([]byte(line))
		last = hex.EncodeToString(sum[:])
		out.WriteString(line + `,"sum":"` + last + "\"}\n")
	}
	return out.Bytes()
}

// Whatever a run file holds, with sums that fit or not, reading and replaying it
// ends in a run or in one line.
func FuzzLog(f *testing.F) {
	good := small(f)
	f.Add(good)
	for _, edit := range [][2]string{
		{`"n":1`, `"n":2`}, {`"film":500`, `"film":-1`}, {`"film":500`, `"film":9223372036854775807`},
		{`"depth":300`, `"depth":7000`}, {`"length":500`, `"length":200`}, {`[0,0,2]`, `[0,-100,200]`}, {`"sign_off":{}`, `"sign_off":{},"turn":{}`},
		{`"face":"part.top"`, `"face":"part.left"`}, {`"z_um":[0,1`, `"z_um":[null,1e300`}, {`"nx":3`, `"nx":3000000`}, {`"dx_mm":5`, `"dx_mm":0`},
		{`"scored":false`, `"scored":true`}, {`"laid":`, `"laid":1`}, {`"physics":2`, `"physics":3`}, {`"pitch_mm":0.5`, `"pitch_mm":1e-9`},
		{`"grade":"true"`, `"grade":"din876-0","length_mm":20,"width_mm":20`}, {`"press":3`, `"press":1000`},
	} {
		if !bytes.Contains(good, []byte(edit[0])) {
			f.Fatalf("%s does not stand in the run", edit[0])
		}
		f.Add(bytes.Replace(good, []byte(edit[0]), []byte(edit[1]), 1))
	}
	texture := `"texture":{"file":"a.csv","cutoff_mm":8,"nx":3,"ny":2,"dx_mm":0.5,"dy_mm":0.5,"steps":[1,-2,3,4000,-5,6]}`
	for _, t := range []string{
		texture, strings.Replace(texture, `"nx":3`, `"nx":3000000`, 1), strings.Replace(texture, `"ny":2`, `"ny":-2`, 1),
		strings.Replace(texture, "4000", "2147483647", 1), strings.Replace(texture, `"dx_mm":0.5`, `"dx_mm":0.2`, 1), `"texture":{}`,
	} {
		f.Add(bytes.Replace(good, []byte(`"finish":"ground"`), []byte(t), 1))
	}
	f.Add([]byte("{"))
	f.Add([]byte(`{"header":null}`))
	f.Fuzz(func(t *testing.T, content []byte) {
		for _, c := range [][]byte{content, resummed(content)} {
			l, err := run.Read(bytes.NewReader(c))
			if err == nil && quick(l) {
				_, err = run.Replay(l, nil)
			}
			if err != nil && strings.ContainsAny(err.Error(), "\n\r") {
				t.Errorf("not one line: %q", err)
			}
		}
	})
}

// quick is a run that takes no more than a moment.
func quick(l *run.Log) bool {
	r := l.Header.Setup.Part.Readings
	if r == nil || len(l.Entries) > 20 || len(r.Z) > 100 {
		return false
	}
	pitch := l.Header.Setup.Part.PitchMM
	x, y := float64(r.NX)*r.DX, float64(r.NY)*r.DY
	for k := range r.X {
		x = max(x, r.X[k]-r.X[0], r.X[0]-r.X[k])
	}
	for k := range r.Y {
		y = max(y, r.Y[k]-r.Y[0], r.Y[0]-r.Y[k])
	}
	return x <= 30 && y <= 30 && (pitch == 0 || pitch >= .25)
}
