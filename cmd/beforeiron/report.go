package main

import (
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/lessons/page"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/run"
)

type reportCommand struct {
	File  string `arg:"" name:"run" help:"Run to look back on."`
	Out   string `short:"o" required:"" placeholder:"FILE.html" help:"Page to write: one file, to be read or printed."`
	Force bool   `help:"Replace an existing file."`
}

// searchTime is how long the dearest decisions are searched for at the longest; a
// usual processor is through in half of it.
const searchTime = 45 * time.Second

func (c *reportCommand) Run(s streams) error {
	if _, err := place(c.Out, c.Force); err != nil {
		return err
	}
	l, err := readRun(s, c.File)
	if err != nil {
		return err
	}
	began := time.Now()
	told := newProgress(s)
	defer told.end()
	told.step("making the run again", len(l.Entries))
	v, err := review.Of(l, func(done, _ int) { told.at(done) })
	if err != nil {
		return replayError(c.File, l, err)
	}
	p := &page.Report{Program: version, Review: v, Lesson: lessonOf(l)}
	told.step("the careful hand on the same surface", review.ParPrints)
	if p.Par, err = review.Par(l.Header, told.at); err != nil {
		s.remark("%s: %v", c.File, err)
	}
	told.step("trying other decisions", review.Trials(l))
	search := review.DefaultSearch
	p.Decisions, p.Whole, err = review.Decisions(l, search, spread(began.Add(searchTime), told))
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	html, err := p.HTML()
	if err != nil {
		return err
	}
	told.end()
	return save(c.Out, html, c.Force)
}

// lessonOf is the lesson of a run when there is one of that name still.
func lessonOf(l *run.Log) *lessons.Lesson {
	found, err := lessons.Load(l.Header.Lesson)
	if err != nil {
		return nil
	}
	return found
}

// spread does jobs on all processors until a time, after which it gives up.
func spread(until time.Time, told *progress) review.Spread {
	return func(jobs []func()) error {
		var next atomic.Int64
		var late atomic.Bool
		var all sync.WaitGroup
		for range min(len(jobs), runtime.GOMAXPROCS(0)) {
			all.Go(func() {
				for {
					n := int(next.Add(1)) - 1
					if n >= len(jobs) {
						return
					}
					if time.Now().After(until) {
						late.Store(true)
						return
					}
					jobs[n]()
					told.one()
				}
			})
		}
		all.Wait()
		if late.Load() {
			return review.ErrTime
		}
		return nil
	}
}
