package page

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"image/png"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// written is a report of a short run, with everything that a report can have.
func written(t *testing.T) (*Report, string) {
	t.Helper()
	lesson, err := lessons.Load("crowned-pad")
	if err != nil {
		t.Fatal(err)
	}
	work := func(name string, cycles int) *review.Review {
		r, err := lesson.Begin(3, 3, name, "test")
		if err != nil {
			t.Fatal(err)
		}
		h, err := hand.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := h.Work(r, cycles, nil); err != nil {
			t.Fatal(err)
		}
		log := &run.Log{Header: r.Header(), Entries: r.Entries()}
		v, err := review.Of(log, score.Standard(), nil)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	mine, other := work("careless", 4), work("careful", 3)
	apart, err := review.Part(mine, other)
	if err != nil {
		t.Fatal(err)
	}
	mine.Sheet = &review.Sheet{Rows: []review.SheetRow{
		{What: "Bearing", Unit: "%", Wrote: 40, Seen: 42, Is: 12, Near: false},
		{What: "Range over the gauge block", Unit: "um", Wrote: 3, Seen: math.NaN(), Is: 3.1, Near: true},
	}}
	r := &Report{
		Program: "test", Lesson: lesson, Rubric: score.Standard(), Review: mine, Par: &review.Par{Report: other.Report, Parting: apart.Parting, Parted: true}, Whole: true,
		Decisions: []review.Decision{{Cycle: 2, Did: "9 strokes <b>", Lost: 7.5, Tried: []review.Tried{{What: "do otherwise"}, {What: "cut 2 um deep"}}, Best: 1}},
		Other:     &Other{Review: other, Apart: apart},
	}
	html, err := r.HTML()
	if err != nil {
		t.Fatal(err)
	}
	again, err := r.HTML()
	if err != nil || !bytes.Equal(html, again) {
		t.Errorf("the same report comes out in other bytes (%v)", err)
	}
	return r, string(html)
}

// A page needs nothing but itself, has no script, tells every picture in words and
// opens as a document in order.
func TestAPageStandsAlone(t *testing.T) {
	_, html := written(t)
	for _, bad := range []string{"<script", "http://", "https://", "@import", "<link", "<iframe", "onload=", "javascript:", "NaN", "ZgotmplZ", "%!"} {
		if strings.Contains(html, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	for _, use := range regexp.MustCompile(`url\(|src="([^"]{0,30})|href="([^"]{0,30})`).FindAllStringSubmatch(html, -1) {
		if at := use[1] + use[2]; !strings.HasPrefix(at, "data:image/png;base64,") && !strings.HasPrefix(at, "#") {
			t.Errorf("the page asks for %q", use[0])
		}
	}
	if strings.Contains(html, "9 strokes <b>") || !strings.Contains(html, "9 strokes &lt;b&gt;") {
		t.Error("words are not kept from being markup")
	}
	for _, um := range regexp.MustCompile(`\d um\b`).FindAllString(html, -1) {
		t.Errorf("a unit is spelled %q", um)
	}
	document(t, html)
}

// document reads a page as a tree, and holds it to what can be told by rule of WCAG
// 2.2: names of pictures (1.1.1), headings in order and tables with headers (1.3.1),
// a title and a language (2.4.2, 3.1.1), identifiers that are one of a kind (4.1.1 of
// the versions before).
func document(t *testing.T, html string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(html))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	attr := func(e xml.StartElement, name string) (string, bool) {
		for _, a := range e.Attr {
			if a.Name.Local == name {
				return a.Value, true
			}
		}
		return "", false
	}
	ids, refs := map[string]bool{}, []string{}
	level, headers, tables, pictures, titled := 0, 0, 0, 0, false
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("the page is no tree: %v", err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		if id, ok := attr(e, "id"); ok {
			if ids[id] {
				t.Errorf("two elements are called %q", id)
			}
			ids[id] = true
		}
		for _, a := range []string{"aria-labelledby", "href"} {
			if v, ok := attr(e, a); ok {
				for _, ref := range strings.Fields(v) {
					if a != "href" || strings.HasPrefix(ref, "#") {
						refs = append(refs, strings.TrimPrefix(ref, "#"))
					}
				}
			}
		}
		switch name := e.Name.Local; name {
		case "html":
			if lang, _ := attr(e, "lang"); lang != "en" {
				t.Errorf("language %q", lang)
			}
		case "title":
			titled = true
		case "h1", "h2", "h3":
			if n := int(name[1] - '0'); n > level+1 {
				t.Errorf("a heading of level %d follows one of level %d", n, level)
			} else {
				level = n
			}
		case "img":
			pictures++
			if alt, ok := attr(e, "alt"); !ok || alt == "" {
				if w, _ := attr(e, "width"); w != "26" { // of a legend: the words stand beside it
					t.Error("a picture without words")
				}
			}
		case "svg":
			pictures++
			_, labelled := attr(e, "aria-labelledby")
			label, _ := attr(e, "aria-label")
			hidden, _ := attr(e, "aria-hidden")
			if !labelled && label == "" && hidden != "true" {
				t.Error("a drawing without words")
			}
		case "table":
			tables++
		case "th":
			headers++
			if _, ok := attr(e, "scope"); !ok {
				t.Error("a header of a table that does not say of what")
			}
		}
	}
	for _, ref := range refs {
		if !ids[ref] {
			t.Errorf("nothing is called %q", ref)
		}
	}
	if !titled || pictures == 0 || tables == 0 || headers < tables*2 {
		t.Errorf("titled %t, %d pictures, %d tables with %d headers", titled, pictures, tables, headers)
	}
}

// Every ink of the style stands out from the ground that it is on: 4.5 to 1 for
// words, 3 to 1 for lines that tell something (WCAG 2.2, 1.4.3 and 1.4.11).
func TestInksStandOut(t *testing.T) {
	for _, c := range []struct {
		hex  uint32
		what string
		on   []uint32
		need float64
	}{
		{0x1c1d1f, "text", []uint32{0xffffff, 0xececec}, 4.5}, {0x47453f, "quiet text", []uint32{0xffffff}, 4.5}, {0x0c4f93, "links", []uint32{0xffffff}, 4.5},
		{0x8a4b00, "one's own line", []uint32{0xffffff, 0xececec}, 3}, {0x0c4f93, "the careful hand's line", []uint32{0xffffff, 0xececec}, 3},
		{0x606060, "the bound of what is asked", []uint32{0xffffff, 0xececec}, 3}, {0x6a6863, "frames", []uint32{0xffffff}, 3},
	} {
		if !strings.Contains(style, strings.ToLower("#"+hex6(c.hex))) {
			t.Errorf("%s: #%s is not in the style", c.what, hex6(c.hex))
		}
		for _, on := range c.on {
			if r := palette.Contrast(rgb(c.hex), rgb(on)); r < c.need {
				t.Errorf("%s: %.2f to 1", c.what, r)
			}
		}
	}
	// Colours of pictures are told apart in grey and by every eye.
	if r := palette.Contrast(ink, iron); r < 3 {
		t.Errorf("a print stands out from iron by %.2f to 1", r)
	}
	for _, e := range []palette.Eye{palette.Full, palette.Protan, palette.Deutan, palette.Tritan} {
		if r := palette.Contrast(palette.As(cameOn, e), palette.As(bears, e)); r < 3 {
			t.Errorf("eye %d: came to bear and bears: %.2f to 1", e, r)
		}
	}
}

func hex6(v uint32) string {
	const digits = "0123456789abcdef"
	out := make([]byte, 6)
	for k := range out {
		out[k] = digits[v>>(4*(5-k))&15]
	}
	return string(out)
}

// Pictures are small images that decode.
func TestPictures(t *testing.T) {
	_, html := written(t)
	all := regexp.MustCompile(`data:image/png;base64,([^"]*)"`).FindAllStringSubmatch(html, -1)
	if len(all) < 12 {
		t.Fatalf("%d pictures", len(all))
	}
	for _, m := range all {
		b, err := base64.StdEncoding.DecodeString(strings.ReplaceAll(m[1], "&#43;", "+"))
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		if r := img.Bounds(); r.Dx() > 200 || r.Dy() > 200 || len(b) > 40_000 {
			t.Errorf("a picture of %v in %d bytes", r, len(b))
		}
	}
}

// Isolines are numbered where they run.
func TestLabels(t *testing.T) {
	f := &review.Field{W: 100, H: 80}
	for k := range 100 * 80 {
		f.V = append(f.V, float32(k%100)/10) // 0 to 9.9 um along x
	}
	found := labels(f, 2)
	if len(found) != 4 {
		t.Fatalf("%d labels of the lines of 2, 4, 6 and 8 um: %v", len(found), found)
	}
	for n, l := range found {
		want := float64(2 * (n + 1))
		if math.Abs(l.X-10*want) > 1 || l.Text != signed(want) {
			t.Errorf("%q stands at %g", l.Text, l.X)
		}
	}
	for k := range f.V {
		if got, want := isoline(f, k, 2), k%100 > 0 && k%100%20 == 0; got != want {
			t.Fatalf("element %d: line %t", k%100, got)
		}
	}
}

func TestSmoothKeepsAPlaneInside(t *testing.T) {
	f := &review.Field{W: 80, H: 60}
	for k := range 80 * 60 {
		f.V = append(f.V, float32(k%80)-2*float32(k/80))
	}
	f.V[30*80+40] = float32(math.NaN())
	s := smooth(f)
	for k, v := range s.V {
		i, j := k%80, k/80
		if k == 30*80+40 {
			if v == v {
				t.Error("metal where there is none")
			}
			continue
		}
		if i < 8 || j < 8 || i >= 72 || j >= 52 || math.Abs(float64(i-40)) < 8 && math.Abs(float64(j-30)) < 8 {
			continue
		}
		if math.Abs(float64(v-f.V[k])) > 1e-3 {
			t.Fatalf("(%d, %d): %g of %g", i, j, v, f.V[k])
		}
	}
}

// A chart puts the largest value on the axis and says what it shows.
func TestChart(t *testing.T) {
	c := chart{id: "x", title: "Bearing", unit: "%", low: 30, high: 50, lines: []series{{"You", "mine", []float64{1, math.NaN(), 63}}}}
	svg := string(c.svg())
	for _, want := range []string{"Bearing, %", "You: from 1 to 63 over 2 prints.", "Asked for: 30 to 50.", ">80<"} {
		if !strings.Contains(svg, want) {
			t.Errorf("%q is not in %s", want, svg)
		}
	}
	if strings.Contains(svg, "NaN") || strings.Count(svg, "<circle") != 2 {
		t.Errorf("%s", svg)
	}
	for _, p := range [][2]float64{{.3, .5}, {1, 1}, {7, 10}, {21, 50}, {0, 1}} {
		if got := nice(p[0]); math.Abs(got-p[1]) > 1e-12 {
			t.Errorf("nice(%g) = %g", p[0], got)
		}
	}
}
