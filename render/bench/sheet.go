package bench

import (
	"math"
	"slices"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/run"
)

// field is how an entry of the inspection sheet is set in the window, in its own
// unit; length is that of the part, mm.
type field struct {
	low, step float64
	high      func(length float64) float64
}

func upTo(v float64) func(float64) float64 { return func(float64) float64 { return v } }

// fields by the ID of run.Sheet.
var fields = map[string]field{
	"film":           {.5, .5, upTo(12)},
	"points_per_in2": {0, 1, upTo(80)},
	"frame_min":      {0, 1, upTo(80)},
	"frame_max":      {0, 1, upTo(120)},
	"area_pct":       {0, 1, upTo(100)},
	"block":          {0, .1, upTo(20)},
	"bare":           {0, .1, upTo(30)},
	"hinge":          {0, .5, func(length float64) float64 { return length / 2 }},
	"warmer":         {-5, .1, upTo(5)},
}

// openSheet lays the inspection sheet out, blank unless it was begun before.
func (b *Bench) openSheet() { b.dialog = sheetDialog }

// sheetField sets one entry: at its left end it is blank.
func (b *Bench) sheetField(u *kit.UI, r kit.Rect, e run.SheetEntry) {
	x0, _, x1, _ := b.work.Run.Grid().Edges()
	f, at := fields[e.ID], e.Of(&b.sheet)
	now := -1.0 // steps from the lowest; -1 is blank
	if *at != nil {
		now = math.Round((float64(**at)/float64(e.Per) - f.low) / f.step)
	}
	high := math.Floor((f.high(x1-x0)-f.low)/f.step + 1e-9)
	next, changed := u.Slider(r, "sheet."+e.ID, b.say("bench.sheet."+e.ID), b.sheetValue(e, *at), now, -1, high, 1, kit.Opts{})
	switch {
	case !changed:
	case next < 0:
		*at = nil
	default:
		*at = new(int(math.Round((f.low + next*f.step) * float64(e.Per))))
	}
}

func (b *Bench) sheetValue(e run.SheetEntry, v *int) string {
	if v == nil {
		return words.Say("bench.sheet.blank")
	}
	return b.desk.Set.Units.Entry(e.Unit, float64(*v)/float64(e.Per))
}

// measured fills in what was measured on the face as it is: the film of the last print, what inch frames counted, instruments, the
// hinge test, the thermometer. Bearing is left to the eye.
func (b *Bench) measured() {
	d := &b.sheet
	set := func(at **int, v int) { *at = &v }
	var counts []int
	var block, bare, hinge, film *int
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	lifted := false // a print later than this act was seen
	metal := true   // nothing was taken off since
	for _, e := range slices.Backward(b.work.Run.Entries()) {
		switch a := e.Act; {
		case a.Cut != nil, a.Stone != nil, a.Chamfer != nil, a.Flake != nil:
			metal = false
		case a.Frame != nil && !lifted:
			counts = append(counts, e.Out.Count)
		case e.Out.Print != nil:
			lifted = true
		case a.Roll != nil && lifted && film == nil:
			film = &a.Roll.Film
		case a.Bridge != nil && metal && block == nil:
			block = &e.Out.Range
		case a.Indicate != nil && metal && bare == nil:
			bare = &e.Out.Range
		case a.Push != nil && metal && hinge == nil:
			length := x1 - x0
			if math.Abs(math.Sin(float64(a.Push.Dir)/1000)) < .5 {
				length = y1 - y0
			}
			far := float64(e.Out.Pivot.Far) / 1000
			hinge = new(int(math.Round(100 * length * min(far, 1-far))))
		}
	}
	for _, m := range []struct {
		at **int
		v  *int
	}{{&d.Film, film}, {&d.Block, block}, {&d.Bare, bare}, {&d.Hinge, hinge}} {
		if m.v != nil {
			set(m.at, *m.v)
		}
	}
	if n := len(counts); n > 0 {
		sum := 0
		for _, c := range counts {
			sum += c
		}
		set(&d.PointsPerIn2, int(math.Round(float64(sum)/float64(n))))
		set(&d.FrameMin, slices.Min(counts))
		set(&d.FrameMax, slices.Max(counts))
	}
	set(&d.Warmer, int(math.Round(1000*b.work.Run.WarmerK())))
}

