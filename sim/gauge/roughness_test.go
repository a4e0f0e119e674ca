package gauge

import (
	"math"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// A wave of the length of the cutoff passes by half into the roughness, a form of
// a slope and a long bow hardly at all, a short wave whole: transmission 1 less
// 2^-(cutoff/l)^2 (ISO 16610-61), a cutoff away from every edge.
func TestRoughnessTakesTheFormAway(t *testing.T) {
	for _, c := range []struct{ wave, passes float64 }{{8, .5}, {4, 1 - math.Exp2(-4)}, {2, 1 - math.Exp2(-16)}, {16, 1 - math.Exp2(-.25)}} {
		m := surface.NewMap(surface.Grid{NX: 400, NY: 300, DX: .2, DY: .2})
		want := make([]float64, len(m.Z))
		for k := range m.Z {
			x, y := m.X(k%m.NX), m.Y(k/m.NX)
			want[k] = c.passes * math.Sin(2*math.Pi*x/c.wave)
			m.Z[k] = want[k]/c.passes + 300 + 2*x - 1.5*y + .002*(x-40)*(x-40)
		}
		got, err := Roughness(m, 8)
		if err != nil {
			t.Fatal(err)
		}
		for k, z := range got.Z {
			x, y := m.X(k%m.NX), m.Y(k/m.NX)
			// The bow's own second difference over the filter's reach stays: b s^2.
			if x > 8 && x < 72 && y > 8 && y < 52 && math.Abs(z-want[k]) > .006 {
				t.Fatalf("wave of %g mm: %g at (%g, %g), want %g", c.wave, z, x, y, want[k])
			}
		}
	}
}

func TestMeasuredTextureRefuses(t *testing.T) {
	fine := &surface.Data{Map: surface.NewMap(surface.Grid{NX: 50, NY: 50, DX: .1, DY: .1})}
	for _, c := range []struct {
		d      *surface.Data
		cutoff float64
		want   string
	}{
		{fine, 8, "5 x 5 mm were measured, less than two cutoffs of 8 mm"}, {fine, 0, "a cutoff of 0 mm"}, {fine, math.NaN(), "a cutoff of NaN mm"},
		{&surface.Data{Cloud: &surface.Cloud{X: []float64{0, 1, 0}, Y: []float64{0, 0, 1}, Z: []float64{0, 0, 0}}}, 8, "have no texture"},
		{&surface.Data{Map: surface.NewMap(surface.Grid{NX: 50, NY: 50, DX: 15, DY: 15})}, 8, "too coarse for a texture"},
	} {
		if _, err := MeasuredTexture(c.d, "x.csv", c.cutoff, .2, .2); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want one with %q", err, c.want)
		}
	}
}
