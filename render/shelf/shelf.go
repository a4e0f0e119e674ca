// Package shelf is the scene one starts from: go on with a run, begin a lesson,
// one's own part, a card, or look back at what was done.
package shelf

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/sim/run"
)

// Shelf is the scene.
type Shelf struct {
	desk    *scene.Desk
	lessons []*lessons.Lesson
	files   []store.File // still to be read
	total   int
	runs    []store.Saved
	rows    []row
	trouble string

	front *Front
	band  kit.Rect // of the iron over the shelf; empty where there is no room
	lamp  kit.Point
}

// New is the shelf with what is in the data folder, and a piece of iron over it
// when there is one; trouble is something to be said first.
func New(desk *scene.Desk, front *Front, trouble string) *Shelf {
	s := &Shelf{desk: desk, front: front, trouble: trouble}
	var err error
	if s.lessons, err = lessons.All(); err != nil {
		s.trouble = err.Error()
	}
	if s.files, err = desk.Store.RunFiles(); err != nil {
		s.trouble = err.Error()
	}
	s.total = len(s.files)
	return s
}

const gap = 10.0

// Tick does one tick of the scene.
func (s *Shelf) Tick(u *kit.UI) scene.Next {
	s.read()
	all := u.Size().Inset(2 * gap)
	next := scene.Next{}
	ask := func(n scene.Next) {
		if n.To != scene.Stay {
			next = n
		}
	}
	head, rest := all.Top(s.headHeight(u, all.W))
	ask(s.head(u, head))
	_, rest = rest.Top(gap)
	rest = s.iron(u, rest)
	left, right := rest.Left(math.Round((rest.W - 2*gap) * .54))
	_, right = right.Left(2 * gap)
	ask(s.begin(u, left))
	ask(s.past(u, right))
	return next
}

// The iron over the shelf is bandHeight points high, where as many remain below
// it as the shelf needs at the size of its text.
const (
	bandHeight = 132.0
	bandRoom   = 520.0
)

// iron is the piece over the shelf; the lamp follows the pointer.
func (s *Shelf) iron(u *kit.UI, r kit.Rect) (rest kit.Rect) {
	s.band = kit.Rect{}
	if s.front == nil || s.front.piece() == nil || r.H < bandHeight+bandRoom*u.TextScale {
		return r
	}
	s.band, rest = r.Top(bandHeight)
	_, rest = rest.Top(gap)
	p := stage.Pixels(s.band)
	s.band = kit.Rect{X: float64(p.Min.X), Y: float64(p.Min.Y), W: float64(p.Dx()), H: float64(p.Dy())}
	x, y := u.Pointer()
	s.lamp = kit.Point{X: s.band.X + s.band.W*.3, Y: s.band.Y - 40}
	if s.band.Contains(x, y) {
		s.lamp = kit.Point{X: x, Y: y}
	}
	u.Glass(s.band, "front", words.Say("shelf.front"), "", nil)
	return rest
}

// Stage is the piece over the shelf.
func (s *Shelf) Stage() stage.Stage {
	if s.band.Empty() {
		return stage.Stage{}
	}
	piece := s.front.piece()
	x0, y0, x1, y1 := piece.Grid().Edges()
	v := stage.Whole(s.band, x0, y0, x1, y1)
	// As broad as the band, whatever of its edges that leaves out.
	v.PxPerMM = s.band.W / (x1 - x0)
	return stage.Stage{View: v, LampX: s.lamp.X, LampY: s.lamp.Y, Face: piece, Look: piece.Look}
}

// read reads a few more runs.
func (s *Shelf) read() {
	for until := time.Now().Add(s.desk.StepTime); len(s.files) > 0; s.files = s.files[1:] {
		if time.Now().After(until) {
			return
		}
		s.runs = append(s.runs, s.desk.Store.Load(s.files[0]))
		if len(s.files) == 1 {
			s.rows = tree(s.runs, s.last())
		}
	}
}

func (s *Shelf) headLabels() (labels, ids []string, opts []kit.Opts) {
	return []string{words.Say("shelf.settings"), words.Say("shelf.keys"), words.Say("shelf.quit")},
		[]string{"settings", "keys", "quit"},
		[]kit.Opts{{Tone: kit.Quiet}, {Tone: kit.Quiet, Key: "?"}, {Tone: kit.Quiet}}
}

