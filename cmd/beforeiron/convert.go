package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/sim/surface"
)

type convertCommand struct {
	In    string `arg:"" help:"Heights (.csv, .sdf, .x3p) or a run."`
	Out   string `arg:"" help:"File to write: .csv, .sdf or .x3p."`
	Cycle *int   `placeholder:"N" help:"Of a run: heights at the end of cycle N, as they were just before the next print; 0 as it began. By default at the end."`
	Text  bool   `help:"Write an .sdf file as text instead of packed numbers."`
	Unit  string `placeholder:"UNIT" help:"Unit of the heights in a CSV file: um, mm, in, thou or tenth."`
	Force bool   `help:"Replace an existing file."`
}

func (c *convertCommand) Run(s streams) error {
	if _, err := place(c.Out, c.Force); err != nil {
		return err
	}
	if c.Text && !strings.EqualFold(filepath.Ext(c.Out), ".sdf") {
		return fmt.Errorf("--text is for .sdf files: %s is none", c.Out)
	}
	content, err := files.Read(c.In)
	if err != nil {
		return err
	}
	var d *surface.Data
	if isRun(c.In, content) {
		d, err = c.ofRun(s, content)
	} else if c.Cycle != nil {
		err = fmt.Errorf("--cycle is for runs: %s holds heights", c.In)
	} else {
		d, err = readHeights(s, c.In, c.Unit)
	}
	if err != nil {
		return err
	}
	form := surface.SDFBinary
	if c.Text {
		form = surface.SDFText
	}
	out, lost, err := surface.Encode(c.Out, d, form)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Out, err)
	}
	for _, l := range lost {
		s.remark("%s: %s", c.Out, l)
	}
	return save(c.Out, out, c.Force)
}

func (c *convertCommand) ofRun(s streams, content []byte) (*surface.Data, error) {
	l, err := parseRun(s, c.In, content)
	if err != nil {
		return nil, err
	}
	cycle := -1
	if c.Cycle != nil {
		if cycle = *c.Cycle; cycle < 0 {
			return nil, fmt.Errorf("--cycle is %d: give 0 (as it began) or more", cycle)
		}
	}
	m, err := heightsOf(l, cycle)
	if err != nil {
		return nil, replayError(c.In, l, err)
	}
	return &surface.Data{Map: m, Unit: "um"}, nil
}
