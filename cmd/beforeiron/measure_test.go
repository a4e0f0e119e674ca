package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
)

// exactCase is a face whose rigid seat is known in exact fractions (computed
// with rational arithmetic, and the same by the HiGHS linear-programming
// solver): z = ((11x^2+3y^3+7xy+2) mod 23) - floor((x-8)^2/4) -
// floor((y-6)^2/3) on x 0..15, y 0..11.
func exactCase() string {
	var b strings.Builder
	b.WriteString("x,y,z\n")
	for y := range 12 {
		for x := range 16 {
			fmt.Fprintf(&b, "%d,%d,%d\n", x, y, (11*x*x+3*y*y*y+7*x*y+2)%23-(x-8)*(x-8)/4-(y-6)*(y-6)/3)
		}
	}
	return b.String()
}

func near(t *testing.T, what string, got *float64, want, tolerance float64) {
	t.Helper()
	if got == nil || !(math.Abs(*got-want) <= tolerance) {
		t.Errorf("%s is %s, want %g", what, show(got), want)
	}
}

func TestMeasureKeys(t *testing.T) {
	out := good(t, "measure", write(t, "a.csv", exactCase()), "--json")
	sameKeys(t, "measure", out, "cells pitch_mm valid_cells flatness_um texture seat bearing")
	part := decode[map[string]json.RawMessage](t, out)
	sameKeys(t, "flatness_um", string(part["flatness_um"]), "minimum_zone minimum_zone_normal ls_total ls_peak ls_valley ls_rms")
	sameKeys(t, "texture", string(part["texture"]), "sa_um sq_um ssk sku sz_um sk_um spk_um svk_um smr1_pct smr2_pct")
	sameKeys(t, "seat", string(part["seat"]), "contacts reactions plane_um max_gap_um mean_gap_um")
	sameKeys(t, "bearing", string(part["bearing"]), "film_um cells area_pct spots points points_per_in2 frame_min frame_max clark_evans vmr_3x3")
}

func TestMeasureExactRigidSeat(t *testing.T) {
	file := write(t, "a.csv", exactCase())
	for film, cells := range map[string]int{"0": 3, "2": 5, "5": 12, "10": 33} {
		m := decode[measured](t, good(t, "measure", file, "--rigid", "--load", "7.5,5.5", "--film", film, "--json"))
		if *m.Cells != [2]int{16, 12} || *m.PitchMM != [2]float64{1, 1} || m.ValidCells != 192 {
			t.Errorf("cells %v, pitch %v, valid %d", *m.Cells, *m.PitchMM, m.ValidCells)
		}
		if got := fmt.Sprint(m.Seat.Contacts); got != "[[6 4] [10 7] [8 8]]" {
			t.Errorf("contacts %s", got)
		}
		for k, want := range []float64{11.0 / 20, 3.0 / 10, 3.0 / 20} {
			near(t, "reaction", &m.Seat.Reactions[k], want, 1e-12)
		}
		for k, want := range []float64{93.0 / 5, 1.0 / 10, 1.0 / 5} {
			near(t, "plane", &m.Seat.PlaneUM[k], want, 1e-12)
		}
		near(t, "greatest gap", &m.Seat.MaxGapUM, 223.0/5, 1e-12)
		near(t, "mean gap", &m.Seat.MeanGapUM, 187.0/10, 1e-12)
		if m.Bearing.Cells != cells || m.Bearing.Points != nil || m.Bearing.FrameMin != nil {
			t.Errorf("film %s: %d cells, points %s, frames %s: want %d cells and nulls at this pitch", film, m.Bearing.Cells, show(m.Bearing.Points), show(m.Bearing.FrameMin), cells)
		}
	}
	// The load is the only thing that moved: the seat tips with it.
	far := decode[measured](t, good(t, "measure", file, "--rigid", "--load", "14,10", "--json"))
	if fmt.Sprint(far.Seat.Contacts) == "[[6 4] [10 7] [8 8]]" {
		t.Error("the seat did not tip with the load")
	}
}

