package score

import "testing"

// The dearest loss stands first, and economy that does not count, which only
// follows from a face off target, last, however dear.
func TestDearest(t *testing.T) {
	r := &Report{Losses: []Loss{{Rule: targetMissed, Cost: 15}, {Rule: "a", Cost: 2}, {Rule: "b", Cost: 9}}}
	for i, want := range []string{"b", "a", targetMissed} {
		if got := r.Dearest()[i].Rule; got != want {
			t.Errorf("loss %d is %s, want %s", i+1, got, want)
		}
	}
	if r.Losses[0].Rule != targetMissed {
		t.Error("the report's own order changed")
	}
	if o, p, e, i := Standard().Most(); o != 60 || p != 25 || e != 15 || i != 10 {
		t.Errorf("the standard rubric gives %g, %g, %g and %g, want the 60, 25, 15 and 10 of MARKS.md", o, p, e, i)
	}
}
