package work

import (
	"errors"
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
