package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Edges and diagonal of a plate of 400 x 300 mm, read with a level; the first step
// of the last line is 2 um off.
const plateLines = `# lines
# unit: um
# sigma: 0.5
name,kind,x0,y0,x1,y1,readings
south,level,0,0,400,0,1,-1,2,-2
north,level,0,300,400,300,1,-1,2,-2
west,level,0,0,0,300,3,-3
east,level,400,0,400,300,3,-3
diagonal,level,0,0,400,300,2,0
`

func TestMeasureLines(t *testing.T) {
	file := write(t, "plate.csv", plateLines)
	out := good(t, "measure", file, "--json")
	sameKeys(t, "measure of lines", out, "cells pitch_mm valid_cells flatness_um texture seat bearing lines")
	m := decode[measured](t, out)
	if m.Cells != nil || m.Bearing != nil || m.Lines == nil || len(m.Lines.Lines) != 5 || len(m.Lines.Stations) != m.ValidCells {
		t.Fatalf("measure: %s", out)
	}
	// 14 readings, 13 stations, less a plane, plus the two tilts of gravity.
	if m.Lines.Readings != 14 || m.ValidCells != 13 || m.Lines.Spare != 14-(13+2-3) {
		t.Errorf("%d readings, %d stations, %d to spare", m.Lines.Readings, m.ValidCells, m.Lines.Spare)
	}
	for k, l := range m.Lines.Lines {
		if l.Closure == nil || l.Straightness == nil {
			t.Errorf("%s: closure %s, straightness %s", l.Name, show(l.Closure), show(l.Straightness))
		}
		// The edges close among themselves; the diagonal misses them by its 2 um.
		if k == 4 {
			near(t, "closure of the diagonal", l.Closure, 2, 1e-9)
		}
	}
	for _, want := range []string{"lines ", "diagonal ", "scatter of residuals", "closes to", "um, +- "} {
		if table := good(t, "measure", file); !strings.Contains(table, want) {
			t.Errorf("the table lacks %q: %s", want, table)
		}
	}
	// Other commands take the heights.
	heights := filepath.Join(t.TempDir(), "heights.csv")
	good(t, "convert", file, heights)
	again := decode[measured](t, good(t, "measure", heights, "--json"))
	near(t, "minimum zone of the heights written down", again.FlatnessUM.MinimumZone, *m.FlatnessUM.MinimumZone, 1e-9)
	if again.Lines != nil {
		t.Error("heights are no lines")
	}

	refused(t, 2, "line 4: field 8", "measure", write(t, "gap.csv", "# lines\n# unit: um\n# sigma: 1\na,level,0,0,1,0,1,,2\n"))
	refused(t, 2, "one line", "measure", write(t, "one.csv", "# lines\n# unit: um\n# sigma: 1\na,level,0,0,1,0,1,2\n"))
	refused(t, 2, "state their own", "measure", file, "--unit", "mm")
}

func TestMeasurePage(t *testing.T) {
	for name, content := range map[string]string{"face.csv": exactCase(), "plate.csv": plateLines, "cloud.csv": "0,0,1\n1,0.3,2\n0.2,1,1\n3,4,1\n"} {
		file := write(t, name, content)
		page := filepath.Join(t.TempDir(), "page.html")
		out := good(t, "measure", file, "-o", page)
		if plain := good(t, "measure", file); plain != out {
			t.Errorf("%s: the table differs when a page is written", name)
		}
		b, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(b), "<h1>"+name+"</h1>") || !strings.HasSuffix(strings.TrimSpace(string(b)), "</html>") {
			t.Errorf("%s: the page holds %d bytes", name, len(b))
		}
		refused(t, 2, "--force", "measure", file, "-o", page)
		good(t, "measure", file, "-o", page, "--force", "--json")
	}
	// What cannot be measured leaves no page.
	page := filepath.Join(t.TempDir(), "none.html")
	refused(t, 2, "line", "measure", write(t, "bad.csv", "0,0,1\n1,1\n"), "-o", page)
	if _, err := os.Stat(page); err == nil {
		t.Error("a page of nothing")
	}
}

// The page states the film and the load of its bearing, as asked for.
func TestMeasurePageStatesFilmAndLoad(t *testing.T) {
	var b strings.Builder
	b.WriteString("# pitch_mm: 0.5\n")
	for y := range 80 {
		for x := range 100 {
			if x > 0 {
				b.WriteByte(',')
			}
			fmt.Fprint(&b, (x*7+y*13)%11)
		}
		b.WriteByte('\n')
	}
	file := write(t, "face.csv", b.String())
	page := filepath.Join(t.TempDir(), "page.html")
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--film", "1.5"}, "at its centroid, (24.75, 19.75) mm"},
		{[]string{"--film", "1.5", "--rigid", "--load", "20,15"}, "rigidly on three points under a load acting at (20, 15) mm"},
	} {
		good(t, append([]string{"measure", file, "-o", page, "--force"}, c.args...)...)
		content, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{c.want, "Bearing at a 1.5 µm film"} {
			if !strings.Contains(string(content), want) {
				t.Errorf("%v: the page does not say %q", c.args, want)
			}
		}
	}
}
