package rubric

import (
	"os"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/scene/trial"
	"github.com/before-iron/beforeiron/sim/score"
)

// A teacher's rubric is read, shown as its formula and chosen; one that makes no
// sense is refused in one line and cannot be chosen, and runs are marked by the
// program's own then.
func TestChooseRubric(t *testing.T) {
	own, err := os.ReadFile("../../sim/score/standard.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(own)
	desk := trial.Desk()
	for name, content := range map[string]string{
		"mild.yaml":  strings.Replace(text, "name: standard", "name: mild", 1),
		"wrong.yaml": strings.Replace(text, "target: true", "target: false", 1),
	} {
		if content == text {
			t.Fatal("the program's own rubric is spelled otherwise now")
		}
		if err := desk.Store.Write("rubrics/"+name, []byte(content)); err != nil {
			t.Fatal(err)
		}
	}
	s := New(desk)
	h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
	press := func(id string) {
		t.Helper()
		if err := h.Press(id); err != nil {
			t.Fatal(err)
		}
	}
	press("rubrics.2")
	n := h.Node("trouble")
	if n == nil || !strings.Contains(n.Label, "gate") || strings.Contains(n.Label, "\n") || h.Node("use") != nil {
		t.Errorf("a rubric that makes no sense is told as %+v", n)
	}
	press("rubrics.1")
	lines := 0
	for _, n := range h.UI.Nodes() {
		if strings.HasPrefix(n.ID, "line.") {
			lines++
		}
	}
	if want := strings.Count(strings.TrimSpace(score.Standard().Formula()), "\n") + 1; lines != want {
		t.Errorf("the formula is told in %d lines, want %d", lines, want)
	}
	press("use")
	if r, err := desk.Rubric(); err != nil || r.Name != "mild" || desk.Set.Rubric != "mild.yaml" {
		t.Errorf("chosen, runs are marked by %v, %v", r, err)
	}
	desk.Set.Rubric = "wrong.yaml"
	if r, err := desk.Rubric(); err == nil || r.Name != "standard" {
		t.Errorf("a refused rubric marks by %v, %v", r, err)
	}
}
