package surface

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
)

func read(t *testing.T, text string) *Data {
	t.Helper()
	d, err := ReadCSV(strings.NewReader(text), ReadOptions{})
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return d
}

var nan = math.NaN()

func sameHeights(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for k := range a {
		if a[k] != b[k] && !(a[k] != a[k] && b[k] != b[k]) {
			return false
		}
	}
	return true
}

func TestReadCSVMatrix(t *testing.T) {
	want := Grid{NX: 3, NY: 2, DX: 0.5, DY: 0.25}
	z := []float64{1, 2, 3, 4, nan, -6.5}
	for name, text := range map[string]string{
		"comma":         "# pitch_mm: 0.5,0.25\n1,2,3\n4,,-6.5\n",
		"semicolon":     "# pitch_mm: 0.5,0.25\n1;2;3\n4;;-6,5\n",
		"tab":           "# pitch_mm: 0.5,0.25\n1\t2\t3\n4\t\t-6,5\n",
		"BOM and CRLF":  "\ufeff# pitch_mm: 0.5,0.25\r\n1,2,3\r\n4,,-6.5\r\n",
		"no last break": "#pitch_mm=0.5,0.25\n\n 1 , 2 , 3\n# between\n4,nan,\"-6.5\"",
		"infinite":      "# pitch_mm: 0.5,0.25\n1,2,3\n4,-Inf,-6.5\n",
	} {
		d := read(t, text)
		if d.Map == nil || d.Map.Grid != want || !sameHeights(d.Map.Z, z) {
			t.Errorf("%s: %+v", name, d.Map)
		}
	}
	if d := read(t, "# pitch_mm: 2\n\t\t\n1\t2\t3\n4\t5\t7\n"); d.Map.NY != 3 || d.Map.DY != 2 || d.Map.Valid() != 6 {
		t.Errorf("a first row of empty tabbed cells was lost: %+v", d.Map)
	}
	if d := read(t, "# pitch_mm: 2\n# origin_mm: -3,4.5\n1,2\n4,6\n"); d.Map.X0 != -3 || d.Map.Y0 != 4.5 {
		t.Errorf("origin: %+v", d.Map.Grid)
	}
}

func TestReadCSVUnits(t *testing.T) {
	const matrix = "1,2\n3,5\n"
	for _, c := range []struct {
		text, asked, unit string
		first             float64 // um
	}{
		{"# pitch_mm: 1\n" + matrix, "", "um", 1},
		{"# pitch_mm: 1\n# units mm\n" + matrix, "", "mm", 1000},
		{"# pitch_mm: 1\n# Set A; units mm; deliberately tilted.\n# zone = 0.0082 um, vertical (z) residuals = 3 um\n" + matrix, "", "mm", 1000},
		{"# pitch_mm: 1\n# z unit: tenth\n" + matrix, "", "tenth", 2.54},
		{"# pitch_mm: 1\n# z_unit = tenths\n" + matrix, "", "tenth", 2.54},
		{"# pitch_mm: 1\n# all heights are given in inches\n" + matrix, "", "in", 25400},
		{"# pitch_mm: 1\n# units: in\n" + matrix, "", "in", 25400},
		{"# pitch_mm: 1\n# units in mm\n" + matrix, "", "mm", 1000},
		{"# pitch_mm: 1\n# x, y in mm, z in µm\n" + matrix, "", "um", 1},
		{"# pitch_mm: 1\n# units mm\n" + matrix, "um", "um", 1},
		{"# pitch_mm: 1\n" + matrix, "tenth", "tenth", 2.54},
		{"x,y,z_mm\n0,0,1\n1,0,2\n0,1,3\n1,1,5\n", "", "mm", 1000},
		{"x_mm,y_mm,z (µm)\n0,0,1\n1,0,2\n0,1,3\n1,1,5\n", "", "um", 1},
		{"x [mm],y [mm],z [\xb5m]\n0,0,1\n1,0,2\n0,1,3\n1,1,5\n", "", "um", 1},
		{"x_in,y_in,z (thou)\n0,0,1\n1,0,2\n0,1,3\n1,1,5\n", "", "thou", 25.4},
		{"# pitch_in: 1\n# z unit: mils\n" + matrix, "", "thou", 25.4},
		{"z(tenth);y;x\n1;0;0\n2;0;1\n3;1;0\n5;1;1\n", "", "tenth", 2.54},
	} {
		d, err := ReadCSV(strings.NewReader(c.text), ReadOptions{Unit: c.asked})
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if d.Unit != c.unit || math.Abs(d.Map.Z[0]-c.first) > 1e-9 {
			t.Errorf("%q: unit %s, first height %g um, want %s and %g", c.text, d.Unit, d.Map.Z[0], c.unit, c.first)
		}
		if inches := strings.Contains(c.text, "_in"); (d.Map.DX == 25.4 && d.Map.DY == 25.4) != inches {
			t.Errorf("%q: a pitch of %g x %g mm", c.text, d.Map.DX, d.Map.DY)
		}
		if stated := c.text != "# pitch_mm: 1\n"+matrix || c.asked != ""; d.UnitStated != stated {
			t.Errorf("%q: stated %v", c.text, d.UnitStated)
		}
	}
}

