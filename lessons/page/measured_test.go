package page

import (
	"bytes"
	"fmt"
	"image/color"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/surface"
)

// dimpled is a face of 60 x 40 mm with a cap every 5 mm, tilted, a corner missing.
func dimpled(t *testing.T) *Measured {
	t.Helper()
	m := surface.NewMap(surface.Grid{NX: 300, NY: 200, DX: .2, DY: .2, X0: 10.1, Y0: -4.9})
	for k := range m.Z {
		x, y := m.X(k%m.NX), m.Y(k/m.NX)
		u, v := math.Mod(x, 5)-2.5, math.Mod(y+5, 5)-2.5
		m.Z[k] = .02*x - math.Min(8, u*u+v*v)
		if x < 14 && y < 0 {
			m.Z[k] = math.NaN()
		}
	}
	flat, err := gauge.Flatness(m)
	if err != nil {
		t.Fatal(err)
	}
	texture, err := gauge.Texture(m)
	if err != nil {
		t.Fatal(err)
	}
	plane := surface.Plane{B: .02}
	figures, count := gauge.Bearing(m, plane, 1, gauge.DefaultRule)
	return &Measured{Program: "0", File: "a<b>.csv", Map: m, Flatness: flat, Texture: &texture,
		Bearing: &MeasuredBearing{Load: "on a bed", Plane: plane, MeanGapUM: 3, MaxGapUM: 8, FilmUM: 1, Rule: gauge.DefaultRule, Figures: figures, Count: &count}}
}

func surveyed(t *testing.T) *Measured {
	t.Helper()
	lines := []gauge.SurveyLine{
		{Name: "south", Kind: gauge.LevelSteps, X1: 300, Readings: []float64{1, -2, 1}, SigmaUM: .5},
		{Name: "east", Kind: gauge.LevelSteps, X0: 300, X1: 300, Y1: 200, Readings: []float64{2, -1}, SigmaUM: .5},
		{Name: "back", Kind: gauge.LevelSteps, X0: 300, Y0: 200, Readings: []float64{.5, .5, -1}, SigmaUM: .5},
		{Name: "west", Kind: gauge.LevelSteps, Y1: 200, Readings: []float64{2, -1}, SigmaUM: .5},
		{Name: "north", Kind: gauge.LevelSteps, Y0: 200, X1: 300, Y1: 200, Readings: []float64{1, -2, 1.5}, SigmaUM: .5},
	}
	s, err := gauge.Solve(lines)
	if err != nil {
		t.Fatal(err)
	}
	c := s.Cloud()
	flat, err := gauge.FlatnessOfCloud(c)
	if err != nil {
		t.Fatal(err)
	}
	return &Measured{Program: "0", File: "plate.csv", Cloud: &c, Flatness: flat, Survey: s, Lines: lines}
}

func TestMeasuredPageStandsAlone(t *testing.T) {
	whole, unrested := dimpled(t), dimpled(t)
	unrested.Bearing = nil
	for name, m := range map[string]*Measured{"face": whole, "without a rest": unrested, "lines": surveyed(t)} {
		html, err := m.HTML()
		if err != nil {
			t.Fatal(err)
		}
		again, _ := m.HTML()
		if !bytes.Equal(html, again) {
			t.Errorf("%s: the same face comes out in other bytes", name)
		}
		for _, bad := range []string{"<script", "http://", "https://", "<link", "NaN", "Inf", "ZgotmplZ", "%!", "a<b>"} {
			if strings.Contains(string(html), bad) {
				t.Errorf("%s: the page holds %q", name, bad)
			}
		}
		document(t, string(html))
	}
}

