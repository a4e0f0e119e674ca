// Package practice is the scene in which somebody chooses a free practice: the
// part, the master, the surface, and what of iron's unkindness lies today.
package practice

import (
	"fmt"
	"math"
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons/free"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/sim/run"
)

// Scene is the scene.
type Scene struct {
	desk   *scene.Desk
	choice free.Choice
	seed   uint64
}

// New is the scene with the usual choice, and a surface of the day.
func New(desk *scene.Desk) *Scene {
	return &Scene{desk: desk, choice: free.Usual(), seed: uint64(desk.Today().YearDay())}
}

const gap = 10.0

// mostSeed is the last surface that can be named here.
const mostSeed = 999

// Tick does one tick of the scene.
func (s *Scene) Tick(u *kit.UI) (next scene.Next) {
	all := u.Size().Inset(gap)
	foot, body := all.Bottom(u.ControlHeight() + 2*gap)
	_, body = body.Bottom(gap)
	setup, err := s.choice.Setup()
	if body.W >= 2*430*u.TextScale {
		left, right := body.Left(math.Round((body.W - gap) / 2))
		_, right = right.Left(gap)
		s.panel(u, left, "part", s.part)
		s.panel(u, right, "today", s.today)
	} else {
		s.panel(u, body, "part", func(c *kit.Column) {
			s.part(c)
			s.today(c)
		})
	}
	u.Panel(foot, "foot", words.Say("practice.begin"))
	row := foot.Inset(gap)
	go1 := kit.Rect{X: row.X, Y: row.Y, W: u.ButtonWidth(words.Say("practice.begin"), ""), H: row.H}
	if u.Button(go1, "go", words.Say("practice.begin"), kit.Opts{Tone: kit.Go, Disabled: err != nil}) {
		next = scene.Next{To: scene.Bench, Setup: &setup, PartName: "free", Seed: s.seed}
	}
	back := kit.Rect{X: go1.X + go1.W + gap, Y: row.Y, W: u.ButtonWidth(words.Say("practice.back"), ""), H: row.H}
	if u.Button(back, "back", words.Say("practice.back"), kit.Opts{Tone: kit.Quiet}) || u.Back() {
		next = scene.Next{To: scene.Back}
	}
	say := kit.Rect{X: back.X + back.W + 2*gap, Y: row.Y, H: row.H}
	say.W = row.X + row.W - say.X
	text, tone := s.says(), kit.Quiet
	if err != nil {
		text, tone = err.Error(), kit.Caution
	}
	lines := u.Wrap(kit.Small, text, say.W)
	if most := max(1, int(say.H/u.Line(kit.Small))); len(lines) > most {
		text = strings.Join(append(lines[:most-1:most-1], u.Shorten(kit.Small, strings.Join(lines[most-1:], " "), say.W)), "\n")
	}
	u.Status(say, "says", text, kit.Small, tone)
	return next
}

func (s *Scene) panel(u *kit.UI, r kit.Rect, id string, fill func(c *kit.Column)) {
	u.Panel(r, id, words.Say("practice."+id))
	c := u.ScrollColumn(id+".column", r.Inset(gap), gap-3)
	defer c.Close()
	fill(c)
}

// says is the choice in a line.
func (s *Scene) says() string {
	x, y := free.Millimetres(s.choice.Size)
	on := 0
	for _, e := range run.EffectList() {
		if s.choice.Effects.On(e.Name) {
			on++
		}
	}
	if on == 0 {
		return words.Say("practice.says.none", "x", s.desk.Set.Units.Across(x), "y", s.desk.Set.Units.Across(y), "out", s.desk.Set.Units.Height(s.choice.OutUM))
	}
	return words.Count("practice.says", on, "x", s.desk.Set.Units.Across(x), "y", s.desk.Set.Units.Across(y), "out", s.desk.Set.Units.Height(s.choice.OutUM))
}

// part is the part and what it is blued against.
func (s *Scene) part(c *kit.Column) {
	h := s.desk.Set.Units
	c.Heading("title", words.Say("practice.title"))
	c.Name("form.name", words.Say("practice.form"))
	pick(c, "form", free.Forms, &s.choice.Form)
	s.choice.OutUM, _ = c.Slider("out", words.Say("practice.out"), h.Height(s.choice.OutUM), s.choice.OutUM, free.LeastUM, free.MostUM, 5, kit.Opts{})
	c.Name("size.name", words.Say("practice.size"))
	pick(c, "size", free.Sizes, &s.choice.Size)
	c.Name("finish.name", words.Say("practice.finish"))
	pick(c, "finish", free.Finishes, &s.choice.Finish)
	pick(c, "metal", free.Metals, &s.choice.Metal)
	c.Name("master.name", words.Say("practice.master"))
	pick(c, "master", free.Masters, &s.choice.Master)
	seed, _ := c.Slider("seed", words.Say("practice.seed"), fmt.Sprint(s.seed), float64(s.seed), 1, mostSeed, 1, kit.Opts{Tip: words.Say("practice.tip.seed")})
	s.seed = uint64(seed)
}

// today is what lies today: every effect, off unless it is ticked.
func (s *Scene) today(c *kit.Column) {
	c.Name("today.name", words.Say("practice.today"))
	c.Text("today.how", words.Say("practice.today.how"), kit.Small, kit.Quiet)
	for _, e := range run.EffectList() {
		on, changed := c.Toggle("effect."+e.Name, sentence(e.Does), s.choice.Effects.On(e.Name), kit.Opts{})
		if !changed {
			continue
		}
		// The name comes from the list itself, so there is such an effect.
		_ = s.choice.Effects.Switch(e.Name, on)
	}
	c.PageKeys()
}

// sentence begins with a capital and ends with a full stop.
func sentence(text string) string { return strings.ToUpper(text[:1]) + text[1:] + "." }

func pick(c *kit.Column, group string, keys []string, now *string) {
	labels := make([]string, len(keys))
	at := 0
	for i, k := range keys {
		labels[i] = words.Say("practice." + group + "." + k)
		if k == *now {
			at = i
		}
	}
	at, _ = c.Choose(group, labels, at, nil)
	*now = keys[at]
}
