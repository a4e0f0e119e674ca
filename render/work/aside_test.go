package work

import (
	"errors"
	"runtime"
	"sync/atomic"
	"testing"
	"time"
)

// What is made beside the window ends as soon as nobody waits for it, and is
// there for whoever does.
func TestAside(t *testing.T) {
	made := StartAside(func(tell func(int, int) error) (string, error) { return "made", tell(3, 4) })
	for {
		if v, over, err := made.Get(); over {
			if v != "made" || err != nil || made.Share() != .75 {
				t.Errorf("it is %q, %v, %g done", v, err, made.Share())
			}
			break
		}
		time.Sleep(time.Millisecond)
	}
	endless := StartAside(func(tell func(int, int) error) (int, error) {
		for n := 0; ; n++ {
			if err := tell(n, n+1); err != nil {
				return n, err
			}
		}
	})
	endless.Leave()
	for {
		if _, over, err := endless.Get(); over {
			if !errors.Is(err, ErrLeft) {
				t.Errorf("left, it ends with %v", err)
			}
			return
		}
		time.Sleep(time.Millisecond)
	}
}

// All jobs are done, or none more from when tell answers an error.
func TestSpread(t *testing.T) {
	var did atomic.Int64
	jobs := make([]func(), 100)
	for k := range jobs {
		jobs[k] = func() { did.Add(1) }
	}
	if err := Spread(jobs, func() error { return nil }); err != nil || did.Load() != 100 {
		t.Errorf("%d of 100 jobs were done, %v", did.Load(), err)
	}
	did.Store(0)
	enough := errors.New("enough")
	err := Spread(jobs, func() error {
		if did.Load() >= 10 {
			return enough
		}
		return nil
	})
	if n := did.Load(); !errors.Is(err, enough) || n < 10 || n > 10+int64(runtime.GOMAXPROCS(0)) {
		t.Errorf("told after ten that it was enough, it did %d, %v", n, err)
	}
}

// What waits begins when the other is over, and goes on at once after one that was
// never begun.
func TestWait(t *testing.T) {
	var over atomic.Bool
	first := StartAside(func(func(int, int) error) (int, error) {
		time.Sleep(5 * time.Millisecond)
		over.Store(true)
		return 1, nil
	})
	second := StartAside(func(func(int, int) error) (bool, error) {
		first.Wait()
		return over.Load(), nil
	})
	second.Wait()
	if after, done, err := second.Get(); !after || !done || err != nil {
		t.Errorf("it began before the other was over: %v, %v, %v", after, done, err)
	}
	var none *Aside[int]
	none.Wait()
}
