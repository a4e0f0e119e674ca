// Package debrief is the scene that looks back on a run: cycle by cycle what the
// print showed, what the face was, what was cut and what that did; the curves
// beside the careful hand's; what was lost, where, why, and what to try next.
package debrief

import (
	"encoding/json"
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/units"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// Debrief is the scene.
type Debrief struct {
	desk   *scene.Desk
	name   string
	log    *run.Log
	work   *work.Work // the run as it comes from the bench, to be sealed; else nil
	locked bool       // scored and still open: its truth is hidden

	review  *review
	marking *work.Marking
	par     *par

	cycles  []cycle
	at      int // the cycle looked at
	page    int
	loss    int // the loss looked at, -1 for none
	trouble string
	older   bool
}

// Of is the debrief of a run on the bench.
func Of(desk *scene.Desk, w *work.Work) *Debrief {
	log := &run.Log{Header: w.Run.Header(), Entries: append([]run.Entry(nil), w.Run.Entries()...)}
	d := newDebrief(desk, w.Name, log)
	d.work, d.marking = w, w.Marks()
	return d
}

// Open is the debrief of a saved run.
func Open(desk *scene.Desk, name string) (*Debrief, error) {
	log, err := desk.Store.Open(name)
	if err != nil {
		return nil, err
	}
	d := newDebrief(desk, name, log)
	if !d.older && !d.locked {
		d.marking = work.StartMarking(log.Header, log.Entries)
	}
	return d, nil
}

func newDebrief(desk *scene.Desk, name string, log *run.Log) *Debrief {
	d := &Debrief{desk: desk, name: name, log: log, loss: -1}
	d.older = log.Header.Physics != run.Physics
	d.locked = log.Header.Setup.Scored && !log.SignedOff()
	if d.older {
		d.cycles = recorded(log.Entries)
		return d
	}
	d.review = startReview(log, desk.Set.Pigment)
	if !d.locked {
		d.par = startPar(desk.Store, log.Header)
	}
	return d
}

// Leave ends what is reckoned beside the window.
func (d *Debrief) Leave() {
	if d.review != nil {
		d.review.stop()
	}
	if d.par != nil {
		d.par.stop()
	}
}

const gap = 10.0

// Tick does one tick of the scene.
func (d *Debrief) Tick(u *kit.UI) (next scene.Next) {
	d.update()
	all := u.Size().Inset(gap)
	left, right := all.Left(math.Round((all.W - gap) * .6))
	_, right = right.Left(gap)
	next = d.cyclePart(u, left)
	if n := d.marksPart(u, right); n.To != scene.Stay {
		next = n
	}
	if u.Back() {
		next = scene.Next{To: scene.Shelf}
	}
	return next
}

// update takes in what has been reckoned since.
func (d *Debrief) update() {
	if d.work != nil {
		if done, err := d.work.Seal(); err != nil {
			d.trouble = err.Error()
		} else if done && err == nil && d.log.SignedOff() {
			d.work = nil
		}
	}
	if d.review == nil {
		return
	}
	before := len(d.cycles)
	cycles, _, _, err := d.review.snapshot()
	d.cycles = cycles
	if err != nil {
		d.trouble = err.Error()
	}
	if len(d.cycles) != before && d.loss < 0 && d.at >= before-1 {
		d.at = max(0, len(d.cycles)-1)
	}
}

func (d *Debrief) report() *score.Report {
	if d.marking == nil {
		return nil
	}
	r, err := d.marking.Report()
	if err != nil {
		d.trouble = err.Error()
	}
	return r
}

// title is what the run is called.
func (d *Debrief) title() string {
	if l := work.LessonOf(d.log.Header); l != nil {
		return words.Say("shelf.title.lesson", "lesson", l.Title, "seed", d.log.Header.PartSeed)
	}
	return words.Say("shelf.title.own")
}

// cyclePart is the timeline and what there is to see of one cycle.
func (d *Debrief) cyclePart(u *kit.UI, r kit.Rect) (next scene.Next) {
	u.Panel(r, "cycles", words.Say("debrief.cycles"))
	c := u.ScrollColumn("cycles.column", r.Inset(gap), gap-2)
	defer c.Close()
	c.Heading("title", d.title())
	labels := []string{words.Say("debrief.shelf")}
	ids, opts := []string{"shelf"}, []kit.Opts{{Tone: kit.Go}}
	if len(d.cycles) > 0 && !d.older {
		labels, ids = append(labels, words.Say("debrief.fork", "n", d.cycles[d.at].print.N)), append(ids, "fork")
		o := kit.Opts{Key: "f", Tip: words.Say("debrief.tip.fork")}
		if d.log.Header.Setup.Scored {
			o.Disabled, o.Tip = true, words.Say("debrief.tip.nofork")
		}
		opts = append(opts, o)
	}
	switch c.Buttons(labels, ids, opts) {
	case 0:
		next = scene.Next{To: scene.Shelf}
	case 1:
		name, err := work.WriteFork(d.desk.Store, d.name, d.log, d.cycles[d.at].acts)
		if err != nil {
			d.trouble = err.Error()
			break
		}
		next = scene.Next{To: scene.Bench, Name: name}
	}
	if d.trouble != "" {
		c.Text("trouble", d.trouble, kit.Body, kit.Caution)
	}
	if len(d.cycles) == 0 {
		c.Text("nothing", words.Say("debrief.nothing"), kit.Body, kit.Quiet)
	} else {
		d.timeline(u, c)
		d.panes(u, c)
		d.told(c)
	}
	if d.review != nil {
		if _, share, over, _ := d.review.snapshot(); !over {
			u.Progress(c.Take(u.ControlHeight()), "reviewing", words.Say("debrief.reviewing"), share)
		}
	}
	return next
}

// thumbSide is the height of the pictures of the timeline, points.
const thumbSide = 62.0

// timeline is the row of prints, as many as fit round the one looked at.
func (d *Debrief) timeline(u *kit.UI, c *kit.Column) {
	n := len(d.cycles)
	at, changed := c.Slider("timeline", words.Say("debrief.cycle"), words.Say("debrief.cycle.of", "n", d.cycles[d.at].print.N, "of", d.cycles[n-1].print.N),
		float64(d.at), 0, float64(max(1, n-1)), 1, kit.Opts{Disabled: n == 1})
	d.at = min(n-1, int(at))
	if changed {
		d.loss = -1
	}
	if u.Typed(',') && d.at > 0 {
		d.at--
	}
	if u.Typed('.') && d.at < n-1 {
		d.at++
	}
	width := math.Round(thumbSide * 1.35)
	fit := max(1, int((c.Width()+6)/(width+6)))
	from := max(0, min(d.at-fit/2, n-fit))
	row := c.Take(u.ThumbHeight(thumbSide))
	for k := from; k < min(n, from+fit); k++ {
		cell := kit.Rect{X: row.X + float64(k-from)*(width+6), Y: row.Y, W: width, H: row.H}
		label := fmt.Sprint(d.cycles[k].print.N)
		o := kit.Opts{Checked: k == d.at, Group: "thumbs", Tip: words.Say("debrief.tip.thumb", "n", d.cycles[k].print.N)}
		if u.Thumb(cell, "thumb."+label, label, d.cycles[k].reading, o) {
			d.at, d.loss = k, -1
		}
	}
}

// panes are the four pictures of a cycle.
func (d *Debrief) panes(u *kit.UI, c *kit.Column) {
	now := &d.cycles[d.at]
	after, afterWords := (*kit.Image)(nil), words.Say("debrief.last")
	if d.at+1 < len(d.cycles) {
		after, afterWords = d.cycles[d.at+1].reading, words.Say("debrief.after")
	}
	h := d.desk.Set.Units.Height
	truth := words.Say("debrief.truth.none")
	if now.truth != nil {
		truth = words.Say("debrief.truth", "reach", h(now.high-now.low))
	} else if d.locked {
		truth = words.Say("debrief.truth.locked")
	}
	columns := 2
	if c.Width() < 420*u.TextScale && u.TextScale > 1.6 {
		columns = 1
	}
	panes := []struct {
		id, caption string
		image       *kit.Image
	}{
		{"reading", words.Say("debrief.reading", "n", now.print.N, "film", h(now.film)), now.reading},
		{"truth", truth, now.truth},
		{"cut", d.cutWords(now), now.cut},
		{"after", afterWords, after},
	}
	aspect := .72
	if m := now.reading; m != nil {
		aspect = float64(m.H) / float64(m.W)
	}
	for i := 0; i < len(panes); i += columns {
		w := (c.Width() - gap*float64(columns-1)) / float64(columns)
		caption := 0.0
		for _, p := range panes[i:min(len(panes), i+columns)] {
			caption = max(caption, u.TextHeight(kit.Small, p.caption, w))
		}
		height := math.Round(min(w*aspect, max(170, (u.Size().H-440*u.TextScale)/2)))
		row := c.Take(math.Ceil(height + 2 + caption))
		for k, cell := range row.Columns(columns, gap) {
			p := panes[i+k]
			box := kit.Rect{X: cell.X, Y: cell.Y, W: cell.W, H: height}
			var art []kit.Mark
			if p.image != nil {
				art = append(art, kit.Picture(box, p.image))
				art = append(art, d.place(kit.Fitted(box, p.image))...)
			}
			u.Picture(box, "pane."+p.id, words.Say("debrief.pane."+p.id), p.caption, art)
			u.Text(kit.Rect{X: cell.X, Y: cell.Y + height + 2, W: cell.W, H: math.Ceil(u.TextHeight(kit.Small, p.caption, cell.W))}, "caption."+p.id, p.caption, kit.Small, kit.Quiet, kit.Start)
		}
	}
}

// place rings the place of the loss that is looked at.
func (d *Debrief) place(r kit.Rect) []kit.Mark {
	report := d.report()
	if report == nil || d.loss < 0 || d.loss >= len(report.Losses) {
		return nil
	}
	l := report.Losses[d.loss]
	if l.XMM == nil || l.YMM == nil {
		return nil
	}
	x0, y0, x1, y1 := d.edges()
	if x1 <= x0 {
		return nil
	}
	p := kit.Point{X: r.X + r.W*(*l.XMM-x0)/(x1-x0), Y: r.Y + r.H*(*l.YMM-y0)/(y1-y0)}
	return []kit.Mark{
		{Shape: kit.Ring, Points: []kit.Point{p}, Width: 12, Thick: 7, Ink: palette.Casing},
		{Shape: kit.Ring, Points: []kit.Point{p}, Width: 12, Thick: 3, Ink: palette.ToCut, Ground: palette.Casing},
	}
}

// edges are those of the face, mm.
func (d *Debrief) edges() (x0, y0, x1, y1 float64) {
	if d.review == nil {
		return 0, 0, 0, 0
	}
	d.review.mu.Lock()
	defer d.review.mu.Unlock()
	e := d.review.edges
	return e[0], e[1], e[2], e[3]
}

// cutWords says what was cut after a print.
func (d *Debrief) cutWords(c *cycle) string {
	if len(c.cuts) == 0 {
		return words.Say("debrief.uncut")
	}
	out := ""
	for i, k := range c.cuts {
		if i == 3 {
			return out + words.Count("debrief.cut.more", len(c.cuts)-3)
		}
		depth := d.desk.Set.Units.Height(k.depth)
		if k.whole {
			out += words.Count("debrief.cut.area", k.strokes, "depth", depth, "degrees", k.degrees) + " "
		} else {
			out += words.Count("debrief.cut.by.hand", k.strokes, "depth", depth) + " "
		}
	}
	return out
}

// told says what the cycle came to: the guess, the figures, the time.
func (d *Debrief) told(c *kit.Column) {
	now := &d.cycles[d.at]
	h := d.desk.Set.Units.Height
	line := words.Say("debrief.time", "time", units.Time(now.ms))
	if r := d.report(); r != nil && d.at < len(r.PerCycle) {
		f := r.PerCycle[d.at]
		line = words.Say("debrief.figures", "film", h(f.FilmUM), "points", number(f.PointsPerIn2), "frame", whole(f.FrameMin),
			"area", number(f.AreaPct), "bridged", length(d.desk.Set.Units, f.BridgedUM), "lows", f.NewLows) + " " + line
	}
	if now.guess != nil {
		line += " " + words.Say("debrief.guess", "share", int(math.Round(100*now.met)), "sure", now.guess.Sure)
	}
	c.Text("told", line, kit.Body, kit.Plain)
}

func number(v *float64) string {
	if v == nil {
		return "–"
	}
	return fmt.Sprintf("%.0f", *v)
}

func whole(v *int) string {
	if v == nil {
		return "–"
	}
	return fmt.Sprint(*v)
}

func length(s units.System, v *float64) string {
	if v == nil {
		return "–"
	}
	return s.Height(*v)
}

// sealed are the marks that a run was given when it was sealed.
func (d *Debrief) sealed() (total float64, ok bool) {
	if d.log.Seal == nil || len(d.log.Seal.Marks) == 0 {
		return 0, false
	}
	var m struct {
		Marks *struct {
			Total float64 `json:"total"`
		} `json:"marks"`
	}
	if json.Unmarshal(d.log.Seal.Marks, &m) != nil || m.Marks == nil {
		return 0, false
	}
	return m.Marks.Total, true
}
