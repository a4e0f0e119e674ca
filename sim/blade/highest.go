package blade

import "math"

// nothing is lower than any height, in steps.
const nothing = math.MinInt32

// highestAround replaces each of nx by ny values, x fastest, by the highest within
// rx columns and ry rows of it. Three comparisons a value and direction, however
// wide the window is (M. van Herk, 1992; J. Gil and M. Werman, 1993): the line is
// cut into blocks as long as the window, so that every window is the end of one
// block and the beginning of the next.
func highestAround(v []int32, nx, ny, rx, ry int) {
	s := (&window{}).over(rx, nx, 1)
	for j := 0; j < ny; j++ {
		s.along(v[j*nx : (j+1)*nx])
	}
	// Columns go side by side, so many as the scratch of them stays near at hand.
	const strip = 64
	for i := 0; i < nx; i += strip {
		s.over(ry, ny, min(strip, nx-i)).across(v[i:], nx)
	}
}

// window is a window of r values to either side that slides along lines of n; wide
// lines go side by side. The scratch holds the lines with r nothings at either end.
type window struct {
	r, n, wide int
	// begun and ended are the highest from the begin of the value's block up to it,
	// and from it to the block's end.
	begun, ended []int32
}

// over gives the window other measures, and keeps its scratch where that is large
// enough.
func (s *window) over(r, n, wide int) *window {
	s.r, s.n, s.wide = r, n, wide
	if size := (n + 2*r) * wide; len(s.begun) < size {
		s.begun, s.ended = make([]int32, size), make([]int32, size)
	}
	return s
}

// across replaces the values of lines that run across the rows of v, stride apart,
// by the highest in the window around each.
func (s *window) across(v []int32, stride int) {
	places, block := s.n+2*s.r, 2*s.r+1
	row := func(of []int32, k int) []int32 { return of[k*s.wide : (k+1)*s.wide] }
	for k := 0; k < places; k++ {
		to := row(s.begun, k)
		if k < s.r || k >= s.r+s.n {
			fill(to)
		} else {
			copy(to, v[(k-s.r)*stride:])
		}
		copy(row(s.ended, k), to)
		if k%block > 0 {
			raise(to, row(s.begun, k-1))
		}
	}
	for k := places - 2; k >= 0; k-- {
		if (k+1)%block > 0 {
			raise(row(s.ended, k), row(s.ended, k+1))
		}
	}
	for k := 0; k < s.n; k++ {
		out := v[k*stride:][:s.wide]
		copy(out, row(s.ended, k))
		raise(out, row(s.begun, k+2*s.r))
	}
}

// along is the same for a single line, a row.
func (s *window) along(v []int32) {
	places, block := s.n+2*s.r, 2*s.r+1
	begun, ended := s.begun[:places], s.ended[:places]
	fill(ended[:s.r])
	copy(ended[s.r:], v)
	fill(ended[s.r+s.n:])
	for from := 0; from < places; from += block {
		to := min(from+block, places)
		high := int32(nothing)
		for k := from; k < to; k++ {
			high = max(high, ended[k])
			begun[k] = high
		}
		high = nothing
		for k := to - 1; k >= from; k-- {
			high = max(high, ended[k])
			ended[k] = high
		}
	}
	begun = begun[2*s.r:]
	for k := range v {
		v[k] = max(ended[k], begun[k])
	}
}

func fill(v []int32) {
	for k := range v {
		v[k] = nothing
	}
}

// raise lifts to to what is higher in by.
func raise(to, by []int32) {
	by = by[:len(to)]
	for k, b := range by {
		to[k] = max(to[k], b)
	}
}
