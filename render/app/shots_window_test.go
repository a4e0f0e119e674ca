//go:build window

package app

import (
	"flag"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/bench"
	"github.com/before-iron/beforeiron/render/debrief"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/scene/trial"
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
)

var (
	shotsDir = flag.String("shots", "", "keep the pictures of screens, whole, in this folder")
	update   = flag.Bool("update", false, "write the goldens anew; each is to be looked at by a person")
)

func newImage(width, height int) *ebiten.Image { return ebiten.NewImage(width, height) }

type shooter struct {
	t  *testing.T
	w  *Window
	in kit.Input
	m  *ebiten.Image
}

func newShooter(t *testing.T, width, height int, textScale float64) *shooter {
	set := store.Defaults()
	set.TextScale, set.SkipWaiting = textScale, true
	s := &shooter{t: t, w: newWindow(store.Store{Folder: store.NewMemory()}, set)}
	s.w.desk.StepTime = 1e9
	s.w.scatter = func() uint64 { return 1 }
	s.in.Size = kit.Rect{W: float64(width), H: float64(height)}
	s.m = newImage(width, height)
	return s
}

func (s *shooter) ticks(n int) {
	for range n {
		if err := s.w.Take([]kit.Input{s.in}); err != nil {
			s.t.Fatal(err)
		}
		s.in.Typed = nil
	}
}

func (s *shooter) typed(text string) {
	for _, r := range text {
		s.in.Typed = []rune{r}
		s.ticks(1)
		s.ticks(3)
	}
}

func (s *shooter) drag(places ...[2]float64) {
	s.in.X, s.in.Y = places[0][0], places[0][1]
	s.ticks(1)
	s.in.Main = true
	for _, p := range places {
		s.in.X, s.in.Y = p[0], p[1]
		s.ticks(1)
	}
	s.in.Main = false
	s.ticks(2)
}

// shoot draws the window and holds it against the golden of that name.
func (s *shooter) shoot(name string) {
	s.t.Helper()
	s.w.Paint(s.m)
	whole := pixels(s.m)
	if *shotsDir != "" {
		write(s.t, filepath.Join(*shotsDir, name+".png"), whole)
	}
	now := stepped(shrunk(whole, smaller))
	golden := filepath.Join("testdata", "screens", name+".png")
	if *update {
		write(s.t, golden, now)
		return
	}
	f, err := os.Open(golden)
	if err != nil {
		s.t.Error(err)
		return
	}
	defer f.Close()
	m, err := png.Decode(f)
	if err != nil {
		s.t.Error(err)
		return
	}
	if off, far := differ(now, m); off > mostOff || far > mostFar {
		s.t.Errorf("%s: differs from its golden by %.1f of 255 in the mean, and by more than %d in %.1f %% of its places", name, off, farOff, 100*far)
	}
}

func write(t *testing.T, name string, m image.Image) {
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(f, m); err != nil {
		t.Fatal(err)
	}
}

// smaller is by how much goldens are smaller than screens, either way: what
// matters is seen, and the grain of iron does not fill the repository.
const smaller = 2

// shrunk is a picture by times smaller either way.
func shrunk(m *image.RGBA, times int) *image.RGBA {
	b := m.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dx()/times, b.Dy()/times))
	for y := range out.Bounds().Dy() {
		for x := range out.Bounds().Dx() {
			var sum [3]int
			for dy := range times {
				for dx := range times {
					o := m.PixOffset(x*times+dx, y*times+dy)
					for c := range sum {
						sum[c] += int(m.Pix[o+c])
					}
				}
			}
			o := out.PixOffset(x, y)
			for c := range sum {
				out.Pix[o+c] = byte(sum[c] / (times * times))
			}
			out.Pix[o+3] = 255
		}
	}
	return out
}

// stepped is a picture with its colours in 32 steps.
func stepped(m *image.RGBA) *image.RGBA {
	for i := range m.Pix {
		if i%4 != 3 {
			m.Pix[i] = (min(m.Pix[i], 251) + 4) &^ 7
		}
	}
	return m
}

// A picture may differ from its golden by mostOff in the mean, and by more than
// farOff in a share mostFar of its places: another version of the renderer rounds
// otherwise, and no more.
const (
	mostOff = 3.0
	farOff  = 40
	mostFar = .01
)

