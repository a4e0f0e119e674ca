package gauge

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

const someLines = `# lines
# Read on a grey day.
# unit: arcsec
# sigma: 0.5
name,kind,x0,y0,x1,y1,readings
"north edge",autocollimator,0,0,600,0,1.2,-0.4,0.7
# unit: um
# sigma: 0.2
diagonal,level,0,0,300,400,3,-2,0.5,1,0
edge,straightedge,0,0,0,400,1,2,4
`

func TestReadLines(t *testing.T) {
	if !HoldsLines([]byte(someLines)) || HoldsLines([]byte("# pitch_mm: 1\n1,2\n# lines\n")) || HoldsLines([]byte("# linesmen\n")) || HoldsLines(nil) {
		t.Error("lines are not told from heights")
	}
	lines, err := ReadLines([]byte(strings.ReplaceAll(someLines, "\n", "\r\n")))
	if err != nil || len(lines) != 3 {
		t.Fatalf("%v, %v", lines, err)
	}
	l := lines[0]
	if l.Name != "north edge" || l.Kind != AutocollimatorSteps || l.X1 != 600 || l.Y1 != 0 || len(l.Readings) != 3 {
		t.Errorf("first line %+v", l)
	}
	// One second of arc over a metre is 4.848 um (pi / 648000).
	near(t, "rise over 200 mm", l.Readings[0], 1.2*.2*4.84813681109536, 1e-12)
	near(t, "sigma over 200 mm", l.SigmaUM, .5*.2*4.84813681109536, 1e-12)
	if l := lines[1]; l.Kind != LevelSteps || l.SigmaUM != .2 || l.Readings[1] != -2 || len(l.Readings) != 5 {
		t.Errorf("second line %+v", l)
	}
	if l := lines[2]; l.Kind != StraightedgeHeights || l.stations() != 3 {
		t.Errorf("third line %+v", l)
	}
	// The same slope in other units: 1 mm/m = 1 mrad = 1000 um/m = 1000 urad.
	for unit, slope := range map[string]float64{"um/m": 1000, "urad": 1000, "mm/m": 1, "mrad": 1} {
		lines, err := ReadLines(fmt.Appendf(nil, "# lines\n# unit: %s\n# sigma: 1\na,level,0,0,0,500,%g,0\n", unit, slope))
		if err != nil {
			t.Fatal(err)
		}
		near(t, unit, lines[0].Readings[0], 250, 1e-9)
	}
}

func TestReadLinesRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"# lines\n":                                                                           "no lines",
		"# lines\na,level,0,0,1,0,1\n":                                                        "line 2: the unit",
		"# lines\n# unit: um\na,level,0,0,1,0,1\n":                                            "line 3: the uncertainty",
		"# lines\n# unit: cubit\n":                                                            `line 2: unit "cubit" is unknown`,
		"# lines\n# unit: um\n# sigma: 0\n":                                                   "line 3: sigma",
		"# lines\n# unit: um\n# sigma: 1\na,level,0,0,1,0\n":                                  "line 4: 6 fields",
		"# lines\n# unit: um\n# sigma: 1\na,laser,0,0,1,0,1\n":                                `kind "laser"`,
		"# lines\n# unit: um\n# sigma: 1\na,level,0,0,1,0,1,,2\n":                             `field 8: "" is not a number`,
		"# lines\n# unit: um\n# sigma: 1\na,level,0,0,1,0,NaN\n":                              "not a number",
		"# lines\n# unit: um\n# sigma: 1\na,level,0,0,1e9,0,1\n":                              "no position",
		"# lines\n# unit: um\n# sigma: 1\na,level,0,0,1,0,1e7\n":                              "more than 1 m",
		"# lines\n# unit: arcsec\n# sigma: 1\na,straightedge,0,0,1,0,1,2,3\n":                 "not in arcsec",
		"# lines\n# unit: um\n# sigma: 1\na,level,0,0,1,0" + strings.Repeat(",1", 601) + "\n": "more than 600",
	} {
		if _, err := ReadLines([]byte(text)); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: %v, want %q", text[:min(len(text), 60)], err, want)
		}
	}
}

// Heights of a plate are found again from the lines that an instrument would have
// read on it, up to a plane, whatever is written about them.
func TestReadLinesSolve(t *testing.T) {
	z := func(x, y float64) float64 { return x*x/20000 - x*y/40000 + 3*math.Sin(y/90) }
	var b strings.Builder
	b.WriteString("# lines\n# unit: um/m\n# sigma: 1\n")
	line := func(name string, x0, y0, x1, y1 float64, n int) {
		fmt.Fprintf(&b, "%s,level,%g,%g,%g,%g", name, x0, y0, x1, y1)
		step := math.Hypot(x1-x0, y1-y0) / float64(n)
		at := func(k int) float64 {
			t := float64(k) / float64(n)
			return z(x0+t*(x1-x0), y0+t*(y1-y0))
		}
		for k := range n {
			fmt.Fprintf(&b, ",%.12g", (at(k+1)-at(k))/step*1000)
		}
		b.WriteByte('\n')
	}
	line("south", 0, 0, 600, 0, 6)
	line("north", 0, 400, 600, 400, 6)
	line("west", 0, 0, 0, 400, 4)
	line("east", 600, 0, 600, 400, 4)
	line("diagonal", 0, 0, 600, 400, 8)
	lines, err := ReadLines([]byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	s, err := Solve(lines)
	if err != nil {
		t.Fatal(err)
	}
	want := s.Cloud()
	for k := range want.Z {
		want.Z[k] = z(want.X[k], want.Y[k])
	}
	plane, err := want.LeastSquares()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range s.Stations {
		near(t, fmt.Sprintf("height at (%g, %g)", p.X, p.Y), p.Z, z(p.X, p.Y)-plane.At(p.X, p.Y), 1e-8)
	}
	for k, l := range s.Lines {
		if l.Closure == nil || *l.Closure > 1e-8 {
			t.Errorf("line %d closes to %v", k, l.Closure)
		}
	}
}

func FuzzReadLines(f *testing.F) {
	f.Add([]byte(someLines))
	f.Add([]byte("# lines\n# unit: um\n# sigma: 1\na,straightedge,0,0,0,0,1,2\n"))
	f.Fuzz(func(t *testing.T, content []byte) {
		HoldsLines(content)
		lines, err := ReadLines(content)
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("more than one line: %q", err)
			}
			return
		}
		n := 0
		for _, l := range lines {
			n += len(l.Readings)
		}
		if n > 40 { // what it finds is in the reader; large systems take their time
			return
		}
		s, err := Solve(lines)
		if err != nil {
			return
		}
		for _, p := range s.Stations {
			if p.Z-p.Z != 0 || p.SigmaUM-p.SigmaUM != 0 {
				t.Fatalf("station %+v of %+v", p, lines)
			}
		}
		for k := range lines {
			if _, err := s.Straightness(k); err != nil {
				t.Fatalf("line %+v: %v", lines[k], err)
			}
		}
	})
}