// A flat face bears everywhere: reactions are not decided. Statics: moments
// about three feet.
func TestMeasureSeats(t *testing.T) {
	flat := write(t, "flat.csv", "# pitch_mm: 0.5,0.25\n3,3,3\n3,3,3\n3,3,3\n")
	m := decode[measured](t, good(t, "measure", flat, "--rigid", "--json"))
	if len(m.Seat.Contacts) != 9 || m.Seat.Reactions != nil {
		t.Errorf("flat face: %v, %v", m.Seat.Contacts, m.Seat.Reactions)
	}
	if m.Texture.Ssk != nil || *m.Texture.Sq != 0 {
		t.Errorf("flat face: Ssk %s, Sq %s", show(m.Texture.Ssk), show(m.Texture.Sq))
	}
	bed := decode[measured](t, good(t, "measure", flat, "--json"))
	if len(bed.Seat.Contacts) != 1 || bed.Seat.Contacts[0] != [2]float64{.5, .25} || bed.Seat.Reactions[0] != 1 {
		t.Errorf("flat face on the bed: %v, %v", bed.Seat.Contacts, bed.Seat.Reactions)
	}

	// Feet of 2 x 2 cells near (1,1), (9,1) and (5,9), heights 0 over a sunken
	// face; load at the mean of their middles, then off it.
	var b strings.Builder
	b.WriteString("# pitch_mm: 1\n# origin_mm: -20,30\n")
	foot := map[[2]int]bool{}
	for _, f := range [][2]int{{0, 0}, {8, 0}, {4, 8}} {
		for k := range 4 {
			foot[[2]int{f[0] + k%2, f[1] + k/2}] = true
		}
	}
	for y := range 10 {
		for x := range 10 {
			if x > 0 {
				b.WriteByte(',')
			}
			if foot[[2]int{x, y}] {
				b.WriteString("0")
			} else {
				b.WriteString("-50")
			}
		}
		b.WriteByte('\n')
	}
	feet := write(t, "feet.csv", b.String())
	m = decode[measured](t, good(t, "measure", feet, "--json", "--load=-16,32"))
	if got := fmt.Sprintf("%.6f", m.Seat.Contacts); got != "[[-19.500000 30.500000] [-11.500000 30.500000] [-15.500000 38.500000]]" {
		t.Errorf("feet stand at %s", got)
	}
	// Shares by moments: (32 - 30.5)/8 on the far foot; the rest by x.
	far := 1.5 / 8
	right := (-16.0 + 19.5 - far*4) / 8
	for k, want := range []float64{1 - far - right, right, far} {
		near(t, "share of a foot", &m.Seat.Reactions[k], want, 5e-3) // pressure leans within a foot
	}
	refused(t, 2, "load", "measure", feet, "--load", "-21,32")
	refused(t, 2, "load", "measure", feet, "--rigid", "--load", "0,0")
}

// The exact minimum zones stand in the headers of the files: mm.
func TestMeasureFlatness(t *testing.T) {
	folder := "../../testdata/flatness/"
	for _, c := range []struct {
		file             string
		vertical, normal float64
		tolerance        float64
	}{
		{"V1_2top2bottom_5x5.csv", 8.2, 8.2, 1e-5}, {"V2_3top1bottom_5x5.csv", 12.5, 12.5, 1e-5},
		{"V3_1top3bottom_9x7.csv", 6.4, 6.4, 1e-5}, {"O1_2top2bottom_tilt16deg.csv", 8.5416666667, 8.2, 1e-8},
	} {
		m := decode[measured](t, good(t, "measure", folder+c.file, "--json"))
		near(t, c.file, m.FlatnessUM.MinimumZone, c.vertical, 1e-8)
		near(t, c.file, m.FlatnessUM.MinimumZoneNormal, c.normal, c.tolerance)
		if scattered := strings.HasPrefix(c.file, "O1"); scattered != (m.Cells == nil) || scattered && (m.Texture != nil || m.Seat != nil || m.Bearing != nil) {
			t.Errorf("%s: cells %v: points that form no grid get flatness alone", c.file, m.Cells)
		}
	}
	// Another file of the same heights, the unit told instead of stated.
	stated := decode[measured](t, good(t, "measure", folder+"V1_2top2bottom_5x5.csv", "--json"))
	for unit, per := range map[string]float64{"um": 1, "mm": 1e3, "in": 25400, "tenth": 2.54} {
		text := fmt.Sprintf("0,0,%v\n1,0,0\n0,1,0\n1,1,0\n", 8/per)
		m := decode[measured](t, good(t, "measure", write(t, "u.csv", text), "--unit", unit, "--json"))
		near(t, "minimum zone in "+unit, m.FlatnessUM.MinimumZone, 4, 1e-9)
	}
	// The unit that was asked for rules over the one that is stated.
	asked := decode[measured](t, good(t, "measure", folder+"V1_2top2bottom_5x5.csv", "--unit", "um", "--json"))
	near(t, "V1 read in um", asked.FlatnessUM.MinimumZone, *stated.FlatnessUM.MinimumZone/1000, 1e-9)
}

