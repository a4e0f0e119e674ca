package surface

import (
	"archive/zip"
	"bytes"
	"crypto/md5"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"math"
	"strings"
	"testing"
)

// pack zips parts given as name, content, name, content ...
func pack(parts ...string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for k := 0; k < len(parts); k += 2 {
		f, err := z.Create(parts[k])
		if err != nil {
			panic(err)
		}
		io.WriteString(f, parts[k+1])
	}
	z.Close()
	return b.Bytes()
}

func packed(values any) string {
	var b bytes.Buffer
	if err := binary.Write(&b, binary.LittleEndian, values); err != nil {
		panic(err)
	}
	return b.String()
}

// description is a main.xml of 3 x 2 heights, pitch 0.2 and 0.1 mm.
func description(cz, record3 string) string {
	return `<?xml version="1.0" encoding="UTF-8"?>
<p:ISO5436_2 xmlns:p="http://www.opengps.eu/2008/ISO5436_2">
<Record1><Revision>ISO5436 - 2000</Revision><FeatureType>SUR</FeatureType><Axes>
<CX><AxisType>I</AxisType><DataType>D</DataType><Increment>2.0E-4</Increment><Offset>0</Offset></CX>
<CY><AxisType>I</AxisType><DataType>D</DataType><Increment>1.0E-0004</Increment><Offset>5e-3</Offset></CY>
<CZ>` + cz + `</CZ></Axes></Record1>
<Record3>` + record3 + `</Record3><Record4><ChecksumFile>md5checksum.hex</ChecksumFile></Record4></p:ISO5436_2>`
}

const (
	matrix3x2 = `<MatrixDimension><SizeX>3</SizeX><SizeY>2</SizeY><SizeZ>1</SizeZ></MatrixDimension>`
	link      = `<DataLink><PointDataLink>bindata/data.bin</PointDataLink></DataLink>`
	masked    = `<DataLink><PointDataLink>bindata/data.bin</PointDataLink><ValidPointsLink>bindata/valid.bin</ValidPointsLink></DataLink>`
	double    = `<AxisType>A</AxisType><DataType>D</DataType>`
)

// The pyramid of x3ptools: mean 3.6, Sq 2.26274169980, Sa 2.048 (m; computed
// from the file by another program).
func TestReadX3PSample(t *testing.T) {
	d, err := ReadX3P(sample(t, "x3ptools_pyramid.x3p"))
	if err != nil {
		t.Fatal(err)
	}
	if (d.Map.Grid != Grid{NX: 5, NY: 5, DX: 1000, DY: 1000}) || len(d.Warnings) != 0 {
		t.Errorf("%+v %q", d.Map.Grid, d.Warnings)
	}
	var mean, sq, sa float64
	for _, z := range d.Map.Z {
		mean += z / 1e6 / 25
	}
	for _, z := range d.Map.Z {
		sq += (z/1e6 - mean) * (z/1e6 - mean) / 25
		sa += math.Abs(z/1e6-mean) / 25
	}
	sq = math.Sqrt(sq)
	if math.Abs(mean-3.6) > 1e-12 || math.Abs(sq-2.26274169980) > 1e-10 || math.Abs(sa-2.048) > 1e-12 {
		t.Errorf("mean %.12g, Sq %.12g, Sa %.12g", mean, sq, sa)
	}
}

