package surface

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// MaxFaceCells bounds the cells of a face that can be worked: a plate of 800 by
// 400 mm at a pitch of 0.2 mm is 8.0 million.
const MaxFaceCells = 1 << 23

// Recipe makes a part: its outline, the form that casting, clamping and wear
// gave it, and the finish of the last process before the scraper.
//
// The face has round(LengthMM/PitchMM) by round(WidthMM/PitchMM) cells, the
// first centred half a pitch from the corner at (0, 0). The same recipe gives
// the same face, step for step, on every processor.
type Recipe struct {
	LengthMM float64 `yaml:"length_mm" json:"length_mm"` // along x
	WidthMM  float64 `yaml:"width_mm" json:"width_mm"`   // along y
	PitchMM  float64 `yaml:"pitch_mm" json:"pitch_mm"`
	Seed     uint64  `yaml:"seed" json:"seed"`

	// Form is given outright; or RangeUM > 0 draws it from the seed: shares and
	// signs of bow, dish, twist and wedge and one hump, scaled until the whole
	// face, finish included, is RangeUM um out of flat about its least-squares
	// plane. One or the other.
	Form    Form    `yaml:"form" json:"form,omitzero"`
	RangeUM float64 `yaml:"range_um" json:"range_um,omitempty"`

	// Finish is one of Finishes; empty leaves the bare form. Adjust replaces
	// defaults of FinishParameters by name.
	Finish string             `yaml:"finish" json:"finish,omitempty"`
	Adjust map[string]float64 `yaml:"adjust" json:"adjust,omitempty"`
	// Texture was measured, and stands in the place of a finish.
	Texture *Texture `yaml:"texture" json:"texture,omitempty"`
}

// Form is the shape of a face at the scale of the part, um. With u and v
// running from -1 to 1 along the length and the width:
//
//	bow    BowUM (1 - u^2)      positive: crowned along the length
//	dish   DishUM v^2           positive: hollow across the width (cross bow)
//	twist  TwistUM u v / 2      adjacent corners differ by TwistUM
//	wedge  WedgeUM (1 + u) / 2  the end at x = length stands higher
//
// and the rim falls off by EdgeDropUM, as a parabola, over the last EdgeDropMM.
type Form struct {
	BowUM      float64 `yaml:"bow_um" json:"bow_um,omitempty"`
	DishUM     float64 `yaml:"dish_um" json:"dish_um,omitempty"`
	TwistUM    float64 `yaml:"twist_um" json:"twist_um,omitempty"`
	WedgeUM    float64 `yaml:"wedge_um" json:"wedge_um,omitempty"`
	Humps      []Hump  `yaml:"humps" json:"humps,omitempty"`
	EdgeDropUM float64 `yaml:"edge_drop_um" json:"edge_drop_um,omitempty"`
	EdgeDropMM float64 `yaml:"edge_drop_mm" json:"edge_drop_mm,omitempty"`
}

// Hump is a local rise HeightUM (1 - r^2/R^2)^2 about (XMM, YMM), or a hollow
// where HeightUM is negative.
type Hump struct {
	XMM      float64 `yaml:"x_mm" json:"x_mm"`
	YMM      float64 `yaml:"y_mm" json:"y_mm"`
	RadiusMM float64 `yaml:"radius_mm" json:"radius_mm"`
	HeightUM float64 `yaml:"height_um" json:"height_um"`
}

