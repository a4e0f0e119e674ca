package bench

import (
	"math"
	"slices"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/iron"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/sim/run"
)

// frameMM is the side of the inch frame.
const frameMM = 25.4

// counted is the inch frame where it was last laid, mm, and what it counted.
type counted struct {
	x, y float64
	n    int
}

// frameAt is the corner of the frame with its middle as near to (x, y) as the
// face lets it.
func (b *Bench) frameAt(x, y float64) (fx, fy float64) {
	x0, y0, x1, y1 := b.work.Run.Grid().Edges()
	return max(x0, min(x-frameMM/2, x1-frameMM)), max(y0, min(y-frameMM/2, y1-frameMM))
}

// aimed is where the frame is held now.
func (b *Bench) aimed() (fx, fy float64) {
	if b.cursor.shown {
		return b.frameAt(b.cursor.x, b.cursor.y)
	}
	return b.frameAt(b.view.MM(b.lamp.X, b.lamp.Y))
}

// lensSide is the side of the lens, points.
func (b *Bench) lensSide() float64 {
	room := b.layout.face.H - 28
	if b.shows != noInstrument {
		room -= b.instrumentHeight + 12
	}
	return math.Round(min(300, b.layout.face.W*.42, b.layout.face.H*.5, room))
}

// lensRect is where the lens hangs: in the corner away from the frame.
func (b *Bench) lensRect() kit.Rect {
	side, r := b.lensSide(), b.layout.face
	fx, fy := b.aimed()
	px, py := b.view.Px(fx+frameMM/2, fy+frameMM/2)
	out := kit.Rect{X: r.X + r.W - side - 12, Y: r.Y + 12, W: side, H: side}
	if px > r.X+r.W/2 && py < r.Y+r.H/2 {
		out.X = r.X + 12
	}
	return pixelRect(out)
}

// lens is the inch frame seen large.
func (b *Bench) lens() *iron.View {
	fx, fy := b.aimed()
	v := iron.Fit(b.view.Dst, fx, fy, fx+frameMM, fy+frameMM, 0)
	r := b.lensRect()
	v.Dst.Min.X, v.Dst.Min.Y = int(r.X), int(r.Y)
	v.Dst.Max.X, v.Dst.Max.Y = int(r.X+r.W), int(r.Y+r.H)
	v.PxPerMM = r.W / frameMM
	return &v
}

// drawCount shows what the frame counted, beside it.
func (b *Bench) drawCount(u *kit.UI) []kit.Mark {
	text := words.Count("bench.counted", b.frame.n)
	x, y := b.view.Px(b.frame.x, b.frame.y)
	side := frameMM * b.view.PxPerMM
	r := beside(kit.Rect{X: x, Y: y, W: side, H: side}, b.layout.face, u.Width(kit.Reading, text)+16, u.Line(kit.Reading)+4)
	return []kit.Mark{
		{Shape: kit.Fill, Points: corners(r), Ink: palette.Note},
		{Shape: kit.Words, Points: []kit.Point{{X: r.X + 8, Y: r.Y + 2}}, Text: text, Type: kit.Reading, Ink: palette.Text, Ground: palette.Note},
	}
}

// beside is where a label of w by h covers nothing of a frame on the face: under it,
// where no lens hangs, above it, or at its side. A frame that fills the face has it in
// its corner.
func beside(frame, face kit.Rect, w, h float64) kit.Rect {
	along := func(at, from, room float64) float64 { return max(from, min(at, from+room)) }
	x, y := along(frame.X, face.X, face.W-w), along(frame.Y, face.Y, face.H-h)
	switch {
	case frame.Y+frame.H+h <= face.Y+face.H:
		y = along(frame.Y+frame.H, face.Y, face.H-h)
	case frame.Y-h >= face.Y:
		y = along(frame.Y-h, face.Y, face.H-h)
	case frame.X-w >= face.X:
		x = along(frame.X-w, face.X, face.W-w)
	case frame.X+frame.W+w <= face.X+face.W:
		x = along(frame.X+frame.W, face.X, face.W-w)
	}
	return kit.Rect{X: x, Y: y, W: w, H: h}
}

func corners(r kit.Rect) []kit.Point {
	return []kit.Point{{X: r.X, Y: r.Y}, {X: r.X + r.W, Y: r.Y}, {X: r.X + r.W, Y: r.Y + r.H}, {X: r.X, Y: r.Y + r.H}}
}

// instrument is what stands on the bench with its last reading.
type instrument uint8

const (
	noInstrument instrument = iota
	indicator
	block
)

// measuring reports whether an instrument stands where a tool would mark metal to
// be cut. It reads the middle row, so there is no place on the face to give it.
func (b *Bench) measuring() bool {
	return b.shows != noInstrument && b.tool != frameTool && !b.rubbing()
}

// putAway takes the instrument off the bench.
func (b *Bench) putAway() {
	if b.shows != noInstrument {
		b.shows, b.guide.trouble = noInstrument, ""
	}
}

