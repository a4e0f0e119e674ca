// Package lesson is the scene before a lesson: the job as a foreman gives it, what
// is asked for, what to mind, and on which surface.
package lesson

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
)

// Scene is the scene of one lesson.
type Scene struct {
	desk   *scene.Desk
	lesson *lessons.Lesson
	seed   uint64
}

// New is the scene of a lesson.
func New(desk *scene.Desk, l *lessons.Lesson) *Scene {
	return &Scene{desk: desk, lesson: l, seed: l.FirstSeed()}
}

const gap = 10.0

// Tick does one tick of the scene.
func (s *Scene) Tick(u *kit.UI) (next scene.Next) {
	l := s.lesson
	all := u.Size().Inset(2 * gap)
	if w := 860 * u.TextScale; all.W > w {
		all = kit.Rect{X: math.Round((u.Size().W - w) / 2), Y: all.Y, W: w, H: all.H}
	}
	u.Panel(all, "lesson", l.Title)
	c := u.ScrollColumn("page", all.Inset(2*gap), gap)
	u.Text(c.Take(math.Ceil(u.TextHeight(kit.Title, l.Title, c.Width()))), "title", l.Title, kit.Title, kit.Lit, kit.Start).Role = kit.RoleHeading
	c.Text("aim", s.desk.Told(l.Aim), kit.Strong, kit.Plain)
	c.Text("brief", s.desk.Told(kit.Flow(l.Brief)), kit.Body, kit.Plain)
	c.Name("target", words.Say("lesson.target"))
	c.Text("target.list", s.target(), kit.Body, kit.Plain)
	c.Name("guidance", words.Say("lesson.guidance"))
	c.Text("guidance.text", s.desk.Told(kit.Flow(l.Guidance)), kit.Body, kit.Plain)
	c.Name("safety", words.Say("lesson.safety"))
	c.Text("safety.text", words.Say("lesson.safety.text"), kit.Small, kit.Quiet)
	c.Text("seed", words.Say("lesson.seed", "seed", s.seed), kit.Body, kit.Quiet)
	labels := []string{words.Say("lesson.begin"), words.Say("lesson.other"), words.Say("lesson.rubric"), words.Say("lesson.back")}
	ids := []string{"go", "other", "rubric", "back"}
	switch c.Buttons(labels, ids, []kit.Opts{{Tone: kit.Go}, {Disabled: len(l.Seeds) == 1, Tip: words.Say("lesson.tip.other")}, {}, {Tone: kit.Quiet}}) {
	case 0:
		next = scene.Next{To: scene.Bench, Lesson: l, Seed: s.seed}
	case 1:
		s.seed = s.other()
	case 2:
		next = scene.Next{To: scene.Rubric}
	case 3:
		next = scene.Next{To: scene.Back}
	}
	c.PageKeys()
	c.Close()
	if u.Back() {
		next = scene.Next{To: scene.Back}
	}
	return next
}

// other is another surface: the next that the lesson names, else the next number.
func (s *Scene) other() uint64 {
	for i, seed := range s.lesson.Seeds {
		if seed == s.seed {
			return s.lesson.Seeds[(i+1)%len(s.lesson.Seeds)]
		}
	}
	return s.seed + 1
}

// target is what the lesson asks for, in the learner's units.
func (s *Scene) target() string {
	t, h := s.lesson.Setup.Target, s.desk.Set.Units.Height
	out := words.Say("lesson.target.points", "points", fmt.Sprint(t.PointsPerIn2), "frame", t.FrameMin, "low", fmt.Sprint(t.AreaPct[0]), "high", fmt.Sprint(t.AreaPct[1]), "film", h(t.FilmUM))
	if t.BridgedUM > 0 {
		out += " " + words.Say("lesson.target.bridged", "bridged", h(t.BridgedUM))
	}
	if t.BareUM[1] > 0 {
		out += " " + words.Say("lesson.target.bare", "low", h(t.BareUM[0]), "high", h(t.BareUM[1]))
	}
	if n := s.lesson.Setup.Limits.Prints; n > 0 {
		out += " " + words.Say("lesson.target.prints", "n", n)
	}
	if s.lesson.Setup.Scored {
		out += " " + words.Say("lesson.target.scored")
	}
	return out
}
