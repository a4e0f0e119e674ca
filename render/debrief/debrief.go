// Package debrief is the scene that looks back on a run, on the iron itself:
// print by print what was read, what the face was, what was cut and what that did;
// what was lost, where, why, and what to try next; what the careful hand or
// another run did on the same surface; the decisions that cost most.
package debrief

import (
	"encoding/json"
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// Debrief is the scene.
type Debrief struct {
	desk   *scene.Desk
	name   string
	log    *run.Log
	lesson *lessons.Lesson // nil where no lesson of that name is known
	older  bool            // made under another physics: it cannot be made again
	locked bool            // scored and still open: its truth is hidden
	guest  bool            // it is not in the data folder
	rubric *score.Rubric

	signed   *work.Signed  // the file, as it comes from the bench; nil for one that was read
	unsealed bool          // the file is to be closed with the marks of the run
	marks    *work.Marking // those, where another rubric than the job's own is in use

	cycles []cycle
	tape   *tape
	study  *study
	par    *study
	beside beside
	search *search
	page   *pageWriting

	at      int // the cycle looked at
	tab     int
	sees    int // what is shown of the face
	from    int // the cycle looked at before what is of the end was asked for
	loss    int // the loss looked at, in the order of cost; -1 for none
	trouble string

	view, whole iron.View
	lamp        kit.Point
	chart       chart
}

// Of is the debrief of a run on the bench.
func Of(desk *scene.Desk, w *work.Work) *Debrief {
	log := &run.Log{Header: w.Run.Header(), Entries: append([]run.Entry(nil), w.Run.Entries()...)}
	d := newDebrief(desk, w.Name, log, false)
	d.signed = w.Signed()
	d.unsealed = d.signed != nil
	return d
}

// Open is the debrief of a saved run. One that was signed off and whose program
// ended before it was sealed is sealed now.
func Open(desk *scene.Desk, name string) (*Debrief, error) {
	log, err := desk.Store.Open(name)
	if err != nil {
		return nil, err
	}
	return newDebrief(desk, name, log, false), nil
}

// OfLog is the debrief of a run that is not in the data folder, as of one of a
// class; it goes back to where it was asked for.
func OfLog(desk *scene.Desk, name string, log *run.Log) *Debrief {
	return newDebrief(desk, name, log, true)
}

func newDebrief(desk *scene.Desk, name string, log *run.Log, guest bool) *Debrief {
	d := &Debrief{desk: desk, name: name, log: log, guest: guest, lesson: work.LessonOf(log.Header), loss: -1, cycles: cyclesOf(log.Entries)}
	d.at = max(0, len(d.cycles)-1)
	d.older = log.Header.Physics != run.Physics
	d.locked = log.Header.Setup.Scored && !log.SignedOff()
	if d.older {
		return d
	}
	var err error
	if d.rubric, err = desk.RubricFor(log.Header.Setup); err != nil {
		d.trouble, d.rubric = err.Error(), score.Standard()
	}
	d.tape = startTape(log, d.cycles, desk.Set.Pigment, d.at)
	d.unsealed = !guest && log.SignedOff() && log.Seal == nil
	if d.unsealed && desk.Set.Rubric != "" {
		d.marks = work.StartMarking(log)
	}
	if !d.locked {
		d.study = startStudy(log, d.rubric, d.marks, d.tape)
		d.par = startPar(desk.Store, log.Header, d.rubric, d.study)
	}
	return d
}

// Leave ends what is made beside the window.
func (d *Debrief) Leave() {
	if d.tape != nil {
		d.tape.stop()
	}
	d.study.Leave()
	d.par.Leave()
	d.search.Leave()
	d.beside.leave()
}

const gap = 10.0

// Tick does one tick of the scene.
func (d *Debrief) Tick(u *kit.UI) (next scene.Next) {
	d.update()
	all := u.Size()
	right, left := all.Right(math.Round(min(all.W*.5, 470*(1+(u.TextScale-1)*.55))))
	d.left(u, left)
	next = d.right(u, right)
	if u.Back() {
		next = d.back()
	}
	return next
}

func (d *Debrief) back() scene.Next {
	if d.guest {
		return scene.Next{To: scene.Back}
	}
	return scene.Next{To: scene.Shelf}
}

// update takes in what has been made since.
func (d *Debrief) update() {
	if err := d.seal(); err != nil {
		d.trouble = err.Error()
	}
	if d.tape != nil {
		d.tape.look(d.at)
		if _, _, _, err := d.tape.shown(); err != nil {
			d.trouble = err.Error()
		}
	}
	if _, _, err := d.study.Get(); err != nil {
		d.trouble = err.Error()
	}
	if v, _, _ := d.par.Get(); v != nil && !d.beside.kept {
		d.beside.kept = true
		keepPar(d.desk.Store, parFile(d.log.Header), v.Log)
	}
}

// seal closes the file of a run that is signed off, once: the bench's own way when it
// comes from there, else on the lines that were read. The study's marks serve where
// they are made by the job's own rubric.
func (d *Debrief) seal() error {
	if !d.unsealed {
		return nil
	}
	report, over, err := d.marks.Get()
	if d.marks == nil {
		var v *review.Review
		if v, over, err = d.study.Get(); v != nil {
			report = v.Report
		}
	}
	if !over {
		return nil
	}
	d.unsealed = false
	switch {
	case d.signed != nil:
		return d.signed.Seal(report)
	case err != nil:
		return err
	}
	return work.SealFile(d.desk.Store, d.name, d.log, report)
}

// reviewed is the run looked back on, nil until it is there.
func (d *Debrief) reviewed() *review.Review {
	v, _, _ := d.study.Get()
	return v
}

// title is what the run is called.
func (d *Debrief) title() string {
	h := d.log.Header
	switch {
	case d.lesson != nil:
		return words.Say("shelf.title.lesson", "lesson", d.lesson.Title, "seed", h.PartSeed)
	case h.Lesson != "":
		return words.Say("shelf.title.lesson", "lesson", h.Lesson, "seed", h.PartSeed)
	case h.Setup.Part.Recipe != nil:
		return words.Say("shelf.title.free", "seed", h.PartSeed)
	}
	return words.Say("shelf.title.own", "name", d.name)
}

// right is what is told, and where one can go from here.
func (d *Debrief) right(u *kit.UI, r kit.Rect) (next scene.Next) {
	u.Panel(r, "told", words.Say("debrief.marks"))
	c := u.ScrollColumn("told.column", r.Inset(gap), gap-2)
	defer c.Close()
	c.Heading("title", d.title())
	v := d.reviewed()
	switch {
	case d.older:
		text := words.Say("debrief.older", "physics", d.log.Header.Physics, "now", run.Physics)
		if total, ok := d.sealed(); ok {
			text += " " + words.Say("debrief.older.marks", "total", fmt.Sprintf("%.0f", total))
		}
		c.Text("older", text, kit.Body, kit.Caution)
	case d.locked:
		c.Text("locked", words.Say("debrief.locked"), kit.Body, kit.Caution)
	case v != nil:
		d.total(c, v.Report)
	case d.trouble == "":
		u.Progress(c.Take(u.ControlHeight()), "marking", words.Say("debrief.marking"), d.study.Share())
	}
	if d.trouble != "" {
		c.Text("trouble", d.trouble, kit.Body, kit.Caution)
	}
	if n := d.ways(c); n.To != scene.Stay {
		next = n
	}
	d.writing(u, c)
	if v == nil {
		return next
	}
	var labels []string
	for _, t := range []string{"losses", "beside", "decisions", "coach"} {
		labels = append(labels, words.Say("debrief.tab."+t))
	}
	d.tab, _ = c.Tabs("page", labels, d.tab)
	var n scene.Next
	switch d.tab {
	case 0:
		n = d.losses(c, v)
	case 1:
		n = d.besidePart(u, c, v)
	case 2:
		n = d.decisions(u, c)
	default:
		d.coach(c)
	}
	if n.To != scene.Stay {
		next = n
	}
	return next
}

// ways are the ways on from here.
func (d *Debrief) ways(c *kit.Column) (next scene.Next) {
	labels, ids := []string{words.Say("debrief.shelf")}, []string{"shelf"}
	if d.guest {
		labels[0] = words.Say("debrief.back")
	}
	opts := []kit.Opts{{Tone: kit.Go}}
	add := func(label, id string, o kit.Opts) {
		labels, ids, opts = append(labels, label), append(ids, id), append(opts, o)
	}
	if d.reviewed() != nil {
		add(words.Say("debrief.page"), "write", kit.Opts{Disabled: d.page != nil && !d.page.over, Tip: words.Say("debrief.tip.page")})
	}
	if !d.older {
		add(words.Say("debrief.rubric"), "rubric", kit.Opts{Tip: words.Say("debrief.tip.rubric")})
	}
	if len(d.cycles) > 0 && !d.older {
		add(words.Say("debrief.fork", "n", d.cycles[d.at].print.N), "fork", d.forkOpts("f"))
	}
	hit := c.Buttons(labels, ids, opts)
	if hit < 0 {
		return next
	}
	switch ids[hit] {
	case "shelf":
		next = d.back()
	case "fork":
		next = d.fork(d.at)
	case "write":
		d.write()
	case "rubric":
		next = scene.Next{To: scene.Rubric}
	}
	return next
}

// forkOpts are those of a button that goes another way.
func (d *Debrief) forkOpts(key string) kit.Opts {
	o := kit.Opts{Key: key, Tip: words.Say("debrief.tip.fork")}
	switch {
	case d.locked:
		o.Disabled, o.Tip = true, words.Say("debrief.tip.nofork")
	case d.log.Header.Setup.Scored:
		o.Tip = words.Say("debrief.tip.fork.scored")
	}
	return o
}

// fork begins another way on from a cycle.
func (d *Debrief) fork(cycle int) scene.Next {
	name, err := work.WriteFork(d.desk.Store, d.name, d.log, d.cycles[cycle].acts)
	if err != nil {
		d.trouble = err.Error()
		return scene.Next{}
	}
	return scene.Next{To: scene.Bench, Name: name}
}

// go to the cycle of a print.
func (d *Debrief) goTo(print int) {
	for k := range d.cycles {
		if d.cycles[k].print.N == print {
			d.at = k
		}
	}
}

// coach lists what a coach saw.
func (d *Debrief) coach(c *kit.Column) {
	all := d.tape.told()
	if len(all) == 0 {
		c.Text("nocoach", words.Say("debrief.nocoach"), kit.Body, kit.Quiet)
		return
	}
	c.Text("coach.how", words.Say("debrief.coach.how"), kit.Small, kit.Quiet)
	for i, a := range all {
		detail := d.desk.Told(a.Try) + "\n" + words.Say("debrief.coach.rule", "rule", a.Rule, "id", a.ID)
		if c.Option("advice", i, d.desk.Told(a.Happened), detail, kit.Opts{}) {
			d.goTo(a.Cycle)
		}
	}
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

// Stage is the face to be drawn.
func (d *Debrief) Stage() stage.Stage {
	if d.tape == nil {
		return stage.Stage{}
	}
	s, _, _, _ := d.tape.shown()
	if s == nil || d.view.PxPerMM == 0 {
		return stage.Stage{}
	}
	out := stage.Stage{View: d.view, LampX: d.lamp.X, LampY: d.lamp.Y, Face: s}
	d.over(&out.Over, s)
	return out
}