func TestReadCSVPoints(t *testing.T) {
	// A lattice written in no order, with a hole and an empty height.
	d := read(t, "x,y,z\n10,0,1\n0,0,2\n20,0,3\n0,5,4\n20,5,\n10,10,6\n0,10,7\n20,10,8\n")
	want := []float64{2, 1, 3, 4, nan, nan, 7, 6, 8}
	if d.Map == nil || (d.Map.Grid != Grid{NX: 3, NY: 3, DX: 10, DY: 5}) || !sameHeights(d.Map.Z, want) {
		t.Errorf("partial lattice: %+v", d.Map)
	}
	if len(d.Cloud.Z) != 7 || len(d.Points().X) != 7 {
		t.Errorf("cloud %+v", d.Cloud)
	}
	// Positions printed with few decimals still stand on their lattice.
	if d := read(t, "0,0,1\n0.333,0,2\n0.667,0,3\n1,0,4\n0,1,1\n0.333,1,2\n0.667,1,3\n1,1,4"); d.Map == nil || d.Map.NX != 4 || math.Abs(d.Map.DX-1./3) > 1e-12 {
		t.Errorf("rounded lattice: %+v", d.Map)
	}
	// A frame of readings round a 9 x 9 lattice: fewer than half of its cells.
	var frame strings.Builder
	for j := range 9 {
		for i := range 9 {
			if i == 0 || j == 0 || i == 8 || j == 8 || i == 1 || j == 1 {
				fmt.Fprintf(&frame, "%d,%d,%d\n", i, j, i*j%3)
			}
		}
	}
	if d := read(t, frame.String()); d.Map == nil || d.Map.NX != 9 || d.Map.NY != 9 {
		t.Errorf("frame: %+v", d.Map)
	}
	// Scattered points with round coordinates are no lattice.
	if d := read(t, "0,0,1\n10,0,2\n3,7,3\n9,8,4\n1,6,2"); d.Map != nil || len(d.Cloud.Z) != 5 {
		t.Errorf("scattered: %+v", d.Map)
	}
	// Nor are points whose lattice would be huge.
	if d := read(t, "0,0,1\n0.001,0,2\n1000,1000,3\n0,0.001,4\n"); d.Map != nil {
		t.Errorf("exploded: %+v", d.Map.Grid)
	}
}

// Positions that were written as decimals have a decimal pitch: 59.8 mm over 299 steps
// is 0.19999999999999998 in float64.
func TestReadCSVPitchIsDecimal(t *testing.T) {
	var text strings.Builder
	for j := range 2 {
		for i := range 300 {
			fmt.Fprintf(&text, "%.1f,%.1f,%d\n", .2*float64(i), .2*float64(j), i%7)
		}
	}
	m := read(t, text.String()).Map
	if m == nil || m.DX != .2 || m.DY != .2 {
		t.Errorf("%+v, want a pitch of 0.2 mm both ways", m)
	}
}

