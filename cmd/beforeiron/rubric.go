package main

import (
	"fmt"

	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

type rubricCommand struct {
	File string `arg:"" optional:"" help:"Rubric to check (YAML); without one, that of the program."`
}

func (c *rubricCommand) Run(s streams) error {
	r, err := readRubric(c.File)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "%s\n\n%s", r.Name, r.Formula())
	return err
}

// readRubric is the rubric in a file, or that of the program when no file is named.
func readRubric(name string) (*score.Rubric, error) {
	if name == "" {
		return score.Standard(), nil
	}
	b, err := files.Read(name)
	if err != nil {
		return nil, err
	}
	return score.ParseRubric(name, b)
}

// rubricFor is the rubric in a file, or that of the run's own job when no file is
// named.
func rubricFor(name string, l *run.Log) (*score.Rubric, error) {
	if name == "" {
		return score.Of(l.Header.Setup)
	}
	return readRubric(name)
}
