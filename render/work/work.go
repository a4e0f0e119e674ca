// Package work is a run on the bench: it hands acts to the run one after another,
// steps their jobs so that the window stays alive, and writes each act to the
// run's file as it is done. It knows nothing of the part that the run does not
// show.
package work

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"time"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/sim/advice"
	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/run"
)

// Program is the version that headers name as the one that began a run.
var Program = "dev"

// Work is a run being worked.
type Work struct {
	Name   string // of its file
	Run    *run.Run
	Lesson *lessons.Lesson // nil for somebody's own part
	Torn   int             // number of a half-written last line that was dropped, 0 for none
	Coach  *advice.Coach   // has seen every act of the run, those before it was opened too
	at     int             // acts when it was opened

	store store.Store
	lines *run.Writer
	queue []run.Act
	job   *run.Job
	err   error
	ended []Ended
	laid  []blade.Stroke
	// OneByOne lets a step end with every act, so that each can be seen; of a rub
	// there is nothing to see until the part is lifted.
	OneByOne bool
}

// Ended is an act that ended, and what the coach said of it.
type Ended struct {
	run.Entry
	Said []advice.Advice
}

// BeginLesson begins a run of a lesson on the surface of a seed.
func BeginLesson(s store.Store, l *lessons.Lesson, seed, scatter uint64) (*Work, error) {
	r, err := l.Begin(seed, scatter, "", Program)
	if err != nil {
		return nil, err
	}
	return begin(s, r, l, fmt.Sprintf("%s-%d", l.ID, seed))
}

// BeginPart begins a run of a part that no lesson names.
func BeginPart(s store.Store, setup run.Setup, name string, seed, scatter uint64) (*Work, error) {
	r, err := run.New(setup, "", seed, scatter, "", Program)
	if err != nil {
		return nil, err
	}
	return begin(s, r, nil, name)
}

// begin gives a run that was just begun a file.
func begin(s store.Store, r *run.Run, l *lessons.Lesson, base string) (*Work, error) {
	name, lines, err := s.Begin(base)
	if err != nil {
		return nil, err
	}
	w := &Work{Name: name, Run: r, Lesson: l, Coach: advice.NewCoach(), store: s}
	if w.lines, err = run.NewWriter(lines, r.Header()); err != nil {
		return nil, err
	}
	r.Record = w.record
	return w, nil
}

// record writes an act into the run's file. A file that has gone, with its folder or
// without, is written anew: the run holds every act.
func (w *Work) record(e run.Entry) error {
	err := w.lines.Entry(e)
	if errors.Is(err, fs.ErrNotExist) {
		w.lines, err = anew(w.store, w.Name, w.log())
	}
	return err
}

// log is the run as its file has it.
func (w *Work) log() *run.Log {
	return &run.Log{Header: w.Run.Header(), Entries: slices.Clone(w.Run.Entries())}
}

// anew writes the whole file of a run, and returns what writes further lines.
func anew(s store.Store, name string, l *run.Log) (*run.Writer, error) {
	var whole bytes.Buffer
	lines, err := run.NewWriter(&whole, l.Header)
	for _, e := range l.Entries {
		if err == nil {
			err = lines.Entry(e)
		}
	}
	if err != nil {
		return nil, err
	}
	written, err := run.Read(bytes.NewReader(whole.Bytes()))
	if err != nil {
		return nil, err
	}
	on, err := s.Anew(name, whole.Bytes())
	if err != nil {
		return nil, err
	}
	return run.Continue(on, written), nil
}

// LessonOf is the lesson that a header names; nil when there is none of that
// name any more.
func LessonOf(h run.Header) *lessons.Lesson {
	l, err := lessons.Load(h.Lesson)
	if err != nil {
		return nil
	}
	return l
}

// Opening makes a saved run again, a few acts at a time.
type Opening struct {
	name  string
	log   *run.Log
	store store.Store
	run   *run.Run
	coach *advice.Coach
	done  int
}

// Open begins to make a saved run again.
func Open(s store.Store, name string) (*Opening, error) {
	l, err := s.Open(name)
	if err != nil {
		return nil, err
	}
	if l.Header.Physics != run.Physics {
		return nil, run.ErrOtherPhysics
	}
	r, err := run.Begin(l.Header)
	if err != nil {
		return nil, err
	}
	return &Opening{name: name, log: l, store: s, run: r, coach: advice.NewCoach()}, nil
}

// Share is how much is done, 0 to 1.
func (o *Opening) Share() float64 {
	return float64(o.done) / float64(max(1, len(o.log.Entries)))
}

// Step goes on for about the given time, and answers with the work once it is
// all there. A run that is signed off gets no file to write on.
func (o *Opening) Step(budget time.Duration) (*Work, error) {
	for until := time.Now().Add(budget); o.done < len(o.log.Entries); o.done++ {
		if time.Now().After(until) {
			return nil, nil
		}
		if err := o.run.RepeatOne(o.log.Entries[o.done]); err != nil {
			return nil, fmt.Errorf("%s: %w", o.name, err)
		}
		o.coach.See(o.run, &o.log.Entries[o.done])
	}
	if s := o.log.Seal; s != nil && s.Digest != o.run.Digest() {
		return nil, fmt.Errorf("%s: %w", o.name, &run.DigestDiffers{Want: s.Digest, Got: o.run.Digest()})
	}
	w := &Work{Name: o.name, Run: o.run, Lesson: LessonOf(o.log.Header), Torn: o.log.Torn, Coach: o.coach, store: o.store, at: o.done}
	if o.log.Seal != nil {
		return w, nil
	}
	lines, err := o.store.GoOn(o.name, o.log)
	if err != nil {
		return nil, err
	}
	w.lines = run.Continue(lines, o.log)
	o.run.Record = w.record
	return w, nil
}