func differ(a, b image.Image) (mean, far float64) {
	if a.Bounds() != b.Bounds() {
		return 255, 1
	}
	sum, many, n := 0, 0, 0
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			r0, g0, b0, _ := a.At(x, y).RGBA()
			r1, g1, b1, _ := b.At(x, y).RGBA()
			most := 0
			for _, d := range [3]int{int(r0>>8) - int(r1>>8), int(g0>>8) - int(g1>>8), int(b0>>8) - int(b1>>8)} {
				most = max(most, d, -d)
			}
			sum += most
			n++
			if most > farOff {
				many++
			}
		}
	}
	return float64(sum) / float64(n), float64(many) / float64(n)
}

// decided is the debrief of a short run on the page of its dearest decisions, which
// take some seconds to be found: once for all sizes. Its one cut digs a corner deep.
func decided(t *testing.T) Scene {
	desk := newDesk(store.Store{Folder: store.NewMemory()}, 1)
	l, err := lessons.Load("coupon")
	if err != nil {
		t.Fatal(err)
	}
	w, err := work.BeginLesson(desk.Store, l, 6, 1)
	if err != nil {
		t.Fatal(err)
	}
	trial.Do(t, w, bench.FirstPrint(8)...)
	trial.Do(t, w, run.Act{Cut: &run.Cut{Depth: 4000, Area: &run.Area{Region: square(500, 2500), Dir: 785, Length: 1200, Spacing: 800}}}, run.Act{SignOff: &run.SignOff{}})
	d := debrief.Of(desk, w)
	h := drive.New(1280, 800, 1, func(u *kit.UI) { d.Tick(u) })
	settled(t, h)
	if err := h.Click("page.2"); err != nil {
		t.Fatal(err)
	}
	if err := h.Until(func() bool { time.Sleep(5 * time.Millisecond); return h.Node("searched") != nil }); err != nil {
		t.Fatal(err)
	}
	return d
}

func TestShots(t *testing.T) {
	decisions := decided(t)
	for _, c := range []struct {
		width, height int
		scale         float64
		ending        string
	}{{1280, 800, 1, ""}, {1920, 1080, 1, "-large"}, {1280, 800, 2, "-200"}} {
		sh := newShooter(t, c.width, c.height, c.scale)
		sh.w.desk.Store = folder(t)
		sh.w.desk.Today = newDesk(store.Store{}, 1).Today
		for name, make := range screens(t, &sh.w.desk) {
			sh.w.show(make(), false)
			sh.settle()
			if name == "shelf" || name == "shelf-empty" {
				sh.untilShown("front", c.scale == 1)
			}
			sh.shoot(name + c.ending)
		}
		sh.w.show(decisions, false)
		sh.settle()
		sh.shoot("debrief-decisions" + c.ending)
		sh.careful(c.ending)
		sh.told(c.ending)
		sh.bench(c.ending)
		sh.dressed(c.ending)
	}
}

// careful shoots the debrief of a run that the careful hand signed off: a loss,
// the face as it was, what a cut did to it, and another run beside it.
func (s *shooter) careful(ending string) {
	l, err := lessons.Load("coupon")
	if err != nil {
		s.t.Fatal(err)
	}
	r, err := l.Begin(19, 19, "careful", "")
	if err != nil {
		s.t.Fatal(err)
	}
	if err := (hand.Careful{}).Work(r, 45, nil); err != nil {
		s.t.Fatal(err)
	}
	_, lines, err := s.w.desk.Store.Begin("careful")
	if err != nil {
		s.t.Fatal(err)
	}
	w, err := run.NewWriter(lines, r.Header())
	for _, e := range r.Entries() {
		if err == nil {
			err = w.Entry(e)
		}
	}
	if err != nil {
		s.t.Fatal(err)
	}
	s.w.toDebrief(scene.Next{Name: "careful"})
	s.settle()
	s.press("losses.0")
	s.settle()
	s.shoot("debrief-loss" + ending)
	s.typed(strings.Repeat(",", 45) + "...") // to the first print, and to the fourth
	s.settle()
	for _, sees := range []struct{ id, name string }{{"sees.1", "truth"}, {"sees.2", "cut"}, {"sees.3", "did"}} {
		s.press(sees.id)
		s.shoot("debrief-" + sees.name + ending)
	}
	s.press("sees.0")
	s.press("page.1")
	s.settle()
	s.shoot("debrief-beside" + ending)
	s.press("page.3")
	s.shoot("debrief-coach" + ending)
}