func TestReadX3P(t *testing.T) {
	grid := Grid{NX: 3, NY: 2, DX: 0.2, DY: 0.1, Y0: 5}
	um := []float64{1, 2, -3, nan, 100, 0}
	data := packed([]float64{1e-6, 2e-6, -3e-6, nan, 1e-4, 0})
	main := description(double, matrix3x2+link)
	noisy := strings.Replace(main, "</Record1>", "<Extra><Increment>9</Increment></Extra></Record1><Record2><Comment>a <![CDATA[<b>]]></Comment></Record2>", 1)
	bare := strings.NewReplacer("p:ISO5436_2 xmlns:p=\"http://www.opengps.eu/2008/ISO5436_2\"", "ISO5436_2", "/p:ISO5436_2", "/ISO5436_2").Replace(main)
	list := `<DataList><Datum>1.0E-0006</Datum><Datum>2e-6</Datum><Datum> -3e-6 </Datum><Datum/><Datum>1e-4</Datum><Datum>0</Datum></DataList>`
	sum := fmt.Sprintf("%X", md5.Sum([]byte(main)))
	for _, c := range []struct {
		name  string
		parts []string
		warns int
	}{
		{"plain", []string{"main.xml", main, "bindata/data.bin", data}, 0},
		{"elements that nobody asked for", []string{"main.xml", noisy, "bindata/data.bin", data}, 0},
		{"byte-order mark", []string{"main.xml", "\ufeff" + main, "bindata/data.bin", data}, 0},
		{"no namespace", []string{"main.xml", bare, "bindata/data.bin", data}, 0},
		{"in a folder", []string{"scan 7/main.xml", main, "scan 7/bindata/data.bin", data}, 0},
		{"folder with backslashes", []string{`scan\main.xml`, main, `scan\bindata\data.bin`, data}, 0},
		{"upper-case md5", []string{"main.xml", main, "bindata/data.bin", data, "md5checksum.hex", sum + " *main.xml"}, 0},
		{"stale md5", []string{"main.xml", main, "bindata/data.bin", data, "md5checksum.hex", "0123 *main.xml"}, 1},
		{"stale md5 of the data", []string{"main.xml", strings.Replace(main, "</PointDataLink>", "</PointDataLink><MD5ChecksumPointData>ab</MD5ChecksumPointData>", 1), "bindata/data.bin", data}, 1},
		{"more data than points", []string{"main.xml", main, "bindata/data.bin", data + "12345678"}, 1},
		{"rotated", []string{"main.xml", strings.Replace(main, "</Axes>", "<Rotation><r11>0</r11></Rotation></Axes>", 1), "bindata/data.bin", data}, 1},
		{"unit rotation", []string{"main.xml", strings.Replace(main, "</Axes>", "<Rotation><r11>1.0</r11><r12>0.0</r12></Rotation></Axes>", 1), "bindata/data.bin", data}, 0},
		{"latin-1", []string{"main.xml", strings.Replace(main, `"UTF-8"?>`, "\"ISO-8859-1\"?><!-- \xb5m -->", 1), "bindata/data.bin", data}, 0},
		{"list", []string{"main.xml", description(double, matrix3x2+list)}, 0},
		{"infinite", []string{"main.xml", main, "bindata/data.bin", packed([]float64{1e-6, 2e-6, -3e-6, math.Inf(-1), 1e-4, 0})}, 0},
		{"float32 um", []string{"main.xml", description("<AxisType>A</AxisType><DataType>F</DataType><Increment>1e-6</Increment>", matrix3x2+link), "bindata/data.bin", packed([]float32{1, 2, -3, float32(nan), 100, 0})}, 0},
		{"int16 and mask", []string{"main.xml", description("<AxisType>A</AxisType><DataType>I</DataType><Increment>1e-6</Increment>", matrix3x2+masked), "bindata/data.bin", packed([]int16{1, 2, -3, 77, 100, 0}), "bindata/valid.bin", "\x37"}, 0},
		{"int32, offset and mask", []string{"main.xml", description("<AxisType>A</AxisType><DataType>L</DataType><Increment>1e-6</Increment><Offset>-5e-6</Offset>", matrix3x2+masked), "bindata/data.bin", packed([]int32{6, 7, 2, 77, 105, 5}), "bindata/valid.bin", "\x37"}, 0},
	} {
		d, err := ReadX3P(pack(c.parts...))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if d.Map.Grid != grid {
			t.Errorf("%s: grid %+v", c.name, d.Map.Grid)
		}
		for k := range um {
			if !(math.Abs(d.Map.Z[k]-um[k]) < 1e-12) && (um[k] == um[k] || d.Map.Z[k] == d.Map.Z[k]) {
				t.Errorf("%s: height %d is %g um, want %g", c.name, k, d.Map.Z[k], um[k])
			}
		}
		if len(d.Warnings) != c.warns || strings.ContainsAny(strings.Join(d.Warnings, ""), "\r\n") {
			t.Errorf("%s: warnings %q, want %d", c.name, d.Warnings, c.warns)
		}
	}
}