// What the page says of a face is what the gauge found.
func TestMeasuredPageSays(t *testing.T) {
	m := dimpled(t)
	html, err := m.HTML()
	if err != nil {
		t.Fatal(err)
	}
	page := string(html)
	if n := strings.Count(page, `class="point"`); n != 2*25 {
		t.Errorf("%d points marked in two inch frames over a lattice of 5 mm", n)
	}
	for _, want := range []string{
		"at a 1 µm film", "rests on a bed", "in a sliding inch frame",
		"not comparable", "40–60 % bearing at 2–5 µm", "Middle line along x", "Diagonal", "Clark-Evans", "Largest bald circle", "Hollows", "Sdq", "Sp, Sv",
		micro(m.Flatness.MinimumZoneNormal), micro(m.Texture.Core.Sk),
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	// There is no correction for the edge of a face that is no rectangle.
	if strings.Contains(page, "the same, corrected") {
		t.Error("a corrected spread of a face with a corner off")
	}
}

// The page of lines holds every station with its height and uncertainty, and not
// what belongs to areas.
func TestPageOfLines(t *testing.T) {
	m := surveyed(t)
	html, err := m.HTML()
	if err != nil {
		t.Fatal(err)
	}
	page := string(html)
	for _, s := range m.Survey.Stations {
		if row := fmt.Sprintf("<td>%s</td><td>%s</td><td>%s</td><td>%s</td>", position(s.X), position(s.Y), decimals(s.Z), decimals(s.SigmaUM)); !strings.Contains(page, row) {
			t.Errorf("no row %s", row)
		}
	}
	if n := strings.Count(page, `<text class="label"`); n != len(m.Survey.Stations) {
		t.Errorf("%d heights in the plan of %d stations", n, len(m.Survey.Stations))
	}
	if strings.Contains(page, "Texture") || strings.Contains(page, "Clark") {
		t.Error("the page speaks of texture or spread")
	}
}

// Profiles without a shape, of a flat face and of three heights in a row, have an
// axis that can be read; of two heights there is none.
func TestStraightProfiles(t *testing.T) {
	for _, c := range []struct {
		nx, ny, profiles int
		z                func(i, j int) float64
	}{
		{40, 30, 4, func(i, j int) float64 { return 0 }},
		{40, 30, 4, func(i, j int) float64 { return 1e4 + .1*float64(i) - .7*float64(j) }},
		{3, 3, 4, func(i, j int) float64 { return .3 * float64(j) }},
		{3, 2, 3, func(i, j int) float64 { return float64(i * j % 2) }},
	} {
		m := surface.NewMap(surface.Grid{NX: c.nx, NY: c.ny, DX: 1, DY: 1})
		for k := range m.Z {
			m.Z[k] = c.z(k%c.nx, k/c.nx)
		}
		flat, err := gauge.Flatness(m)
		if err != nil {
			t.Fatal(err)
		}
		texture, err := gauge.Texture(m)
		if err != nil {
			t.Fatal(err)
		}
		html, err := (&Measured{Program: "0", File: "a.csv", Map: m, Flatness: flat, Texture: &texture}).HTML()
		if err != nil {
			t.Fatal(err)
		}
		charts := strings.Split(string(html), `<svg class="chart"`)[1:]
		if n := strings.Count(string(html), `id="profile`) / 2; n != c.profiles {
			t.Errorf("%d x %d: %d profiles, want %d", c.nx, c.ny, n, c.profiles)
		}
		for _, chart := range charts {
			if n := strings.Count(chart, `class="grid"`); n < 2 || n > 8 {
				t.Errorf("%d x %d: %d lines of an axis", c.nx, c.ny, n)
			}
			for _, tick := range regexp.MustCompile(`class="tick"[^>]*>([^<]*)<`).FindAllStringSubmatch(chart, -1) {
				if len([]rune(tick[1])) > 7 {
					t.Errorf("%d x %d: an axis says %s", c.nx, c.ny, tick[1])
				}
			}
		}
	}
}

func TestPositions(t *testing.T) {
	for mm, want := range map[float64]string{0: "0", 100 - 1e-13: "100", -12.5: "−12.5", 200.0 / 3: "66.667", -1e-13: "0"} {
		if got := position(mm); got != want {
			t.Errorf("%g mm is written %q, want %q", mm, got, want)
		}
	}
}

// In a plan with more points than there is room for, figures keep clear of each
// other, and the highest and the lowest are among them.
func TestHeightsOfAPlanKeepClear(t *testing.T) {
	var c surface.Cloud
	for k := range 150 {
		u := float64(k)
		c.X, c.Y, c.Z = append(c.X, 40*math.Sin(u)*math.Sqrt(u)), append(c.Y, 20*math.Cos(u)*math.Sqrt(u)), append(c.Z, math.Sin(7*u))
	}
	c.Z[77], c.Z[99] = 40, -50
	flat, err := gauge.FlatnessOfCloud(c)
	if err != nil {
		t.Fatal(err)
	}
	html, err := (&Measured{Program: "0", File: "cloud.csv", Cloud: &c, Flatness: flat}).HTML()
	if err != nil {
		t.Fatal(err)
	}
	type label struct {
		x, y float64
		text string
	}
	var labels []label
	for _, m := range regexp.MustCompile(`<text class="label" x="([-0-9.]+)" y="([-0-9.]+)">([^<]*)<`).FindAllStringSubmatch(string(html), -1) {
		x, _ := strconv.ParseFloat(m[1], 64)
		y, _ := strconv.ParseFloat(m[2], 64)
		labels = append(labels, label{x, y, m[3]})
	}
	if len(labels) < 20 || len(labels) >= 150 || !strings.Contains(string(html), "stand on each other") {
		t.Fatalf("%d figures of 150 are written", len(labels))
	}
	for i, a := range labels {
		for _, b := range labels[:i] {
			// A bold digit is about .7 of its size wide (DejaVu Sans); the size is 3.4.
			if math.Abs(a.y-b.y) < 3.4 && math.Abs(a.x-b.x) < .7*3.4*float64(len([]rune(a.text))+len([]rune(b.text)))/2 {
				t.Errorf("%v stands on %v", a, b)
			}
		}
	}
	for _, k := range []int{77, 99} {
		if want := decimals(c.Z[k] - flat.LSPlane.At(c.X[k], c.Y[k])); !slices.ContainsFunc(labels, func(l label) bool { return l.text == want }) {
			t.Errorf("%s is not written", want)
		}
	}
}

func TestTheCoreLineHoldsItsShare(t *testing.T) {
	m := dimpled(t)
	top, bottom := m.coreLevels()
	if math.Abs(top-bottom-m.Texture.Core.Sk) > 1e-12 {
		t.Errorf("from %g to %g is not Sk %g", top, bottom, m.Texture.Core.Sk)
	}
}

// A long line keeps its highest and lowest places.
func TestThinned(t *testing.T) {
	var line []xy
	for k := range 5000 {
		line = append(line, xy{float64(k), math.Sin(float64(k))})
	}
	line[3333].y, line[4444].y = 9, -9
	thin := thinned(line)
	if len(thin) != 600 {
		t.Errorf("%d places", len(thin))
	}
	high, low := false, false
	for k, p := range thin {
		high, low = high || p == line[3333], low || p == line[4444]
		if k > 0 && p.x < thin[k-1].x {
			t.Fatal("out of order")
		}
	}
	if !high || !low {
		t.Error("a peak or a valley is lost")
	}
}

// Every text on the pages, in HTML and in drawings, stands out from white by 4.5 to 1
// (WCAG 2.2, 1.4.3), and no text in a drawing is drawn round by a stroke that makes
// it bold. The labels on the map, black in a white outline, are the one exception.
func TestTextStandsOut(t *testing.T) {
	colour := func(hex string) color.RGBA {
		var c color.RGBA
		if len(hex) == 3 {
			hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
		}
		if _, err := fmt.Sscanf(hex, "%02x%02x%02x", &c.R, &c.G, &c.B); err != nil {
			t.Fatalf("%s: %v", hex, err)
		}
		return c
	}
	seen := 0
	for _, m := range regexp.MustCompile(`[;{]color:#([0-9a-f]+)`).FindAllStringSubmatch(style, -1) {
		seen++
		if c := palette.Contrast(colour(m[1]), color.RGBA{255, 255, 255, 255}); c < 4.5 {
			t.Errorf("text of #%s stands out %.2f to 1", m[1], c)
		}
	}
	html, err := dimpled(t).HTML()
	if err != nil {
		t.Fatal(err)
	}
	classes := map[string]bool{}
	for _, m := range regexp.MustCompile(`<text class="(\w+)"`).FindAllStringSubmatch(string(html), -1) {
		classes[m[1]] = true
	}
	for class := range classes {
		stroked, filled := false, ""
		for _, rule := range regexp.MustCompile(`([^{}]*)\{([^{}]*)\}`).FindAllStringSubmatch(style, -1) {
			for _, selector := range strings.Split(rule[1], ",") {
				selector = strings.TrimSpace(selector)
				last := selector[strings.LastIndexAny(selector, " >")+1:]
				if last != "."+class && last != "text."+class {
					continue
				}
				stroked = stroked || strings.Contains(rule[2], "stroke:") && class != "label"
				if m := regexp.MustCompile(`fill:#([0-9a-f]+)`).FindStringSubmatch(rule[2]); m != nil {
					filled = m[1]
				}
			}
		}
		if stroked || filled == "" || palette.Contrast(colour(filled), color.RGBA{255, 255, 255, 255}) < 4.5 {
			t.Errorf("text of class %s: stroked %v, filled #%s", class, stroked, filled)
		}
	}
	if seen < 3 || len(classes) < 4 {
		t.Errorf("only %d colours and the classes %v were looked at", seen, classes)
	}
}

// A face that no inch frame lies on has a density of points and no count in frames.
func TestPageOfASmallFace(t *testing.T) {
	m := dimpled(t)
	g := m.Map.Grid
	g.NX, g.NY = 100, 90
	small := surface.NewMap(g)
	for j := range g.NY {
		copy(small.Z[j*g.NX:(j+1)*g.NX], m.Map.Z[(j+60)*m.Map.NX+60:])
	}
	figures, count := gauge.Bearing(small, surface.Plane{B: .02}, 1, gauge.DefaultRule)
	m.Map, m.Bearing.Figures, m.Bearing.Count = small, figures, &count
	html, err := m.HTML()
	if err != nil {
		t.Fatal(err)
	}
	text := string(html)
	for _, want := range []string{"no frame of 25.4 mm lies whole on the face; points over its area would come to", "no frame of 25 mm", "not comparable"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not there", want)
		}
	}
	if strings.Contains(text, "in a sliding") || strings.Contains(text, "emptiest") {
		t.Error("frames are spoken of")
	}
}