// told shoots what can be said of a class.
func (s *shooter) told(ending string) {
	s.w.desk.Store = folder(s.t)
	s.w.goTo(scene.Next{To: scene.Class})
	s.ticks(2)
	s.press("mark")
	s.settle()
	s.shoot("class-told" + ending)
}

// press presses what can be reached by keys, seen or not.
func (s *shooter) press(id string) {
	s.t.Helper()
	for _, n := range s.w.ui.Nodes() {
		if n.ID == id {
			s.w.ui.FocusOn(id)
			s.ticks(1)
			s.key(kit.Enter)
			s.ticks(2)
			return
		}
	}
	s.t.Fatalf("there is no %q", id)
}

// dressed shoots the bench in other dresses.
func (s *shooter) dressed(ending string) {
	s.typed("1")
	s.ticks(2)
	for _, d := range []struct {
		iron, pigment string
		pattern       bool
	}{{"light", "blue", false}, {"dark", "red", true}} {
		s.w.set.Iron, s.w.set.Pigment, s.w.set.Pattern = d.iron, d.pigment, d.pattern
		s.w.changed()
		s.ticks(2)
		s.w.ui.Spoil()
		s.ticks(1)
		s.shoot("bench-" + d.iron + "-" + d.pigment + ending)
	}
}

// settle ticks until nothing moves any more.
func (s *shooter) settle() {
	for range 4000 {
		s.ticks(1)
		moving := false
		for _, n := range s.w.ui.Nodes() {
			moving = moving || n.Role == kit.RoleProgress
		}
		if !moving {
			s.ticks(2)
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	s.t.Fatal("the scene never comes to rest")
}

// untilShown waits for a node that is made beside the window.
func (s *shooter) untilShown(id string, expected bool) {
	for range 2000 {
		for _, n := range s.w.ui.Nodes() {
			if n.ID == id {
				return
			}
		}
		if !expected {
			return
		}
		time.Sleep(5 * time.Millisecond)
		s.ticks(1)
	}
	s.t.Fatalf("%s is never shown", id)
}

// bench shoots the bench in its states.
func (s *shooter) bench(ending string) {
	s.w.desk.Store = store.Store{Folder: store.NewMemory()}
	if err := s.w.firstTime(); err != nil {
		s.t.Fatal(err)
	}
	s.ticks(3)
	s.shoot("bench" + ending)
	b := s.w.top().(*bench.Bench)
	v := b.Stage().View
	at := func(x, y float64) [2]float64 {
		px, py := v.Px(x, y)
		return [2]float64{px, py}
	}
	s.drag(at(40, 36), at(56, 34), at(70, 36), at(64, 42), at(44, 44), at(40, 40))
	s.shoot("bench-painted" + ending)
	s.typed("c")
	s.ticks(5)
	s.shoot("bench-stale" + ending)
	s.typed("o")
	s.ticks(2)
	s.shoot("bench-stale-asked" + ending)
	s.key(kit.Escape)
	s.typed("r")
	s.ticks(5)
	s.shoot("bench-cut" + ending)
	s.typed("h")
	s.ticks(2)
	s.click("push")
	s.ticks(5)
	s.shoot("bench-checks" + ending)
	s.typed("u")
	s.ticks(2)
	s.shoot("bench-setup" + ending)
	s.click("setup.pages.3")
	s.click("supports.1")
	s.shoot("bench-supports" + ending)
	s.key(kit.Escape)
	s.typed("bo")
	s.ticks(2)
	s.press("fill") // in large words the buttons have to be scrolled to
	s.shoot("bench-sheet" + ending)
	s.key(kit.Escape)
	s.typed("b")
	s.typed("4")
	s.drag(at(50, 37))
	s.ticks(5)
	s.shoot("bench-frame" + ending)
	s.typed("1i")
	s.ticks(5)
	s.shoot("bench-indicator" + ending)
	s.typed("5")
	s.ticks(2)
	s.shoot("bench-rub" + ending)
}
