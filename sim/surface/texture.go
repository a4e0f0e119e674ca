package surface

import (
	"errors"
	"fmt"
	"math"
	"unicode"
)

// MaxTextureCells bounds a measured texture: 204 mm by 204 mm at a pitch of
// 0.2 mm.
const MaxTextureCells = 1 << 20

// Texture is the texture of a face that was measured: heights about its form,
// over a patch at the pitch of the part that takes it.
type Texture struct {
	File     string  `yaml:"file" json:"file"`           // name of the file that it was measured in
	CutoffMM float64 `yaml:"cutoff_mm" json:"cutoff_mm"` // of the filter that took the form away

	NX    int     `yaml:"-" json:"nx"`
	NY    int     `yaml:"-" json:"ny"`
	DX    float64 `yaml:"-" json:"dx_mm"`
	DY    float64 `yaml:"-" json:"dy_mm"`
	Steps []int32 `yaml:"-" json:"steps"` // x fastest, 1/4096 um
}

// Skin is what covers the form of a part: the finish of a process with the
// figures that replace its defaults, or a texture that was measured. Empty is
// none.
type Skin struct {
	Finish   string
	Adjust   map[string]float64
	Measured *Texture
}

// check reports what is wrong with a skin by its names and figures alone.
func (s Skin) check() error {
	if s.Measured != nil && (s.Finish != "" || len(s.Adjust) > 0) {
		return errors.New("a finish and a measured texture: give one of them")
	}
	return CheckFinish(s.Finish, s.Adjust)
}

// NewTexture brings heights about their form, of mean nought, to the pitch dx by
// dy mm of a part. Where the part is coarser, a cell takes the mean over its
// reach, and what is finer is lost; where it is finer, heights are interpolated
// along straight lines. A missing height takes the mean line. Of more than
// MaxTextureCells cells the middle is taken.
func NewTexture(m *Map, dx, dy float64) (*Texture, error) {
	if pitch := max(m.DX, m.DY); pitch > FinePitchMM {
		return nil, fmt.Errorf("a pitch of %.4g mm is too coarse for a texture: at most %g mm", pitch, FinePitchMM)
	}
	if valid := m.Valid(); 2*valid < m.Cells() {
		return nil, fmt.Errorf("only %d of %d heights are there: a texture needs half of them", valid, m.Cells())
	}
	along, across := resampling(m.NX, m.DX, dx), resampling(m.NY, m.DY, dy)
	if len(along) < 2 || len(across) < 2 {
		return nil, fmt.Errorf("%.4g x %.4g mm are less than two cells of a part at %.4g x %.4g mm", float64(m.NX)*m.DX, float64(m.NY)*m.DY, dx, dy)
	}
	side := int(math.Sqrt(MaxTextureCells))
	if len(along)*len(across) > MaxTextureCells {
		nx := min(len(along), max(side, MaxTextureCells/len(across)))
		along, across = middle(along, nx), middle(across, min(len(across), MaxTextureCells/nx))
	}
	t := &Texture{NX: len(along), NY: len(across), DX: dx, DY: dy, Steps: make([]int32, len(along)*len(across))}
	z := make([]float64, len(t.Steps))
	mean, n := 0.0, 0.0
	for j, down := range across {
		for i, right := range along {
			sum, weight := 0.0, 0.0
			for q, wy := range down.weights {
				for p, wx := range right.weights {
					if h := m.At(right.from+p, down.from+q); h == h {
						sum, weight = sum+wx*wy*h, weight+wx*wy
					}
				}
			}
			if weight == 0 {
				z[j*t.NX+i] = math.NaN()
				continue
			}
			z[j*t.NX+i] = sum / weight
			mean, n = mean+sum/weight, n+1
		}
	}
	for k, h := range z {
		if h -= mean / n; h == h {
			if math.Abs(h) > MaxHeightUM {
				return nil, fmt.Errorf("the texture rises %.4g um from its mean line, more than %d: are the unit and the cutoff right?", h, MaxHeightUM)
			}
			t.Steps[k] = ToSteps(h)
		}
	}
	return t, nil
}