// measure uses an instrument; used again with nothing changed, it is put away.
func (b *Bench) measure(i instrument) {
	if b.shows == i {
		b.putAway()
		return
	}
	b.putAway()
	b.drag, b.cursor.down = nil, false
	if i == indicator {
		b.work.Do(run.Act{Indicate: &run.Indicate{}})
		return
	}
	b.work.Do(run.Act{Bridge: &run.Bridge{}})
}

// floating is what stands over the iron: the lens, and an instrument.
func (b *Bench) floating(u *kit.UI) {
	if b.over.Frame != nil {
		u.Glass(b.lensRect(), "lens", words.Say("bench.lens"), "", nil)
	}
	if b.shows != noInstrument && !b.rubbing() {
		b.drawInstrument(u)
	}
}

// drawInstrument shows the needle and the trace of the last reading.
func (b *Bench) drawInstrument(u *kit.UI) {
	t := b.work.Run.Trace()
	if len(t.UM) == 0 {
		return
	}
	face := b.layout.face
	line := u.Line(kit.Figure)
	b.instrumentHeight = math.Round(min(2*line+110, face.H-28))
	name := words.Say("bench.indicator.name")
	if b.shows == block {
		name = words.Say("bench.block.name")
	}
	value := b.desk.Set.Units.Height(t.Range())
	r := kit.Rect{W: min(face.W-24, 470*(1+(u.TextScale-1)*.5)), H: b.instrumentHeight}
	r.X, r.Y = face.X+12, face.Y+face.H-r.H-12
	r = pixelRect(r)
	side := r.H - 2*line - 20
	dial := kit.Rect{X: r.X + 12, Y: r.Y + 2*line + 12, W: side, H: side}
	plot := kit.Rect{X: dial.X + dial.W + 16, Y: dial.Y, W: r.X + r.W - dial.X - dial.W - 28, H: side}
	art := []kit.Mark{
		{Shape: kit.Words, Points: []kit.Point{{X: r.X + 12, Y: r.Y + 4}}, Text: u.Shorten(kit.Small, name, r.W-24), Type: kit.Small, Ink: palette.Dim, Ground: palette.Field},
		{Shape: kit.Words, Points: []kit.Point{{X: r.X + 12, Y: r.Y + 4 + u.Line(kit.Small)}}, Text: words.Say("bench.range", "range", value), Type: kit.Figure, Ink: palette.Accent, Ground: palette.Field},
	}
	const leastSide = 36 // below, a needle cannot be read
	if side >= leastSide {
		art = append(art, needle(dial, t.Range())...)
		art = append(art, plotTrace(plot, t)...)
	}
	u.Picture(r, "instrument", name, value, art)
}

// turnUM is what one turn of the needle is worth.
const turnUM = 50.0

// needle is the face of an indicator with its needle swung by the range.
func needle(r kit.Rect, um float64) []kit.Mark {
	mid := kit.Point{X: r.X + r.W/2, Y: r.Y + r.H/2}
	radius := r.W/2 - 4
	at := func(turn, share float64) kit.Point {
		s, c := math.Sincos(2*math.Pi*turn - math.Pi/2)
		return kit.Point{X: mid.X + c*radius*share, Y: mid.Y + s*radius*share}
	}
	art := []kit.Mark{{Shape: kit.Ring, Points: []kit.Point{mid}, Width: radius, Thick: 2, Ink: palette.Edge}}
	for i := range 25 {
		from, width := .88, 1.2
		if i%5 == 0 {
			from, width = .78, 2
		}
		art = append(art, kit.Mark{Shape: kit.Line, Points: []kit.Point{at(float64(i)/25, from), at(float64(i)/25, .97)}, Width: width, Ink: palette.Edge})
	}
	return append(art,
		kit.Mark{Shape: kit.Line, Points: []kit.Point{at(um/turnUM+.5, .2), at(um/turnUM, .84)}, Width: 2.6, Ink: palette.Accent},
		kit.Mark{Shape: kit.Circle, Points: []kit.Point{mid}, Width: 5, Ink: palette.Accent})
}

// plotTrace draws heights along the row, the highest at the top.
func plotTrace(r kit.Rect, t run.Trace) []kit.Mark {
	lo, hi := slices.Min(t.UM), slices.Max(t.UM)
	x0, x1 := t.XMM[0], t.XMM[len(t.XMM)-1]
	spread := max(1, hi-lo)
	var line []kit.Point
	step := max(1, len(t.UM)/int(r.W)) // no more points than can be seen
	for i := 0; i < len(t.UM); i += step {
		um := slices.Max(t.UM[i:min(i+step, len(t.UM))])
		line = append(line, kit.Point{X: r.X + r.W*(t.XMM[i]-x0)/max(1e-9, x1-x0), Y: r.Y + r.H*(hi-um)/spread})
	}
	return []kit.Mark{
		{Shape: kit.Line, Points: []kit.Point{{X: r.X, Y: r.Y}, {X: r.X + r.W, Y: r.Y}}, Width: 1, Ink: palette.Rule},
		{Shape: kit.Line, Points: []kit.Point{{X: r.X, Y: r.Y + r.H}, {X: r.X + r.W, Y: r.Y + r.H}}, Width: 1, Ink: palette.Rule},
		{Shape: kit.Line, Points: line, Width: 2, Ink: palette.Mine},
	}
}
