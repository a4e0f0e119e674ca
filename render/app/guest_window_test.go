//go:build window

package app

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/exp/vmhost"

	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/sim/run"
)

// guest is the program as it is shipped, run without a window of its own: it is
// given real input and shows real frames.
type guest struct {
	*vmhost.GuestSession
	t      *testing.T
	screen *ebiten.Image
	data   string
}

const guestWidth, guestHeight = 1280, 800

// guestProgram builds the program to be a guest, once.
var guestProgram string

func build(t *testing.T) string {
	t.Helper()
	if guestProgram == "" {
		dir, err := os.MkdirTemp("", "guest")
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, "beforeiron")
		out, err := exec.Command("go", "build", "-tags", "ebitenginevmguest", "-o", name, "github.com/before-iron/beforeiron/cmd/beforeiron").CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		guestProgram = name
	}
	return guestProgram
}

func newGuest(t *testing.T, args ...string) *guest {
	t.Helper()
	g := &guest{t: t, data: t.TempDir()}
	// The path of a socket must be short.
	dir, err := os.MkdirTemp("", "vg")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	ln, err := net.Listen("unix", filepath.Join(dir, "s"))
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	endpoint, err := vmhost.EndpointURLFromAddr(ln.Addr())
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(build(t), append([]string{"open", "--data", g.data}, args...)...)
	cmd.Env = append(os.Environ(), "EBITENGINE_VM_ENDPOINT="+endpoint)
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if err := ln.(*net.UnixListener).SetDeadline(time.Now().Add(60 * time.Second)); err != nil {
		t.Fatal(err)
	}
	conn, err := ln.Accept()
	if err != nil {
		t.Fatal(err)
	}
	if g.GuestSession, err = vmhost.NewGuestSession(conn, nil); err != nil {
		t.Fatal(err)
	}
	g.screen = ebiten.NewImage(guestWidth, guestHeight)
	if err := g.SetOutsideScreen(g.screen); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := g.Close(); err != nil {
			t.Error(err)
		}
		if err := cmd.Wait(); err != nil {
			t.Errorf("the program ended badly: %v", err)
		}
	})
	g.ticks(30)
	return g
}

func (g *guest) ticks(n int) {
	g.t.Helper()
	g.AdvanceTicks(n)
	if !g.WaitTicks() {
		g.t.Fatalf("the program ended: %v", g.Err())
	}
}

func (g *guest) frame() {
	g.t.Helper()
	g.AdvanceFrame()
	if !g.WaitFrame() || !g.CompositeFrame() {
		g.t.Fatalf("no frame: %v", g.Err())
	}
}

func (g *guest) key(k ebiten.Key) {
	g.PressKey(k)
	g.ticks(1)
	g.ReleaseKey(k)
	g.ticks(1)
}

func (g *guest) typed(text string) {
	for _, r := range text {
		g.TypeRune(r)
		g.ticks(2)
	}
}

func (g *guest) drag(places ...[2]float64) {
	g.MoveCursor(places[0][0], places[0][1])
	g.ticks(2)
	g.PressMouseButton(ebiten.MouseButtonLeft)
	for _, p := range places {
		g.MoveCursor(p[0], p[1])
		g.ticks(1)
	}
	g.ReleaseMouseButton(ebiten.MouseButtonLeft)
	g.ticks(2)
}

func (g *guest) stroke(places ...[2]float64) {
	g.PressTouch(1, places[0][0], places[0][1])
	for _, p := range places {
		g.MoveTouch(1, p[0], p[1])
		g.ticks(1)
	}
	g.ReleaseTouch(1)
	g.ticks(2)
}

// run is the run in the data folder, once it has n acts.
func (g *guest) run(n int) *run.Log {
	g.t.Helper()
	s, err := store.At(g.data)
	if err != nil {
		g.t.Fatal(err)
	}
	for range 3000 {
		files, err := s.RunFiles()
		if err != nil {
			g.t.Fatal(err)
		}
		if len(files) == 1 {
			if saved := s.Load(files[0]); saved.Log != nil && saved.Log.Torn == 0 && len(saved.Log.Entries) >= n {
				return saved.Log
			}
		}
		g.ticks(1)
	}
	g.t.Fatalf("the data folder never held a run of %d acts", n)
	return nil
}