// Points with positions of their own: binary x, y, z; text x;y;z; a surface
// whose axes are absolute.
func TestReadX3PPoints(t *testing.T) {
	absolute := strings.ReplaceAll(description(double, `<ListDimension>4</ListDimension>`+link), "<AxisType>I", "<AxisType>A")
	absolute = strings.NewReplacer("2.0E-4", "1", "1.0E-0004", "1", "5e-3", "0").Replace(absolute)
	points := packed([]float64{0, 0, 1e-6, 0.01, 0, 2e-6, nan, 1, 1, 3e-3, 7e-3, 4e-6})
	list := `<DataList><Datum/><Datum>0;0;1e-6</Datum><Datum>0.01;0;2e-6</Datum><Datum>3e-3;7e-3;4e-6</Datum></DataList>`
	want := &Cloud{X: []float64{0, 10, 3}, Y: []float64{0, 0, 7}, Z: []float64{1, 2, 4}}
	for name, parts := range map[string][]string{
		"cloud":    {"main.xml", strings.Replace(absolute, "SUR", "PCL", 1), "bindata/data.bin", points},
		"surface":  {"main.xml", strings.Replace(absolute, "<ListDimension>4</ListDimension>", "<MatrixDimension><SizeX>2</SizeX><SizeY>2</SizeY></MatrixDimension>", 1), "bindata/data.bin", points},
		"as text":  {"main.xml", strings.Replace(absolute, link, list, 1)},
		"and mask": {"main.xml", strings.Replace(absolute, link, masked, 1), "bindata/data.bin", strings.Replace(points, packed(nan), packed(5.0), 1), "bindata/valid.bin", "\x0b"},
	} {
		d, err := ReadX3P(pack(parts...))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if d.Map != nil || len(d.Cloud.Z) != 3 {
			t.Errorf("%s: %+v", name, d)
			continue
		}
		for k := range want.Z {
			if math.Abs(d.Cloud.X[k]-want.X[k])+math.Abs(d.Cloud.Y[k]-want.Y[k])+math.Abs(d.Cloud.Z[k]-want.Z[k]) > 1e-12 {
				t.Errorf("%s: point %d (%g, %g, %g)", name, k, d.Cloud.X[k], d.Cloud.Y[k], d.Cloud.Z[k])
			}
		}
	}
}

