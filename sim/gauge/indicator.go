package gauge

import (
	"math"

	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

const (
	// TipDiameterMM is the ball of the bare indicator tip.
	TipDiameterMM = 1.5
	// tipMarginMM is how far from the ends of a face the tip stays.
	tipMarginMM = 2
	// The gauge block under the tip, and how far it moves between readings.
	BlockAlongMM  = 9
	BlockAcrossMM = 30
	blockStepMM   = 5
)

// BareTip is the range, um, of the height of a ball of TipDiameterMM drawn
// along the middle row of the face, 2 mm in from the ends, above the seated
// plane; and its trace: one height per column of m, NaN where it does not go.
// With an even number of rows the one beyond the middle is taken. The range is
// NaN where the row has no such place.
func BareTip(m *surface.Map, plane surface.Plane) (rangeUM float64, trace []float64) {
	return BallTip(m, plane, TipDiameterMM)
}

// BallTip is BareTip with a ball of that diameter, mm: a smaller one falls deeper
// into the marks.
func BallTip(m *surface.Map, plane surface.Plane, ballMM float64) (rangeUM float64, trace []float64) {
	j := m.NY / 2
	trace = make([]float64, m.NX)
	first, last := -1, -1
	for i := range trace {
		trace[i] = math.NaN()
		if z := m.At(i, j); z == z {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first < 0 {
		return math.NaN(), trace
	}
	x0, x1 := m.X(first)-m.DX/2+tipMarginMM, m.X(last)+m.DX/2-tipMarginMM
	hi, lo := math.Inf(-1), math.Inf(1)
	tiny := float64(hair * m.DX)
	ball := newTip(m, ballMM)
	for i := range trace {
		if x := m.X(i); x < x0-tiny || x > x1+tiny {
			continue
		}
		if h := ball.height(m, plane, i, j); h == h {
			trace[i] = h
			hi, lo = max(hi, h), min(lo, h)
		}
	}
	if hi < lo {
		return math.NaN(), trace
	}
	return hi - lo, trace
}

// TipHeight is the height, um above plane, of a ball of TipDiameterMM that
// stands on m over cell (i, j); NaN where that cell is missing.
func TipHeight(m *surface.Map, plane surface.Plane, i, j int) float64 {
	return newTip(m, TipDiameterMM).height(m, plane, i, j)
}

// tip is the underside of the ball over the cells of a grid.
type tip struct{ cells []tipCell }

type tipCell struct {
	di, dj int
	drop   float64 // how far the ball is above its lowest point there, um
}

func newTip(m *surface.Map, ballMM float64) tip {
	r := ballMM / 2
	square := float64(r * r)
	var t tip
	ni, nj := int(r/m.DX), int(r/m.DY)
	for dj := -nj; dj <= nj; dj++ {
		for di := -ni; di <= ni; di++ {
			x, y := float64(di)*m.DX, float64(dj)*m.DY
			if d2 := float64(x*x) + float64(y*y); d2 <= square {
				t.cells = append(t.cells, tipCell{di, dj, float64(1000 * (r - math.Sqrt(square-d2)))})
			}
		}
	}
	return t
}

func (t tip) height(m *surface.Map, p surface.Plane, i0, j0 int) float64 {
	if z := m.At(i0, j0); z != z {
		return z
	}
	h := math.Inf(-1)
	for _, c := range t.cells {
		i, j := i0+c.di, j0+c.dj
		if i < 0 || j < 0 || i >= m.NX || j >= m.NY {
			continue
		}
		if v := m.At(i, j) - p.At(m.X(i), m.Y(j)) - c.drop; v > h {
			h = v
		}
	}
	return h
}

// BridgedBlock is the range, um, of the height above the seated plane of the
// middle of a gauge block, BlockAlongMM by BlockAcrossMM, that rests on the
// face: along the middle line in steps of 5 mm from the first edge, wherever it
// lies wholly on the face. ok is false where it lies so nowhere.
func BridgedBlock(m *surface.Map, plane surface.Plane) (rangeUM float64, ok bool) {
	hi, lo := math.Inf(-1), math.Inf(1)
	_, heights := BlockHeights(m, plane)
	for _, h := range heights {
		hi, lo = max(hi, h), min(lo, h)
	}
	return hi - lo, hi >= lo
}

// BlockHeights are the readings of which BridgedBlock gives the range: the
// middles of the block, mm, and its heights there, um.
func BlockHeights(m *surface.Map, plane surface.Plane) (x, heights []float64) {
	x0, y0, x1, y1 := m.Edges()
	if y1-y0 < BlockAcrossMM*(1-hair) {
		return nil, nil
	}
	for _, at := range blockStops(x0, x1) {
		if h, ok := BlockHeight(m, plane, at, (y0+y1)/2); ok {
			x, heights = append(x, at), append(heights, h)
		}
	}
	return x, heights
}

// blockStops are the positions of the middle of the block between two ends.
func blockStops(x0, x1 float64) []float64 {
	var at []float64
	for k := 0; ; k++ {
		x := x0 + BlockAlongMM/2.0 + float64(k*blockStepMM)
		if x+BlockAlongMM/2.0 > x1+float64(hair*(x1-x0)) {
			return at
		}
		at = append(at, x)
	}
}

// BlockHeight is the height, um above plane, of the middle of the gauge block
// set down with its middle at (x, y) mm: it rests rigidly on the cells whose
// centres it covers. ok is false where it does not lie wholly on the face.
func BlockHeight(m *surface.Map, plane surface.Plane, x, y float64) (height float64, ok bool) {
	i0, i1, okX := covered(x-BlockAlongMM/2.0, x+BlockAlongMM/2.0, m.X0, m.DX, m.NX)
	j0, j1, okY := covered(y-BlockAcrossMM/2.0, y+BlockAcrossMM/2.0, m.Y0, m.DY, m.NY)
	if !okX || !okY {
		return 0, false
	}
	under := surface.NewMap(surface.Grid{NX: i1 - i0, NY: j1 - j0, DX: m.DX, DY: m.DY, X0: m.X(i0), Y0: m.Y(j0)})
	for j := j0; j < j1; j++ {
		row := under.Z[(j-j0)*under.NX : (j-j0+1)*under.NX]
		copy(row, m.Z[j*m.NX+i0:j*m.NX+i1])
		for _, z := range row {
			if z != z {
				return 0, false
			}
		}
	}
	r, err := seat.Rest(under, x, y)
	if err != nil {
		return 0, false // too few cells under the block to carry it
	}
	return r.Plane.At(x, y) - plane.At(x, y), true
}

// covered is the range of cells, from the first to one past the last, whose
// centres lie within lo..hi mm; ok is false where that reaches beyond the edges.
func covered(lo, hi, first, pitch float64, n int) (from, to int, ok bool) {
	tiny := float64(hair * pitch * float64(n))
	from = int(math.Ceil((lo - first - tiny) / pitch))
	to = int(math.Floor((hi-first+tiny)/pitch)) + 1
	ok = lo >= first-pitch/2-tiny && hi <= first+float64((float64(n)-0.5)*pitch)+tiny
	return from, to, ok && from >= 0 && to <= n && from < to
}
