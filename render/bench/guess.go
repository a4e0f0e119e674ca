package bench

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/run"
)

// guess is where the learner expects blue in the next print, and how surely;
// after are the acts of the routine that wait for it.
type guess struct {
	paint *paint
	sure  int
	after []run.Act
}

// guessed hands the guess to the run and goes on with the routine.
func (b *Bench) guessed() {
	g := b.guess
	if g.paint.empty() || b.work.Busy() {
		b.guide.trouble = b.say("bench.guess.empty")
		return
	}
	b.work.Do(append([]run.Act{{Predict: &run.Predict{Region: *g.paint.region(), Sure: g.sure}}}, g.after...)...)
}

// judge holds the guess against the print that has come.
func (b *Bench) judge() {
	b.told, b.judged = "", nil
	g := b.guess
	b.guess = nil
	reading, _ := b.work.Run.Reading()
	if g == nil || reading == nil || g.paint.empty() {
		return
	}
	b.judged = g.paint
	agreed := g.paint.agreement(reading)
	key := "bench.told.wrong"
	if agreed >= rightGuess {
		key = "bench.told.right"
	}
	b.told = words.Say(key, "share", int(math.Round(100*agreed)), "sure", words.Say(fmt.Sprint("bench.told.sure.", g.sure)), "marks", sureMarks(g.sure, agreed >= rightGuess))
}

// rightGuess is the agreement from which a guess counts as right (assumed).
const rightGuess = .5

// sureMarks are the marks for certainty, by the scheme in which saying how sure
// one is pays best when it is honest: 1, 2, 3 when right, 0, -2, -6 when wrong
// (Gardner-Medwin).
func sureMarks(sure int, right bool) int {
	if right {
		return sure
	}
	return [...]int{0, -2, -6}[sure-1]
}

var sureWords = []string{"bench.sure.1", "bench.sure.2", "bench.sure.3"}

// guessing is the column while a guess is made.
func (b *Bench) guessing(u *kit.UI, c *kit.Column) {
	g := b.guess
	c.Name("guess", words.Say("bench.guess"))
	c.Text("guess.how", b.say("bench.guess.how"), kit.Body, kit.Plain)
	c.Text("guess.sure", words.Say("bench.guess.sure"), kit.Body, kit.Plain)
	labels := make([]string, len(sureWords))
	for i, k := range sureWords {
		labels[i] = words.Say(k)
	}
	at, _ := c.Choose("sure", labels, g.sure-1, nil)
	g.sure = at + 1
	for i := range sureWords {
		if u.Typed(rune('1' + i)) {
			g.sure = i + 1
		}
	}
	if c.Button("guessed", words.Say("bench.guessed"), kit.Opts{Tone: kit.Go, Key: "r", Disabled: g.paint.empty() || b.work.Busy(), Tip: words.Say("bench.tip.guessed")}) {
		b.guessed()
	}
	if c.Button("noguess", words.Say("bench.noguess"), kit.Opts{Tone: kit.Quiet, Disabled: b.work.Busy()}) {
		b.guess = nil
		b.work.Do(g.after...)
	}
}
