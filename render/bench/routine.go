package bench

import (
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/run"
)

// steps of the routine, in the order in which they are done.
var steps = []string{"stone", "wipe", "half", "predict", "roll", "rub", "over"}

// routine is which steps are ticked, and how they are done.
type routine struct {
	ticked   map[string]bool
	film     float64 // um
	passes   int     // of the roller
	onPart   bool    // colour is rolled on the part, not on the plate
	contrast string  // under the colour: red, yellow, or empty for none

	off     [2]float64 // where the part is put down, mm from the middle of the plate
	circles int        // of a rub
	press   float64    // N, of the hand that rubs
	pressAt [2]float64 // where on the part, mm
}

func firstRoutine(set *store.Settings, w *work.Work) routine {
	r := routine{ticked: map[string]bool{}, film: 8, passes: usualPasses, circles: usualCircles}
	for _, s := range set.Routine {
		r.ticked[s] = true
	}
	if f := w.Run.Film(); f > 0 {
		r.film = f
	}
	return r
}

// circle is a small round of the rub, some 45 mm of way; a gentle rub is
// usualCircles of them.
var circle = [][2]int{{1000, 0}, {0, 500}, {-1000, 0}, {0, -500}}

const usualCircles = 2

// place puts the part down, rub rubs it along a path.
func (r *routine) place() run.Act {
	at := lattice(r.off)
	return run.Act{Place: &run.Place{X: at[0], Y: at[1]}}
}

func (r *routine) rub(path [][2]int) run.Act {
	a := &run.Rub{Path: path, Press: int(math.Round(r.press))}
	if a.Press > 0 {
		a.Load = lattice(r.pressAt)
	}
	return run.Act{Rub: a}
}

// acts are those of a step.
func (r *routine) acts(step string) []run.Act {
	switch step {
	case "stone":
		return []run.Act{{Stone: &run.Stone{Passes: 1}}}
	case "wipe":
		out := []run.Act{{Wipe: &run.Wipe{What: "part"}}}
		if r.contrast != "" && !r.onPart {
			out = append(out, run.Act{Contrast: &run.Contrast{Colour: r.contrast}})
		}
		return out
	case "half":
		return []run.Act{{Turn: &run.Turn{}}}
	case "roll":
		return []run.Act{{Wipe: &run.Wipe{What: "master"}}, {Roll: r.roll()}}
	case "rub":
		return []run.Act{r.place(), r.rub(slices.Repeat(circle, r.circles))}
	case "over":
		return []run.Act{{Lift: &run.Lift{}}}
	}
	return nil
}

// usualPasses of the roller even a film out.
const usualPasses = blue.DefaultPasses

func (r *routine) roll() *run.Roll {
	roll := &run.Roll{Film: int(math.Round(100 * r.film))}
	if r.passes != usualPasses {
		roll.Passes = r.passes
	}
	if r.onPart {
		roll.On = "part"
	}
	return roll
}

// goThrough does the ticked steps, and stops for a guess where one is ticked.
func (b *Bench) goThrough() {
	if b.work.Busy() || b.work.OnMaster() || b.noneLeft() {
		return
	}
	var acts, after []run.Act
	now := &acts
	for _, s := range steps {
		if !b.routine.ticked[s] || s == "over" && !b.routine.ticked["rub"] {
			continue
		}
		if s == "predict" && b.routine.ticked["rub"] {
			b.guess = &guess{paint: b.newPaint(), sure: 2}
			now = &after
			continue
		}
		*now = append(*now, b.routine.acts(s)...)
	}
	if b.guess != nil {
		b.guess.after = after
		b.judged = nil
		b.take(paintTool)
	}
	b.frame = nil
	b.work.Do(acts...)
}

// noneLeft reports whether a print is ticked and the job allows no more.
func (b *Bench) noneLeft() bool { return b.routine.ticked["rub"] && b.noPrintLeft() }

// stepColumns is how many steps stand side by side.
const stepColumns = 4

