package gauge

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// ISO 16610-21: transmission of the long-wave part is 2^-(cutoff/l)^2. Cutting
// the weights off at 0.75 cutoffs leaves 6e-5 of it.
func TestGaussianTransmission(t *testing.T) {
	const cutoff, pitch = 2.5, 0.05
	for _, l := range []float64{0.8, 1.25, 2.5, 5, 8, 25} {
		want := math.Exp2(-(cutoff / l) * (cutoff / l))
		z := make([]float64, 4001)
		m := surface.NewMap(surface.Grid{NX: 151, NY: 151, DX: pitch, DY: pitch})
		for k := range z {
			z[k] = math.Cos(2 * math.Pi * float64(k-2000) * pitch / l)
		}
		near(t, "profile", GaussianProfile(z, pitch, cutoff)[2000], want, 2e-4)
		for _, diagonal := range []bool{false, true} {
			for k := range m.Z {
				x, y := float64(k%151-75)*pitch, float64(k/151-75)*pitch
				if diagonal {
					x = (x + y) / math.Sqrt2
				}
				m.Z[k] = math.Cos(2 * math.Pi * x / l)
			}
			near(t, "areal", GaussianFilter(m, cutoff).At(75, 75), want, 2e-4)
		}
	}
	near(t, "sigma", GaussianSigma, math.Sqrt(math.Ln2/2)/math.Pi, 1e-8)
}

// plainGaussian sums the weighting function over the cells there are.
func plainGaussian(m *surface.Map, cutoff float64, i0, j0 int) float64 {
	sum, weight := 0.0, 0.0
	s := GaussianSigma * cutoff
	for k, z := range m.Z {
		x, y := m.X(k%m.NX)-m.X(i0), m.Y(k/m.NX)-m.Y(j0)
		if z != z || math.Abs(x) > gaussianReach*cutoff+m.DX/2 || math.Abs(y) > gaussianReach*cutoff+m.DY/2 {
			continue
		}
		w := math.Exp(-(x*x + y*y) / (2 * s * s))
		sum += w * z
		weight += w
	}
	return sum / weight
}

func TestGaussianEdgesAndHoles(t *testing.T) {
	m := wavy(83, 71, 0.1)
	m.DY = 0.13
	for pass := 0; pass < 2; pass++ {
		f := GaussianFilter(m, 1.1)
		for _, at := range [][2]int{{0, 0}, {82, 70}, {40, 0}, {3, 35}, {41, 36}} {
			if z := m.At(at[0], at[1]); z == z {
				near(t, "weighted mean", f.At(at[0], at[1]), plainGaussian(m, 1.1, at[0], at[1]), 1e-9)
			} else if v := f.At(at[0], at[1]); v == v {
				t.Error("a missing cell came to life")
			}
		}
		for k := range m.Z { // again with missing cells
			if k%5 == 0 || k%83 > 40 && k%83 < 44 {
				m.Z[k] = math.NaN()
			}
		}
	}
	level := surface.NewMap(surface.Grid{NX: 40, NY: 30, DX: 0.1, DY: 0.1})
	for k := range level.Z {
		level.Z[k] = 7
	}
	for _, z := range GaussianFilter(level, 3).Z {
		near(t, "level face", z, 7, 1e-12)
	}
	// A cutoff below the pitch changes nothing.
	for k, z := range GaussianFilter(level, 0.01).Z {
		if z != level.Z[k] {
			t.Fatal("a cutoff far below the pitch must pass everything")
		}
	}
}

// A wide weighting function is made of two combs: they weigh as the Gaussian
// function does that is not cut off at all, at edges and beside missing cells too.
// 2e-4 of the range is what cutting it off at 4 sigma may move by itself.
func TestGaussianOfTwoCombs(t *testing.T) {
	for _, cutoff := range []float64{3.3, 8, 25} { // sigma from 6 to 47 cells
		m := wavy(190, 140, 0.1)
		m.DY = 0.13
		for k := range m.Z {
			if k%190 > 60 && k%190 < 75 && k/190 > 20 || k%7 == 0 {
				m.Z[k] = math.NaN()
			}
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, z := range m.Z {
			if z == z {
				lo, hi = min(lo, z), max(hi, z)
			}
		}
		f := GaussianFilter(m, cutoff)
		s := GaussianSigma * cutoff
		for _, at := range [][2]int{{0, 0}, {189, 139}, {95, 0}, {59, 70}, {76, 71}, {189, 3}, {120, 100}} {
			sum, weight := 0.0, 0.0
			for k, z := range m.Z {
				if z == z {
					x, y := m.X(k%m.NX)-m.X(at[0]), m.Y(k/m.NX)-m.Y(at[1])
					w := math.Exp(-(x*x + y*y) / (2 * s * s))
					sum, weight = sum+w*z, weight+w
				}
			}
			if z := f.At(at[0], at[1]); m.At(at[0], at[1]) == m.At(at[0], at[1]) {
				near(t, "weighted mean", z, sum/weight, 2e-4*(hi-lo))
			}
		}
	}
}

// The same field and sigma are timed with scipy.ndimage.gaussian_filter by
// testdata/peers/speed.py.
func BenchmarkGaussian4M(b *testing.B) {
	m := wavy(2000, 2000, 0.1)
	for _, c := range []struct {
		name   string
		cutoff float64
	}{{"cutoff0.8", 0.8}, {"cutoff2.5", 2.5}, {"cutoff8", 8}, {"cutoff25", 25}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				GaussianFilter(m, c.cutoff)
			}
		})
	}
}
