package app

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/cards"
	"github.com/before-iron/beforeiron/render/class"
	"github.com/before-iron/beforeiron/render/debrief"
	"github.com/before-iron/beforeiron/render/keys"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/kit/inspect"
	"github.com/before-iron/beforeiron/render/lesson"
	"github.com/before-iron/beforeiron/render/opening"
	"github.com/before-iron/beforeiron/render/ownpart"
	"github.com/before-iron/beforeiron/render/practice"
	"github.com/before-iron/beforeiron/render/rubric"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/scene/trial"
	"github.com/before-iron/beforeiron/render/settings"
	"github.com/before-iron/beforeiron/render/shelf"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// folder is a data folder with a run in every state that the shelf can show: open,
// signed off, forked, torn, damaged, and of older physics.
func folder(t testing.TB) store.Store {
	t.Helper()
	s := store.Store{Folder: store.NewMemory()}
	signed := worked(t, s, 3, true)
	worked(t, s, 4, false)
	l, err := s.Open(signed)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := work.WriteFork(s, signed, l, 8); err != nil {
		t.Fatal(err)
	}
	if err := s.Write("rubrics/nonsense.yaml", []byte("name: nonsense\n")); err != nil {
		t.Fatal(err)
	}
	classroom(t, s)
	b, err := s.Read("runs/" + signed + ".run")
	if err != nil {
		t.Fatal(err)
	}
	write := func(name string, content []byte) {
		if err := s.Write("runs/"+name+".run", content); err != nil {
			t.Fatal(err)
		}
	}
	write("damaged", append([]byte("x"), b...))
	open, err := s.Read("runs/" + worked(t, s, 5, false) + ".run")
	if err != nil {
		t.Fatal(err)
	}
	write("torn", open[:len(open)-40])
	write("older", older(t, l))
	return s
}

// classroom fills the folder of a class: three seats with a lesson, one of them
// twice, and an altered run.
func classroom(t testing.TB, s store.Store) {
	t.Helper()
	own := store.Store{Folder: store.NewMemory()}
	for i, file := range []string{"c3-01.run", "c3-02.run", "c3-03.run", "c3-03_again.run", "c3-04.run"} {
		b, err := own.Read("runs/" + worked(t, own, uint64(20+i), true) + ".run")
		if err != nil {
			t.Fatal(err)
		}
		if file == "c3-04.run" {
			b = bytes.Replace(b, []byte(`"depth":800`), []byte(`"depth":801`), 1)
		}
		if err := s.Write("class/"+file, b); err != nil {
			t.Fatal(err)
		}
	}
}

