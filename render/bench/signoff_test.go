package bench

import (
	"math"
	"sort"
	"testing"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// worker brings the part to bearing by nothing but input: it sees the reading
// that is drawn and what the instruments show, and moves a pointer and keys.
type worker struct {
	*table
	ticks int
	film  float64
	last  run.Print
	bald  float64 // share of 12 mm squares of the last print with next to no colour
}

func (w *worker) slide(id string, share float64) {
	w.t.Helper()
	n := w.Node(id)
	if n == nil || n.Visible().Empty() {
		w.t.Fatalf("%s cannot be seen", id)
	}
	tr := n.Track()
	x, y := tr.X+tr.W*share, tr.Y+tr.H/2
	w.Drag([2]float64{x, y}, [2]float64{x, y})
}

func (w *worker) setDepth(um float64) {
	w.slide("depth", float64(depthAt(um))/float64(len(depths)-1))
}

func (w *worker) setFilm(um float64) {
	w.slide("film", (um-thinnestFilm)/(thickestFilm-thinnestFilm))
}

func (w *worker) setLength(mm float64) { w.slide("length", (mm-shortest)/(longest-shortest)) }

// print goes through the routine and takes the print in.
func (w *worker) print(film float64) {
	w.setFilm(film)
	w.Type("r")
	w.rest()
	w.film = film
	for _, e := range w.bench.work.Run.Entries() {
		if e.Out.Print != nil {
			w.last = *e.Out.Print
		}
	}
	w.look()
}

func (w *worker) reading() *blue.Reading {
	w.t.Helper()
	r, fresh := w.bench.work.Run.Reading()
	if r == nil || !fresh {
		w.t.Fatal("there is no fresh print to read")
	}
	return r
}

// blue is the share of colour of each tile of side mm.
func (w *worker) blue(side float64) (share [][]float64) {
	r := w.reading()
	_, _, x1, y1 := r.Edges()
	nx, ny := int(math.Ceil(x1/side-1e-9)), int(math.Ceil(y1/side-1e-9))
	cells := make([][]float64, ny)
	share = make([][]float64, ny)
	for j := range share {
		share[j], cells[j] = make([]float64, nx), make([]float64, nx)
	}
	for k := range r.Colour {
		i, j := min(nx-1, int(r.X(k%r.NX)/side)), min(ny-1, int(r.Y(k/r.NX)/side))
		cells[j][i]++
		if r.Coloured(k) {
			share[j][i]++
		}
	}
	for j := range share {
		for i := range share[j] {
			share[j][i] /= cells[j][i]
		}
	}
	return share
}

// look takes the bald share of a fresh print in.
func (w *worker) look() {
	n, bald := 0.0, 0.0
	for _, row := range w.blue(12) {
		for _, s := range row {
			n++
			if s < .03 {
				bald++
			}
		}
	}
	w.bald = bald / n
}

// paintBlue paints the tiles with enough colour, row by row, by dragging a small
// brush along them.
func (w *worker) paintBlue(least float64) {
	const side = 2.0
	v := w.bench.view
	for j, row := range w.blue(side) {
		for i := 0; i < len(row); i++ {
			if row[i] < least {
				continue
			}
			from := i
			for i+1 < len(row) && row[i+1] >= least {
				i++
			}
			y := (float64(j) + .5) * side
			ax, ay := v.Px((float64(from)+.5)*side, y)
			bx, by := v.Px((float64(i)+.5)*side, y)
			w.Drag([2]float64{ax, ay}, [2]float64{bx, by})
		}
	}
}

// rows cuts what is painted, crossed from the last pass.
func (w *worker) rows(depth, length float64) {
	w.setDepth(depth)
	w.setLength(length)
	w.Type("x")
	w.Type("c")
	w.rest()
}

// points cuts single marks by example: a strong, a middling and a weak spot are
// pointed out, and the faintest is spared.
func (w *worker) points(depth float64) {
	spots := lay.Spots(w.reading())
	sort.SliceStable(spots, func(a, b int) bool {
		return spots[a].Colour+255*spots[a].Pale > spots[b].Colour+255*spots[b].Pale
	})
	click := func(s lay.Spot) {
		px, py := w.bench.view.Px(s.X, s.Y)
		w.Drag([2]float64{px, py})
	}
	w.Type("2")
	last := len(spots) - 1
	if last >= 5 {
		click(spots[last])
		click(spots[last])
	}
	for _, n := range []int{0, last / 2, last * 4 / 5} {
		click(spots[n])
	}
	w.rows(depth, 5)
	w.Type("1")
}

// work is the careful way: cross the machined skin out, take the blue down in
// rows, go over to single points, thin the film and lighten the cut, stop at the
// first print that is good and that the instruments confirm.
func (w *worker) work(target run.Target) {
	w.print(8)
	w.Type("a")
	w.rows(5, 15)
	w.Type("a")
	w.rows(5, 15)
	w.slide("brush", 0)
	for n := 0; ; n++ {
		film := 5.0
		if w.film > 5 && n > 0 && w.bald > .3 || n == 0 {
			film = 8
		}
		w.print(film)
		if film == 5 && w.bald < .1 {
			w.points(3.5)
			break
		}
		if n > 20 {
			w.t.Fatal("blue does not come everywhere")
		}
		if film == 8 {
			w.paintBlue(.12)
			w.rows(8, 15)
		} else {
			w.paintBlue(.3)
			w.rows(5, 10)
		}
	}
	for range 40 {
		film := target.FilmUM
		switch {
		case w.bald > .2 && w.film > film+1.5:
			film = w.film
		case w.bald > .05 && w.film > film+.5:
			film = w.film - .5
		}
		w.print(film)
		area := float64(w.last.Permille) / 10
		band := target.AreaPct[1] - target.AreaPct[0]
		if film <= target.FilmUM && float64(w.last.PerIn2)/100 >= 1.1*target.PointsPerIn2 && float64(w.last.FrameMin) >= 1.25*float64(target.FrameMin) &&
			area >= target.AreaPct[0]+.35*band && area <= target.AreaPct[1]-.2*band && w.confirmed(target) {
			w.signOff()
			return
		}
		depth := 2.2
		switch {
		case film > 3:
			depth = 3.5
		case area > target.AreaPct[1]:
			depth = 3
		case area < 15:
			depth = 2.5
		case area < target.AreaPct[0]:
			depth = 1.8
		}
		w.points(depth)
	}
	w.t.Fatal("the face never becomes good enough to sign off")
}

// confirmed reads block and indicator.
func (w *worker) confirmed(target run.Target) bool {
	read := func(key string) float64 {
		w.Type(key)
		w.rest()
		return w.bench.work.Run.Trace().Range()
	}
	bridged, bare := read("b"), read("i")
	return bridged <= target.BridgedUM && bare >= target.BareUM[0] && bare <= target.BareUM[1]
}

// signOff declares what the last print showed.
func (w *worker) signOff() {
	w.must(w.Click("signoff"))
	share := func(v, high float64) float64 { return (v + 1) / (high + 1) } // the left end is blank
	w.slide("sheet.points_per_in2", share(float64(w.last.PerIn2)/100, 80))
	w.slide("sheet.frame_min", share(float64(w.last.FrameMin), 80))
	w.slide("sheet.area_pct", share(float64(w.last.Permille)/10, 100))
	w.must(w.Click("sign"))
	w.rest()
}

// By injected input alone a careful strategy comes to sign-off within twelve
// minutes of the window's time, and the part that it signs off is accepted.
func TestCarefulByInputToSignOff(t *testing.T) {
	b := newTable(t, 1280, 800, 1)
	w := &worker{table: b}
	tick := b.Tick
	b.Tick = func(u *kit.UI) { w.ticks++; tick(u) }
	target := b.bench.work.Run.Header().Setup.Target
	w.work(target)
	if !b.bench.work.Run.Signed() {
		t.Fatal("not signed off")
	}
	const ticksAMinute = 60 * 60
	if minutes := float64(w.ticks) / ticksAMinute; minutes > 12 {
		t.Errorf("it took %.1f minutes, want at most 12", minutes)
	}
	report, err := score.Mark(&run.Log{Header: b.bench.work.Run.Header(), Entries: b.bench.work.Run.Entries()}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !report.Marks.Passed {
		t.Errorf("signed off after %d prints, but not accepted: %+v", report.Cycles, report.Marks)
	}
	t.Logf("%d prints, %d ticks, %.0f marks", report.Cycles, w.ticks, report.Marks.Total)
}