// Where things are in a window of 1280 by 800 at text scale 1.
var (
	cutButton     = [2]float64{1110, 519}
	routineButton = [2]float64{1110, 567}
	onFace        = [][2]float64{{430, 380}, {520, 370}, {600, 390}, {560, 420}}
)

// cycle checks that a run holds the print that a newcomer opens on, a cut of an
// area, and the whole routine after it, and that it comes out again.
func (g *guest) cycle() {
	g.t.Helper()
	const first, whole = 6, 14
	l := g.run(whole)
	var kinds []string
	for _, e := range l.Entries {
		kinds = append(kinds, e.Act.Kind())
	}
	want := []string{"stone", "wipe", "roll", "place", "rub", "lift", "cut", "stone", "wipe", "wipe", "roll", "place", "rub", "lift"}
	if len(kinds) != len(want) {
		g.t.Fatalf("the run holds %v, want %v", kinds, want)
	}
	for i := range want {
		if kinds[i] != want[i] {
			g.t.Fatalf("act %d is %s, want %s", i+1, kinds[i], want[i])
		}
	}
	if c := l.Entries[first]; c.Act.Cut.Area == nil || c.Out.Laid == 0 {
		g.t.Errorf("the cut laid %d strokes: %+v", c.Out.Laid, c.Act.Cut)
	}
	if _, err := run.Replay(l, nil); err != nil {
		g.t.Error(err)
	}
	g.frame()
}

func TestGuestCycleByPointer(t *testing.T) {
	g := newGuest(t)
	g.drag(onFace...)
	g.drag(cutButton)
	g.run(7)
	g.ticks(10)
	g.drag(routineButton)
	g.cycle()
}

func TestGuestCycleByKeys(t *testing.T) {
	g := newGuest(t)
	g.key(ebiten.KeyArrowLeft)
	g.key(ebiten.KeySpace)
	for range 8 {
		g.key(ebiten.KeyArrowRight)
	}
	g.key(ebiten.KeySpace)
	g.typed("c")
	g.run(7)
	g.ticks(10)
	g.typed("r")
	g.cycle()
}

func TestGuestCycleByTouch(t *testing.T) {
	g := newGuest(t)
	g.stroke(onFace...)
	g.stroke(cutButton, cutButton)
	g.run(7)
	g.ticks(10)
	g.stroke(routineButton, routineButton)
	g.cycle()
}

// Taps and clicks that begin and end within a tick, as a machine that is too busy
// delivers them, are all heard: a cycle by such keys and clicks.
func TestGuestHearsTapsWithinATick(t *testing.T) {
	g := newGuest(t)
	tap := func(k ebiten.Key) {
		g.PressKey(k)
		g.ReleaseKey(k)
		g.ticks(1)
	}
	tap(ebiten.KeyArrowLeft)
	tap(ebiten.KeySpace)
	for range 8 {
		tap(ebiten.KeyArrowRight)
	}
	tap(ebiten.KeySpace)
	click := func(at [2]float64) {
		g.MoveCursor(at[0], at[1])
		g.ticks(1)
		g.PressMouseButton(ebiten.MouseButtonLeft)
		g.ReleaseMouseButton(ebiten.MouseButtonLeft)
		g.ticks(1)
		g.MoveCursor(200, 700)
		g.ticks(1)
	}
	click(cutButton)
	g.run(7)
	g.ticks(10)
	click(routineButton)
	g.cycle()
}

// A newcomer opens on one obvious patch of blue.
func TestGuestOpensOnBlue(t *testing.T) {
	g := newGuest(t)
	g.frame()
	seen := pixels(g.screen)
	blue := 0
	for i := 0; i < len(seen.Pix); i += 4 {
		if r, b := seen.Pix[i], seen.Pix[i+2]; int(b) > int(r)+40 {
			blue++
		}
	}
	if share := float64(blue) / (guestWidth * guestHeight); share < .05 {
		t.Errorf("a newcomer opens on a window with %.1f %% blue, want one obvious patch", 100*share)
	}
}
