package debrief

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/kit/inspect"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/scene/trial"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/units"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// begun is a run with some prints, guesses and cuts, on the bench.
func begun(t *testing.T, d *scene.Desk, scatter uint64) *work.Work {
	return begunAs(t, d, scatter, false)
}

func begunAs(t *testing.T, d *scene.Desk, scatter uint64, scored bool) *work.Work {
	t.Helper()
	l, err := lessons.Load("coupon")
	if err != nil {
		t.Fatal(err)
	}
	setup := l.Setup
	setup.Scored = scored
	// A small part is quickly made again; Setup is shared.
	recipe := *setup.Part.Recipe
	recipe.LengthMM, recipe.WidthMM, recipe.PitchMM = 50, 40, .4
	setup.Part.Recipe = &recipe
	w, err := work.BeginPart(d.Store, setup, "small", 3, scatter)
	if err != nil {
		t.Fatal(err)
	}
	region := lay.Paint(100, 60, 60, func(i, j int) bool { return i > 10 && i < 35 && j > 5 && j < 25 })
	print := append([]run.Act{{Wipe: &run.Wipe{What: "part"}}}, trial.Print()...)
	trial.Do(t, w, print...)
	for range 3 {
		trial.Do(t, w, run.Act{Predict: &run.Predict{Region: region, Sure: 2}})
		trial.Do(t, w, run.Act{Cut: &run.Cut{Depth: 800, Area: &run.Area{Region: region, Dir: 785, Length: 1000, Spacing: 800}}})
		trial.Do(t, w, print...)
	}
	return w
}

// signOff ends a run with a sheet that is filled in whole.
func signOff(t *testing.T, w *work.Work) {
	t.Helper()
	var sheet run.Declare
	for _, e := range run.Sheet {
		v := e.Lo
		*e.Of(&sheet) = &v
	}
	sheet.Class = "plate-1"
	trial.Do(t, w, run.Act{Declare: &sheet}, run.Act{SignOff: &run.SignOff{}})
}

func rest(t *testing.T, h *drive.Hand) {
	t.Helper()
	if err := h.Settle(); err != nil {
		t.Fatal(err)
	}
}

func press(t *testing.T, h *drive.Hand, id string) {
	t.Helper()
	if err := h.Press(id); err != nil {
		t.Fatal(err)
	}
}

// fake stands in for the search, which takes a minute.
func fake(print int) *search {
	return work.StartAside(func(func(int, int) error) (found, error) {
		x := review.Decision{Cycle: print, Did: "60 strokes in rows, 8.0 um deep.", Came: review.Value{Marks: 12, Prints: 20, MS: 3e6}, Lost: 31,
			Tried: []review.Tried{{What: "cut half as deep", Came: review.Value{Marks: 43, Prints: 15, MS: 2e6}}}}
		return found{[]review.Decision{x, x, x}, true}, nil
	})
}

// What a debrief shows, on every page, of every view, at every size of window and
// text and in all units, is neither clipped nor covered; the decisions lead back to
// the bench; the page is written where it is said to be.
func TestEveryPage(t *testing.T) {
	dk := trial.Desk()
	other := begun(t, dk, 2)
	signOff(t, other)
	w := begun(t, dk, 1)
	signOff(t, w)
	d := Of(dk, w)
	defer d.Leave()
	d.search = fake(2)
	h := drive.New(1280, 800, 1, func(u *kit.UI) { d.Tick(u) })
	rest(t, h)
	visit := []string{"page.0", "losses.0", "thumb.2", "sees.1", "sees.2", "sees.3", "sees.4", "page.1", "others.1", "sees.5", "page.2", "page.3"}
	for i, s := range []struct {
		w, h, text float64
		units      units.System
	}{{1280, 800, 1, units.Metric}, {1920, 1080, 1, units.Inch}, {1280, 800, 2, units.Tenths}, {1366, 768, 1.5, units.Metric}, {1280, 800, 2.5, units.Inch}} {
		dk.Set.TextScale, dk.Set.Units = s.text, s.units
		h := drive.New(s.w, s.h, s.text, func(u *kit.UI) { d.Tick(u) })
		for _, id := range visit {
			if id == "others.1" && i > 0 {
				continue // it is chosen
			}
			press(t, h, id)
			rest(t, h)
			if shown, _, _, _ := d.tape.shown(); shown == nil || shown.at != d.at {
				t.Errorf("after %q cycle %d is looked at, and the face is that of %+v", id, d.at, shown)
			}
			for _, p := range inspect.Faults(h.UI.Nodes(), s.text, h.In.Size) {
				t.Errorf("%v, after %q: %s", s, id, p)
			}
		}
	}
	// The new lows are of the end: it says so, and comes back from there.
	press(t, h, "sees.0")
	press(t, h, "thumb.2")
	press(t, h, "sees.4")
	rest(t, h)
	if n := h.Node("caption"); n == nil || !strings.Contains(n.Label, "Shown on print 4, the last.") {
		t.Errorf("of the new lows, asked for at print 2, it says %+v", n)
	}
	press(t, h, "sees.0")
	rest(t, h)
	if at := d.cycles[d.at].print.N; at != 2 {
		t.Errorf("back from the new lows it shows print %d, not print 2 from where they were asked for", at)
	}
	if d.beside.apart == nil {
		t.Error("nothing is held beside another run of the same surface")
	}
	press(t, h, "write")
	rest(t, h)
	n := h.Node("page.where")
	if n == nil || !strings.Contains(n.Label, "pages/"+w.Name+"-beside-"+other.Name+".html") {
		t.Fatalf("the page is said to be in %+v", n)
	}
	if b, err := dk.Store.Read("pages/" + w.Name + "-beside-" + other.Name + ".html"); err != nil || !bytes.Contains(b, []byte("half as deep")) {
		t.Errorf("the page: %v, %d bytes; want the dearest decision in it", err, len(b))
	}
	press(t, h, "page.2")
	rest(t, h)
	var next scene.Next
	h.Tick = func(u *kit.UI) {
		if n := d.Tick(u); n.To != scene.Stay {
			next = n
		}
	}
	press(t, h, "decision.0.fork")
	if next.To != scene.Bench {
		t.Fatalf("trying again goes to %+v", next)
	}
	l, err := dk.Store.Open(next.Name)
	if err != nil || len(l.Entries) != d.cycles[1].acts || l.Header.Fork == nil {
		t.Errorf("trying again from print 2 begins with %v, %v", l, err)
	}
}

