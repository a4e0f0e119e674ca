package run

import (
	"slices"
	"testing"

	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// An appearance kept up to date stroke by stroke is the one seen afresh.
func TestLookKeepsUp(t *testing.T) {
	r, err := New(Setup{
		Part:   Part{Recipe: &surface.Recipe{LengthMM: 60, WidthMM: 40, PitchMM: .2, Finish: "milled"}},
		Master: seat.Master{Grade: seat.True}, Blade: Change{Radius: 9000, Width: 2000, Handle: 524}, Hand: lay.Skilled,
		Target: Target{FilmUM: 2.5},
	}, "", 1, 1, "", "test")
	if err != nil {
		t.Fatal(err)
	}
	kept := r.Appearance()
	region := lay.Paint(200, 30, 20, func(i, j int) bool { return i > 20 || j < 6 })
	j, err := r.Apply(Act{Cut: &Cut{Depth: 800, Area: &Area{Region: region, Dir: 785, Length: 1000, Spacing: 800}}}.On())
	if err != nil {
		t.Fatal(err)
	}
	for !j.Ended() {
		s, ok := j.Stroke(j.Done())
		if !ok {
			t.Fatalf("step %d of a cut has no stroke", j.Done())
		}
		if _, err := j.Step(1); err != nil {
			t.Fatal(err)
		}
		const margin = 400 // 10 um: half the width of a mark and its burr
		cell := func(v int) int { return v / 20 }
		r.Look(kept, cell(min(s.X0, s.X1)-margin), cell(min(s.Y0, s.Y1)-margin), cell(max(s.X0, s.X1)+margin)+1, cell(max(s.Y0, s.Y1)+margin)+1)
	}
	fresh := r.Appearance()
	if !slices.Equal(kept.SlopeX, fresh.SlopeX) || !slices.Equal(kept.SlopeY, fresh.SlopeY) ||
		!slices.Equal(kept.LayCos, fresh.LayCos) || !slices.Equal(kept.LaySin, fresh.LaySin) {
		t.Error("the appearance kept up to date is not the one seen afresh")
	}
}

// An even slope is form wherever it ends: at the edges, at a rim that was taken
// down, at a hole.
func TestFormEndsWithTheMetal(t *testing.T) {
	f := surface.NewFace(surface.Grid{NX: 90, NY: 70, DX: .2, DY: .2, X0: .1, Y0: .1})
	f.Mask = make([]bool, f.Cells())
	for k := range f.H {
		i, j := k%f.NX, k/f.NX
		f.Mask[k] = i >= 3 && j >= 4 && (i < 40 || i > 47 || j < 30 || j > 36)
		f.H[k] = int32(2000*i - 1500*j)
		if !f.Mask[k] {
			f.H[k] -= 4_000_000
		}
	}
	a := see(f)
	for k, x := range a.SlopeX {
		if y := a.SlopeY[k]; f.Mask[k] && (x != 0 || y != 0) {
			t.Fatalf("cell %d, %d of an even slope is seen to rise by %d and %d", k%f.NX, k/f.NX, x, y)
		}
	}
}
