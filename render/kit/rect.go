package kit

// Rect is a rectangle, points.
type Rect struct{ X, Y, W, H float64 }

// Contains reports whether (x, y) is inside.
func (r Rect) Contains(x, y float64) bool {
	return x >= r.X && x < r.X+r.W && y >= r.Y && y < r.Y+r.H
}

// Inset is the rectangle less a margin on every side.
func (r Rect) Inset(m float64) Rect {
	return Rect{r.X + m, r.Y + m, max(0, r.W-2*m), max(0, r.H-2*m)}
}

// Within reports whether r lies wholly in o, give or take a hundredth.
func (r Rect) Within(o Rect) bool {
	const e = .01
	return r.X >= o.X-e && r.Y >= o.Y-e && r.X+r.W <= o.X+o.W+e && r.Y+r.H <= o.Y+o.H+e
}

// Meets is the common part of two rectangles; empty when there is none.
func (r Rect) Meets(o Rect) Rect {
	x0, y0 := max(r.X, o.X), max(r.Y, o.Y)
	x1, y1 := min(r.X+r.W, o.X+o.W), min(r.Y+r.H, o.Y+o.H)
	if x1 <= x0 || y1 <= y0 {
		return Rect{}
	}
	return Rect{x0, y0, x1 - x0, y1 - y0}
}

// Around is the smallest rectangle that holds both; an empty one holds nothing.
func (r Rect) Around(o Rect) Rect {
	if r.Empty() {
		return o
	}
	if o.Empty() {
		return r
	}
	x0, y0 := min(r.X, o.X), min(r.Y, o.Y)
	return Rect{x0, y0, max(r.X+r.W, o.X+o.W) - x0, max(r.Y+r.H, o.Y+o.H) - y0}
}

// Empty reports whether there is nothing inside.
func (r Rect) Empty() bool { return r.W <= 0 || r.H <= 0 }

// Apart are rectangles of which no two have a part in common.
type Apart []Rect

// With is the rectangles and one more; those that it meets are taken in by one round
// all of them.
func (a Apart) With(r Rect) Apart {
	if r.Empty() {
		return a
	}
	for i := 0; i < len(a); i++ {
		if a[i].Meets(r).Empty() {
			continue
		}
		r = r.Around(a[i])
		a = append(a[:i], a[i+1:]...)
		i = -1 // it may meet now what it did not
	}
	return append(a, r)
}

// Left, Right, Top and Bottom cut a strip of the given breadth off one side and
// return it with what remains.
func (r Rect) Left(w float64) (strip, rest Rect) {
	w = min(w, r.W)
	return Rect{r.X, r.Y, w, r.H}, Rect{r.X + w, r.Y, r.W - w, r.H}
}

// Right cuts a strip off the right side.
func (r Rect) Right(w float64) (strip, rest Rect) {
	w = min(w, r.W)
	return Rect{r.X + r.W - w, r.Y, w, r.H}, Rect{r.X, r.Y, r.W - w, r.H}
}

// Top cuts a strip off the top.
func (r Rect) Top(h float64) (strip, rest Rect) {
	h = min(h, r.H)
	return Rect{r.X, r.Y, r.W, h}, Rect{r.X, r.Y + h, r.W, r.H - h}
}

// Bottom cuts a strip off the bottom.
func (r Rect) Bottom(h float64) (strip, rest Rect) {
	h = min(h, r.H)
	return Rect{r.X, r.Y + r.H - h, r.W, h}, Rect{r.X, r.Y, r.W, r.H - h}
}

// Columns divides the rectangle into n equal columns with a gap between them.
func (r Rect) Columns(n int, gap float64) []Rect {
	out := make([]Rect, n)
	w := (r.W - gap*float64(n-1)) / float64(n)
	for i := range out {
		out[i] = Rect{r.X + float64(i)*(w+gap), r.Y, w, r.H}
	}
	return out
}