func TestReadCSVErrors(t *testing.T) {
	wide := "# pitch_mm: 1\n" + strings.Repeat(",", 1_000_000) + "\n"
	for _, c := range []struct{ text, want string }{
		{"", "no heights"},
		{"# only a comment\n", "no heights"},
		{"x,y,z\n", "no heights"},
		{"1,2,3,4\n", "line 1: 4 columns: points need x,y,z"},
		{"123\n", "line 1: 1 column"},
		{"# pitch_mm: 1\n1,2,3\n4,5\n", "line 3: 2 columns where line 2 has 3"},
		{"# pitch_mm: 1\n1,2\n3,high\n", `line 3: column 2: "high" is not a number`},
		{"east,north,up\n", `line 1: column 1: "east" is not a number`},
		{"0,0,1\n1,0,2\n0,one,2\n", `line 3: column 2: "one" is not a number`},
		{"# pitch_mm: 1\n1,2,3\n", "3 x 1 heights are a line"},
		{"# pitch_mm: 1\n1\n2\n", "line 2: 1 column of heights"},
		{"# pitch_mm: 0\n1,2\n3,4\n", "line 1: pitch_mm is 0"},
		{"# pitch_mm: -1,1\n1,2\n3,4\n", "line 1: pitch_mm"},
		{"# pitch_mm: one\n", `line 1: pitch_mm: "one" is not a length`},
		{"# pitch_mm: 1,2,3\n", "line 1: pitch_mm: give one or two"},
		{"# pitch_mm: 1\n# pitch_mm: 2\n", "line 2: pitch_mm is stated again (line 1)"},
		{"1,2,3\n# pitch_mm: 1\n", "line 2: pitch_mm stands below the first row (line 1)"},
		{"# origin_mm: 1\n", "line 1: origin_mm: give X,Y"},
		{"# pitch_mm: 1\n1,\n,4\n", "fewer than three"},
		{"0,0,1\n1,1,2\n", "fewer than three"},
		{"0,0,1\n1,1,2\n2,2,3\n3,3,1\n", "one line"},
		{"# pitch_mm: 1\n1,,\n,2,\n,,3\n", "one line"},
		{"0,0,1\n1,0,2\n0,1,3\n1,0,2\n", "line 4: the position (1, 0) was given in line 2 already"},
		{"0,0,1\n1,0,2\n3.7,11,3\n1,0,2\n", "line 4: the position (1, 0) was given in line 2 already"},
		{"0,0,1\n1,nan,2\n0,1,3\n", `line 2: column 2: the position "nan" is not a length`},
		{"0,0,1\n1e300,0,2\n0,1,3\n", "line 2: column 1: the position"},
		{"0,0,1\n1,0,1e300\n0,1,3\n", "line 2: a height of 1e+300 um is beyond 1 km"},
		{"0,0,1\n1,0,1e999\n0,1,3\n", `line 2: column 3: "1e999" is too large`},
		{"x,y,z_furlong\n", `line 1: column z has the unit "furlong"`},
		{"x_um,y_um,z\n", "line 1: column x is in um: positions must be in mm or in"},
		{"0 0 1\n1 0 2\n", "line 1: the numbers are parted by blanks"},
		{"x,x,z\n", "line 1: two columns are called x"},
		{"# units mm\nx,y,z_um\n", "line 2: the heights are said to be in um, but line 1 says mm"},
		{"# units: mm (x, y), um (z)\n", "line 1: the comment names both mm and um"},
		{"PK\x03\x04\x00\x00", "line 1: byte 3 is 0x03: this is not a text file"},
		{wide, "line 2: 1000001 columns are too many"},
		{"# pitch_mm: 1\n" + strings.Repeat("9", maxLine+2), "line 2: more than"},
	} {
		_, err := ReadCSV(strings.NewReader(c.text), ReadOptions{})
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%.60q: error %v, want one line with %q", c.text, err, c.want)
		}
	}
	if _, err := ReadCSV(strings.NewReader("0,0,1\n"), ReadOptions{Unit: "cubit"}); err == nil || !strings.Contains(err.Error(), "cubit") {
		t.Errorf("unknown unit asked for: %v", err)
	}
}

func TestWriteCSVKeepsEveryBit(t *testing.T) {
	m := NewMap(Grid{NX: 40, NY: 30, DX: 1. / 3, DY: 0.1, X0: 1. / 6, Y0: -2.5})
	rng := stream(1, 1)
	for k := range m.Z {
		m.Z[k] = (rng.Float64() - 0.5) * math.Pow(10, float64(rng.IntN(12)-6))
		if rng.IntN(9) == 0 {
			m.Z[k] = nan
		}
	}
	var b bytes.Buffer
	if err := WriteCSV(&b, m); err != nil {
		t.Fatal(err)
	}
	d := read(t, b.String())
	if d.Map.Grid != m.Grid || !sameHeights(d.Map.Z, m.Z) {
		t.Error("a map written and read back differs")
	}

	c := &Cloud{X: []float64{0, 1.5, 1. / 3}, Y: []float64{0, -2, 7e-5}, Z: []float64{1, 2, 1. / 7}}
	b.Reset()
	if err := WriteCloudCSV(&b, c); err != nil {
		t.Fatal(err)
	}
	got := read(t, b.String()).Cloud
	if !sameHeights(got.X, c.X) || !sameHeights(got.Y, c.Y) || !sameHeights(got.Z, c.Z) {
		t.Errorf("a cloud written and read back differs: %+v", got)
	}
}