// older is the run as a program of another physics version would have written it.
func older(t testing.TB, l *run.Log) []byte {
	t.Helper()
	m := store.Store{Folder: store.NewMemory()}
	h := l.Header
	h.Physics++
	name, lines, err := m.Begin("older")
	if err != nil {
		t.Fatal(err)
	}
	w, err := run.NewWriter(lines, h)
	for _, e := range l.Entries {
		if err == nil {
			err = w.Entry(e)
		}
	}
	if err == nil {
		err = w.Seal(run.Seal{Digest: "0", Acts: len(l.Entries), Marks: []byte(`{"marks":{"total":41}}`)})
	}
	if err != nil {
		t.Fatal(err)
	}
	b, err := m.Read("runs/" + name + ".run")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// worked is the name of a run with a few cycles, signed off or not.
func worked(t testing.TB, s store.Store, seed uint64, signOff bool) string {
	t.Helper()
	l, err := lessons.Load("coupon")
	if err != nil {
		t.Fatal(err)
	}
	w, err := work.BeginLesson(s, l, seed, 1)
	if err != nil {
		t.Fatal(err)
	}
	trial.Do(t, w, bench.FirstPrint(8)...)
	for range 3 {
		trial.Do(t, w, run.Act{Predict: &run.Predict{Region: square(2000, 5000), Sure: 2}})
		trial.Do(t, w, run.Act{Cut: &run.Cut{Depth: 800, Area: &run.Area{Region: square(2500, 5500), Dir: 785, Length: 1200, Spacing: 800}}})
		trial.Do(t, w, append([]run.Act{{Wipe: &run.Wipe{What: "part"}}}, bench.FirstPrint(8)...)...)
	}
	if signOff {
		trial.Do(t, w, run.Act{Declare: &run.Declare{PointsPerIn2: new(20), FrameMin: new(12), AreaPct: new(40)}}, run.Act{SignOff: &run.SignOff{}})
		report, err := score.Mark(&run.Log{Header: w.Run.Header(), Entries: w.Run.Entries()}, nil)
		if err == nil {
			err = w.Signed().Seal(report)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return w.Name
}

// readPart stands in for the reader of files.
func readPart(name string, _ []byte, ask ownpart.Ask) (*ownpart.Part, error) {
	l, err := lessons.Load("coupon")
	if err != nil {
		return nil, err
	}
	p := &ownpart.Part{Setup: l.Setup, NX: 12, NY: 9, Points: 108, X: 110, Y: 80, Low: -12, High: 23, Unit: "um", Notes: []string{"two readings have no height"}, W: 12, H: 9}
	p.Unsaid = name == "unit unsaid.csv" && ask.Unit == ""
	for k := range p.W * p.H {
		p.Z = append(p.Z, -12+35*float64(k%12)/11)
	}
	return p, nil
}

// screens are the scenes, each in the states that it can be in.
func screens(t testing.TB, desk *scene.Desk) map[string]func() Scene {
	l, err := lessons.All()
	if err != nil {
		t.Fatal(err)
	}
	empty := *desk
	empty.Store = store.Store{Folder: store.NewMemory()}
	open := func(name string) func() Scene {
		return func() Scene {
			d, err := debrief.Open(desk, name)
			if err != nil {
				t.Fatal(err)
			}
			return d
		}
	}
	front := shelf.NewFront()
	out := map[string]func() Scene{
		"shelf":       func() Scene { return shelf.New(desk, front, "") },
		"shelf-empty": func() Scene { return shelf.New(&empty, front, "") },
		"shelf-trouble": func() Scene {
			return shelf.New(&empty, nil, "coupon-3: line 4: does not fit its own sum: it was altered")
		},
		"settings":     func() Scene { return settings.New(desk) },
		"keys":         func() Scene { return keys.New() },
		"lesson":       func() Scene { return lesson.New(desk, l[1]) },
		"ownpart":      func() Scene { return ownpart.Content(desk, readPart, "plate of mine.csv", nil) },
		"ownpart-unit": func() Scene { return ownpart.Content(desk, readPart, "unit unsaid.csv", nil) },
		"ownpart-none": func() Scene { return ownpart.New(desk, readPart) },
		"practice":     func() Scene { return practice.New(desk) },
		"cards":        func() Scene { return cards.New(desk) },
		"rubric":       func() Scene { return rubric.New(desk) },
		"rubric-refused": func() Scene {
			other := *desk
			set := *desk.Set
			set.Rubric = "nonsense.yaml"
			other.Set = &set
			return rubric.New(&other)
		},
		"class":         func() Scene { return class.New(desk) },
		"class-empty":   func() Scene { return class.New(&empty) },
		"debrief":       open("coupon-3"),
		"debrief-open":  open("coupon-4"),
		"debrief-older": open("older"),
	}
	return out
}

func newDesk(s store.Store, textScale float64) *scene.Desk {
	d := trial.On(s)
	d.Set.TextScale = textScale
	return d
}

// settled lets a scene tick until nothing on it moves any more.
func settled(t testing.TB, h *drive.Hand) {
	t.Helper()
	if err := h.Settle(); err != nil {
		t.Fatal(err)
	}
}

// On every screen, at every size of window and of text, nothing is clipped,
// overlaps, leaves the window or is too small to press, and every pair of colours
// has its contrast.
func TestEveryScreenAtEveryScale(t *testing.T) {
	data := folder(t)
	desk := newDesk(data, 1)
	for name, make := range screens(t, desk) {
		s := make()
		for _, scale := range []float64{1, 1.5, 2, 2.5} {
			for _, size := range [][2]float64{{1280, 800}, {1366, 768}, {1920, 1080}} {
				desk.Set.TextScale = scale
				h := drive.New(size[0], size[1], scale, func(u *kit.UI) { s.Tick(u) })
				settled(t, h)
				for _, p := range inspect.Faults(h.UI.Nodes(), scale, h.In.Size) {
					t.Errorf("%s at %v, text %v: %s", name, size, scale, p)
				}
			}
		}
		if l, ok := s.(interface{ Leave() }); ok {
			l.Leave()
		}
	}
}

// Whoever works with another marking colour reads of that one: of blue only what is no
// pigment, the verb in the motto and the colours of a map.
func TestTheColourThatIsChosenIsNamed(t *testing.T) {
	desk := newDesk(folder(t), 1)
	desk.Set.Pigment = "red"
	blue := regexp.MustCompile(`(?i)\bblue\b`)
	named := 0
	for name, make := range screens(t, desk) {
		s := make()
		h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
		settled(t, h)
		pages := []string{"page.0", "page.1", "page.3"} // of a debrief; 2 takes its minute
		for {
			for _, n := range h.UI.Nodes() {
				text := n.Label + " " + n.Value
				if strings.Contains(text, " red ") {
					named++
				}
				if blue.MatchString(text) && n.ID != "motto" && n.ID != "caption" && !strings.HasPrefix(n.ID, "pigment.") {
					t.Errorf("%s: %q says %q", name, n.ID, text)
				}
			}
			if len(pages) == 0 || h.Node(pages[0]) == nil {
				break
			}
			if err := h.Click(pages[0]); err != nil {
				t.Fatal(err)
			}
			settled(t, h)
			pages = pages[1:]
		}
		if l, ok := s.(interface{ Leave() }); ok {
			l.Leave()
		}
	}
	if named < 5 {
		t.Errorf("only %d sentences name it", named)
	}
}

// Every control of every screen can be reached with Tab and the arrows alone.
func TestEveryControlByKeys(t *testing.T) {
	data := folder(t)
	for name, make := range screens(t, newDesk(data, 1)) {
		s := make()
		h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
		settled(t, h)
		reached := map[string]bool{}
		for range 60 {
			h.Key(kit.Tab)
			first := h.UI.Focused()
			reached[first] = true
			n := h.Node(first)
			if n == nil || n.Group == "" || n.Role == kit.RoleRadio || n.Role == kit.RoleTab {
				continue
			}
			for range 40 {
				h.Key(kit.Down)
				reached[h.UI.Focused()] = true
				if h.UI.Focused() == first {
					break
				}
			}
		}
		for _, n := range h.UI.Nodes() {
			if n.Stop() && !reached[n.ID] && n.Role != kit.RoleRadio && n.Role != kit.RoleTab {
				t.Errorf("%s: %s %q is never reached by keys", name, n.Role, n.ID)
			}
		}
		if l, ok := s.(interface{ Leave() }); ok {
			l.Leave()
		}
	}
}

// Every control of every screen can be reached by a mouse with its wheel alone, and
// by one finger alone: it is scrolled to, and what is pressed there is it.
func TestEveryControlByPointerAndByFinger(t *testing.T) {
	data := folder(t)
	for _, by := range []string{"pointer", "finger"} {
		for name, make := range screens(t, newDesk(data, 1)) {
			s := make()
			h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
			settled(t, h)
			left := map[string]bool{}
			for _, n := range h.UI.Nodes() {
				left[n.ID] = n.Stop() && !n.Disabled
			}
			press := func(id string, x, y float64) {
				h.In.X, h.In.Y, h.In.Main = x, y, by == "pointer"
				if by == "finger" {
					h.In.Touches = []kit.Touch{{ID: 1, X: x, Y: y}}
				}
				h.Ticks(1)
				if n := h.Node(id); n != nil && n.Pressed {
					left[id] = false
				}
				// Let go beside it, so that nothing comes of it.
				h.In.X = -50
				for i := range h.In.Touches {
					h.In.Touches[i].X = -50
				}
				h.Ticks(1)
				h.In.Main, h.In.Touches = false, nil
				h.Ticks(1)
			}
			for step := range 28 { // the wheel alone scrolls: a press does not
				for _, id := range ids(h) {
					if n := h.Node(id); n != nil && left[id] && n.Visible().H > n.Rect.H/2 {
						h.In.X, h.In.Y = -50, 0
						h.Ticks(1)
						press(id, n.Visible().X+n.Visible().W/2, n.Visible().Y+n.Visible().H/2)
					}
				}
				for _, x := range []float64{.06, .3, .6, .8} {
					y := []float64{.95, .8, .6, .45}[step%4] * h.In.Size.H
					if by == "pointer" {
						h.In.X, h.In.Y, h.In.WheelY = x*h.In.Size.W, y, -1
						h.Ticks(1)
						continue
					}
					h.Stroke([2]float64{x * h.In.Size.W, y}, [2]float64{x * h.In.Size.W, y - 60}, [2]float64{x * h.In.Size.W, y - 120})
				}
			}
			for id, not := range left {
				if n := h.Node(id); not && n != nil && !n.Disabled {
					t.Errorf("%s: %s %q is never reached by the %s", name, n.Role, id, by)
				}
			}
			if l, ok := s.(interface{ Leave() }); ok {
				l.Leave()
			}
		}
	}
}

// ids are the controls that are there.
func ids(h *drive.Hand) []string {
	var out []string
	for _, n := range h.UI.Nodes() {
		if n.Stop() {
			out = append(out, n.ID)
		}
	}
	return out
}

// A run of older physics shows the marks that it was given, and says that they
// are not re-checked.
func TestOlderPhysicsShowsItsMarks(t *testing.T) {
	data := folder(t)
	d, err := debrief.Open(newDesk(data, 1), "older")
	if err != nil {
		t.Fatal(err)
	}
	h := drive.New(1280, 800, 1, func(u *kit.UI) { d.Tick(u) })
	n := h.Node("older")
	if n == nil || !strings.Contains(n.Label, "41") || !strings.Contains(strings.ToLower(n.Label), "not re-checked") {
		t.Errorf("it is told as %+v", n)
	}
	if h.Node("fork") != nil {
		t.Error("a run that cannot be made again offers another way on")
	}
}

// A file that states no unit is not taken before somebody has said which it is.
func TestTheUnitIsAskedFor(t *testing.T) {
	s := ownpart.Content(newDesk(store.Store{Folder: store.NewMemory()}, 1), readPart, "unit unsaid.csv", nil)
	var next scene.Next
	h := drive.New(1280, 1000, 1, func(u *kit.UI) {
		if n := s.Tick(u); n.To != scene.Stay {
			next = n
		}
	})
	if n := h.Node("accept"); !n.Disabled || h.Node("unit.ask") == nil {
		t.Fatal("it is taken without a question")
	}
	if err := h.Click("unit.1"); err != nil {
		t.Fatal(err)
	}
	if h.Node("unit.ask") != nil {
		t.Error("it is asked again")
	}
	if err := h.Click("accept"); err != nil {
		t.Fatal(err)
	}
	if next.Setup == nil {
		t.Error("once it is said, the part is not taken")
	}
}

// A free practice is begun with what was chosen.
func TestFreePracticeBeginsWithWhatWasChosen(t *testing.T) {
	s := practice.New(newDesk(store.Store{Folder: store.NewMemory()}, 1))
	var next scene.Next
	h := drive.New(1280, 1000, 1, func(u *kit.UI) {
		if n := s.Tick(u); n.To != scene.Stay {
			next = n
		}
	})
	for _, id := range []string{"form.4", "size.0", "finish.1", "metal.1", "master.2", "effect.heat", "effect.film"} {
		if err := h.Click(id); err != nil {
			t.Fatal(err)
		}
	}
	if err := h.Click("go"); err != nil {
		t.Fatal(err)
	}
	set := next.Setup
	if set == nil {
		t.Fatal("nothing is begun")
	}
	r := set.Part.Recipe
	if r.Form.TwistUM != 45 || r.LengthMM != 60 || r.Finish != "ground" || set.Part.Metal != "steel" || set.Master.WornUM == 0 {
		t.Errorf("begun is %+v of %s on %+v", r, set.Part.Metal, set.Master)
	}
	if want := (run.Effects{Heat: true, Film: true}); set.Effects != want {
		t.Errorf("what lies is %+v, want %+v", set.Effects, want)
	}
	if next.Seed != 73 {
		t.Errorf("the surface is %d, want that of the day", next.Seed)
	}
}

// A run whose last line was only half written is opened without it, and says so.
func TestATornRunSaysSo(t *testing.T) {
	desk := newDesk(folder(t), 1)
	s := opening.New(desk, "torn", scene.Bench)
	var next scene.Next
	h := drive.New(1280, 800, 1, func(u *kit.UI) {
		if n := s.Tick(u); n.To != scene.Stay {
			next = n
		}
	})
	if err := h.Until(func() bool { return next.To != scene.Stay }); err != nil {
		t.Fatal(err)
	}
	if next.Work == nil {
		t.Fatalf("it is not opened: %s", next.Trouble)
	}
	b := bench.New(desk, next.Work)
	h = drive.New(1280, 800, 1, func(u *kit.UI) { b.Tick(u) })
	if n := h.Node("guidance"); !strings.Contains(n.Label, "half written") {
		t.Errorf("it says %q", n.Label)
	}
	h.Type("u")
	h.Ticks(2)
	if h.Node("setup.pages.0") == nil {
		t.Error("it cannot be gone on with")
	}
}
