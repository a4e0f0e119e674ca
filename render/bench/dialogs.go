package bench

import (
	"fmt"
	"math"
	"slices"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/run"
)

// dialog is what is asked over the bench.
type dialog uint8

const (
	noDialog dialog = iota
	sheetDialog
	bladeDialog
	staleDialog
	blueDialog
)

// blades is the blade that is being chosen.
type blades struct {
	radius, width, handle float64 // mm, mm, degrees
	drive                 int     // of drives
}

var drives = []string{"push", "power"}

// signOff asks for the sheet; first, once, whether to sign off what no print has
// shown since it was cut, where a print is left to show it.
func (b *Bench) signOff() {
	_, fresh := b.work.Run.Reading()
	if n := b.work.Run.Prints(); !fresh && b.cutSince() && b.staleAsked != n && !b.noPrintLeft() {
		b.staleAsked = n
		b.dialog = staleDialog
		return
	}
	b.openSheet()
}

// cutSince reports whether anything was cut since the last print.
func (b *Bench) cutSince() bool {
	for _, e := range slices.Backward(b.work.Run.Entries()) {
		switch {
		case e.Out.Print != nil:
			return false
		case e.Act.Cut != nil, e.Act.Flake != nil:
			return true
		}
	}
	return false
}

func (b *Bench) openBlades() {
	now := b.work.Run.Blade()
	b.blade = blades{radius: now.RadiusMM, width: now.WidthMM, handle: math.Round(now.Handle * 180 / math.Pi)}
	if b.change().Drive == "power" {
		b.blade.drive = 1
	}
	b.dialog = bladeDialog
}

// change is the blade in hand as it was taken up.
func (b *Bench) change() run.Change {
	for _, e := range slices.Backward(b.work.Run.Entries()) {
		if e.Act.Change != nil {
			return *e.Act.Change
		}
	}
	return b.work.Run.Header().Setup.Blade
}

// dialogs draws what is asked, if anything is.
func (b *Bench) dialogs(u *kit.UI) scene.Next {
	switch b.dialog {
	case sheetDialog:
		b.sheetDialog(u)
	case bladeDialog:
		b.bladeDialog(u)
	case staleDialog:
		b.ask(u, "stale", "printfirst", func() { b.goThrough() }, b.openSheet)
	case blueDialog:
		b.ask(u, "blue", "takeback", func() { b.spots = spots{} }, func() {})
	}
	return scene.Next{}
}

// inDialog sets a dialog in the middle of the window, as high as what is in it.
func inDialog(u *kit.UI, id, title string, width float64, fill func(c *kit.Column)) {
	const firstHeight = 400 // of the one tick before that is known
	all := u.Size()
	w := min(all.W-2*gap, width*(1+(u.TextScale-1)*.6))
	h := math.Ceil(min(all.H-2*gap, u.ColumnHeight(id+".column", firstHeight)+4*gap))
	r := kit.Rect{X: math.Round((all.W - w) / 2), Y: math.Round((all.H - h) / 2), W: w, H: h}
	u.Dialog(id, title, r)
	c := u.ScrollColumn(id+".column", r.Inset(2*gap), gap)
	c.Heading(id+".title", title)
	fill(c)
	c.Close()
	u.CloseDialog()
}

// ask is a question with the answer that costs nothing first; both end it.
func (b *Bench) ask(u *kit.UI, id, first string, yes, no func()) {
	inDialog(u, id, b.say("bench."+id), 520, func(c *kit.Column) {
		c.Text(id+".how", b.say("bench."+id+".how"), kit.Body, kit.Plain)
		labels := []string{words.Say("bench." + id + ".yes"), words.Say("bench." + id + ".no")}
		switch c.Buttons(labels, []string{first, id + ".no"}, []kit.Opts{{Tone: kit.Go}, {Tone: kit.Quiet}}) {
		case 0:
			b.dialog = noDialog
			yes()
		case 1:
			b.dialog = noDialog
			no()
		}
	})
}

// bladeDialog is the blade: its edge, and another in its place.
func (b *Bench) bladeDialog(u *kit.UI) {
	inDialog(u, "blade.dialog", words.Say("bench.blade.title"), 520, func(c *kit.Column) {
		k, set := &b.blade, b.desk.Set
		c.Text("blade.worn", words.Say("bench.blade.worn", "worn", int(math.Round(100*b.work.Run.Blade().Bluntness()))), kit.Body, kit.Plain)
		if c.Button("hone", words.Say("bench.blade.hone"), kit.Opts{Tip: words.Say("bench.tip.hone")}) {
			b.dialog = noDialog
			b.work.Do(run.Act{Hone: &run.Hone{}})
		}
		k.radius, _ = c.Slider("blade.radius", words.Say("bench.blade.radius"), set.Units.Across(k.radius), k.radius, 30, 180, 5, kit.Opts{})
		k.width, _ = c.Slider("blade.width", words.Say("bench.blade.width"), set.Units.Across(k.width), k.width, 5, 50, 1, kit.Opts{})
		k.handle, _ = c.Slider("blade.handle", words.Say("bench.blade.handle"), fmt.Sprintf("%d°", int(k.handle)), k.handle, 12, 60, 1, kit.Opts{})
		width := blade.Blade{RadiusMM: k.radius, Handle: k.handle * math.Pi / 180}.MarkWidth(b.decided.depth)
		c.Text("blade.mark", words.Say("bench.blade.mark", "depth", set.Units.Height(b.decided.depth), "width", set.Units.Across(width)), kit.Body, kit.Quiet)
		k.drive = b.pickOf(c, "drive", "bench.blade.drive.", drives, k.drive)
		switch c.Buttons([]string{words.Say("bench.blade.take"), words.Say("bench.blade.keep")}, []string{"blade.take", "blade.keep"},
			[]kit.Opts{{Tone: kit.Go}, {Tone: kit.Quiet}}) {
		case 0:
			b.dialog = noDialog
			change := &run.Change{Radius: int(math.Round(100 * k.radius)), Width: int(math.Round(100 * k.width)), Handle: int(math.Round(1000 * k.handle * math.Pi / 180))}
			if drives[k.drive] == "power" {
				change.Drive = "power"
			}
			b.work.Do(run.Act{Change: change})
		case 1:
			b.dialog = noDialog
		}
	})
}