// taps are the cells of a line from which one of another line is made.
type taps struct {
	from    int
	weights []float64
}

// resampling makes of n cells at a pitch as many as fit at another.
func resampling(n int, pitch, to float64) []taps {
	const hair = 1e-9 // of a cell, so that a whole number of them stays one
	out := make([]taps, 0, int(float64(n)*pitch/to+hair))
	for k := range cap(out) {
		// In cells of the source, whose first begins at 0.
		a, b := float64(k)*to/pitch, float64(k+1)*to/pitch
		if to < pitch {
			at := min(max((a+b)/2-0.5, 0), float64(n-1))
			i := min(int(at), n-2)
			out = append(out, taps{i, []float64{1 - (at - float64(i)), at - float64(i)}})
			continue
		}
		i0, i1 := int(a+hair), min(int(math.Ceil(b-hair)), n)
		t := taps{from: i0}
		for i := i0; i < i1; i++ {
			t.weights = append(t.weights, min(b, float64(i+1))-max(a, float64(i)))
		}
		out = append(out, t)
	}
	return out
}

func middle(all []taps, n int) []taps {
	from := (len(all) - n) / 2
	return all[from : from+n]
}

// check refuses what NewTexture does not make: it may come from a run.
func (t *Texture) check() error {
	switch {
	case t.NX < 2 || t.NY < 2 || t.NX > MaxTextureCells/t.NY || t.NX*t.NY != len(t.Steps):
		return fmt.Errorf("texture: %d heights for %d x %d cells: at least 2 x 2 and at most %d", len(t.Steps), t.NX, t.NY, MaxTextureCells)
	case !(t.DX > 0) || !(t.DY > 0) || !(t.CutoffMM > 0) || math.IsInf(t.CutoffMM, 0):
		return fmt.Errorf("texture: a pitch of %g x %g mm and a cutoff of %g mm: give lengths above 0", t.DX, t.DY, t.CutoffMM)
	case len(t.File) > 255:
		return errors.New("texture: the name of its file is longer than 255 bytes")
	}
	for _, r := range t.File {
		if !unicode.IsPrint(r) {
			return fmt.Errorf("texture: the file is called %s: give a name that can be printed", quote(t.File))
		}
	}
	for k, s := range t.Steps {
		if s > MaxHeightUM*StepsPerUM || s < -MaxHeightUM*StepsPerUM {
			return fmt.Errorf("texture: height %d is %g um, beyond %d", k+1, FromSteps(s), MaxHeightUM)
		}
	}
	return nil
}

// cover lays the texture over g from a place that the seed draws, mirrored at its
// edges as often as that needs: there it has no step, but its lay turns about.
func (t *Texture) cover(g Grid, seed uint64) ([]float64, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	const same = 1e-9
	if math.Abs(t.DX-g.DX) > same*g.DX || math.Abs(t.DY-g.DY) > same*g.DY {
		return nil, fmt.Errorf("texture: its pitch is %g x %g mm where the part has %g x %g mm", t.DX, t.DY, g.DX, g.DY)
	}
	rng := stream(seed, streamFinish)
	i0, j0 := int(rng.Uint64N(uint64(2*t.NX))), int(rng.Uint64N(uint64(2*t.NY)))
	z := make([]float64, g.Cells())
	for j := range g.NY {
		row := t.Steps[mirrored(j0+j, t.NY)*t.NX:]
		for i := range g.NX {
			z[j*g.NX+i] = FromSteps(row[mirrored(i0+i, t.NX)])
		}
	}
	return z, nil
}

// mirrored is the cell of a line of n at place k of the line laid out to and fro.
func mirrored(k, n int) int {
	if k %= 2 * n; k >= n {
		return 2*n - 1 - k
	}
	return k
}
