package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// scan is a measured face of 20 x 16 mm at 0.2 mm: grooves of 1 mm along y, 4 um
// deep, on a bow of 30 um.
func scan() string {
	var b strings.Builder
	b.WriteString("# pitch_mm: 0.2\n# unit: um\n")
	for range 80 {
		for i := range 100 {
			u := float64(i)/50 - 1
			fmt.Fprintf(&b, ",%.4f", 2*math.Sin(2*math.Pi*float64(i)/5)+30*u*u)
		}
		b.WriteByte('\n')
	}
	return strings.ReplaceAll(b.String(), "\n,", "\n")
}

func TestMeasuredTextureOfAPractice(t *testing.T) {
	file := write(t, "scan.csv", scan())
	folder := t.TempDir()
	part := write(t, "part.csv", readings)
	for name, args := range map[string][]string{
		"lesson": {"--lesson", "coupon", "--seed", "3"}, "part": {"--part", part}, "short waves": {"--part", part, "--cutoff", "2.5"},
	} {
		run := filepath.Join(folder, name+".run")
		r := call(t, append([]string{"practise", "--texture", file, "--cycles", "2", "-o", run}, args...)...)
		if r.code != 1 || !strings.Contains(r.err, "mirrored at its edges") {
			t.Fatalf("%s: exit %d: %s", name, r.code, r.err)
		}
		// The run holds the texture: the file may go.
		if rep := decode[report](t, good(t, "replay", run, "--json")); !rep.OK || rep.Lesson != nil {
			t.Errorf("%s: replay says %+v", name, rep)
		}
		began := filepath.Join(folder, name+".csv")
		good(t, "convert", run, began, "--cycle", "0")
		m := decode[measured](t, good(t, "measure", began, "--json"))
		// Across the grooves neighbours differ by up to 2.4 um, along them by the form
		// alone: cell (i, j+1) less cell (i, j) against cell (i+1, j) less cell (i, j).
		var across, along float64
		rows := strings.Split(string(content(t, began)), "\n")
		var last []float64
		for _, row := range rows {
			if row == "" || row[0] == '#' {
				continue
			}
			var z []float64
			for _, f := range strings.Split(row, ",") {
				var v float64
				fmt.Sscan(f, &v)
				z = append(z, v)
			}
			for i := 1; i < len(z); i++ {
				across = max(across, math.Abs(z[i]-z[i-1]))
			}
			for i := range last {
				along = max(along, math.Abs(z[i]-last[i]))
			}
			last = z
		}
		if across < 2 || across > 3 || along > .6 {
			t.Errorf("%s: neighbours differ by up to %.2f um across the grooves and %.2f along them", name, across, along)
		}
		if name == "lesson" && math.Abs(*m.FlatnessUM.LSTotal-45) > 1 {
			t.Errorf("the lesson's part is %.1f um out, want the 45 of the lesson: the scan's bow is form", *m.FlatnessUM.LSTotal)
		}
	}
	out := filepath.Join(folder, "x.run")
	for want, args := range map[string][]string{
		"--finish and --texture":         {"--part", part, "--finish", "milled", "--texture", file},
		"--cutoff goes with --texture":   {"--part", part, "--cutoff", "8"},
		"less than two cutoffs of 25":    {"--lesson", "coupon", "--texture", file, "--cutoff", "25"},
		"a cutoff of -1 mm":              {"--lesson", "coupon", "--texture", file, "--cutoff", "-1"},
		"too coarse for a texture":       {"--lesson", "coupon", "--texture", part},
		"no such file":                   {"--lesson", "coupon", "--texture", "nosuch.csv"},
		"are the unit and the cutoff":    {"--lesson", "coupon", "--texture", file, "--unit", "mm"},
		"--unit goes with --part or --t": {"--lesson", "coupon", "--unit", "mm"},
	} {
		refused(t, 2, want, append([]string{"practise", "-o", out}, args...)...)
	}
}

func TestLessonWithAMeasuredTexture(t *testing.T) {
	coupon, err := os.ReadFile("../../lessons/coupon.yaml")
	if err != nil {
		t.Fatal(err)
	}
	lesson := func(texture string) string {
		text := strings.NewReplacer("id: coupon", "id: scanned", "finish: milled", "texture: "+texture).Replace(string(coupon))
		name := write(t, "scanned.yaml", text)
		if err := os.WriteFile(filepath.Join(filepath.Dir(name), "scan.csv"), []byte(scan()), 0o666); err != nil {
			t.Fatal(err)
		}
		return name
	}
	name := lesson("{file: scan.csv}")
	good(t, "lessons", "check", name)
	file := filepath.Join(t.TempDir(), "a.run")
	if r := call(t, "practise", "--lesson", name, "--cycles", "2", "-o", file); r.code != 1 {
		t.Fatalf("exit %d: %s", r.code, r.err)
	}
	if err := os.RemoveAll(filepath.Dir(name)); err != nil {
		t.Fatal(err)
	}
	if rep := decode[report](t, good(t, "replay", file, "--json")); !rep.OK || *rep.Lesson != "scanned" {
		t.Errorf("%+v", rep)
	}
	for texture, want := range map[string]string{
		"{file: none.csv}": "no such file", "{file: ../scan.csv}": "lies beside the lesson", "{}": "lies beside the lesson",
		"{file: scan.csv, cutoff_mm: 100}": "less than two cutoffs", "{file: scan.csv, nx: 3}": "nx", "{file: scan.csv, cutoff_mm: -8}": "a cutoff of -8",
		"{file: scan.csv}, finish: milled": "", "{file: scan.csv}\n      finish: milled": "give one of them",
	} {
		r := call(t, "lessons", "check", lesson(texture))
		if r.code != 1 || !strings.Contains(r.out, want) || strings.Count(r.out, "\n") != 1 {
			t.Errorf("texture %s: exit %d: %s%s", texture, r.code, r.out, r.err)
		}
	}
}