func TestReadX3PErrors(t *testing.T) {
	main := description(double, matrix3x2+link)
	data := packed(make([]float64, 6))
	size := func(x, y string) string {
		return strings.NewReplacer("<SizeX>3", "<SizeX>"+x, "<SizeY>2", "<SizeY>"+y).Replace(main)
	}
	for _, c := range []struct {
		parts []string
		want  string
	}{
		{[]string{"readme.txt", "hello"}, "no main.xml"},
		{[]string{"main.xml", ""}, `FeatureType is ""`},
		{[]string{"main.xml", "<html></html>"}, `the root element is "html"`},
		{[]string{"main.xml", "<ISO5436_2><Record1></ISO5436_2>"}, "main.xml: line 1:"},
		{[]string{"main.xml", "<ISO5436_2>&boom;</ISO5436_2>"}, "main.xml: line 1:"},
		{[]string{"main.xml", "<ISO5436_2>" + strings.Repeat("<a>", 40)}, "nested too deeply"},
		{[]string{"main.xml", strings.Replace(main, "SUR", "PRF", 1)}, "a line is not a face"},
		{[]string{"main.xml", strings.Replace(main, "<SizeX>3", "<SizeX>three", 1)}, `SizeX is "three"`},
		{[]string{"main.xml", strings.Replace(main, matrix3x2, "", 1)}, "MatrixDimension is missing"},
		{[]string{"main.xml", strings.Replace(main, "<SizeZ>1", "<SizeZ>4", 1)}, "4 layers"},
		{[]string{"main.xml", size("1000000000", "1000000000")}, "too many"},
		{[]string{"main.xml", size("8000", "8000"), "bindata/data.bin", data}, "is cut short: 48 bytes where 512000000"},
		{[]string{"main.xml", size("3", "1"), "bindata/data.bin", data}, "a line, not a face"},
		{[]string{"main.xml", strings.Replace(main, "2.0E-4", "", 1)}, "axis CX has no Increment"},
		{[]string{"main.xml", strings.Replace(main, "2.0E-4", "-1", 1), "bindata/data.bin", data}, "the pitch is -1000 mm"},
		{[]string{"main.xml", strings.Replace(main, "2.0E-4", "wide", 1)}, `Increment: "wide"`},
		{[]string{"main.xml", strings.Replace(main, "5e-3", "1e300", 1), "bindata/data.bin", data}, "a position of 1e+303 mm"},
		{[]string{"main.xml", description("<DataType>Q</DataType>", matrix3x2+link)}, `DataType "Q"`},
		{[]string{"main.xml", description(double, matrix3x2)}, "neither a DataList nor"},
		{[]string{"main.xml", main}, `lacks "bindata/data.bin"`},
		{[]string{"main.xml", main, "bindata/data.bin", data[:40]}, "cut short: 40 bytes where 48"},
		{[]string{"main.xml", description(double, matrix3x2+masked), "bindata/data.bin", data}, `lacks "bindata/valid.bin"`},
		{[]string{"main.xml", description(double, matrix3x2+masked), "bindata/data.bin", data, "bindata/valid.bin", ""}, "valid.bin\" is cut short"},
		{[]string{"main.xml", description(double, matrix3x2+masked), "bindata/data.bin", data, "bindata/valid.bin", "\x03"}, "fewer than three"},
		{[]string{"main.xml", main, "bindata/data.bin", packed([]float64{1, 2, 3, 4, 5, 1e9})}, "height 6 of 6 is 1e+09 m"},
		{[]string{"main.xml", description(double, matrix3x2+"<DataList><Datum>1</Datum></DataList>")}, "1 heights where 3 x 2"},
		{[]string{"main.xml", description(double, matrix3x2+"<DataList><Datum>one</Datum></DataList>")}, `the Datum "one"`},
		{[]string{"main.xml", description(double, matrix3x2+"<DataList><Datum>1;2</Datum></DataList>")}, "a Datum of 2 numbers"},
		{[]string{"main.xml", strings.Replace(main, "SUR", "PCL", 1), "bindata/data.bin", data}, "axis CX of points is not absolute"},
	} {
		_, err := ReadX3P(pack(c.parts...))
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.ContainsAny(err.Error(), "\r\n") {
			t.Errorf("%.60q: error %v, want one line with %q", c.parts, err, c.want)
		}
	}
	for _, b := range [][]byte{nil, []byte("not a zip"), pack("main.xml", main, "bindata/data.bin", data)[:200]} {
		if _, err := ReadX3P(b); err == nil || strings.ContainsAny(err.Error(), "\r\n") {
			t.Errorf("%.20q: %v", b, err)
		}
	}
}

