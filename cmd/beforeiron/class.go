package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/before-iron/beforeiron/lessons/class"
	"github.com/before-iron/beforeiron/lessons/page"
	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/sim/score"
)

type classCommand struct {
	Dir    string `arg:"" help:"Folder of runs (.run); a file's name up to the first dot or underscore is the code of a seat."`
	Out    string `short:"o" placeholder:"DIR" help:"Folder for gradebook.csv, class.html and statements.json (that of the runs)."`
	Rubric string `placeholder:"FILE" help:"Rubric to mark by; see beforeiron rubric."`
	Force  bool   `help:"Replace existing files."`
	JSON   bool   `name:"json" help:"Print JSON."`
}

// marked is one file of the folder: an attempt, or why it was refused.
type marked struct {
	attempt class.Attempt
	remarks []string
	err     error
}

func (c *classCommand) Run(s streams) error {
	var by *score.Rubric
	if c.Rubric != "" {
		var err error
		if by, err = readRubric(c.Rubric); err != nil {
			return err
		}
	}
	names, err := runsIn(c.Dir)
	if err != nil {
		return err
	}
	places, err := c.places()
	if err != nil {
		return err
	}
	all := make([]marked, len(names))
	told := newProgress(s)
	told.step("making runs again", len(names))
	inParallel(len(names), func(n int) {
		all[n] = markFile(filepath.Join(c.Dir, names[n]), by)
		told.one()
	})
	told.end()

	var attempts []class.Attempt
	var refused []string
	for n, m := range all {
		for _, r := range m.remarks {
			s.remark("%s", r)
		}
		if m.err != nil {
			s.remark("refused: %v", m.err)
			refused = append(refused, names[n])
			continue
		}
		attempts = append(attempts, m.attempt)
	}
	class.Sort(attempts)
	for _, twins := range class.Twins(attempts) {
		s.remark("%s hold the same acts: one may be a copy", strings.Join(twins, " and "))
	}
	if err := c.write(places, attempts, len(refused)); err != nil {
		return err
	}
	if err := c.tell(s, attempts, refused); err != nil {
		return err
	}
	if len(refused) > 0 {
		return &no{fmt.Sprintf("%d of %d runs were refused: %s", len(refused), len(names), strings.Join(refused, ", "))}
	}
	return nil
}

// runsIn are the names of the runs of a folder, sorted.
func runsIn(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, files.Plain(err)
	}
	var names []string
	for _, e := range entries {
		if !e.IsDir() && strings.EqualFold(filepath.Ext(e.Name()), ".run") {
			names = append(names, e.Name())
		}
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s holds no run: name a folder of .run files", dir)
	}
	slices.Sort(names)
	return names, nil
}

// What is written.
const (
	gradebookFile  = "gradebook.csv"
	classPageFile  = "class.html"
	statementsFile = "statements.json"
)

// places are where the results belong; it makes the folder when it is not there.
func (c *classCommand) places() (map[string]string, error) {
	dir := c.Out
	if dir == "" {
		dir = c.Dir
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, files.Plain(err)
	}
	out := map[string]string{}
	for _, name := range []string{gradebookFile, classPageFile, statementsFile} {
		out[name] = filepath.Join(dir, name)
		if _, err := place(out[name], c.Force); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (c *classCommand) write(places map[string]string, attempts []class.Attempt, refused int) error {
	p := page.Class{Program: version, Refused: refused, Summaries: class.Summaries(attempts)}
	html, err := p.HTML()
	if err != nil {
		return err
	}
	statements, err := class.Statements(attempts)
	if err != nil {
		return err
	}
	return errors.Join(
		save(places[gradebookFile], class.Gradebook(attempts), c.Force),
		save(places[classPageFile], html, c.Force),
		save(places[statementsFile], statements, c.Force),
	)
}

// classRow is an attempt as JSON.
type classRow struct {
	File    string  `json:"file"`
	Code    string  `json:"learner_code"`
	Lesson  *string `json:"lesson"`
	Attempt int     `json:"attempt"`
	Seed    uint64  `json:"seed"`
	Marks   float64 `json:"marks"`
	Passed  bool    `json:"passed"`
	Cycles  int     `json:"cycles"`
}

func (c *classCommand) tell(s streams, attempts []class.Attempt, refused []string) error {
	if c.JSON {
		rows := []classRow{}
		for _, a := range attempts {
			m := a.Report.Marks
			rows = append(rows, classRow{a.File, a.Code, named(a.Lesson), a.Number, a.Seed, m.Total, m.Passed, a.Report.Cycles})
		}
		return printJSON(s.out, struct {
			Runs    []classRow `json:"runs"`
			Refused []string   `json:"refused"`
		}{rows, append([]string{}, refused...)})
	}
	t := newTable(s.out)
	t.row("seat", "lesson", "attempt", "surface", "marks", "", "prints")
	for _, a := range attempts {
		passed := "not passed"
		if a.Report.Marks.Passed {
			passed = "passed"
		}
		t.row(a.Code, a.Lesson, a.Number, a.Seed, a.Report.Marks.Total, passed, a.Report.Cycles)
	}
	return t.end()
}

// markFile makes a run again and marks it by a rubric; nil is that of its own job.
func markFile(name string, by *score.Rubric) (m marked) {
	var out []string
	l, err := readRun(streams{remarks: &out}, name)
	m.remarks = out
	if err != nil {
		m.err = err
		return m
	}
	var finished time.Time
	if info, err := os.Stat(name); err == nil {
		finished = info.ModTime()
	}
	m.attempt, err = class.Mark(filepath.Base(name), l, finished, by)
	if err != nil {
		m.err = replayError(name, l, err)
		return m
	}
	if l.SignedOff() && l.Seal == nil {
		m.remarks = append(m.remarks, fmt.Sprintf("%s: it has no seal, so there is no digest to hold its heights against", name))
	}
	return m
}

// inParallel does n jobs on all processors.
func inParallel(n int, do func(int)) {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			for {
				k := int(next.Add(1)) - 1
				if k >= n {
					return
				}
				do(k)
			}
		})
	}
	all.Wait()
}
