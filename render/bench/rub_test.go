package bench

import (
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/seat"
)

// A straightedge is laid on the part: the part stays face up, the outline follows the
// hand, and the path handed on is that of the part under it.
func TestAStraightedgeIsLaidOnThePart(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	l := *b.bench.work.Lesson
	l.Setup.Master.Kind, l.Setup.Master.LengthMM, l.Setup.Master.WidthMM = seat.Straightedge, 300, 60
	wk, err := work.BeginLesson(b.desk.Store, &l, 1, 1)
	b.must(err)
	b.bench = New(b.desk, wk)
	b.Ticks(2)
	b.Type("r")
	b.rest()
	_, _, _, edge := b.bench.work.Run.Grid().Edges()
	if m := b.bench.Stage().Over.Master; m == nil || !m.Up || m.Film != b.bench.routine.film || m.Y0 <= edge {
		t.Errorf("at rest it is shown as %+v, not beside the part with its blue up", m)
	}
	b.Type("5")
	b.Ticks(2)
	s := b.bench.Stage()
	if s.Back || s.Over.Master == nil || s.Over.Master.Up || s.Film.UM != 0 {
		t.Fatalf("the part is shown face down: %v, the master as %v", s.Back, s.Over.Master)
	}
	if n := b.Node("guidance"); !strings.Contains(n.Label, "straightedge over the part") {
		t.Errorf("it says %q", n.Label)
	}
	before := *s.Over.Master
	b.Key(kit.Right)
	b.Ticks(1)
	if after := *b.bench.Stage().Over.Master; after.X0 <= before.X0 || b.bench.rub.at[0] >= 0 {
		t.Errorf("the hand went right, the outline from %v to %v, the path to %v", before, after, b.bench.rub.at)
	}
}
