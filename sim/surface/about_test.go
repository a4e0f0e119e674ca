package surface

import (
	"bytes"
	"fmt"
	"maps"
	"strings"
	"testing"
)

// everything is all that a file can say, with what is awkward in every format.
var everything = About{
	aboutMaker: "Höhe & Co", aboutModel: "<M 2>", aboutSerial: "00-17", aboutVersion: "1.0, 2.0", aboutProbing: "Contacting",
	aboutProbe: "ball 1.5 mm", aboutCalibrated: "2026-01-31T08:00:00+01:00", aboutCreator: "K.", aboutCreated: "2026-02-28T23:59:00",
	aboutModified: "2026-03-01T00:01:00", aboutResolution: "1e-09", aboutComment: "left way\n  zero at the \"near\" end: z in mm?\n\nlast line",
}

// What a format has a place for comes back as it was; what it has none for is told
// by name.
func TestAboutCrosses(t *testing.T) {
	m := NewMap(Grid{NX: 3, NY: 2, DX: .1, DY: .1})
	copy(m.Z, []float64{1, 2, 3, 5, 8, 13})
	for _, c := range []struct {
		to   string
		form SDFForm
		lost []string
	}{
		{"a.csv", SDFBinary, nil},
		{"a.x3p", SDFBinary, []string{aboutModified, aboutResolution}},
		{"a.sdf", SDFBinary, []string{aboutModel, aboutSerial, aboutVersion, aboutProbing, aboutProbe, aboutCalibrated, aboutCreator}},
		{"a.sdf", SDFText, []string{aboutModel, aboutSerial, aboutVersion, aboutProbing, aboutProbe, aboutCalibrated, aboutCreator}},
	} {
		content, lost, err := Encode(c.to, &Data{Map: m, About: everything}, c.form)
		if err != nil {
			t.Fatal(err)
		}
		want := maps.Clone(everything)
		for _, name := range c.lost {
			delete(want, name)
		}
		if told := strings.Join(lost, " "); (len(c.lost) == 0) != (told == "") || !strings.Contains(told, strings.Join(c.lost, ", ")) {
			t.Errorf("%s %s tells %q, want %q", c.to, c.form, lost, c.lost)
		}
		d, err := Decode(c.to, content, ReadOptions{})
		if err != nil {
			t.Fatalf("%s %s: %v", c.to, c.form, err)
		}
		if len(d.Warnings) > 0 {
			t.Errorf("%s %s: %q", c.to, c.form, d.Warnings)
		}
		if !maps.Equal(d.About, want) {
			t.Errorf("%s %s came back as\n%q, want\n%q", c.to, c.form, d.About, want)
		}
		if again, _, err := Encode(c.to, d, c.form); err != nil || !bytes.Equal(again, content) {
			t.Errorf("%s %s written again is another file: %v", c.to, c.form, err)
		}
	}
	// Nothing said, nothing written, but for SDF's own fields.
	for _, to := range []string{"a.csv", "a.x3p", "a.sdf"} {
		content, lost, err := Encode(to, &Data{Map: m}, SDFText)
		if err != nil || len(lost) > 0 || bytes.Contains(content, []byte("about_")) {
			t.Errorf("%s: %v %q", to, err, lost)
		}
		if d, err := Decode(to, content, ReadOptions{}); err != nil || d.About != nil {
			t.Errorf("%s: %v %q", to, err, d.About)
		}
	}
}

// The sample of the softgauges (ASCII SDF 1.0) names its maker, two dates and the
// lines of its trailer; they go into an X3P, all but the second date.
func TestAboutOfSamples(t *testing.T) {
	d, err := ReadSDF(sample(t, "surftopo_sdf-1.sdf"))
	if err != nil {
		t.Fatal(err)
	}
	want := About{aboutMaker: "ISOTC213", aboutCreated: "2010-01-04T08:53:00", aboutModified: "2010-03-05T13:53:00", aboutResolution: "1e-09",
		aboutComment: "< OperatorName > Tom Jones < / OperatorName >\n< PartName > S2 Softgauges Example < /PartName >"}
	if fmt.Sprint(d.About) != fmt.Sprint(want) {
		t.Errorf("%q, want %q", d.About, want)
	}
	content, lost, err := Encode("a.x3p", d, SDFBinary)
	if err != nil || len(lost) != 1 || !strings.Contains(lost[0], "its modified, resolution:") {
		t.Errorf("%v: %q", err, lost)
	}
	back, err := ReadX3P(content)
	if err != nil || back.About[aboutComment] != want[aboutComment] || back.About[aboutCreated] != want[aboutCreated] || back.About[aboutMaker] != want[aboutMaker] {
		t.Errorf("%v: %q", err, back.About)
	}
	p, err := ReadX3P(sample(t, "x3ptools_pyramid.x3p"))
	if err != nil || p.About[aboutCreator] != "Creator Name" || p.About[aboutCreated] != "2013-12-26T16:06:00" || p.About[aboutProbe] != "Identification" || len(p.About) != 10 {
		t.Errorf("%v: %q", err, p.About)
	}
}