// Build makes the face of r. An error names the field that is wrong.
func Build(r Recipe) (*Face, error) {
	g, err := r.grid()
	if err != nil {
		return nil, err
	}
	if err := r.check(); err != nil {
		return nil, err
	}
	size := extent{r.LengthMM, r.WidthMM}
	texture, err := texture(g, size, Skin{r.Finish, r.Adjust, r.Texture}, r.Seed, wholePart)
	if err != nil {
		return nil, err
	}
	var form []float64
	if r.RangeUM > 0 {
		form, err = drawnForm(g, size, r.Seed, texture, r.RangeUM)
		if err != nil {
			return nil, err
		}
	} else {
		form = r.Form.heights(g, size)
	}
	f := NewFace(g)
	for k := range f.H {
		z := form[k] + texture[k]
		if !(math.Abs(z) <= MaxHeightUM) {
			return nil, fmt.Errorf("recipe: a height of %.4g um at (%.4g, %.4g) mm is beyond %d um: lower the form", z, g.X(k%g.NX), g.Y(k/g.NX), MaxHeightUM)
		}
		f.H[k] = ToSteps(z)
	}
	return f, nil
}

// extent is the size of a part, mm; its corner lies at (0, 0).
type extent struct{ length, width float64 }

func (r Recipe) grid() (Grid, error) {
	for _, q := range []struct {
		name string
		mm   float64
	}{{"length_mm", r.LengthMM}, {"width_mm", r.WidthMM}, {"pitch_mm", r.PitchMM}} {
		if !(q.mm > 0) || math.IsInf(q.mm, 0) {
			return Grid{}, fmt.Errorf("recipe: %s is %g: give a length above 0", q.name, q.mm)
		}
	}
	nx, ny := math.Round(r.LengthMM/r.PitchMM), math.Round(r.WidthMM/r.PitchMM)
	if nx < 2 || ny < 2 {
		return Grid{}, fmt.Errorf("recipe: pitch_mm %g is too coarse for a part of %g x %g mm", r.PitchMM, r.LengthMM, r.WidthMM)
	}
	if nx*ny > MaxFaceCells {
		return Grid{}, fmt.Errorf("recipe: %g x %g mm at pitch_mm %g is %.3g cells, more than %d: take a coarser pitch", r.LengthMM, r.WidthMM, r.PitchMM, nx*ny, MaxFaceCells)
	}
	p := r.PitchMM
	return Grid{NX: int(nx), NY: int(ny), DX: p, DY: p, X0: p / 2, Y0: p / 2}, nil
}

func (r Recipe) check() error {
	f := r.Form
	for _, q := range []struct {
		name string
		v    float64
	}{
		{"range_um", r.RangeUM}, {"form.bow_um", f.BowUM}, {"form.dish_um", f.DishUM},
		{"form.twist_um", f.TwistUM}, {"form.wedge_um", f.WedgeUM},
		{"form.edge_drop_um", f.EdgeDropUM}, {"form.edge_drop_mm", f.EdgeDropMM},
	} {
		if !(math.Abs(q.v) <= 1e6) {
			return fmt.Errorf("recipe: %s is %g", q.name, q.v)
		}
	}
	if r.RangeUM < 0 || r.RangeUM > MaxHeightUM {
		return fmt.Errorf("recipe: range_um is %g: give 0 (the form as written) to %d", r.RangeUM, MaxHeightUM)
	}
	if r.RangeUM > 0 && !f.flat() {
		return fmt.Errorf("recipe: range_um draws the form from the seed: give range_um or form, not both")
	}
	if f.EdgeDropUM != 0 && !(f.EdgeDropMM > 0) {
		return fmt.Errorf("recipe: form.edge_drop_mm is %g: say over how many mm the rim drops", f.EdgeDropMM)
	}
	for i, h := range f.Humps {
		if !(h.RadiusMM > 0) || !(math.Abs(h.HeightUM) <= MaxHeightUM) || !(math.Abs(h.XMM) <= 1e6) || !(math.Abs(h.YMM) <= 1e6) {
			return fmt.Errorf("recipe: form.humps[%d] needs a radius_mm above 0 and finite x_mm, y_mm and height_um", i)
		}
	}
	return nil
}

func (f Form) flat() bool {
	return f.BowUM == 0 && f.DishUM == 0 && f.TwistUM == 0 && f.WedgeUM == 0 && f.EdgeDropUM == 0 && len(f.Humps) == 0
}