// A cap of radius R in contact at its summit takes colour out to
// sqrt(2 R film): the area is 2 pi R film, whatever R (closed form).
func TestMeasureSpotOfAFilmOnACap(t *testing.T) {
	const radius, pitch, n = 20000.0, 0.1, 121 // mm
	var b strings.Builder
	fmt.Fprintf(&b, "# pitch_mm: %g\n", pitch)
	for j := range n {
		for i := range n {
			x, y := float64(i-n/2)*pitch, float64(j-n/2)*pitch
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, "%.9f", -(x*x+y*y)/2/radius*1000)
		}
		b.WriteByte('\n')
	}
	m := decode[measured](t, good(t, "measure", write(t, "cap.csv", b.String()), "--rigid", "--film", "0.2", "--json"))
	want := 2 * math.Pi * radius * 0.2e-3
	got := float64(m.Bearing.Cells) * pitch * pitch
	near(t, "spot", &got, want, .01*want)
	if *m.Bearing.Points != 1 || m.Bearing.Spots != 1 || m.Bearing.FrameMin != nil {
		t.Errorf("%d points in %d spots, frames %s: want one, and no room for a frame", *m.Bearing.Points, m.Bearing.Spots, show(m.Bearing.FrameMin))
	}
}

// Two squares joined by a bridge: the neck parts them, the corner joins them.
func TestMeasurePointRules(t *testing.T) {
	rows := []string{
		"0000000000000000000000",
		"0111110000000111110000",
		"0111110000000111110000",
		"0111111111111111110000",
		"0111110000000111110000",
		"0111110000000111110000",
		"0000000000000000001000",
		"0000000000000000000100",
		"0000000000000000000000",
	}
	var b strings.Builder
	b.WriteString("# pitch_mm: 0.5\n")
	for _, r := range rows {
		for k, c := range r {
			if k > 0 {
				b.WriteByte(',')
			}
			b.WriteString(map[rune]string{'0': "-9", '1': "0"}[c])
		}
		b.WriteByte('\n')
	}
	file := write(t, "neck.csv", b.String())
	for _, c := range []struct {
		args          string
		spots, points int
	}{
		{"", 1, 2}, {"--neck 0", 1, 1}, {"--connect 4 --min-spot 0.25", 3, 4}, {"--connect 4", 1, 2},
		{"--min-spot 20", 0, 0}, {"--min-spot 14.75", 1, 2},
	} {
		m := decode[measured](t, good(t, append([]string{"measure", file, "--rigid", "--json"}, strings.Fields(c.args)...)...))
		if m.Bearing.Spots != c.spots || *m.Bearing.Points != c.points {
			t.Errorf("%q: %d points in %d spots, want %d in %d", c.args, *m.Bearing.Points, m.Bearing.Spots, c.points, c.spots)
		}
	}
}

// The table for people says the same, in words.
func TestMeasureTable(t *testing.T) {
	out := good(t, "measure", write(t, "a.csv", exactCase()), "--rigid", "--load", "7.5,5.5")
	for _, want := range []string{"16 x 12", "192 valid", "6.000, 4.000 mm", "carries 55.00 %", "44.60 um greatest", "too coarse"} {
		if !strings.Contains(out, want) {
			t.Errorf("the table lacks %q:\n%s", want, out)
		}
	}
	if out := good(t, "measure", "../../testdata/flatness/O1_2top2bottom_tilt16deg.csv"); !strings.Contains(out, "flatness alone") {
		t.Errorf("%s", out)
	}
}

