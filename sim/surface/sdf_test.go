package surface

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"maps"
	"math"
	"os"
	"strings"
	"testing"
)

func sample(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../testdata/samples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestReadSDFSample(t *testing.T) {
	d, err := ReadSDF(sample(t, "surftopo_sdf-1.sdf"))
	if err != nil {
		t.Fatal(err)
	}
	// Numbers as they stand in the file; it gives all three scales as 1 um.
	want := []float64{
		1.00000, 0.99874, 0.99495, 0.98865, 0.97986, 0.96858, 1.00000,
		0.99874, 0.99748, 0.99369, 0.98740, 0.97862, 0.96736, 0.99874,
		0.99495, 0.99369, 0.98993, 0.98366, 0.97491, 0.96369, 0.99495,
		0.97986, 0.97862, 0.97491, 0.96874, 0.96012, 0.94907, 0.97986,
	}
	if (d.Map.Grid != Grid{NX: 7, NY: 4, DX: 0.001, DY: 0.001}) || !sameHeights(d.Map.Z, want) || len(d.Warnings) != 0 {
		t.Errorf("%+v %q", d.Map, d.Warnings)
	}
}

// binarySDF packs a file by the layout of ISO 25178-71, independently of the
// writer: version 1 counts in two bytes, version 2 in four.
func binarySDF(version int, nx, ny uint32, scale [3]float64, dataType uint8, values any) []byte {
	var b bytes.Buffer
	add := func(v any) {
		if err := binary.Write(&b, binary.LittleEndian, v); err != nil {
			panic(err)
		}
	}
	fmt.Fprintf(&b, "bISO-%d.0%-10s%s%s", version, "maker", "040120100853", "050320101353")
	if version == 1 {
		add(uint16(nx))
		add(uint16(ny))
	} else {
		add(nx)
		add(ny)
	}
	add(scale)
	add(-1.0)
	add([]uint8{0, dataType, 0})
	add(values)
	b.WriteString("any trailer")
	return b.Bytes()
}

func TestReadBinarySDF(t *testing.T) {
	scale := [3]float64{2e-4, 1e-4, 1e-9}
	grid := Grid{NX: 3, NY: 2, DX: 0.2, DY: 0.1}
	um := []float64{1, 0.002, -0.003, nan, 0.1, 0}
	for _, c := range []struct {
		name     string
		version  int
		dataType uint8
		values   any
	}{
		{"int16", 1, 5, []int16{1000, 2, -3, math.MinInt16, 100, 0}},
		{"int32", 1, 6, []int32{1000, 2, -3, math.MinInt32, 100, 0}},
		{"float64", 1, 7, []float64{1000, 2, -3, -math.MaxFloat64, 100, 0}},
		{"float64, NaN", 1, 7, []float64{1000, 2, -3, nan, 100, 0}},
		{"float64, infinite", 2, 7, []float64{1000, 2, -3, math.Inf(1), 100, 0}},
		{"float32", 2, 3, []float32{1000, 2, -3, -math.MaxFloat32, 100, 0}},
		{"int16, 2.0", 2, 5, []int16{1000, 2, -3, math.MinInt16, 100, 0}},
	} {
		d, err := ReadSDF(binarySDF(c.version, 3, 2, scale, c.dataType, c.values))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if d.Map.Grid != grid || !sameHeights(d.Map.Z, um) {
			t.Errorf("%s: %+v", c.name, d.Map)
		}
	}
	d, err := ReadSDF(binarySDF(2, 3, 2, scale, 4, []int8{1, 2, -3, math.MinInt8, 100, 0}))
	if err != nil || !sameHeights(d.Map.Z, []float64{0.001, 0.002, -0.003, nan, 0.1, 0}) {
		t.Errorf("int8: %v %v", d, err)
	}
}

func TestReadSDFErrors(t *testing.T) {
	const header = "aISO-1.0\r\nManufacID = m\r\nNumPoints = 2\r\nNumProfiles = 2\r\nXscale = 1e-3\r\nYscale = 1e-3\r\nZscale = 1e-6\r\n"
	one := [3]float64{1, 1, 1}
	for _, c := range []struct {
		content []byte
		want    string
	}{
		{nil, "shorter than"},
		{[]byte("bSDF-1.0 and more"), `begins with "bSDF-1.0"`},
		{[]byte("bISO-1.0"), "the header alone has 81"},
		{binarySDF(2, 1e9, 1e9, one, 7, []float64{1}), "too many"},
		{binarySDF(2, 8000, 8000, one, 7, []float64{1}), "announces 8000 x 8000 heights, it holds 2"},
		{binarySDF(1, 3, 1, one, 7, []float64{1, 2, 3}), "a line, not a face"},
		{binarySDF(1, 0, 9, one, 7, []float64{1}), "a line, not a face"},
		{binarySDF(1, 2, 2, one, 9, make([]float64, 4)), "data type 9"},
		{binarySDF(1, 2, 2, [3]float64{0, 1, 1}, 7, make([]float64, 4)), "the pitch is 0"},
		{binarySDF(1, 2, 2, [3]float64{1, nan, 1}, 7, make([]float64, 4)), "the pitch is NaN"},
		{binarySDF(1, 2, 2, [3]float64{1, 1, 0}, 7, make([]float64, 4)), "Zscale is 0"},
		{binarySDF(1, 2, 2, one, 7, []float64{1, 2, 3, 1e30}), "height 4 of 4 is 1e+30 m"},
		{binarySDF(1, 2, 2, one, 7, []float64{1, 2, nan, nan}), "fewer than three"},
		{[]byte(header), "within its header"},
		{[]byte(header + "nonsense\r\n*\r\n"), `line 8: "nonsense" is not Name = value`},
		{[]byte(header + "*\r\n1 2 3\r\n*\r\n"), "announces 4 heights, it holds 3"},
		{[]byte(header + "*\r\n1 2 3 4 5\r\n*\r\n"), "line 9: more than the 4 heights"},
		{[]byte(header + "*\r\n1 2 3 four\r\n*\r\n"), `line 9: "four" is not a number`},
		{[]byte(strings.Replace(header, "1e-6", "tiny", 1) + "*\r\n1 2 3 4\r\n"), `Zscale: "tiny"`},
		{[]byte(strings.Replace(header, "NumPoints = 2", "NumPoints = two", 1) + "*\r\n1 2 3 4\r\n"), `NumPoints is "two"`},
		{[]byte(strings.Replace(header, "NumPoints = 2", "NumPoints = 50000", 1) + "*\r\n1 2 3 4\r\n"), "cut short"},
		{[]byte(header + "Compression = 1\r\n*\r\n1 2 3 4\r\n"), "compression 1"},
	} {
		_, err := ReadSDF(c.content)
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.ContainsAny(err.Error(), "\r\n") {
			t.Errorf("%.40q: error %v, want one line with %q", c.content, err, c.want)
		}
	}
}

// A file cut at any byte is refused, in one line and without a panic, until
// all its data are there.
func TestTruncatedSDF(t *testing.T) {
	whole := binarySDF(1, 3, 2, [3]float64{1, 1, 1}, 5, []int16{1, 2, 4, 8, 16, 32})
	for n := range whole {
		if _, err := ReadSDF(whole[:n]); (err == nil) != (n >= 81+12) {
			t.Errorf("%d bytes: %v", n, err)
		}
	}
}

// The mark of the older form, before the standard took it over, and the lengths of
// the headers: 81 bytes in 1.0, 85 in 2.0, whose counts have four bytes (ISO
// 25178-71).
func TestSDFMarks(t *testing.T) {
	binary := binarySDF(1, 2, 2, [3]float64{1e-4, 1e-4, 1e-9}, 5, []int16{1, 2, 3, 5})
	text := []byte("aISO-1.0\nNumPoints = 2\nNumProfiles = 2\nXscale = 1e-4\nYscale = 1e-4\nZscale = 1e-9\n*\n1 2\n3 5\n*\n")
	for _, b := range [][]byte{binary, text} {
		want, err := ReadSDF(b)
		if err != nil {
			t.Fatal(err)
		}
		old, err := ReadSDF(bytes.Replace(b, []byte("ISO"), []byte("BCR"), 1))
		if err != nil || !sameHeights(old.Map.Z, want.Map.Z) || old.Map.Grid != want.Map.Grid {
			t.Errorf("%.8s: %v", b, err)
		}
	}
	if n := len(binary) - len("any trailer") - 8; n != 81 {
		t.Errorf("the header of 1.0 has %d bytes", n)
	}
	if n := len(binarySDF(2, 2, 2, [3]float64{1, 1, 1}, 5, []int16{1, 2, 3, 5})) - len("any trailer") - 8; n != 85 {
		t.Errorf("the header of 2.0 has %d bytes", n)
	}
	var out bytes.Buffer
	m := NewMap(Grid{NX: 2, NY: 2, DX: 1, DY: 1})
	if _, err := WriteSDF(&out, &Data{Map: m}, SDFBinary); err != nil || out.Len() != 81+4*8 {
		t.Errorf("%d bytes are written for four float64 heights: %v", out.Len(), err)
	}
}

func TestSDFTextLines(t *testing.T) {
	const text = "aISO-1.0\nNumPoints = 2\nNumProfiles = 3\nXscale = 2.0E-4\nYscale = 2.0E-4\nZscale = 1.0E-6\nCheckType = 1\n\n*\n 1.5\n2 3\nBAD bad -7\n"
	d, err := ReadSDF([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if !sameHeights(d.Map.Z, []float64{1.5, 2, 3, nan, nan, -7}) || len(d.Warnings) != 1 {
		t.Errorf("%v %q", d.Map.Z, d.Warnings)
	}
}

func FuzzReadSDF(f *testing.F) {
	f.Add(sample(f, "surftopo_sdf-1.sdf"))
	f.Add(binarySDF(1, 3, 2, [3]float64{1, 1, 1e-9}, 5, []int16{1, 2, -32768, 8, 16, 32}))
	f.Add(binarySDF(2, 2, 2, [3]float64{1, 1, 1}, 3, []float32{1, 2, 3, 5}))
	f.Add(binarySDF(1, 2, 2, [3]float64{1e-3, 1e-3, 1}, 7, []float64{1e-6, 2e-6, 3e-6, 5e-6}))
	f.Fuzz(func(t *testing.T, b []byte) {
		checkDecoded(t, "fuzz.sdf", b)
	})
}

// checkDecoded holds a reader to its promises on any content: an error of one
// line, or heights that go unchanged through the formats that can hold them.
func checkDecoded(t *testing.T, name string, b []byte) {
	d, err := Decode(name, b, ReadOptions{})
	if err != nil {
		if strings.ContainsAny(err.Error(), "\r\n") {
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
	form := SDFText
	for _, to := range []string{"x.x3p", "x.sdf", "x.sdf", "x.csv"} {
		content, _, err := Encode(to, d, form)
		form = SDFBinary
		if err != nil {
			t.Fatalf("%s: %v", to, err)
		}
		again, err := Decode(to, content, ReadOptions{})
		if err != nil {
			t.Fatalf("%s written by this package, refused by it: %v", to, err)
		}
		if !sameHeights(again.Map.Z, d.Map.Z) {
			t.Fatalf("%s: heights differ", to)
		}
		if to == "x.csv" && !maps.Equal(again.About, d.About) {
			t.Fatalf("%s says %q, was %q", to, again.About, d.About)
		}
	}
}