// A coarse table of readings shows its figures and no lines, which would be as wide
// as its cells.
func TestPageOfCoarseReadings(t *testing.T) {
	m := surface.NewMap(surface.Grid{NX: 3, NY: 3, DX: 25.4, DY: 25.4})
	copy(m.Z, []float64{2, 1, 3, 1, -1, 2, 2, 2, 1})
	flat, err := gauge.Flatness(m)
	if err != nil {
		t.Fatal(err)
	}
	texture, err := gauge.Texture(m)
	if err != nil {
		t.Fatal(err)
	}
	page := &Measured{Program: "0", File: "a.csv", Map: m, Flatness: flat, Texture: &texture}
	html, err := page.HTML()
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(html), `<text class="label"`); n != 9 {
		t.Errorf("%d figures over nine readings", n)
	}
	if strings.Contains(string(html), "a line every") || !strings.Contains(string(html), "each written over its place") {
		t.Error("the caption speaks of lines")
	}
}

// Readings 20 mm apart tell no points and no bald circle.
func TestPageOfACoarseGrid(t *testing.T) {
	m := dimpled(t)
	coarse := surface.NewMap(surface.Grid{NX: 5, NY: 4, DX: 20, DY: 20})
	for k := range coarse.Z {
		coarse.Z[k] = float64(k * k % 7)
	}
	figures, count := gauge.Bearing(coarse, surface.Plane{A: 6}, 1, gauge.DefaultRule)
	m.Map, m.Bearing.Figures, m.Bearing.Count, m.Bearing.Plane = coarse, figures, &count, surface.Plane{A: 6}
	html, err := m.HTML()
	if err != nil {
		t.Fatal(err)
	}
	text := string(html)
	if !strings.Contains(text, "too coarse to part spots at necks of 1 mm") || strings.Contains(text, "Largest bald circle") || strings.Contains(text, "The ring") {
		t.Error("points or a bald circle of a grid that is too coarse for them")
	}
}
