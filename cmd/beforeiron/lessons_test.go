package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/lessons"
)

func TestLessons(t *testing.T) {
	out := good(t, "lessons")
	list := decode[[]lessons.Lesson](t, good(t, "lessons", "--json"))
	if len(list) < 4 || list[0].ID != "coupon" {
		t.Fatalf("%+v", list)
	}
	for _, l := range list {
		if !strings.Contains(out, l.ID) || !strings.Contains(out, l.Title) {
			t.Errorf("the list lacks %s", l.ID)
		}
		words := good(t, "lessons", l.ID)
		for _, want := range []string{l.Title, l.Aim, strings.TrimSpace(l.Brief), strings.TrimSpace(l.Debrief), "A scraper is a chisel", "hearing protection", "unplug or lock it off"} {
			if !strings.Contains(words, want) {
				t.Errorf("%s is shown without %q", l.ID, want)
			}
		}
		one := decode[map[string]json.RawMessage](t, good(t, "lessons", l.ID, "--json"))
		if one["brief"] == nil || one["setup"] == nil {
			t.Errorf("%s: %v", l.ID, one)
		}
	}
	refused(t, 2, "coupon, crowned-pad", "lessons", "nosuch")
}

func TestLessonsCheck(t *testing.T) {
	coupon, err := os.ReadFile("../../lessons/coupon.yaml")
	if err != nil {
		t.Fatal(err)
	}
	fine := write(t, "coupon.yaml", string(coupon))
	if out := good(t, "lessons", "check", fine); !strings.Contains(out, "good") {
		t.Error(out)
	}
	bad := write(t, "coupon.yaml", strings.Replace(string(coupon), "pitch_mm: 0.2", "pitch_mm: fine", 1))
	r := call(t, "lessons", "check", fine, bad)
	if r.code != 1 || !strings.Contains(r.out, bad+":") || !strings.Contains(r.out, fine+": good") || strings.Count(r.err, "\n") != 1 {
		t.Errorf("exit %d: %s%s", r.code, r.out, r.err)
	}
	type one struct {
		File  string
		OK    bool
		Error *string
	}
	r = call(t, "lessons", "check", fine, bad, "--json")
	if v := decode[[]one](t, r.out); r.code != 1 || len(v) != 2 || !v[0].OK || v[0].Error != nil || v[1].OK || !strings.Contains(*v[1].Error, "coupon.yaml:35:17: a number is wanted here") {
		t.Errorf("exit %d: %s", r.code, r.out)
	}
	named := write(t, "other.yaml", string(coupon))
	if r := call(t, "lessons", "check", named); r.code != 1 || !strings.Contains(r.out, "one name") {
		t.Errorf("exit %d: %s", r.code, r.out)
	}
	refused(t, 2, "no such file", "lessons", "check", filepath.Join(t.TempDir(), "none.yaml"))

	// An author tries a lesson out before it goes in.
	own := write(t, "own-pad.yaml", strings.NewReplacer("id: coupon", "id: own-pad", "length_mm: 100", "length_mm: 40", "width_mm: 75", "width_mm: 40").Replace(string(coupon)))
	file := filepath.Join(t.TempDir(), "a.run")
	if r := call(t, "practise", "--lesson", own, "--cycles", "2", "-o", file); r.code != 1 {
		t.Errorf("exit %d: %s", r.code, r.err)
	}
	if got := decode[report](t, good(t, "replay", file, "--json")); *got.Lesson != "own-pad" {
		t.Errorf("lesson %s", *got.Lesson)
	}
}