func TestAboutIsCutToItsPlace(t *testing.T) {
	m := NewMap(Grid{NX: 2, NY: 2, DX: 1, DY: 1})
	m.Z[0] = 1
	d := &Data{Map: m, About: About{aboutMaker: "A longer name", aboutCreated: "2007-04-30T13:58:02.6+02:00", aboutModified: "last week", aboutComment: "a\n*\nb"}}
	content, lost, err := Encode("a.sdf", d, SDFText)
	if err != nil || len(lost) != 4 {
		t.Fatalf("%v: %q", err, lost)
	}
	for k, want := range []string{`"A longer name" is cut to "A longer n"`, `2007-04-30T13:58:02.6+02:00" of created becomes 300420071358`, `"last week" of modified becomes 000000000000`, "a comment's line *"} {
		if !strings.Contains(lost[k], want) {
			t.Errorf("told %q, want %q", lost[k], want)
		}
	}
	back, err := ReadSDF(content)
	if err != nil || back.About[aboutComment] != "a\nb" || back.About[aboutModified] != "" || back.About[aboutCreated] != "2007-04-30T13:58:00" {
		t.Errorf("%v: %q", err, back.About)
	}
	// A trailer of bytes that are no text, and one that is endless.
	d.About = nil
	content, _, _ = Encode("a.sdf", d, SDFBinary)
	for _, trailer := range []string{"kept\x01\x02", "kept\xb5", "kept" + strings.Repeat("x", 1<<20), "*\r\nkept\r\n*\r\n", "kept\x00\x00"} {
		d, err := ReadSDF(append(append([]byte{}, content...), trailer...))
		if err != nil || !strings.HasPrefix(d.About[aboutComment], "kept") || len(d.About[aboutComment]) > maxAbout {
			t.Errorf("trailer %.20q: %v %.40q", trailer, err, d.About)
		}
		if warned := len(d.Warnings) > 0; warned != (strings.Contains(trailer, "\x01") || len(trailer) > maxAbout) {
			t.Errorf("trailer %.20q: %q", trailer, d.Warnings)
		}
	}
	// X3P stays XML whatever it says.
	x, _, err := Encode("a.x3p", &Data{Map: m, About: About{aboutComment: "</Record2>]]>&\n"}}, SDFBinary)
	if err != nil {
		t.Fatal(err)
	}
	if d, err := ReadX3P(x); err != nil || d.About[aboutComment] != "</Record2>]]>&" {
		t.Errorf("%v: %q", err, d.About)
	}
}

// A file of whole numbers stays one as text.
func TestTextSDFKeepsTheKind(t *testing.T) {
	d, err := ReadSDF(binarySDF(1, 3, 2, [3]float64{1e-4, 1e-4, 3.7e-9}, 5, []int16{5, -7, -32768, 32767, 0, 12}))
	if err != nil {
		t.Fatal(err)
	}
	text, _, err := Encode("a.sdf", d, SDFText)
	if err != nil || !bytes.Contains(text, []byte("DataType = 5\r\n")) || !bytes.Contains(text, []byte("5 -7 BAD\r\n32767 0 12\r\n")) {
		t.Fatalf("%v: %s", err, text)
	}
	back, err := ReadSDF(text)
	if err != nil || back.stored.kind != kindInt16 || !sameHeights(back.Map.Z, d.Map.Z) {
		t.Errorf("%v: %+v", err, back)
	}
	// Not whole, or too large for the type that is stated: they are read as they stand.
	for _, v := range []string{"1.5", "32768", "-40000"} {
		d, err := ReadSDF(bytes.Replace(text, []byte("32767"), []byte(v), 1))
		if err != nil || d.stored.kind != kindFloat64 || d.Map.Z[3] == 0 {
			t.Errorf("%s: %v %+v", v, err, d)
		}
	}
}