func TestMeasureRefuses(t *testing.T) {
	wide := "# pitch_mm: 1\n" + strings.Repeat("1,", 999_999) + "1\n1\n"
	for name, c := range map[string]struct{ text, want string }{
		"empty":             {"", "no heights"},
		"comments alone":    {"# pitch_mm: 1\n# nothing\n", "no heights"},
		"ragged rows":       {"# pitch_mm: 1\n1,2,3\n4,5\n", "line 3: 2 columns where line 2 has 3"},
		"ragged points":     {"x,y,z\n0,0,1\n1,0\n", "line 3"},
		"words for numbers": {"x,y,z\n0,0,high\n", "line 2: column 3: \"high\" is not a number"},
		"words for places":  {"0,left,1\n", "line 1: column 2"},
		"all NaN":           {"# pitch_mm: 1\nNaN,nan\nNaN,NaN\n", "fewer than three points"},
		"NaN position":      {"NaN,0,1\n1,0,1\n0,1,1\n", "line 1"},
		"one row":           {"# pitch_mm: 1\n1,2,3\n", "line, not a face"},
		"one column":        {"# pitch_mm: 1\n1\n2\n3\n", "line 2: 1 column"},
		"million columns":   {wide, "line 2: 1000000 columns are too many"},
		"binary":            {"\x00\x01\x02PNG\xff", "not a text file"},
		"duplicates":        {"0,0,1\n1,0,2\n0,0,3\n0,1,1\n", "line 3: the position (0, 0) was given in line 1 already"},
		"two points":        {"0,0,1\n1,0,2\n", "fewer than three points"},
		"one line":          {"0,0,1\n1,1,2\n2,2,5\n3,3,1\n", "one line"},
		"overflow":          {"0,0,1e999\n1,0,2\n0,1,3\n", "too large a number"},
		"beyond a km":       {"0,0,1e10\n1,0,2\n0,1,3\n", "beyond 1 km"},
		"no pitch":          {"1,2,3,4\n5,6,7,8\n", "pitch_mm"},
		"zero pitch":        {"# pitch_mm: 0\n1,2\n3,4\n", "line 1: pitch_mm"},
	} {
		t.Run(name, func(t *testing.T) {
			file := write(t, "bad.csv", c.text)
			refused(t, 2, c.want, "measure", file)
			refused(t, 2, "bad.csv", "measure", file, "--json")
			refused(t, 2, c.want, "practise", "--part", file, "-o", filepath.Join(t.TempDir(), "a.run"))
			refused(t, 2, c.want, "convert", file, filepath.Join(t.TempDir(), "a.csv"))
		})
	}
	file := write(t, "a.csv", exactCase())
	for _, c := range []struct{ want, args string }{
		{"load", "--load 100,100"}, {"position", "--load 7"}, {"position", "--load 7,x"}, {"position", "--load NaN,1"}, {"--film", "--film -1"},
		{"--film", "--film NaN"}, {"film", "--film thick"}, {"--neck", "--neck -1"}, {"--min-spot", "--min-spot Inf"}, {"connect", "--connect 6"}, {"furlong", "--unit furlong"},
	} {
		refused(t, 2, c.want, append([]string{"measure", file}, strings.Fields(c.args)...)...)
	}
	refused(t, 2, "no such file", "measure", filepath.Join(t.TempDir(), "none.csv"))
	refused(t, 2, "is a folder", "measure", t.TempDir())
	refused(t, 2, ".csv, .sdf and .x3p", "measure", write(t, "a.stl", "solid"))
	refused(t, 2, "SDF", "measure", write(t, "a.sdf", "solid"))
	refused(t, 2, "a.x3p", "measure", write(t, "a.x3p", "solid"))
}

// Heights of metres find no rest on a bed of micrometres; what needs no seat is
// told all the same.
func TestMeasureWithoutARest(t *testing.T) {
	var b strings.Builder
	b.WriteString("# pitch_mm: 1\n# unit: mm\n")
	for j := range 6 {
		for i := range 5 {
			fmt.Fprintf(&b, "%d,", (i*7+j*5+i*j)%4*100)
		}
		b.WriteString("0\n")
	}
	m := decode[measured](t, good(t, "measure", write(t, "high.csv", b.String()), "--json"))
	if (m.Seat == nil) != (m.Bearing == nil) || m.FlatnessUM.MinimumZone == nil || m.Texture == nil {
		t.Errorf("%+v", m)
	}
}

