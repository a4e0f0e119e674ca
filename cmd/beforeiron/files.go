package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/surface"
)

// heights are what a file holds: heights as they were measured, or lines that were
// solved for them.
type heights struct {
	*surface.Data
	lines  []gauge.SurveyLine
	survey *gauge.Survey // nil unless lines were read
}

// readHeights reads measured heights and passes on what the reader remarked. Lines
// over a plate are solved for the heights of their stations.
func readHeights(s streams, name, unit string) (*surface.Data, error) {
	h, err := readHeightsOrLines(s, name, unit)
	if err != nil {
		return nil, err
	}
	return h.Data, nil
}

func readHeightsOrLines(s streams, name, unit string) (*heights, error) {
	b, err := files.Read(name)
	if err != nil {
		return nil, err
	}
	h := &heights{}
	if ext := strings.ToLower(filepath.Ext(name)); (ext == ".csv" || ext == ".txt") && gauge.HoldsLines(b) {
		err = h.solve(b, unit)
	} else {
		h.Data, err = surface.Decode(name, b, surface.ReadOptions{Unit: unit})
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	for _, w := range h.Warnings {
		s.remark("%s: %s", name, w)
	}
	if h.survey == nil && !h.UnitStated {
		low, high := math.Inf(1), math.Inf(-1)
		for _, z := range h.Points().Z {
			low, high = min(low, z), max(high, z)
		}
		s.remark("%s: it states no unit, so its heights are taken in um, of which they span %s; if they are not, give --unit mm, in, thou or tenth", name, decimal(high-low))
	}
	return h, nil
}

// solve takes the heights from lines.
func (h *heights) solve(content []byte, unit string) (err error) {
	if unit != "" {
		return errors.New("--unit is not for lines: they state their own")
	}
	if h.lines, err = gauge.ReadLines(content); err != nil {
		return err
	}
	if h.survey, err = gauge.Solve(h.lines); err != nil {
		return err
	}
	h.Data, err = surface.FromCloud(h.survey.Cloud())
	return err
}

// place is where a result is to be written; there must be no file there yet
// unless force is given, and force is no leave to write over a file that is read.
func place(name string, force bool, read ...string) (string, error) {
	info, err := os.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return name, nil
	case err != nil:
		return "", files.Plain(err)
	case info.IsDir():
		return "", fmt.Errorf("%s is a folder: name a file", name)
	case !force:
		return "", fmt.Errorf("%s exists already: give --force to replace it", name)
	}
	// The file that a link stands for is replaced, and not the link.
	if name, err = filepath.EvalSymlinks(name); err != nil {
		return "", files.Plain(err)
	}
	if info, err = os.Stat(name); err == nil && !info.Mode().IsRegular() {
		return "", fmt.Errorf("%s is no plain file: name another", name)
	}
	for _, r := range read {
		if other, e := os.Stat(r); err == nil && e == nil && os.SameFile(info, other) {
			return "", fmt.Errorf("%s is what is read: name another file to write", r)
		}
	}
	return name, nil
}

// draft is a file that is written beside its place and takes it when it is
// whole, so that nobody finds half a file there.
type draft struct {
	*os.File
	name  string // where it belongs
	force bool
}

func newDraft(name, ending string, force bool) (*draft, error) {
	name, err := place(name, force)
	if err != nil {
		return nil, err
	}
	for n := 0; ; n++ {
		beside := fmt.Sprintf("%s.%d-%d.%s", name, os.Getpid(), n, ending)
		f, err := os.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("%s cannot be written: %w", name, files.Plain(err))
		}
		return &draft{f, name, force}, nil
	}
}

// keep gives a finished draft its name.
func (d *draft) keep() error {
	err := d.Sync()
	if e := d.Close(); err == nil {
		err = e
	}
	if err == nil {
		// Somebody may have come first while it was written.
		_, err = place(d.name, d.force)
	}
	if err == nil {
		err = os.Rename(d.File.Name(), d.name)
	}
	if err != nil {
		return files.Plain(err)
	}
	// The name is safe once the folder is; not every system can do that.
	if folder, err := os.Open(filepath.Dir(d.name)); err == nil {
		folder.Sync()
		folder.Close()
	}
	return nil
}

// drop gives a draft up.
func (d *draft) drop() {
	d.Close()
	os.Remove(d.File.Name())
}

// save writes a file whole or not at all.
func save(name string, content []byte, force bool) error {
	d, err := newDraft(name, "tmp", force)
	if err != nil {
		return err
	}
	if _, err = d.Write(content); err == nil {
		err = d.keep()
	}
	if err != nil {
		d.drop()
		return fmt.Errorf("%s cannot be written: %w", name, files.Plain(err))
	}
	return nil
}