// heights samples the form at the cell centres of g, um.
func (f Form) heights(g Grid, size extent) []float64 {
	out := make([]float64, g.Cells())
	for j := range g.NY {
		y := g.Y(j)
		v := 2*y/size.width - 1
		for i := range g.NX {
			x := g.X(i)
			u := 2*x/size.length - 1
			z := float64(f.BowUM*(1-float64(u*u))) + float64(f.DishUM*float64(v*v)) +
				float64(f.TwistUM/2*float64(u*v)) + float64(f.WedgeUM/2*(1+u))
			for _, h := range f.Humps {
				dx, dy := (x-h.XMM)/h.RadiusMM, (y-h.YMM)/h.RadiusMM
				if q := 1 - float64(dx*dx) - float64(dy*dy); q > 0 {
					z += float64(h.HeightUM * float64(q*q))
				}
			}
			if f.EdgeDropUM != 0 {
				rim := min(x, y, size.length-x, size.width-y)
				if t := 1 - rim/f.EdgeDropMM; t > 0 {
					z -= float64(f.EdgeDropUM * float64(t*t))
				}
			}
			out[j*g.NX+i] = z
		}
	}
	return out
}

// drawnForm draws a form from the seed and scales it until form and texture
// together are rangeUM out of flat.
func drawnForm(g Grid, size extent, seed uint64, texture []float64, rangeUM float64) ([]float64, error) {
	rng := stream(seed, streamForm)
	share := func() float64 {
		s := between(rng, 0.2, 1)
		if rng.Uint64()&1 == 1 {
			return -s
		}
		return s
	}
	f := Form{BowUM: share(), DishUM: share(), TwistUM: share(), WedgeUM: share()}
	f.Humps = []Hump{{
		XMM:      size.length * between(rng, 0.15, 0.85),
		YMM:      size.width * between(rng, 0.15, 0.85),
		RadiusMM: math.Sqrt(size.length*size.width) * between(rng, 0.2, 0.4),
		HeightUM: 0.5 * share(),
	}}
	form := f.heights(g, size)

	// Residuals are linear in the scale, so one fit of each part serves every
	// scale; their range is convex in it, so there is one root.
	flatForm, err := residuals(g, form)
	if err != nil {
		return nil, err
	}
	flatTexture, err := residuals(g, texture)
	if err != nil {
		return nil, err
	}
	own := spread(flatTexture)
	if own >= rangeUM {
		return nil, fmt.Errorf("recipe: range_um is %g but the finish alone is %.3g um out: ask for more or adjust the finish", rangeUM, own)
	}
	lo, hi := 0.0, (rangeUM+own)/spread(flatForm)
	sum := make([]float64, len(form))
	for range 30 {
		mid := (lo + hi) / 2
		for k := range sum {
			sum[k] = float64(mid*flatForm[k]) + flatTexture[k]
		}
		if spread(sum) < rangeUM {
			lo = mid
		} else {
			hi = mid
		}
	}
	for k := range form {
		form[k] = float64(lo * form[k])
	}
	return form, nil
}

// residuals are heights less their least-squares plane.
func residuals(g Grid, z []float64) ([]float64, error) {
	p, err := LeastSquares(&Map{Grid: g, Z: z})
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(z))
	for k := range z {
		out[k] = z[k] - p.At(g.X(k%g.NX), g.Y(k/g.NX))
	}
	return out, nil
}

// Streams of one seed: each purpose draws from its own.
const (
	streamForm = iota + 1
	streamFinish
	streamNoise
)

func stream(seed, purpose uint64) *rand.Rand {
	return rand.New(rand.NewPCG(seed, purpose))
}

// between draws evenly from lo to hi.
func between(rng *rand.Rand, lo, hi float64) float64 {
	return lo + float64((hi-lo)*rng.Float64())
}
