package bench

import (
	"fmt"
	"math"

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
	declareDialog
	bladeDialog
)

// declared is what the learner takes the face to be.
type declared struct{ points, frame, area float64 }

// blades is the blade that is being chosen.
type blades struct{ radius, handle float64 } // mm, degrees

func (b *Bench) openDeclare() {
	t := b.work.Run.Header().Setup.Target
	b.declare = declared{points: math.Round(t.PointsPerIn2), frame: float64(t.FrameMin), area: math.Round((t.AreaPct[0] + t.AreaPct[1]) / 2)}
	b.dialog = declareDialog
}

func (b *Bench) openBlades() {
	now := b.work.Run.Blade()
	b.blade = blades{radius: now.RadiusMM, handle: math.Round(now.Handle * 180 / math.Pi)}
	b.dialog = bladeDialog
}

// dialogs draws what is asked, if anything is.
func (b *Bench) dialogs(u *kit.UI) scene.Next {
	switch b.dialog {
	case declareDialog:
		b.declareDialog(u)
	case bladeDialog:
		b.bladeDialog(u)
	}
	return scene.Next{}
}

// inDialog sets a dialog in the middle of the window.
func inDialog(u *kit.UI, id, title string, width, height float64, fill func(c *kit.Column)) {
	all := u.Size()
	w := min(all.W-2*gap, width*(1+(u.TextScale-1)*.6))
	h := min(all.H-2*gap, height*u.TextScale)
	r := kit.Rect{X: math.Round((all.W - w) / 2), Y: math.Round((all.H - h) / 2), W: w, H: h}
	u.Dialog(id, title, r)
	c := u.ScrollColumn(id+".column", r.Inset(2*gap), gap)
	c.Heading(id+".title", title)
	fill(c)
	c.Close()
	u.CloseDialog()
}

// declareDialog asks for what the face is, before the run is signed off and the
// truth told.
func (b *Bench) declareDialog(u *kit.UI) {
	inDialog(u, "declare", words.Say("bench.declare"), 520, 430, func(c *kit.Column) {
		d := &b.declare
		film := b.desk.Set.Units.Height(b.work.Run.Header().Setup.Target.FilmUM)
		c.Text("declare.how", words.Say("bench.declare.how", "film", film), kit.Body, kit.Plain)
		d.points, _ = c.Slider("declare.points", words.Say("bench.declare.points"), fmt.Sprint(int(d.points)), d.points, 0, 60, 1, kit.Opts{})
		d.frame, _ = c.Slider("declare.frame", words.Say("bench.declare.frame"), fmt.Sprint(int(d.frame)), d.frame, 0, 60, 1, kit.Opts{})
		d.area, _ = c.Slider("declare.area", words.Say("bench.declare.area"), fmt.Sprintf("%d %%", int(d.area)), d.area, 0, 100, 1, kit.Opts{})
		switch c.Buttons([]string{words.Say("bench.declare.sign"), words.Say("bench.declare.not")}, []string{"sign", "notyet"},
			[]kit.Opts{{Tone: kit.Go, Tip: words.Say("bench.tip.sign")}, {Tone: kit.Quiet}}) {
		case 0:
			b.dialog = noDialog
			b.work.Do(run.Act{Declare: &run.Declare{PointsPerIn2: new(int(d.points)), FrameMin: new(int(d.frame)), AreaPct: new(int(d.area))}}, run.Act{SignOff: &run.SignOff{}})
		case 1:
			b.dialog = noDialog
		}
	})
}

// bladeDialog is the blade: its edge, and another in its place.
func (b *Bench) bladeDialog(u *kit.UI) {
	inDialog(u, "blade.dialog", words.Say("bench.blade.title"), 520, 440, func(c *kit.Column) {
		k, set := &b.blade, b.desk.Set
		c.Text("blade.worn", words.Say("bench.blade.worn", "worn", int(math.Round(100*b.work.Run.Blade().Bluntness()))), kit.Body, kit.Plain)
		if c.Button("hone", words.Say("bench.blade.hone"), kit.Opts{Tip: words.Say("bench.tip.hone")}) {
			b.dialog = noDialog
			b.work.Do(run.Act{Hone: &run.Hone{}})
		}
		k.radius, _ = c.Slider("blade.radius", words.Say("bench.blade.radius"), set.Units.Across(k.radius), k.radius, 30, 180, 5, kit.Opts{})
		k.handle, _ = c.Slider("blade.handle", words.Say("bench.blade.handle"), fmt.Sprintf("%d°", int(k.handle)), k.handle, 12, 60, 1, kit.Opts{})
		width := blade.Blade{RadiusMM: k.radius, Handle: k.handle * math.Pi / 180}.MarkWidth(b.decided.depth)
		c.Text("blade.mark", words.Say("bench.blade.mark", "depth", set.Units.Height(b.decided.depth), "width", set.Units.Across(width)), kit.Body, kit.Quiet)
		switch c.Buttons([]string{words.Say("bench.blade.take"), words.Say("bench.blade.keep")}, []string{"blade.take", "blade.keep"},
			[]kit.Opts{{Tone: kit.Go}, {Tone: kit.Quiet}}) {
		case 0:
			b.dialog = noDialog
			b.work.Do(run.Act{Change: &run.Change{Radius: int(100 * k.radius), Width: 2000, Handle: int(math.Round(1000 * k.handle * math.Pi / 180))}})
		case 1:
			b.dialog = noDialog
		}
	})
}