// Another way on from a scored run is there once it is signed off, from any cycle, as a
// practice.
func TestAScoredRunIsForkedAfterItsEnd(t *testing.T) {
	dk := trial.Desk()
	w := begunAs(t, dk, 1, true)
	var next scene.Next
	look := func(d *Debrief) *drive.Hand {
		next = scene.Next{}
		return drive.New(1280, 800, 1, func(u *kit.UI) {
			if n := d.Tick(u); n.To != scene.Stay {
				next = n
			}
		})
	}
	open, err := Open(dk, w.Name)
	if err != nil {
		t.Fatal(err)
	}
	h := look(open)
	h.Type("f")
	if !h.Node("fork").Disabled || next.To != scene.Stay {
		t.Errorf("while it is open another way leads to %+v", next)
	}
	open.Leave()
	signOff(t, w)
	for cycle := range 4 {
		d := Of(dk, w)
		d.at = cycle
		h := look(d)
		rest(t, h)
		h.Type("f")
		if next.To != scene.Bench {
			t.Fatalf("from cycle %d another way leads to %+v", cycle+1, next)
		}
		o, err := work.Open(dk.Store, next.Name)
		if err != nil {
			t.Fatal(err)
		}
		again, err := o.Step(time.Hour)
		if err != nil {
			t.Fatal(err)
		}
		if again.Run.Header().Setup.Scored || again.Run.Prints() != cycle+1 {
			t.Errorf("from cycle %d it goes on after print %d, scored: %v", cycle+1, again.Run.Prints(), again.Run.Header().Setup.Scored)
		}
		trial.Do(t, again, run.Act{Wipe: &run.Wipe{What: "part"}})
		d.Leave()
	}
}

// A search that its time ends says so and offers to go on, and one that nobody
// waits for any more ends.
func TestSearchCutShort(t *testing.T) {
	dk := trial.Desk()
	w := begun(t, dk, 1)
	signOff(t, w)
	d := Of(dk, w)
	d.search = d.startSearch(time.Nanosecond)
	h := drive.New(1280, 800, 1, func(u *kit.UI) { d.Tick(u) })
	rest(t, h)
	press(t, h, "page.2")
	rest(t, h)
	if h.Node("cut") == nil || h.Node("nodecision") != nil {
		t.Error("a search that came to no end is not told from one that did")
	}
	press(t, h, "further")
	if h.Node("search") == nil {
		t.Error("it does not go on")
	}
	d.Leave()
	if err := h.Until(func() bool { time.Sleep(time.Millisecond); _, over, _ := d.search.Get(); return over }); err != nil {
		t.Error(err)
	}
	if _, _, err := d.search.Get(); !errors.Is(err, work.ErrLeft) {
		t.Errorf("left, it ends with %v", err)
	}
}

// sealsIn counts the seals of a run's file, and its acts.
func sealsIn(t *testing.T, s store.Store, name string) (seals int, file []byte) {
	t.Helper()
	b, err := s.Read("runs/" + name + ".run")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Open(name); err != nil {
		t.Fatalf("the file cannot be read any more: %v", err)
	}
	return bytes.Count(b, []byte(`"seal":`)), b
}