func FuzzReadCSV(f *testing.F) {
	for _, s := range []string{
		"", "x,y,z\n0,0,1\n1,0,2\n0,1,3\n1,1,5\n", "# pitch_mm: 0.5,0.25\n1,2,3\n4,,-6.5\n",
		"# pitch_mm: 1\n# origin_mm: -3,4.5\n# z unit: tenth\n1;2,5\n;4\n3;nan\n",
		"\ufeffz_mm\ty\tx\r\n1\t0\t0\r\n2\t0\t1\r\n3\t1\t0\r\n", "0,0,1\n1e8,0,2\n1e-300,1,3\n",
		"# units: mm\n0,0,1\n0,0,2\n", "0,0,inf\n1,1,nan\n2,,3\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		d, err := ReadCSV(bytes.NewReader(b), ReadOptions{})
		if err != nil {
			if strings.ContainsAny(err.Error(), "\n\r") {
				t.Fatalf("an error of several lines: %q", err)
			}
			return
		}
		if d.Map == nil {
			if len(d.Cloud.Z) < 3 {
				t.Fatal("accepted fewer than three points")
			}
			return
		}
		if len(d.Map.Z) != d.Map.Cells() || d.Map.Valid() < 3 {
			t.Fatalf("map of %+v holds %d heights, %d valid", d.Map.Grid, len(d.Map.Z), d.Map.Valid())
		}
		var out bytes.Buffer
		if err := WriteCSV(&out, d.Map); err != nil {
			t.Fatal(err)
		}
		again, err := ReadCSV(&out, ReadOptions{})
		if err != nil {
			t.Fatalf("written by this package, refused by it: %v", err)
		}
		if again.Map.Grid != d.Map.Grid || !sameHeights(again.Map.Z, d.Map.Z) {
			t.Fatal("a map written and read back differs")
		}
	})
}

// Rows of three numbers without names that may as well be a matrix of heights are
// said to be read as points; readings that stand on a lattice, rows that have names and
// a matrix with its pitch are not.
func TestThreeColumnsWithoutNames(t *testing.T) {
	var lattice, scattered strings.Builder
	for k := range 12 {
		fmt.Fprintf(&lattice, "%d,%d,%d\n", k%4*25, k/4*30, k*k%7)
		fmt.Fprintf(&scattered, "%g,%g,%d\n", math.Sqrt(float64(k)), math.Sin(float64(k)), k%5)
	}
	for text, want := range map[string]bool{
		"1,2,3\n2.5,3,1\n4,5.5,6\n":                 true,  // no lattice
		"0,1,2\n1,2,0\n2,0,1\n":                     true,  // a third of one
		scattered.String():                          true,  // may be either
		"x,y,z\n" + scattered.String():              false, // named
		lattice.String():                            false,
		"0,0,5\n100,0,6\n50,80,7\n0,80,2\n":         false, // four of six
		"# pitch_mm: 10\n1,2,3\n2.5,3,1\n4,5.5,6\n": false,
		"0,0,1\n1,0,2\n0,1,3\n":                     false, // three of four
	} {
		d := read(t, text)
		if got := strings.Contains(strings.Join(d.Warnings, ""), "rows of three numbers"); got != want {
			t.Errorf("%q: warned %v, want %v: %q", text, got, want, d.Warnings)
		}
	}
	// A matrix that rises evenly has its first two columns on one line.
	for text, want := range map[string]bool{"1,2,3\n2,3,4\n3,4,5\n": true, "x,y,z\n1,2,3\n2,3,4\n3,4,5\n": false} {
		_, err := ReadCSV(strings.NewReader(text), ReadOptions{})
		if err == nil || strings.Contains(err.Error(), "a matrix of heights needs a line") != want {
			t.Errorf("%q: %v", text, err)
		}
	}
}
