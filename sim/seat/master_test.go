package seat

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// table reads the figures of testdata/plates; its sources stand in the files.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open("../../testdata/plates/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out [][]float64
	for _, record := range records[1:] {
		row := make([]float64, len(record))
		for k, s := range record {
			if row[k], err = strconv.ParseFloat(s, 64); err != nil {
				t.Fatal(err)
			}
		}
		out = append(out, row)
	}
	return out
}

func tolerance(t *testing.T, g Grade, length, width float64) float64 {
	t.Helper()
	v, err := Master{Grade: g, LengthMM: length, WidthMM: width}.ToleranceUM()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestDIN876(t *testing.T) {
	for _, row := range table(t, "din876.csv") {
		for k, g := range []Grade{DIN8760, DIN8761, DIN8762, DIN8763} {
			if got := tolerance(t, g, row[0]/2, row[0]); math.Abs(got-row[k+1]) > 1e-9 {
				t.Errorf("%s, %g mm: %g um, table %g", g, row[0], got, row[k+1])
			}
		}
	}
}

func TestGGGP463c(t *testing.T) {
	for _, row := range table(t, "ggg_p_463c.csv") {
		for g, times := range map[Grade]float64{GGGAA: 1, GGGA: 2, GGGB: 4} {
			want := times * row[2] * 0.0254
			if got := tolerance(t, g, row[1]*25.4, row[0]*25.4); math.Abs(got-want) > 1e-9 {
				t.Errorf("%s, %g x %g in: %g um, table %g", g, row[0], row[1], got, want)
			}
		}
	}
	// A size that is not listed: 30 x 40 in has a diagonal of 50 in, so
	// 40 + 2500/25 = 140 microinch (the formula of GGG-P-463c, by hand).
	if got := tolerance(t, GGGAA, 1016, 762); math.Abs(got-140*0.0254) > 1e-9 {
		t.Errorf("30 x 40 in: %g um", got)
	}
}

func plate(t *testing.T, m Master) *Plate {
	t.Helper()
	p, err := NewPlate(m)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPlateUsesItsShareOfTheTolerance(t *testing.T) {
	for seed := range uint64(5) {
		m := Master{Grade: DIN8760, LengthMM: 400, WidthMM: 250, Seed: seed, Share: 0.8}
		p := plate(t, m)
		z := surface.NewMap(surface.Grid{NX: 201, NY: 126, DX: 2, DY: 2})
		for k := range z.Z {
			z.Z[k] = p.HeightAt(z.X(k%z.NX), z.Y(k/z.NX))
		}
		plane, err := surface.LeastSquares(z)
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for k := range z.Z {
			r := z.Z[k] - plane.At(z.X(k%z.NX), z.Y(k/z.NX))
			lo, hi = min(lo, r), max(hi, r)
		}
		// DIN 876 grade 0 at 400 mm: 5.6 um.
		if got := hi - lo; math.Abs(got-0.8*5.6) > 0.05 {
			t.Errorf("seed %d: %g um out of flat, want %g", seed, got, 0.8*5.6)
		}
		if other := plate(t, Master{Grade: DIN8760, LengthMM: 400, WidthMM: 250, Seed: seed + 1}); other.HeightAt(0, 0)/0.5 == p.HeightAt(0, 0)/0.8 {
			t.Errorf("seeds %d and %d give one plate", seed, seed+1)
		}
	}
}

// AddTo against HeightAt through the pose, cell by cell.
func TestAddTo(t *testing.T) {
	p := plate(t, Master{Grade: DIN8762, LengthMM: 300, WidthMM: 200, Seed: 3})
	g := surface.Grid{NX: 40, NY: 30, DX: 2, DY: 1.5, X0: 11, Y0: -7}
	for _, pose := range []Pose{p.Middle(), {XMM: 60, YMM: 50, HalfTurn: true}, {XMM: 10, YMM: 195}} {
		m := surface.NewMap(g)
		for k := range m.Z {
			m.Z[k] = float64(k % 7)
		}
		p.AddTo(m, pose)
		over := 0
		for k, got := range m.Z {
			px, py := pose.On(g, g.X(k%g.NX), g.Y(k/g.NX))
			want := float64(k%7) + p.HeightAt(px, py)
			if want != want {
				over++
			}
			if math.Abs(got-want) > 1e-12 || (got != got) != (want != want) {
				t.Fatalf("%+v, cell %d: %g, want %g", pose, k, got, want)
			}
		}
		if (over > 0) != (pose.YMM == 195) {
			t.Errorf("%+v: %d cells overhang", pose, over)
		}
	}
}

// Face down, tipped over its length: x with x, y against y, about the middle.
func TestPose(t *testing.T) {
	g := surface.Grid{NX: 10, NY: 4, DX: 10, DY: 10, X0: 5, Y0: 5} // 100 x 40 mm
	for _, c := range []struct {
		half           bool
		x, y, onX, onY float64
	}{{false, 0, 0, 150, 120}, {false, 100, 40, 250, 80}, {true, 0, 0, 250, 80}, {true, 100, 40, 150, 120}} {
		px, py := Pose{200, 100, c.half}.On(g, c.x, c.y)
		if px != c.onX || py != c.onY {
			t.Errorf("half turn %v: (%g, %g) lies on (%g, %g), want (%g, %g)", c.half, c.x, c.y, px, py, c.onX, c.onY)
		}
	}
}

func TestTruePlaneAddsNothing(t *testing.T) {
	m := surface.NewMap(surface.Grid{NX: 4, NY: 3, DX: 10, DY: 10})
	m.Z[5] = 2.5
	p := plate(t, Master{Grade: True})
	p.AddTo(m, Pose{XMM: -500})
	if m.Z[5] != 2.5 || m.Valid() != 12 || p.HeightAt(1e6, -1e6) != 0 {
		t.Errorf("%v", m.Z)
	}
	// With a size it still ends somewhere: the part overhangs by one column.
	plate(t, Master{Grade: True, LengthMM: 100, WidthMM: 100}).AddTo(m, Pose{XMM: 10, YMM: 50})
	if m.Valid() != 9 {
		t.Errorf("%d cells have a plate under them, want 9", m.Valid())
	}
}

func TestMasterErrors(t *testing.T) {
	for _, c := range []struct {
		m    Master
		want string
	}{
		{Master{Grade: "00", LengthMM: 100, WidthMM: 100}, "din876-0"},
		{Master{Grade: DIN8760}, "length_mm"},
		{Master{Grade: True, Share: 2}, "share is 2"},
	} {
		if _, err := NewPlate(c.m); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: error %v, want %q", c.m, err, c.want)
		}
	}
}

func BenchmarkAddTo1000x750(b *testing.B) {
	p, err := NewPlate(Master{Grade: DIN8760, LengthMM: 400, WidthMM: 250, Seed: 1})
	if err != nil {
		b.Fatal(err)
	}
	m := surface.NewMap(surface.Grid{NX: 1000, NY: 750, DX: 0.2, DY: 0.2})
	b.SetBytes(int64(8 * len(m.Z)))
	for range b.N {
		p.AddTo(m, p.Middle())
	}
}
