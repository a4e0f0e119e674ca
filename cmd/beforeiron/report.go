package main

import (
	"fmt"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/lessons/page"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

type reportCommand struct {
	File   string `arg:"" name:"run" help:"Run to look back on."`
	With   string `placeholder:"RUN" help:"Another run of the same surface to hold it beside."`
	Rubric string `placeholder:"FILE" help:"Rubric to mark by; see beforeiron rubric."`
	Out    string `short:"o" required:"" placeholder:"FILE.html" help:"Page to write: one file, to be read or printed."`
	Force  bool   `help:"Replace an existing file."`
}

func (c *reportCommand) Run(s streams) error {
	if _, err := place(c.Out, c.Force, c.File, c.With, c.Rubric); err != nil {
		return err
	}
	l, err := readRun(s, c.File)
	if err != nil {
		return err
	}
	rubric, err := rubricFor(c.Rubric, l)
	if err != nil {
		return err
	}
	v, err := review.Of(l, rubric, nil)
	if err != nil {
		return replayError(c.File, l, err)
	}
	p := &page.Report{Program: version, Rubric: rubric, Review: v, Lesson: lessonOf(l)}
	if c.With != "" {
		if p.Other, err = c.beside(s, v, rubric); err != nil {
			return err
		}
	}
	// From here on nothing is refused, so there may be more than one line.
	told := newProgress(s)
	defer told.end()
	told.step("the careful hand on the same surface", review.ParPrints)
	if p.Par, err = review.NewPar(l, rubric, told.at); err != nil {
		s.remark("%s: %v", c.File, err)
	}
	told.step("trying other decisions", review.Trials(l))
	p.Decisions, p.Whole, err = review.Decisions(l, review.UsualSearch(rubric), spread(told))
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

// beside reads the other run and holds the first beside it.
func (c *reportCommand) beside(s streams, v *review.Review, by *score.Rubric) (*page.Other, error) {
	l, err := readRun(s, c.With)
	if err != nil {
		return nil, err
	}
	o, err := review.Of(l, by, nil)
	if err != nil {
		return nil, replayError(c.With, l, err)
	}
	apart, err := review.Part(v, o)
	if err != nil {
		return nil, fmt.Errorf("%s and %s: %w", c.File, c.With, err)
	}
	return &page.Other{Review: o, Apart: apart}, nil
}

// lessonOf is the lesson of a run when there is one of that name still.
func lessonOf(l *run.Log) *lessons.Lesson {
	found, err := lessons.Load(l.Header.Lesson)
	if err != nil {
		return nil
	}
	return found
}

// spread does jobs on all processors. The search is bounded by its work and by no
// clock, so that a run has one page.
func spread(told *progress) review.Spread {
	return func(jobs []func()) error {
		inParallel(len(jobs), func(n int) {
			jobs[n]()
			told.one()
		})
		return nil
	}
}
