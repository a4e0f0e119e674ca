//go:build linux

package main

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// sdf is a binary SDF 2.0 file with a header for nx by ny float64 heights.
func sdf(nx, ny uint32, heights ...float64) string {
	var b bytes.Buffer
	b.WriteString("bISO-2.0maker     000000000000000000000000")
	for _, v := range []any{nx, ny, [4]float64{1e-4, 1e-4, 1e-6, -1}, []byte{0, 7, 0}, heights} {
		binary.Write(&b, binary.LittleEndian, v)
	}
	return b.String()
}

// x3p is an archive with a description of nx by ny heights and parts as they are
// given, name and content; a content of noughts packs a thousandfold.
func x3p(nx, ny int, more string, parts ...string) string {
	main := fmt.Sprintf(`<?xml version="1.0"?><p:ISO5436_2 xmlns:p="http://www.opengps.eu/2008/ISO5436_2"><Record1><FeatureType>SUR</FeatureType><Axes>`+
		`<CX><AxisType>I</AxisType><Increment>1e-4</Increment></CX><CY><AxisType>I</AxisType><Increment>1e-4</Increment></CY><CZ><DataType>D</DataType><Increment>1e-6</Increment></CZ></Axes></Record1>`+
		`<Record3><MatrixDimension><SizeX>%d</SizeX><SizeY>%d</SizeY><SizeZ>1</SizeZ></MatrixDimension><DataLink><PointDataLink>bindata/data.bin</PointDataLink>%s</DataLink></Record3></p:ISO5436_2>`, nx, ny, more)
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for k := 0; k < len(parts)+2; k += 2 {
		name, content := "main.xml", main
		if k > 0 {
			name, content = parts[k-2], parts[k-1]
		}
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte(content))
		}
		if err != nil {
			panic(err)
		}
	}
	z.Close()
	return b.String()
}

func doubles(v ...float64) string {
	var b bytes.Buffer
	binary.Write(&b, binary.LittleEndian, v)
	return b.String()
}

// TestPeakMemory is called by TestReadersAreBounded in a process of its own: Linux
// counts what the caller of a program holds as the program's, so the caller has to
// be small. It measures FILE, answers as PROGRAM does, and leaves the greatest
// memory that PROGRAM held, kB, in PEAK.
func TestPeakMemory(t *testing.T) {
	peak := os.Getenv("PEAK")
	if peak == "" {
		return
	}
	c := exec.Command(os.Getenv("PROGRAM"), "measure", os.Getenv("FILE"))
	c.Stdout, c.Stderr = os.Stdout, os.Stderr
	c.Run()
	os.WriteFile(peak, fmt.Append(nil, c.ProcessState.SysUsage().(*syscall.Rusage).Maxrss), 0o666)
	os.Exit(c.ProcessState.ExitCode())
}

