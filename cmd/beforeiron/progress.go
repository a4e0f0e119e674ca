package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"
)

// progress tells people on standard error how far a long command is: on a terminal
// in one line that is written over, elsewhere a line now and then. What ends within
// a moment says nothing.
type progress struct {
	mu          sync.Mutex
	w           io.Writer
	over        bool // the line is written over
	name        string
	done, total int
	last        time.Time
	shown       bool
}

const (
	patience = time.Second     // before anything is said
	often    = time.Second / 5 // on a terminal
	seldom   = 5 * time.Second // elsewhere
)

func newProgress(s streams) *progress {
	p := &progress{w: s.err, last: time.Now()}
	if f, ok := s.err.(*os.File); ok {
		info, err := f.Stat()
		p.over = err == nil && info.Mode()&os.ModeCharDevice != 0
	}
	return p
}

// step begins a step of so many parts.
func (p *progress) step(name string, total int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.name, p.done, p.total = name, 0, total
	p.tell()
}

// at says how many parts are done.
func (p *progress) at(done int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done = done
	p.tell()
}

// one says that one more is.
func (p *progress) one() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done++
	p.tell()
}

func (p *progress) tell() {
	wait := seldom
	switch {
	case !p.shown:
		wait = patience
	case p.over:
		wait = often
	}
	if time.Since(p.last) < wait {
		return
	}
	p.last, p.shown = time.Now(), true
	if p.over {
		fmt.Fprintf(p.w, "\r\x1b[K%s: %d of %d", p.name, min(p.done, p.total), p.total)
		return
	}
	fmt.Fprintf(p.w, "%s: %d of %d\n", p.name, min(p.done, p.total), p.total)
}

// end takes the line away.
func (p *progress) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.over && p.shown {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
	p.shown = false
}