// An archive whose directory lies about sizes and checksums.
func TestX3PDirectoryLies(t *testing.T) {
	main := description(double, matrix3x2+link)
	raw := func(name, content string, size uint64, crc uint32, parts ...string) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		f, _ := z.CreateRaw(&zip.FileHeader{Name: name, Method: zip.Store, CRC32: crc, CompressedSize64: uint64(len(content)), UncompressedSize64: size})
		io.WriteString(f, content)
		for k := 0; k < len(parts); k += 2 {
			f, _ := z.Create(parts[k])
			io.WriteString(f, parts[k+1])
		}
		z.Close()
		return b.Bytes()
	}
	data := packed([]float64{1e-6, 2e-6, -3e-6, nan, 1e-4, 0})
	d, err := ReadX3P(raw("bindata/data.bin", data, 48, 12345, "main.xml", main))
	if err != nil || len(d.Warnings) != 1 || !strings.Contains(d.Warnings[0], "the archive's own checksum") {
		t.Errorf("wrong checksum in the archive: %v, %+v", err, d)
	}
	big := strings.NewReplacer("<SizeX>3", "<SizeX>8000", "<SizeY>2", "<SizeY>8000").Replace(main)
	if _, err := ReadX3P(raw("bindata/data.bin", data, 1<<40, 0, "main.xml", big)); err == nil || !strings.Contains(err.Error(), "more than its 48 packed bytes can hold") {
		t.Errorf("half a gigabyte announced by 48 bytes: %v", err)
	}
	if _, err := ReadX3P(raw("main.xml", main, 1<<40, crc32.ChecksumIEEE([]byte(main)))); err == nil || !strings.Contains(err.Error(), "at most") {
		t.Errorf("a description of a terabyte: %v", err)
	}
}

// Every height crosses between the formats with all its bits: what is read
// from each equals what was read from the first.
func TestCrossingKeepsEveryBit(t *testing.T) {
	m := NewMap(Grid{NX: 40, NY: 30, DX: 1. / 3, DY: 0.1, X0: -1. / 6, Y0: 2.5})
	rng := stream(2, 2)
	for k := range m.Z {
		m.Z[k] = (rng.Float64() - 0.5) * math.Pow(10, float64(rng.IntN(12)-6))
		if rng.IntN(9) == 0 {
			m.Z[k] = nan
		}
	}
	ints := make([]int16, 6*5)
	doubles := make([]float64, 6*5)
	for k := range ints {
		ints[k] = int16(rng.IntN(65536) - 32768)
		doubles[k] = rng.Float64() * 1e-5
	}
	doubles[7] = -math.MaxFloat64
	scaled := [3]float64{1e-4, 1e-4, 3.7e-9}
	fromSDF := func(b []byte) *Data {
		d, err := ReadSDF(b)
		if err != nil {
			t.Fatal(err)
		}
		d.About = nil // what becomes of it is for TestAboutCrosses
		return d
	}
	for name, d := range map[string]*Data{
		"um":          {Map: m},
		"int16 steps": fromSDF(binarySDF(1, 6, 5, scaled, 5, ints)),
		"metres":      fromSDF(binarySDF(1, 6, 5, [3]float64{1e-4, 1e-4, 1}, 7, doubles)),
		"float32":     fromSDF(binarySDF(2, 2, 2, scaled, 3, []float32{1, 2.5, 1. / 3, 7})),
		"int8":        fromSDF(binarySDF(2, 2, 2, scaled, 4, []int8{1, 2, -127, 7})),
	} {
		for _, route := range [][]string{
			{"a.x3p"}, {"a.sdf"}, {"a.csv"}, {"a.x3p", "a.sdf", "a.csv", "a.x3p"}, {"a.csv", "a.sdf", "a.x3p", "a.csv"},
		} {
			now := d
			for _, to := range route {
				content, lost, err := Encode(to, now, SDFBinary)
				if err != nil {
					t.Fatalf("%s to %s: %v", name, to, err)
				}
				if origin := now.Map.X0 != 0 || now.Map.Y0 != 0; (len(lost) > 0) != (origin && strings.HasSuffix(to, "sdf")) {
					t.Errorf("%s to %s: lost %q", name, to, lost)
				}
				if now, err = Decode(to, content, ReadOptions{}); err != nil {
					t.Fatalf("%s from %s: %v", name, to, err)
				}
			}
			if !sameHeights(now.Map.Z, d.Map.Z) {
				t.Errorf("%s by way of %v: heights differ", name, route)
			}
			if len(route) == 1 && route[0] != "a.sdf" && now.Map.Grid != d.Map.Grid {
				t.Errorf("%s by way of %v: %+v, was %+v", name, route, now.Map.Grid, d.Map.Grid)
			}
		}
	}
}