// Whatever a file claims or lacks, the program says so in one line, answers 2, and
// takes memory for what the file holds and not for what it claims: 200 MB is three
// times the largest content here, and less than half the least of the claims.
func TestReadersAreBounded(t *testing.T) {
	bomb := x3p(8000, 8000, "", "bindata/data.bin", strings.Repeat("\x00", 60_000_000))
	for name, c := range map[string]struct{ content, want string }{
		"points.sdf":    {sdf(1e9, 1e9), "too many"},
		"flat.sdf":      {sdf(8000, 8000), "the file is cut short: its header announces 8000 x 8000 heights, it holds 0"},
		"cut.sdf":       {sdf(2, 2, 1, 2, 3), "it holds 3"},
		"header.sdf":    {sdf(2, 2)[:60], "the file is cut short"},
		"text.sdf":      {"aISO-1.0\nNumPoints = 30000\nNumProfiles = 30000\nXscale = 1\nYscale = 1\nZscale = 1\n*\n1 2 3\n*\n", "too many"},
		"cuttext.sdf":   {"aISO-1.0\nNumPoints = 3000\nNumProfiles = 3000\nXscale = 1\nYscale = 1\nZscale = 1\n*\n1 2 3\n*\n", "the file is cut short"},
		"nan.sdf":       {sdf(2, 2, math.NaN(), math.Inf(1), 1, 2), "fewer than three points"},
		"points.x3p":    {x3p(1e9, 1e9, "", "bindata/data.bin", doubles(1)), "too many"},
		"bomb.x3p":      {bomb, "is cut short: 60000000 bytes where 512000000 are needed"},
		"cut.x3p":       {x3p(2, 2, "", "bindata/data.bin", doubles(1, 2, 3)), "is cut short: 24 bytes where 32"},
		"torn.x3p":      {x3p(2, 2, "", "bindata/data.bin", doubles(1, 2, 3, 5))[:300], "not an X3P file"},
		"nodata.x3p":    {x3p(2, 2, ""), "lacks"},
		"nan.x3p":       {x3p(2, 2, "", "bindata/data.bin", doubles(math.NaN(), math.Inf(-1), 1, 2)), "fewer than three points"},
		"bigxml.x3p":    {x3p(2, 2, strings.Repeat("<x></x>", 10_000_000), "bindata/data.bin", doubles(1, 2, 3, 5)), "main.xml is"},
		"masked.x3p":    {x3p(2, 2, "<ValidPointsLink>bindata/valid.bin</ValidPointsLink>", "bindata/data.bin", doubles(1, 2, 3, 5), "bindata/valid.bin", "\x05"), "fewer than three points"},
		"longline.csv":  {"# pitch_mm: 1\n" + strings.Repeat("1", 5<<20) + "\n", "bytes in one line"},
		"columns.csv":   {"# pitch_mm: 1\n" + strings.Repeat("1,", 200_000) + "1\n", "columns are too many"},
		"infinite.csv":  {"# pitch_mm: 1\nInf,-Inf\nNaN,1\n", "fewer than three points"},
		"lines.csv":     {"# lines\n# unit: um\nsouth,steps,0,0,300,0,1,Inf,2\n", "lines.csv"},
		"positions.csv": {"x,y,z\n1e30,0,1\n0,0,1\n0,1,2\n", "is not a length"},
	} {
		t.Run(name, func(t *testing.T) {
			file := write(t, name, c.content)
			peak := filepath.Join(t.TempDir(), "peak")
			cmd := exec.Command(os.Args[0], "-test.run", "^TestPeakMemory$")
			cmd.Env = append(os.Environ(), "PEAK="+peak, "PROGRAM="+command, "FILE="+file)
			var out, said bytes.Buffer
			cmd.Stdout, cmd.Stderr = &out, &said
			cmd.Run()
			if code := cmd.ProcessState.ExitCode(); code != 2 || out.Len() > 0 || strings.Count(said.String(), "\n") != 1 || !strings.Contains(said.String(), c.want) || !strings.Contains(said.String(), name) {
				t.Errorf("exit %d, %.300q: want 2 and one line with %q and %q", code, said.String(), name, c.want)
			}
			var kb int
			if fmt.Sscan(string(content(t, peak)), &kb); kb == 0 || kb > 200_000 {
				t.Errorf("it took %d MB", kb/1024)
			}
		})
	}
	// A wrong checksum warns, and the heights stand; so do missing heights.
	for name, c := range map[string]struct {
		content, remark string
		valid           int
	}{
		"sum.x3p":  {x3p(2, 2, "<MD5ChecksumPointData>abcd</MD5ChecksumPointData>", "bindata/data.bin", doubles(1, 2, 3, 5)), "the checksum of \"bindata/data.bin\" is wrong", 4},
		"main.x3p": {x3p(2, 2, "", "bindata/data.bin", doubles(1, 2, 3, 5), "md5checksum.hex", "0123 *main.xml"), "the checksum of \"main.xml\" is wrong", 4},
		"some.x3p": {x3p(2, 2, "", "bindata/data.bin", doubles(1, math.NaN(), 3, 5)), "", 3},
		"some.sdf": {sdf(2, 2, 1, 2, math.Inf(1), 5), "", 3},
	} {
		r := call(t, "measure", write(t, name, c.content), "--json")
		if r.code != 0 || !strings.Contains(r.err, c.remark) || (c.remark == "") != (r.err == "") {
			t.Errorf("%s: exit %d: %s", name, r.code, r.err)
			continue
		}
		if m := decode[measured](t, r.out); m.ValidCells != c.valid {
			t.Errorf("%s: %d heights, want %d", name, m.ValidCells, c.valid)
		}
	}
}
