package validity

import (
	"testing"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/score"
)

// A face that the careful hand signed off is as good when it is measured anew; bent
// beside its middle line, where no instrument of the marks is drawn, it is not.
func TestMeasuredAnew(t *testing.T) {
	part, err := Begin(score.Standard(), 103)
	if err != nil {
		t.Fatal(err)
	}
	r, rep, err := part.worked(1, hand.Careful{})
	if err != nil || !rep.Marks.Passed {
		t.Fatalf("%+v, %v", rep.Marks, err)
	}
	m, err := r.Truth()
	if err != nil {
		t.Fatal(err)
	}
	target := r.Header().Setup.Target
	good, err := measureAnew(m, target)
	if err != nil || good.lack(target) != "" {
		t.Errorf("%+v misses %q, %v", good, good.lack(target), err)
	}
	for k := range m.Z {
		if y := m.Y(k / m.NX); y > WidthMM-14 {
			m.Z[k] -= y - (WidthMM - 14)
		}
	}
	bent, err := measureAnew(m, target)
	if err != nil || bent.lack(target) == "" || bent.BlockUM < 4 {
		t.Errorf("bent: %+v misses %q, %v", bent, bent.lack(target), err)
	}
}