func (s *Shelf) headHeight(u *kit.UI, width float64) float64 {
	labels, _, opts := s.headLabels()
	buttons := 0.0
	for i, l := range labels {
		buttons += u.ButtonWidth(l, opts[i].Key) + gap
	}
	title := u.Line(kit.Title)
	if u.Width(kit.Title, words.Say("shelf.title"))+buttons > width {
		return math.Ceil(title + gap + u.ControlHeight() + gap + u.TextHeight(kit.Body, s.motto(), width))
	}
	return math.Ceil(max(title, u.ControlHeight()) + 4 + u.TextHeight(kit.Body, s.motto(), width))
}

func (s *Shelf) motto() string {
	if s.trouble != "" {
		return s.trouble
	}
	return words.Say("shelf.motto")
}

func (s *Shelf) head(u *kit.UI, r kit.Rect) scene.Next {
	labels, ids, opts := s.headLabels()
	title := words.Say("shelf.title")
	buttons := 0.0
	for i, l := range labels {
		buttons += u.ButtonWidth(l, opts[i].Key) + gap
	}
	titleWidth := u.Width(kit.Title, title)
	var bar, row, motto kit.Rect
	if titleWidth+buttons > r.W {
		bar, motto = r.Top(math.Ceil(u.Line(kit.Title)))
		_, motto = motto.Top(gap)
		row, motto = motto.Top(u.ControlHeight())
		_, motto = motto.Top(gap)
	} else {
		bar, motto = r.Top(math.Ceil(max(u.Line(kit.Title), u.ControlHeight())))
		row, bar = bar.Right(buttons - gap)
		_, motto = motto.Top(4)
	}
	u.Text(bar, "title", title, kit.Title, kit.Lit, kit.Start).Role = kit.RoleHeading
	tone := kit.Quiet
	if s.trouble != "" {
		tone = kit.Caution
	}
	hit := -1
	x := row.X
	for i, l := range labels {
		w := u.ButtonWidth(l, opts[i].Key)
		if u.Button(kit.Rect{X: x, Y: row.Y, W: w, H: u.ControlHeight()}, ids[i], l, opts[i]) {
			hit = i
		}
		x += w + gap
	}
	u.Text(motto, "motto", s.motto(), kit.Body, tone, kit.Start)
	switch hit {
	case 0:
		return scene.Next{To: scene.Settings}
	case 1:
		return scene.Next{To: scene.Keys}
	case 2:
		return scene.Next{To: scene.Quit}
	}
	return scene.Next{}
}

// begin is what can be begun.
func (s *Shelf) begin(u *kit.UI, r kit.Rect) (next scene.Next) {
	u.Panel(r, "begin", words.Say("shelf.begin"))
	c := u.ScrollColumn("begin.column", r.Inset(gap), gap-2)
	defer c.Close()
	if at := s.last(); at >= 0 {
		last := &s.runs[at]
		c.Name("resume.name", words.Say("shelf.resume"))
		if c.Button("resume", s.whole(last)+"\n"+s.state(last), kit.Opts{Tone: kit.Go}) {
			next = scene.Next{To: scene.Bench, Name: last.Name}
		}
	}
	c.Name("new.name", words.Say("shelf.new"))
	if n := s.something(c); n.To != scene.Stay {
		next = n
	}
	c.Name("lessons.name", words.Say("shelf.lessons"))
	for i, l := range s.lessons {
		if c.Option("lessons", i, l.Title, s.desk.Told(l.Aim), kit.Opts{}) {
			next = scene.Next{To: scene.Lesson, Lesson: l}
		}
	}
	return next
}

// something is what is new: side by side, in two columns where every name fits into
// half the breadth, so that the lessons below are in sight.
func (s *Shelf) something(c *kit.Column) (next scene.Next) {
	u := c.UI
	ids := []string{"today", "cards", "practice", "own", "class"}
	half := (c.Width() - c.Gap) / 2
	labels, halves, widths := make([]string, len(ids)), make([]float64, len(ids)), make([]float64, len(ids))
	height := u.ControlHeight()
	for i, id := range ids {
		labels[i] = words.Say("shelf."+id, "date", s.desk.Today().Format("2 January"))
		halves[i], widths[i] = half, u.ButtonWidth(labels[i], "")
		height = max(height, u.HeightIn(min(c.Width(), widths[i]), labels[i], "", false))
	}
	if slices.Max(widths) <= half {
		widths = halves
	}
	for i, r := range c.Flow(height, widths...) {
		if !u.Button(r, ids[i], labels[i], kit.Opts{Tip: words.Say("shelf.tip." + ids[i])}) {
			continue
		}
		switch ids[i] {
		case "today":
			next = s.today()
		case "cards":
			next = scene.Next{To: scene.Cards}
		case "practice":
			next = scene.Next{To: scene.Practice}
		case "own":
			next = scene.Next{To: scene.OwnPart}
		case "class":
			next = scene.Next{To: scene.Class}
		}
	}
	return next
}

