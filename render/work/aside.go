package work

import (
	"errors"
	"runtime"
	"sync"
	"sync/atomic"
)

// Aside is something long that is made beside the window.
type Aside[T any] struct {
	mu          sync.Mutex
	done, total int
	left, over  bool
	value       T
	err         error
	end         chan struct{} // closed once it is over
}

// ErrLeft is what tell answers once nobody waits any more.
var ErrLeft = errors.New("nobody waits for it any more")

// StartAside begins to make it. Do calls tell often, from any goroutine, with how
// much is done, and ends early with the error that tell answers.
func StartAside[T any](do func(tell func(done, total int) error) (T, error)) *Aside[T] {
	a := &Aside[T]{total: 1, end: make(chan struct{})}
	go func() {
		defer close(a.end)
		v, err := do(a.tell)
		a.mu.Lock()
		defer a.mu.Unlock()
		a.value, a.err, a.over = v, err, true
	}()
	return a
}

// Wait comes back once it is made, or could not be; at once from one that was never
// begun. Of two that hold a run each, the other is begun by this when the memory of
// the one is free again.
func (a *Aside[T]) Wait() {
	if a != nil {
		<-a.end
	}
}

func (a *Aside[T]) tell(done, total int) error {
	Breathe()
	a.mu.Lock()
	defer a.mu.Unlock()
	a.done, a.total = done, max(1, total)
	if a.left {
		return ErrLeft
	}
	return nil
}

// Leave says that nobody waits for it any more.
func (a *Aside[T]) Leave() {
	if a == nil {
		return
	}
	a.mu.Lock()
	a.left = true
	a.mu.Unlock()
}

// Share is how much is done, 0 to 1.
func (a *Aside[T]) Share() float64 {
	a.mu.Lock()
	defer a.mu.Unlock()
	return min(1, float64(a.done)/float64(a.total))
}

// Done is how much is done, in its own measure.
func (a *Aside[T]) Done() int {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.done
}

// Get is what was made, or why it could not be; over is false before that. Of an
// Aside that was never begun there is nothing.
func (a *Aside[T]) Get() (v T, over bool, err error) {
	if a == nil {
		return v, false, nil
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.value, a.over, a.err
}

// Spread does jobs on all processors; tell is called after each, and its error
// ends the rest.
func Spread(jobs []func(), tell func() error) error {
	var next atomic.Int64
	var all sync.WaitGroup
	var ended atomic.Pointer[error]
	for range min(len(jobs), runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			for ended.Load() == nil {
				k := int(next.Add(1)) - 1
				if k >= len(jobs) {
					return
				}
				jobs[k]()
				if err := tell(); err != nil {
					ended.Store(&err)
				}
			}
		})
	}
	all.Wait()
	if err := ended.Load(); err != nil {
		return *err
	}
	return nil
}