// routineStrip is the column's second part: the steps to tick, and the film.
func (b *Bench) routineStrip(u *kit.UI, c *kit.Column) {
	if named(u) {
		c.Name("routine", words.Say("bench.routine"))
	}
	const between = 4.0
	width := (c.Width() - (stepColumns-1)*between) / stepColumns
	var labels []string
	for _, s := range steps {
		labels = append(labels, words.Say("bench.step."+s))
	}
	height := u.ToolHeightIn(width, math.Inf(1), 1, labels...)
	part := u.Column(c.Take(math.Ceil(float64(len(steps))/stepColumns)*(height+between)-between), between)
	for i := 0; i < len(steps); i += stepColumns {
		for k, rect := range part.Take(height).Columns(stepColumns, between) {
			if i+k >= len(steps) {
				break
			}
			s := steps[i+k]
			o := kit.Opts{Art: stepIcons[s], Tip: b.say("bench.tip.step." + s)}
			if s == "predict" && b.at() == stepPredict && !b.routine.ticked[s] {
				o.Tone = kit.Go // what the first steps ask for now
			}
			on, changed := u.Step(rect, "step."+s, labels[i+k], b.routine.ticked[s], o)
			if changed {
				b.tick(s, on)
			}
		}
	}
	b.filmSlider(c)
}

// filmSlider sets the film of the next roll.
func (b *Bench) filmSlider(c *kit.Column) {
	b.routine.film, _ = c.Slider("film", words.Say("bench.film"), b.filmWords(), b.routine.film, thinnestFilm, thickestFilm, .5, kit.Opts{Tip: b.say("bench.tip.film")})
}

// goButton does what is ticked.
func (b *Bench) goButton(u *kit.UI, r kit.Rect) {
	_, ready := b.act()
	reading, fresh := b.work.Run.Reading()
	tone := kit.Plain
	if !ready && (reading == nil || !fresh) {
		tone = kit.Go
	}
	o := kit.Opts{Key: "r", Tone: tone, Disabled: b.work.Busy() || b.work.OnMaster(), Tip: words.Say("bench.tip.routine")}
	if b.noneLeft() {
		o.Disabled, o.Tip = true, words.Say("bench.allowance")
	}
	label := b.routine.label(func(s string) bool { return u.ButtonWidth(s, o.Key) <= r.W })
	if label == "" {
		o.Disabled, label = true, words.Say("bench.go.nothing")
	}
	if u.Button(r, "go", label, o) {
		b.goThrough()
	}
}

// label names what the button does, by the ticks: all of it where that fits, else
// its beginning and its end, else how it ends; empty when nothing is ticked.
func (r *routine) label(fits func(string) bool) string {
	var does []string
	for _, s := range steps {
		if !r.ticked[s] || s == "over" || s == "predict" && !r.ticked["rub"] {
			continue
		}
		does = append(does, words.Say("bench.go."+s))
		if s == "predict" {
			break // it stops there
		}
	}
	if len(does) == 0 {
		return ""
	}
	last := does[len(does)-1]
	for _, parts := range []string{strings.Join(does, ", "), does[0] + " … " + last} {
		if label := capital(parts); fits(label) {
			return label
		}
	}
	return capital(last)
}

// capital is a text with a capital letter at its head.
func capital(s string) string {
	head, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(head)) + s[size:]
}

// tick ticks a step or not, and remembers it for the next run.
func (b *Bench) tick(step string, on bool) {
	b.routine.ticked[step] = on
	b.desk.Set.Routine = slices.DeleteFunc(slices.Clone(steps), func(s string) bool { return !b.routine.ticked[s] })
	b.desk.Changed()
}

// filmWords is the film with the trade's word for it (rich 5 to 12 um, normal 2
// to 5, lean below).
func (b *Bench) filmWords() string {
	kind := "bench.film.lean"
	switch f := b.routine.film; {
	case f > 5:
		kind = "bench.film.rich"
	case f > 2:
		kind = "bench.film.normal"
	}
	return words.Say(kind, "film", b.desk.Set.Units.Height(b.routine.film))
}

// FirstPrint is the acts that print a part for the first time.
func FirstPrint(filmUM float64) []run.Act {
	r := routine{film: filmUM, passes: usualPasses, circles: usualCircles}
	var out []run.Act
	for _, s := range []string{"stone", "roll", "rub", "over"} {
		out = append(out, r.acts(s)...)
	}
	return out
}
