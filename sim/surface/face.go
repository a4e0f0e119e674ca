package surface

import "math"

// StepsPerUM is the resolution in which a worked face keeps its heights: every
// operation computes in float64 and rounds to 1/4096 um, so that neither the
// last bit of a sine nor a fused multiply-add on another processor reaches the
// state of a part.
const StepsPerUM = 4096

// MaxHeightUM bounds the heights that a face can hold, um, with room to spare
// below the int32 range (+-524 288 um) for a part's own tilt.
const MaxHeightUM = 500

// ToSteps rounds um to height steps, halves away from zero (so that a mirrored
// height rounds to the mirrored step).
func ToSteps(um float64) int32 { return int32(math.Round(um * StepsPerUM)) }

// FromSteps is the height of s steps, um.
func FromSteps(s int32) float64 { return float64(s) / StepsPerUM }

// Face is the worked face of a part: metal heights, the burr that stands on
// them, and the direction of the last strokes. Only blade and stone change it,
// and only through an act of a run.
type Face struct {
	Grid
	H    []int32  // metal height in steps, x fastest
	Burr []uint16 // burr standing on the metal, steps
	Mask []bool   // true where there is metal; nil when all cells are metal

	// LayCos and LaySin are cos 2a and sin 2a of the direction a of the last
	// stroke over the cell, times 127; both zero where none has passed.
	LayCos, LaySin []int8
	// Ripple is how often strokes have followed that direction since it was
	// last crossed: what chatter grows from.
	Ripple []uint8
}

// NewFace is a flat face without burr over g.
func NewFace(g Grid) *Face {
	n := g.Cells()
	return &Face{
		Grid: g, H: make([]int32, n), Burr: make([]uint16, n),
		LayCos: make([]int8, n), LaySin: make([]int8, n), Ripple: make([]uint8, n),
	}
}

// Metal reports whether cell k is metal.
func (f *Face) Metal(k int) bool { return f.Mask == nil || f.Mask[k] }

// Heights writes the metal heights, um, into m (allocated when nil), NaN where
// the mask has no metal, and returns it.
func (f *Face) Heights(m *Map) *Map {
	m = f.like(m)
	for k, h := range f.H {
		m.Z[k] = float64(h) / StepsPerUM
	}
	f.punch(m)
	return m
}

// Tops writes metal plus burr, um: what touches a master.
func (f *Face) Tops(m *Map) *Map {
	m = f.like(m)
	for k, h := range f.H {
		m.Z[k] = float64(h+int32(f.Burr[k])) / StepsPerUM
	}
	f.punch(m)
	return m
}

func (f *Face) like(m *Map) *Map {
	if m == nil || len(m.Z) != f.Cells() {
		return NewMap(f.Grid)
	}
	m.Grid = f.Grid
	return m
}

func (f *Face) punch(m *Map) {
	if f.Mask == nil {
		return
	}
	for k, ok := range f.Mask {
		if !ok {
			m.Z[k] = math.NaN()
		}
	}
}

// Clone is a deep copy of the face.
func (f *Face) Clone() *Face {
	c := *f
	c.H = append([]int32(nil), f.H...)
	c.Burr = append([]uint16(nil), f.Burr...)
	c.LayCos = append([]int8(nil), f.LayCos...)
	c.LaySin = append([]int8(nil), f.LaySin...)
	c.Ripple = append([]uint8(nil), f.Ripple...)
	if f.Mask != nil {
		c.Mask = append([]bool(nil), f.Mask...)
	}
	return &c
}
