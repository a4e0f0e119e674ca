package bench

import (
	"math"
	"slices"
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// guide says one thing at a time: what went wrong, what a newcomer tries next, what
// a teacher would say, or what the state of the face asks for.
type guide struct {
	trouble string // why the last thing could not be done
	advised string // what the coach has to say of the last cut or print
	felt    string // what the hand felt of the last rub, or saw of the last flaking
	guessed bool   // a guess was made since the steps asked for one
	deepCut bool   // a cut of deepUM or more was made since they asked
	since   int    // prints since they asked
	cleared bool   // Escape took off what was painted
	through bool   // the last of the first steps was gone, and nothing was cut since
}

// The first five minutes, one step after another; Settings.Guided is how many
// were gone.
var firstSteps = []string{"paint", "cut", "print", "compare", "predict", "told", "deep", "price"}

const (
	stepPaint = iota
	stepCut
	stepPrint
	stepCompare
	stepPredict
	stepTold
	stepDeep
	stepPrice
)

// deepUM is the depth of the one deep cut that the first steps ask for.
const deepUM = 10.0

// sinksPerDepth is how far touching rows lower what carries the part, as a share
// of their depth: rows of 5 um about 2 um (computed; trade practice agrees).
const sinksPerDepth = .4

// FirstLesson is the lesson whose part the first steps are told on. It comes with no
// machined skin: on one, they would have a patch cut too soon.
const FirstLesson = "worn-coupon"

// guides reports whether the first steps are said of this run: not of a scored run, on
// another part, on another way on.
func (b *Bench) guides() bool {
	h := b.work.Run.Header()
	return !h.Setup.Scored && h.Lesson == FirstLesson && h.Fork == nil
}

// at is the step that the learner is at; len(firstSteps) when all are gone, and
// where nothing of them is said.
func (b *Bench) at() int {
	if !b.guides() {
		return len(firstSteps)
	}
	return b.desk.Set.Guided
}

func (b *Bench) goneTo(step int) {
	b.guide.since = 0
	b.desk.Set.Guided = step
	b.desk.Changed()
}

// patience is how many prints a step is asked for before it is given up: who goes on
// otherwise has other things in mind.
const patience = 2

// giveUp leaves a step that was not taken. What the next would speak of, a guess or
// a deep cut, was then not made either.
func (g *guide) giveUp(b *Bench) {
	g.guessed, g.deepCut = false, false
	switch b.at() {
	case stepPredict, stepTold:
		b.goneTo(stepDeep)
	case stepDeep, stepPrice:
		b.goneTo(len(firstSteps))
	default:
		b.goneTo(b.at() + 1)
	}
}

// follow goes on from the step to paint as soon as something is painted, and
// back when it is wiped off.
func (g *guide) follow(b *Bench) {
	switch {
	case b.at() == stepPaint && !b.painted.empty():
		b.goneTo(stepCut)
	case b.at() == stepCut && b.painted.empty() && len(b.spots.cut) == 0 && !b.work.Busy():
		b.goneTo(stepPaint)
	}
}

// took goes on by what was done.
func (g *guide) took(b *Bench, e work.Ended) {
	g.cleared = false
	g.feel(b, e.Entry)
	cut, print := e.Act.Cut != nil, e.Out.Print != nil
	if cut || print {
		g.advised = ""
	}
	if len(e.Said) > 0 && e.Act.SignOff == nil {
		g.advised = b.desk.Told(e.Said[0].Text())
	}
	if right := b.work.Coach.Right(); right != b.desk.Set.Foresaw {
		b.desk.Set.Foresaw = right
		b.desk.Changed()
	}
	g.through = g.through && !cut
	deep := cut && b.depthOf(e.Act.Cut) >= deepUM
	g.guessed = g.guessed || e.Act.Predict != nil
	g.deepCut = g.deepCut || deep
	switch at := b.at(); {
	case at <= stepCut && cut:
		b.goneTo(stepPrint)
	case at == stepPrint && print:
		b.goneTo(stepCompare)
	case at == stepCompare && cut:
		b.goneTo(stepPredict)
		g.guessed = false
	case at == stepPredict && print && g.guessed:
		b.goneTo(stepTold)
	case at == stepTold && cut:
		b.goneTo(stepDeep)
		g.deepCut = deep
	case at == stepDeep && print && g.deepCut:
		b.goneTo(stepPrice)
	case at == stepPrice && print:
		b.goneTo(len(firstSteps))
		g.through = true
	case at > stepCut && at < len(firstSteps) && print:
		if g.since++; g.since == patience {
			g.giveUp(b)
		}
	}
}

// feel takes in what no print shows: that the part dragged or tipped, or was flaked
// before it was ready.
func (g *guide) feel(b *Bench, e run.Entry) {
	if e.Act.Cut != nil || e.Act.Place != nil || e.Act.Wipe != nil {
		g.felt = ""
	}
	switch {
	case e.Out.Drag > 0:
		g.felt = b.say("bench.felt.drags")
	case e.Out.Tipped > 0:
		g.felt = b.say("bench.felt.tipped")
	case e.Out.Early > 0:
		g.felt = words.Say("bench.felt.early")
	}
}

// passesOver is how many crossed passes of touching rows of a depth lower what carries
// as far as marks lie down, both um.
func passesOver(deep, depth float64) int {
	const rounding = 1e-9 // a quotient that is whole but for it is whole
	return int(math.Ceil(deep/(sinksPerDepth*depth) - rounding))
}

// deepestPrinted is the depth, um, of the deepest cut that the last print shows first;
// 0 where nothing was cut between the last two prints.
func (b *Bench) deepestPrinted() float64 {
	deepest, prints := 0.0, 0
	for _, e := range slices.Backward(b.work.Run.Entries()) {
		if e.Out.Print != nil {
			prints++
		}
		switch c := e.Act.Cut; {
		case prints == 2:
			return deepest
		case prints == 1 && c != nil:
			deepest = max(deepest, b.depthOf(c))
		}
	}
	return deepest
}

// depthOf is how deep a cut was meant to be, um.
func (b *Bench) depthOf(c *run.Cut) float64 {
	if c.Force > 0 {
		return b.work.Run.Blade().DepthFromForce(float64(c.Force))
	}
	return float64(c.Depth) / 100
}

// say is the line, and its tone.
func (g *guide) say(b *Bench) (string, kit.Tone) {
	if g.trouble != "" {
		return g.trouble, kit.Caution
	}
	if b.work.Torn > 0 && !b.work.Touched() {
		return words.Say("bench.torn", "line", b.work.Torn), kit.Caution
	}
	reading, fresh := b.work.Run.Reading()
	switch {
	case b.guess != nil:
		return b.say("bench.say.guess"), kit.Lit
	case b.rubbing() && b.work.OnMaster():
		return words.Say("bench.say.lift"), kit.Lit
	case b.rubbing() && b.noPrintLeft():
		return words.Say("bench.allowance"), kit.Caution
	case b.rubbing():
		return b.say("bench.say.rub"), kit.Lit
	case b.tooMuch():
		return b.whyNoCut(true), kit.Caution
	case b.ghosts.why != "":
		return b.ghosts.why, kit.Caution
	case g.felt != "":
		return g.felt, kit.Caution
	case b.measuring():
		return words.Say("bench.measuring"), kit.Lit
	case b.prints.back:
		return words.Say("bench.say.back"), kit.Caution
	case fresh && blueAllOver(b.work.Run) && !b.noPrintLeft():
		return b.say("bench.say.allblue"), kit.Caution
	case b.tool == strokeTool && (!b.painted.empty() || len(b.spots.cut) > 0):
		return words.Say("bench.say.stroke"), kit.Plain
	case !b.painted.empty() || len(b.spots.cut) > 0:
		if b.at() == stepCut {
			return words.Say("bench.first.cut"), kit.Lit
		}
		return words.Say("bench.say.ready"), kit.Plain
	case g.cleared:
		return words.Say("bench.say.cleared"), kit.Plain
	case b.told != "" && fresh && b.at() != stepTold:
		return b.told, kit.Lit
	case reading == nil && b.work.Run.Prints() == 0:
		return b.say("bench.say.first"), kit.Lit
	case b.at() < len(firstSteps):
		if s := g.step(b, fresh); s != "" {
			return s, kit.Lit
		}
	}
	switch {
	case b.noPrintLeft():
		return words.Say("bench.allowance"), kit.Caution
	case g.through && fresh:
		return words.Say("bench.first.through"), kit.Lit
	case g.advised != "" && b.at() == len(firstSteps):
		return g.advised, kit.Lit
	case reading == nil:
		return words.Say("bench.say.clean"), kit.Plain
	case !fresh:
		return words.Say("bench.say.stale"), kit.Caution
	case b.work.Run.Blade().Bluntness() > .5:
		return words.Say("bench.say.blunt"), kit.Plain
	case b.tool == pointTool:
		return words.Say("bench.say.point"), kit.Plain
	case b.tool == strokeTool:
		return words.Say("bench.say.stroke"), kit.Plain
	case b.tool == frameTool:
		return words.Say("bench.say.frame"), kit.Plain
	}
	if b.work.Run.Header().Setup.Scored {
		return words.Say("bench.say.scored"), kit.Plain
	}
	return b.say("bench.say.read"), kit.Plain
}

// allBlue is the share of the face, in thousandths, from which a print says more
// of the film than of the face.
const allBlue = 650

// blueAllOver reports whether the last print of a run coloured so much.
func blueAllOver(r *run.Run) bool {
	entries := r.Entries()
	for n := len(entries) - 1; n >= 0; n-- {
		if p := entries[n].Out.Print; p != nil {
			return p.Permille >= allBlue
		}
	}
	return false
}

// step is the line of the first five minutes; empty where the state of the face asks
// for something else first.
func (g *guide) step(b *Bench, fresh bool) string {
	h := b.desk.Set.Units.Height
	if !fresh {
		switch at := b.at(); {
		case at == stepPrint:
			return b.say("bench.first.print")
		case at == stepPredict:
			return words.Say("bench.first.predict")
		case at == stepDeep && g.deepCut:
			return words.Say("bench.first.deep.print")
		}
		return ""
	}
	switch b.at() {
	case stepPaint:
		return b.say("bench.first.paint")
	case stepCompare:
		return b.say("bench.first.compare")
	case stepPredict:
		return words.Say("bench.first.predict.cut")
	case stepTold:
		return strings.TrimSpace(b.told + " " + words.Say("bench.first.told"))
	case stepDeep:
		return words.Say("bench.first.deep", "depth", h(deepUM))
	case stepPrice:
		deep, usual := b.deepestPrinted(), b.decided.depth
		if deep == 0 {
			return ""
		}
		if usual >= deepUM || usual >= deep {
			usual = deepUM / 2
		}
		return words.Say("bench.first.price", "depth", h(deep), "usual", h(usual), "sinks", h(sinksPerDepth*usual), "passes", passesOver(deep, usual))
	}
	return ""
}
