package main

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/surface"
)

// readRun reads a run file; a last line that was only half written is dropped
// and said.
func readRun(s streams, name string) (*run.Log, error) {
	content, err := files.Read(name)
	if err != nil {
		return nil, err
	}
	return parseRun(s, name, content)
}

func parseRun(s streams, name string, content []byte) (*run.Log, error) {
	l, err := run.Read(bytes.NewReader(content))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if l.Torn > 0 {
		s.remark("%s: line %d was only half written and is left out", name, l.Torn)
	}
	return l, nil
}

// isRun tells a run from measured heights.
func isRun(name string, content []byte) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv", ".txt", ".sdf", ".x3p":
		return bytes.HasPrefix(content, []byte(`{"header":`))
	}
	return true
}

// replayError gives what a replay found its line in the file, and its exit code:
// a run that comes out otherwise is an answer, one that cannot be made again is
// bad input.
func replayError(name string, l *run.Log, err error) error {
	var act *run.Differs
	var digest *run.DigestDiffers
	switch {
	case errors.As(err, &act):
		// The header is line 1, so act n stands on line n + 1.
		return &no{fmt.Sprintf("%s: line %d: %v", name, act.N+1, err)}
	case errors.As(err, &digest):
		return &no{fmt.Sprintf("%s: line %d: %v", name, len(l.Entries)+2, err)}
	case errors.Is(err, run.ErrLocked):
		return &no{fmt.Sprintf("%s: %v", name, err)}
	case errors.Is(err, run.ErrOtherPhysics):
		return &no{fmt.Sprintf("%s: not re-checked: it was made under physics version %d, this is %d", name, l.Header.Physics, run.Physics)}
	}
	return fmt.Errorf("%s: %w", name, err)
}

var errReached = errors.New("the cycle that was asked for is reached")

// heightsOf makes a run again up to the end of a cycle, or to its end when cycle
// is negative: the heights as they were just before the print that follows.
func heightsOf(l *run.Log, cycle int) (*surface.Map, error) {
	if l.Header.Setup.Scored && !l.SignedOff() {
		return nil, run.ErrLocked
	}
	prints := printsIn(l)
	if cycle > prints {
		return nil, fmt.Errorf("cycle %d: the run has %d: give 0 (as it began) to %d", cycle, prints, prints)
	}
	var m *surface.Map
	r, err := run.Replay(l, func(r *run.Run, e *run.Entry) (err error) {
		// Printing and lifting change no height.
		if e != nil && e.Out.Print != nil && e.Out.Print.N == cycle+1 {
			if m, err = r.Truth(); err == nil {
				err = errReached
			}
		}
		return err
	})
	if m == nil && err == nil {
		m, err = r.Truth()
	}
	if m != nil && errors.Is(err, errReached) {
		err = nil
	}
	return m, err
}

func printsIn(l *run.Log) int {
	n := 0
	for _, e := range l.Entries {
		if e.Out.Print != nil {
			n = e.Out.Print.N
		}
	}
	return n
}
