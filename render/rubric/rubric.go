// Package rubric is the scene that says how marks are made: the formula of the
// rubric in use, and another one, a teacher's, to choose from the data folder. One
// that makes no sense is refused with the reason.
package rubric

import (
	"math"
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/sim/score"
)

// Scene is the scene.
type Scene struct {
	desk  *scene.Desk
	files []string

	shown   string // file, empty for the program's own
	rubric  *score.Rubric
	trouble string
}

// New is the scene with the rubric in use.
func New(desk *scene.Desk) *Scene {
	s := &Scene{desk: desk}
	var err error
	if s.files, err = desk.RubricFiles(); err != nil {
		s.trouble = err.Error()
	}
	s.show(desk.Set.Rubric)
	return s
}

// show reads a rubric and checks it.
func (s *Scene) show(file string) {
	s.shown, s.rubric, s.trouble = file, score.Standard(), ""
	if file == "" {
		return
	}
	r, err := s.desk.RubricFile(file)
	if err != nil {
		s.rubric, s.trouble = nil, err.Error()
		return
	}
	s.rubric = r
}

const gap = 10.0

// Tick does one tick of the scene.
func (s *Scene) Tick(u *kit.UI) (next scene.Next) {
	all := u.Size().Inset(gap)
	left, right := all.Left(math.Round((all.W - gap) * .34))
	_, right = right.Left(gap)
	next = s.choose(u, left)
	s.formula(u, right)
	if u.Back() {
		next = scene.Next{To: scene.Back}
	}
	return next
}

// choose is the list of rubrics.
func (s *Scene) choose(u *kit.UI, r kit.Rect) (next scene.Next) {
	u.Panel(r, "rubrics", words.Say("rubric.title"))
	c := u.ScrollColumn("rubrics.column", r.Inset(gap), gap-2)
	defer c.Close()
	c.Heading("title", words.Say("rubric.title"))
	c.Text("how", words.Say("rubric.how"), kit.Body, kit.Plain)
	if c.Button("back", words.Say("rubric.back"), kit.Opts{Tone: kit.Quiet}) {
		next = scene.Next{To: scene.Back}
	}
	for i, file := range append([]string{""}, s.files...) {
		label, detail := file, ""
		if file == "" {
			label = words.Say("rubric.own")
		}
		if file == s.desk.Set.Rubric {
			detail = words.Say("rubric.used")
		}
		if c.Option("rubrics", i, label, detail, kit.Opts{Checked: file == s.shown}) {
			s.show(file)
		}
	}
	if len(s.files) == 0 {
		c.Text("none", words.Say("rubric.none"), kit.Small, kit.Quiet)
	}
	c.Text("where", words.Say("rubric.where", "where", s.desk.Store.Where()), kit.Small, kit.Quiet)
	return next
}

// formula is how the rubric that is shown makes marks, and its use.
func (s *Scene) formula(u *kit.UI, r kit.Rect) {
	u.Panel(r, "formula", words.Say("rubric.formula"))
	c := u.ScrollColumn("formula.column", r.Inset(gap), gap-2)
	defer c.Close()
	if s.trouble != "" {
		c.Text("trouble", words.Say("rubric.refused", "why", s.trouble), kit.Body, kit.Caution)
	}
	if s.rubric == nil {
		return
	}
	c.Heading("name", s.rubric.Name)
	if s.shown != s.desk.Set.Rubric && c.Button("use", words.Say("rubric.use"), kit.Opts{Tone: kit.Go, Tip: words.Say("rubric.tip.use")}) {
		s.desk.Set.Rubric = s.shown
		s.desk.Changed()
	}
	told := s.desk.Told
	for i, line := range strings.Split(strings.TrimSpace(s.rubric.Formula()), "\n") {
		id := kit.ItemID("line", i)
		switch text := strings.TrimSpace(line); {
		case text == "":
		case text == line:
			c.Text(id, told(text), kit.Strong, kit.Lit)
		default:
			f := strings.Fields(text)
			c.Text(id, words.Say("rubric.line", "rule", f[0], "marks", f[1], "how", told(strings.Join(f[2:], " "))), kit.Body, kit.Plain)
		}
	}
	c.PageKeys()
}
