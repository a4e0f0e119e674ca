package page

import (
	"bytes"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/lessons/class"
)

func TestClassPage(t *testing.T) {
	middle := 45.0
	c := &Class{Program: "test", Refused: 2, Summaries: []class.Summary{
		{Lesson: "coupon", People: 12, Runs: 14, Median: &middle,
			Bins:    []class.Bin{{Low: -100, High: 0, Hidden: true}, {Low: 0, High: 60, People: 7}, {Low: 60, High: 101, Hidden: true}},
			Errors:  []class.Error{{Rule: "new-low", People: 4, Why: "Bare <metal> is 2 um low.", Next: "Leave it."}},
			Showing: []class.Show{{File: "c3_<b>.run", Why: "It is plain."}}},
		{Lesson: "nobody-knows-it", Few: true},
	}}
	html, err := c.HTML()
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := c.HTML(); !bytes.Equal(again, html) {
		t.Error("another page of the same class")
	}
	page := string(html)
	for _, want := range []string{"Practice coupon", "12 people, 14 runs", "about 45 marks", "below 0: left out", "0 to below 60: 7 people", "60 to 100", "Refused and left out: 2", "Fewer than three people: nothing is said", "Bare &lt;metal&gt; is 2 µm low", "c3_&lt;b&gt;.run"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	for _, bad := range []string{"<script", "http", "NaN", "%!"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	document(t, page)
}