// today is the coupon whose surface the date decides, the same for everybody.
func (s *Shelf) today() scene.Next {
	for _, l := range s.lessons {
		if len(l.Seeds) == 0 && !l.Setup.Scored {
			y, m, d := s.desk.Today().Date()
			return scene.Next{To: scene.Bench, Lesson: l, Seed: uint64(y*10000 + int(m)*100 + d)}
		}
	}
	return scene.Next{}
}

// last is the place of the run to go on with: the newest that is open; -1 for none.
func (s *Shelf) last() int {
	return slices.IndexFunc(s.runs, func(r store.Saved) bool {
		return r.Log != nil && !r.Log.SignedOff() && r.Log.Header.Physics == run.Physics
	})
}

// whole is what a run is called where it stands by itself: a fork has its parent's title,
// and says that it is another way.
func (s *Shelf) whole(r *store.Saved) string {
	if r.Log.Header.Fork == nil {
		return s.title(r)
	}
	return s.title(r) + "\n" + words.Say("shelf.fork", "cycle", forkedAt(r.Log))
}

// title is what a run is called.
func (s *Shelf) title(r *store.Saved) string {
	h := r.Log.Header
	for _, l := range s.lessons {
		if l.ID == h.Lesson {
			return words.Say("shelf.title.lesson", "lesson", l.Title, "seed", h.PartSeed)
		}
	}
	if h.Lesson != "" {
		return words.Say("shelf.title.lesson", "lesson", h.Lesson, "seed", h.PartSeed)
	}
	if h.Setup.Part.Recipe != nil {
		return words.Say("shelf.title.free", "seed", h.PartSeed)
	}
	return words.Say("shelf.title.own", "name", r.Name)
}

// state is how a run stands, in a line.
func (s *Shelf) state(r *store.Saved) string {
	if r.Log == nil {
		return fmt.Sprint(r.Err)
	}
	prints := 0
	for _, e := range r.Log.Entries {
		if e.Out.Print != nil {
			prints = e.Out.Print.N
		}
	}
	when := r.Time.Format("2 Jan 15:04")
	said := words.Count("shelf.state.open", prints, "when", when)
	if r.Log.SignedOff() {
		said = words.Count("shelf.state.signed", prints, "when", when)
	}
	if r.Log.Header.Physics != run.Physics {
		said += " " + words.Say("shelf.state.older", "physics", r.Log.Header.Physics)
	}
	if r.Log.Torn > 0 {
		said += " " + words.Say("shelf.state.torn", "line", r.Log.Torn)
	}
	return said
}

// past is what was done.
func (s *Shelf) past(u *kit.UI, r kit.Rect) (next scene.Next) {
	u.Panel(r, "past", words.Say("shelf.past"))
	c := u.ScrollColumn("past.column", r.Inset(gap), gap-4)
	defer c.Close()
	c.Name("past.name", words.Say("shelf.past"))
	switch {
	case len(s.files) > 0:
		label := words.Say("shelf.reading", "n", s.total-len(s.files), "of", s.total)
		u.Progress(c.Take(u.ControlHeight()), "reading", label, float64(s.total-len(s.files))/float64(s.total))
	case len(s.rows) == 0:
		c.Text("none", words.Say("shelf.none"), kit.Body, kit.Quiet)
	}
	for i, row := range s.rows {
		saved := &s.runs[row.run]
		label := saved.Name
		switch {
		case saved.Log != nil && row.depth > 0:
			label = strings.Repeat("→ ", row.depth) + words.Say("shelf.fork", "cycle", forkedAt(saved.Log))
		case saved.Log != nil:
			label = s.whole(saved)
		}
		if c.Option("runs", i, label, s.state(saved), kit.Opts{Disabled: saved.Log == nil}) {
			next = scene.Next{To: scene.Debrief, Name: saved.Name}
			if !saved.Log.SignedOff() && saved.Log.Header.Physics == run.Physics {
				next.To = scene.Bench
			}
		}
	}
	return next
}