// What both formats can hold crosses as it is: type, scale and numbers.
func TestCrossingKeepsNumbers(t *testing.T) {
	ints := []int16{5, -7, math.MinInt16, 32767, 0, 12}
	original := binarySDF(1, 3, 2, [3]float64{1e-4, 1e-4, 3.7e-9}, 5, ints)
	d, err := ReadSDF(original)
	if err != nil {
		t.Fatal(err)
	}
	content, _, err := Encode("a.x3p", d, SDFBinary)
	if err != nil {
		t.Fatal(err)
	}
	d, err = Decode("a.x3p", content, ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	back, _, err := Encode("a.sdf", d, SDFBinary)
	if err != nil {
		t.Fatal(err)
	}
	// All but the second date, for which X3P has no place.
	if want := original; !bytes.Equal(back[42:], want[42:]) || !bytes.Equal(back[:30], want[:30]) {
		t.Errorf("counts, scales and numbers changed:\n%x\n%x", back[42:], want)
	}

	// A valid -32768 is SDF's code for a missing int16: it needs 32 bits there.
	wide, err := ReadX3P(pack("main.xml", description("<AxisType>A</AxisType><DataType>I</DataType><Increment>1e-6</Increment>", matrix3x2+link), "bindata/data.bin", packed(ints)))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if _, err := WriteSDF(&out, wide, SDFBinary); err != nil {
		t.Fatal(err)
	}
	again, err := ReadSDF(out.Bytes())
	if err != nil || !sameHeights(again.Map.Z, wide.Map.Z) {
		t.Errorf("%v, %v", err, again)
	}
}

func TestSDFTextKeepsEveryBit(t *testing.T) {
	m := NewMap(Grid{NX: 9, NY: 4, DX: 1. / 3, DY: 0.1})
	rng := stream(3, 3)
	for k := range m.Z {
		m.Z[k] = rng.Float64() - 0.5
	}
	m.Z[5] = nan
	var out bytes.Buffer
	if _, err := WriteSDF(&out, &Data{Map: m}, SDFText); err != nil {
		t.Fatal(err)
	}
	d, err := ReadSDF(out.Bytes())
	if err != nil || d.Map.Grid != m.Grid || !sameHeights(d.Map.Z, m.Z) {
		t.Errorf("%v: %+v", err, d)
	}
}

func TestCloudThroughX3P(t *testing.T) {
	c := &Cloud{X: []float64{0, 1.5, 1. / 3, 7}, Y: []float64{0, -2, 7e-5, 1}, Z: []float64{1, 2, 1. / 7, -4}}
	content, _, err := Encode("a.x3p", &Data{Cloud: c}, SDFBinary)
	if err != nil {
		t.Fatal(err)
	}
	d, err := Decode("a.x3p", content, ReadOptions{})
	if err != nil || !sameHeights(d.Cloud.X, c.X) || !sameHeights(d.Cloud.Y, c.Y) || !sameHeights(d.Cloud.Z, c.Z) {
		t.Errorf("%v: %+v", err, d)
	}
	if _, _, err := Encode("a.sdf", &Data{Cloud: c}, SDFBinary); err == nil || !strings.Contains(err.Error(), "no grid") {
		t.Errorf("scattered points into an SDF file: %v", err)
	}
}

func TestDecodeNames(t *testing.T) {
	if _, err := Decode(`C:\parts\way.stl`, nil, ReadOptions{}); err == nil || !strings.Contains(err.Error(), `"way.stl": heights are read from .csv, .sdf and .x3p`) {
		t.Errorf("%v", err)
	}
	if _, _, err := Encode("way", &Data{Map: NewMap(Grid{NX: 2, NY: 2})}, SDFBinary); err == nil {
		t.Error("written without knowing the format")
	}
	d, err := Decode("A.SDF", sample(t, "surftopo_sdf-1.sdf"), ReadOptions{Unit: "mm"})
	if err != nil || len(d.Warnings) != 1 {
		t.Errorf("%v %+v", err, d)
	}
}

func FuzzReadX3P(f *testing.F) {
	f.Add(sample(f, "x3ptools_pyramid.x3p"))
	f.Add(pack("main.xml", description(double, matrix3x2+masked), "bindata/data.bin", packed(make([]float64, 6)), "bindata/valid.bin", "\x37"))
	f.Fuzz(func(t *testing.T, b []byte) { checkDecoded(t, "fuzz.x3p", b) })
}

// FuzzX3PParts mutates what lies within the archive, which the zip's own
// checks keep FuzzReadX3P from reaching.
func FuzzX3PParts(f *testing.F) {
	six := []byte(packed([]float64{1e-6, 2e-6, -3e-6, nan, 1e-4, 0}))
	f.Add([]byte(description(double, matrix3x2+link)), six, []byte{})
	f.Add([]byte(description("<AxisType>A</AxisType><DataType>I</DataType><Increment>1e-6</Increment><Offset>-5e-6</Offset>", matrix3x2+masked)), []byte(packed([]int16{6, 7, 2, 77, 105, 5})), []byte{0x37})
	f.Add([]byte(description(double, matrix3x2+"<DataList><Datum>1</Datum><Datum>2</Datum><Datum/><Datum>4</Datum><Datum>5</Datum><Datum>-7e-9</Datum></DataList>")), []byte{}, []byte{})
	f.Add([]byte(strings.Replace(strings.ReplaceAll(description(double, `<ListDimension>3</ListDimension>`+link), "<AxisType>I", "<AxisType>A"), "SUR", "PCL", 1)), []byte(packed([]float64{0, 0, 1, 1, 0, 2, 0, 1, 3})), []byte{})
	f.Add([]byte(strings.Replace(description(double, `<ListDimension>3</ListDimension><DataList><Datum/><Datum>1;2;3</Datum><Datum>4;5;6</Datum></DataList>`), "SUR", "PCL", 1)), []byte{}, []byte{})
	f.Fuzz(func(t *testing.T, main, data, valid []byte) {
		checkDecoded(t, "fuzz.x3p", pack("main.xml", string(main), "bindata/data.bin", string(data), "bindata/valid.bin", string(valid)))
	})
}

// fourMillion is an X3P file of 2000 x 2000 float64 heights, as incompressible
// as measured ones.
func fourMillion(b *testing.B) []byte {
	m := NewMap(Grid{NX: 2000, NY: 2000, DX: 0.001, DY: 0.001})
	rng := stream(4, 4)
	for k := range m.Z {
		m.Z[k] = 10 * rng.Float64()
	}
	content, _, err := Encode("a.x3p", &Data{Map: m}, SDFBinary)
	if err != nil {
		b.Fatal(err)
	}
	return content
}

// BenchmarkUnzip4M is what BenchmarkReadX3P4M is held against: the same file,
// unzipped and no more.
func BenchmarkUnzip4M(b *testing.B) {
	content := fourMillion(b)
	b.ResetTimer()
	for range b.N {
		z, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
		if err != nil {
			b.Fatal(err)
		}
		for _, f := range z.File {
			r, err := f.Open()
			if err != nil {
				b.Fatal(err)
			}
			if _, err := io.Copy(io.Discard, r); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkReadX3P4M(b *testing.B) {
	content := fourMillion(b)
	b.ResetTimer()
	for range b.N {
		if _, err := ReadX3P(content); err != nil {
			b.Fatal(err)
		}
	}
}