// A run that was signed off is sealed once, by whoever comes first, bench or
// debrief; looking back on it again changes no byte of its file.
func TestSealedOnce(t *testing.T) {
	dk := trial.Desk()
	w := begun(t, dk, 1)
	signOff(t, w)
	_, before := sealsIn(t, dk.Store, w.Name)
	report, err := score.Mark(&run.Log{Header: w.Run.Header(), Entries: w.Run.Entries()}, nil)
	if err == nil {
		err = w.Signed().Seal(report)
	}
	if err != nil {
		t.Fatal(err)
	}
	seals, file := sealsIn(t, dk.Store, w.Name)
	if seals != 1 || !bytes.HasPrefix(file, before) {
		t.Fatalf("the bench left %d seals", seals)
	}
	opened, err := Open(dk, w.Name)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range []*Debrief{Of(dk, w), opened} {
		h := drive.New(1280, 800, 1, func(u *kit.UI) { d.Tick(u) })
		rest(t, h)
		d.Leave()
		if d.trouble != "" {
			t.Error(d.trouble)
		}
		if _, after := sealsIn(t, dk.Store, w.Name); !bytes.Equal(after, file) {
			t.Error("looking back on a sealed run changed its file")
		}
	}

	// The program ended before the marks were there: the debrief seals what it read.
	if err := dk.Store.Write("runs/late.run", before); err != nil {
		t.Fatal(err)
	}
	d, err := Open(dk, "late")
	if err != nil {
		t.Fatal(err)
	}
	h := drive.New(1280, 800, 1, func(u *kit.UI) { d.Tick(u) })
	if err := h.Until(func() bool { time.Sleep(time.Millisecond); return !d.unsealed }); err != nil {
		t.Fatal(err)
	}
	d.Leave()
	if seals, late := sealsIn(t, dk.Store, "late"); seals != 1 || !bytes.Equal(late, file) {
		t.Errorf("sealed late it has %d seals, and is as the bench seals it: %v", seals, bytes.Equal(late, file))
	}

	// Somebody else sealed it meanwhile: it stays as it is, and that is said.
	if err := dk.Store.Write("runs/twice.run", before); err != nil {
		t.Fatal(err)
	}
	if d, err = Open(dk, "twice"); err != nil {
		t.Fatal(err)
	}
	if err := dk.Store.Write("runs/twice.run", file); err != nil {
		t.Fatal(err)
	}
	h = drive.New(1280, 800, 1, func(u *kit.UI) { d.Tick(u) })
	if err := h.Until(func() bool { time.Sleep(time.Millisecond); return !d.unsealed }); err != nil {
		t.Fatal(err)
	}
	d.Leave()
	if _, now := sealsIn(t, dk.Store, "twice"); !bytes.Equal(now, file) || d.trouble == "" {
		t.Errorf("it holds %d bytes, want %d; said: %q", len(now), len(file), d.trouble)
	}
}

// Whatever rubric a run is looked back on by, its file is sealed with the marks by the
// job's own.
func TestSealedByTheJobsOwnRubric(t *testing.T) {
	dk := trial.Desk()
	w := begun(t, dk, 1)
	signOff(t, w)
	l, err := dk.Store.Open(w.Name)
	if err != nil {
		t.Fatal(err)
	}
	own, err := score.Mark(l, nil)
	if err != nil {
		t.Fatal(err)
	}
	yaml, err := score.Standard().YAML()
	if err != nil {
		t.Fatal(err)
	}
	yaml = strings.NewReplacer("most: 20.0", "most: 2.0", "most: 10.0", "most: 1.0", "most: 12.0", "most: 1.0").Replace(yaml)
	milder, err := score.ParseRubric("milder", []byte(yaml))
	if err != nil {
		t.Fatal(err)
	}
	if other, err := milder.Mark(l, nil); err != nil || other.Marks == own.Marks {
		t.Fatalf("by the milder rubric there are the same marks, %+v (%v)", own.Marks, err)
	}
	if err := dk.Store.Write("rubrics/milder.yaml", []byte(yaml)); err != nil {
		t.Fatal(err)
	}
	dk.Set.Rubric = "milder.yaml"
	d := Of(dk, w)
	h := drive.New(1280, 800, 1, func(u *kit.UI) { d.Tick(u) })
	if err := h.Until(func() bool { time.Sleep(time.Millisecond); return !d.unsealed }); err != nil {
		t.Fatal(err)
	}
	d.Leave()
	if l, err = dk.Store.Open(w.Name); err != nil {
		t.Fatal(err)
	}
	want, err := json.Marshal(own.Recorded())
	if err != nil || !bytes.Equal(l.Seal.Marks, want) {
		t.Errorf("sealed with %s, want the marks by the job's own rubric, %s (%v)", l.Seal.Marks, want, err)
	}
}