// Do adds acts to those that are to be done, one after another.
func (w *Work) Do(acts ...run.Act) {
	w.err = nil
	for _, a := range acts {
		w.queue = append(w.queue, a.On())
	}
}

// Busy reports whether an act is being done or waits to be.
func (w *Work) Busy() bool { return w.job != nil || len(w.queue) > 0 }

// Doing is the act being done and how far it has come, 0 to 1.
func (w *Work) Doing() (a run.Act, share float64) {
	if w.job != nil {
		return w.queue[0], float64(w.job.Done()) / float64(max(1, w.job.Total()))
	}
	if len(w.queue) > 0 {
		return w.queue[0], 0
	}
	return a, 0
}

// Next is the act that the next step begins; ok is false while one is being done, and
// when there is none.
func (w *Work) Next() (a run.Act, ok bool) {
	if w.job != nil || len(w.queue) == 0 {
		return a, false
	}
	return w.queue[0], true
}

// MS is the time on iron so far, milliseconds.
func (w *Work) MS() int {
	ms := w.Run.MS()
	if w.job != nil {
		ms += w.job.MS()
	}
	return ms
}

// Waiting is how many acts wait after the one being done.
func (w *Work) Waiting() int { return max(0, len(w.queue)-1) }

// Stop ends the act being done where it stands, and drops those that wait.
func (w *Work) Stop() {
	if w.job == nil {
		w.queue = nil
		return
	}
	before := len(w.Run.Entries())
	err := w.job.Stop()
	w.queue, w.job = nil, nil
	w.note(before, err)
}

// Step does what is to be done, for about the given time; of a cut at most
// strokes strokes, unless that is 0. What came of it is in Ended, Laid and Err
// until the next Step.
func (w *Work) Step(budget time.Duration, strokes int) {
	w.Rest()
	if strokes == 0 {
		strokes = int(^uint(0) >> 1)
	}
	until := time.Now().Add(budget)
	for len(w.queue) > 0 {
		if w.job == nil {
			job, err := w.Run.Apply(w.queue[0])
			if err != nil {
				w.fail(err)
				return
			}
			w.job = job
		}
		before := len(w.Run.Entries())
		ended := false
		for !ended {
			stroke, cut := w.job.Stroke(w.job.Done())
			if cut {
				if strokes == 0 {
					return
				}
				strokes--
				w.laid = append(w.laid, stroke)
			}
			var err error
			if ended, err = w.job.Step(1); err != nil {
				w.job = nil
				w.note(before, err)
				return
			}
			if time.Now().After(until) {
				break
			}
		}
		if !ended {
			return
		}
		rubbed := w.queue[0].Rub != nil
		w.queue, w.job = w.queue[1:], nil
		w.note(before, nil)
		if w.OneByOne && !rubbed || time.Now().After(until) {
			return
		}
	}
}

// Rest is a step in which nothing is done.
func (w *Work) Rest() { w.ended, w.laid = w.ended[:0], w.laid[:0] }

func (w *Work) fail(err error) { w.queue, w.job, w.err = nil, nil, err }

// note takes down what was recorded since.
func (w *Work) note(before int, err error) {
	for _, e := range w.Run.Entries()[before:] {
		w.ended = append(w.ended, Ended{e, w.Coach.See(w.Run, &e)})
	}
	if err != nil {
		w.fail(err)
	}
}

// Ended are the acts that ended in the last step.
func (w *Work) Ended() []Ended { return w.ended }

// Laid are the strokes that were laid in the last step.
func (w *Work) Laid() []blade.Stroke { return w.laid }

// Err is why the last act could not be done; nil once another is to be done.
func (w *Work) Err() error { return w.err }

// PrintsLeft is how many prints the job still allows; ok is false when it sets
// no bound.
func (w *Work) PrintsLeft() (n int, ok bool) {
	limit := w.Run.Header().Setup.Limits.Prints
	return max(0, limit-w.Run.Prints()), limit > 0
}

// Touched reports whether anything was done since the work was opened.
func (w *Work) Touched() bool { return len(w.Run.Entries()) > w.at }

// StrokesATick is how many strokes of the cut being done are to be laid in a
// tick so that it is played out in about two seconds.
func (w *Work) StrokesATick() int {
	if w.job == nil {
		return 1
	}
	return max(1, w.job.Total()/120)
}

// OnMaster reports whether the part lies on the master.
func (w *Work) OnMaster() bool {
	entries := w.Run.Entries()
	for i := len(entries) - 1; i >= 0; i-- {
		switch a := entries[i].Act; {
		case a.Place != nil:
			return true
		case a.Lift != nil:
			return false
		}
	}
	return false
}

// WriteFork writes the file of another way on from a run after its first n acts,
// and returns its name.
func WriteFork(s store.Store, base string, l *run.Log, n int) (string, error) {
	h, err := l.Fork(n)
	if err != nil {
		return "", err
	}
	name, lines, err := s.Begin(base)
	if err != nil {
		return "", err
	}
	w, err := run.NewWriter(lines, h)
	for _, e := range l.Entries[:n] {
		if err == nil {
			err = w.Entry(e)
		}
	}
	return name, err
}