// A fitter's own readings in inches: whatever is stated is taken, and what is not is
// said to have been assumed.
func TestMeasureInches(t *testing.T) {
	const rows = "0,0,0.2\n1,0,0.1\n2,0,0.3\n0,1,0.1\n1,1,-0.1\n2,1,0.2\n"
	want := decode[measured](t, good(t, "measure", write(t, "um.csv", "x,y,z_um\n0,0,5.08\n25.4,0,2.54\n50.8,0,7.62\n0,25.4,2.54\n25.4,25.4,-2.54\n50.8,25.4,5.08\n"), "--json"))
	for name, c := range map[string]struct {
		text, note string
		args       []string
	}{
		"named": {"x_in,y_in,z_thou\n" + rows, "", nil}, "z asked": {"x_in,y_in,z\n" + rows, "", []string{"--unit", "thou"}},
		"matrix": {"# pitch_in: 1\n# z unit: thou\n0.2,0.1,0.3\n0.1,-0.1,0.2\n", "", nil},
	} {
		r := call(t, append([]string{"measure", write(t, "a.csv", c.text), "--json"}, c.args...)...)
		if r.code != 0 || r.err != "" {
			t.Errorf("%s: exit %d: %s", name, r.code, r.err)
			continue
		}
		m := decode[measured](t, r.out)
		if *m.PitchMM != *want.PitchMM {
			t.Errorf("%s: pitch %v, want %v", name, *m.PitchMM, *want.PitchMM)
		}
		near(t, name, m.FlatnessUM.MinimumZone, *want.FlatnessUM.MinimumZone, 1e-9)
		near(t, name, m.FlatnessUM.LSTotal, *want.FlatnessUM.LSTotal, 1e-9)
	}
	for text, note := range map[string]string{
		"x,y,z\n" + rows:       "it states no unit, so its heights are taken in um, of which they span 0.400; if they are not, give --unit",
		"x,y,z_tenth\n" + rows: "x and y are taken in mm: if they are inches, name their columns x_in and y_in",
	} {
		r := call(t, "measure", write(t, "a.csv", text), "--json")
		if r.code != 0 || !strings.Contains(r.err, note) || strings.Count(r.err, "\n") != 1 {
			t.Errorf("exit %d, remarks %q, want %q", r.code, r.err, note)
		}
	}
}

// A wedge of 8 um in 100 mm and -3 um in 60 mm over a back that leans itself.
func TestMeasureParallelism(t *testing.T) {
	sheet := func(name string, z func(x, y float64) float64) string {
		var b strings.Builder
		b.WriteString("x,y,z_um\n")
		for j := range 4 {
			for i := range 6 {
				x, y := 20*float64(i), 20*float64(j)
				fmt.Fprintf(&b, "%g,%g,%.9g\n", x, y, z(x, y))
			}
		}
		return write(t, name, b.String())
	}
	back := func(x, y float64) float64 { return -25000 + .2*x - .1*y }
	top := sheet("top.csv", func(x, y float64) float64 { return back(x, y) + 25000 + .08*x - .05*y })
	page := filepath.Join(t.TempDir(), "a.html")
	m := decode[measured](t, good(t, "measure", top, "--back", sheet("back.csv", back), "--json", "-o", page))
	near(t, "zone", &m.Parallel.Zone, 11, 1e-6)
	near(t, "along", &m.Parallel.RiseX, 8, 1e-6)
	near(t, "across", &m.Parallel.RiseY, -3, 1e-6)
	if !strings.Contains(string(content(t, page)), "parallel to the least-squares plane of the back, back.csv, that hold the face") {
		t.Error("the page does not say it")
	}
	m = decode[measured](t, good(t, "measure", top, "--back", "plate", "--json"))
	near(t, "along, from a plate", &m.Parallel.RiseX, 28, 1e-6)
	if out := good(t, "measure", top, "--back", "plate"); !strings.Contains(out, "parallelism to the back") {
		t.Error(out)
	}
	refused(t, 2, "no such file", "measure", top, "--back", "none.csv")
	refused(t, 2, "needs heights on a grid", "measure", write(t, "s.csv", "x,y,z_um\n0,0,1\n10,1,2\n3,7,3\n9,8,4\n"), "--back", "plate")
}
