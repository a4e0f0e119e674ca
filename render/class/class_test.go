package class

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/kit/inspect"
	"github.com/before-iron/beforeiron/render/scene/trial"
	"github.com/before-iron/beforeiron/sim/run"
)

// attempt is the file of a run that was printed once and signed off.
func attempt(t *testing.T, seed uint64) []byte {
	t.Helper()
	r := trial.Coupon(t, seed, append(trial.Print(), run.Act{SignOff: &run.SignOff{}})...)
	var b bytes.Buffer
	w, err := run.NewWriter(&b, r.Header())
	for _, e := range r.Entries() {
		if err == nil {
			err = w.Entry(e)
		}
	}
	if err == nil {
		err = w.Seal(run.Seal{Digest: r.Digest(), Acts: len(r.Entries())})
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Of a folder with four seats, a copy and an altered run: the altered one is
// refused by name, the copy is named, one that lost its end is said to have, marks of
// the few are not told, and the gradebook has every seat.
func TestClass(t *testing.T) {
	desk := trial.Desk()
	one := attempt(t, 1)
	two := attempt(t, 2)
	files := map[string][]byte{"a1.run": one, "a2.run": two[:len(two)-30], "a3.run": attempt(t, 3), "a4_copy.run": one,
		"a5.run": bytes.Replace(one, []byte(`"film":800`), []byte(`"film":801`), 1), "notes.txt": []byte("no run")}
	for name, content := range files {
		if err := desk.Store.Write("class/"+name, content); err != nil {
			t.Fatal(err)
		}
	}
	s := New(desk)
	defer s.Leave()
	h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
	press := func(id string) {
		t.Helper()
		if err := h.Press(id); err != nil {
			t.Fatal(err)
		}
	}
	press("mark")
	if err := h.Until(func() bool { time.Sleep(time.Millisecond); return h.Node("marking") == nil }); err != nil {
		t.Fatal(err)
	}
	said := ""
	for _, n := range h.UI.Nodes() {
		said += fmt.Sprintf("%s: %s %s\n", n.ID, n.Label, n.Value)
	}
	for _, want := range []string{"Refused: a5.run: line", "altered", "a2.run: line 7 was only half", "a2.run has no seal", "a1.run, a4_copy.run hold the same acts", "4 people, 4 runs", "Left out: fewer than three people"} {
		if !strings.Contains(said, want) {
			t.Errorf("it does not say %q:\n%s", want, said)
		}
	}
	for _, size := range [][3]float64{{1280, 800, 1}, {1920, 1080, 1}, {1280, 800, 2}, {1366, 768, 2.5}} {
		wide := drive.New(size[0], size[1], size[2], func(u *kit.UI) { s.Tick(u) })
		for _, p := range inspect.Faults(wide.UI.Nodes(), size[2], wide.In.Size) {
			t.Errorf("%v: %s", size, p)
		}
	}
	press("write")
	b, err := desk.Store.Read("class-results/gradebook.csv")
	if err != nil {
		t.Fatal(err)
	}
	if lines := bytes.Count(b, []byte("\r\n")); lines != 5 || bytes.Contains(b, []byte("a5")) {
		t.Errorf("the gradebook has %d lines, want a head and four attempts:\n%s", lines, b)
	}
	for _, name := range []string{"class.html", "statements.json"} {
		if b, err := desk.Store.Read("class-results/" + name); err != nil || len(b) == 0 {
			t.Errorf("%s: %v, %d bytes", name, err, len(b))
		}
	}
}