// sheetDialog asks for what the face is, before the run is signed off and the truth
// told.
func (b *Bench) sheetDialog(u *kit.UI) {
	inDialog(u, "sheet", words.Say("bench.sheet"), 860, func(c *kit.Column) {
		film := b.desk.Set.Units.Height(b.work.Run.Header().Setup.Target.FilmUM)
		c.Text("sheet.how", words.Say("bench.sheet.how", "film", film), kit.Body, kit.Plain)
		columns := 1
		if c.Width() >= 620*u.TextScale {
			columns = 2
		}
		for i := 0; i < len(run.Sheet); i += columns {
			row := run.Sheet[i:min(i+columns, len(run.Sheet))]
			width := (c.Width() - float64(columns-1)*2*gap) / float64(columns)
			h := 0.0
			for _, e := range row {
				h = max(h, u.SliderHeight(width, b.say("bench.sheet."+e.ID), words.Say("bench.sheet.blank")))
			}
			for k, r := range c.Take(h).Columns(columns, 2*gap) {
				if k < len(row) {
					b.sheetField(u, r, row[k])
				}
			}
		}
		b.classField(u, c)
		// Enter signs nothing off as long as nothing is filled in.
		sign := kit.Plain
		if b.sheet != (run.Declare{}) {
			sign = kit.Go
		}
		labels := []string{words.Say("bench.sheet.sign"), words.Say("bench.sheet.fill"), words.Say("bench.sheet.clear"), words.Say("bench.sheet.not")}
		switch c.Buttons(labels, []string{"sign", "fill", "clearsheet", "notyet"},
			[]kit.Opts{{Tone: sign, Tip: words.Say("bench.tip.sign")}, {Tip: words.Say("bench.tip.fill")}, {Tone: kit.Quiet}, {Tone: kit.Quiet}}) {
		case 0:
			b.dialog = noDialog
			d := b.sheet
			b.work.Do(run.Act{Declare: &d}, run.Act{SignOff: &run.SignOff{}})
		case 1:
			b.measured()
		case 2:
			b.sheet = run.Declare{}
		case 3:
			b.dialog = noDialog
		}
	})
}

// classLines is the room for what a class is called and where it comes from.
const classLines = 3

// classField is the class that the learner would give the face; at its left end
// none.
func (b *Bench) classField(u *kit.UI, c *kit.Column) {
	at := slices.IndexFunc(gauge.Classes, func(k gauge.Class) bool { return k.ID == b.sheet.Class })
	value, label := words.Say("bench.sheet.blank"), words.Say("bench.sheet.class")
	if at >= 0 {
		value = gauge.Classes[at].Use
	}
	// As high for every class, so that the slider stays under the hand.
	height := u.SliderHeight(c.Width(), label, value)
	for _, k := range gauge.Classes {
		height = max(height, u.SliderHeight(c.Width(), label, k.Use))
	}
	next, _ := u.Slider(c.Take(height), "sheet.class", label, value, float64(at), -1, float64(len(gauge.Classes)-1), 1, kit.Opts{})
	b.sheet.Class = ""
	text := words.Say("bench.sheet.class.none")
	if next >= 0 {
		k := gauge.Classes[int(next)]
		b.sheet.Class = k.ID
		text = words.Say("bench.sheet.class.is", "n", int(next)+1, "of", len(gauge.Classes), "use", k.Use, "source", k.Source, "standing", string(k.Standing))
	}
	lines := classLines
	for len(u.Wrap(kit.Small, text, c.Width())) > lines {
		lines++
	}
	u.Text(c.Take(math.Ceil(float64(lines)*u.Line(kit.Small))), "sheet.class.is", text, kit.Small, kit.Quiet, kit.Start)
}
