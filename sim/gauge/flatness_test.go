package gauge

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"github.com/before-iron/beforeiron/sim/surface"
	"github.com/before-iron/beforeiron/sim/surface/envelope"
)

// relative compares to a relative tolerance.
func relative(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s: got %.15g, want %.15g", what, got, want)
	}
}

// Sets constructed so that the Chebyshev alternation theorem gives the minimum
// zone exactly (principle: Anthony and others, NPL report DITC 221/93, from
// memory; Hutzschenreuter and others, J. Mech. Eng. Autom. 5(3):94, 2015). The
// least-squares figures were computed by two routes in double precision, which
// agree to 1e-9, and then with 60 decimal digits: those stand here.
func TestFlatnessOfConstructedSets(t *testing.T) {
	for _, c := range []struct {
		file                     string
		vertical, normal         float64 // mm
		total, peak, valley, rms float64
	}{
		{"V1_2top2bottom_5x5", .0082, 0, .0094726399975001, .0046543199974967, .0048183200000034, .0026029099186089},
		{"V2_3top1bottom_5x5", .0125, 0, .0132649999704134, .0078599999834916, .0054049999869218, .0042609491210456},
		{"V3_1top3bottom_9x7", .0064, 0, .0068821333311445, .0032396190468246, .0036425142843199, .0018630949363790},
		{"O1_2top2bottom_tilt16deg", .0085416666667, .0082, .0095251200003103, .0048511200002844, .0046740000000258, .0024144097600670},
	} {
		cols := columns(t, "../../testdata/flatness/"+c.file+".csv")
		z := make([]float64, len(cols[2]))
		for k, v := range cols[2] {
			z[k] = 1000 * v
		}
		f, err := FlatnessOfCloud(surface.Cloud{X: cols[0], Y: cols[1], Z: z})
		if err != nil {
			t.Fatal(err)
		}
		relative(t, c.file+" FLTt", f.LSTotal, 1000*c.total, 1e-11)
		relative(t, c.file+" FLTp", f.LSPeak, 1000*c.peak, 1e-11)
		relative(t, c.file+" FLTv", f.LSValley, 1000*c.valley, 1e-11)
		relative(t, c.file+" FLTq", f.LSRMS, 1000*c.rms, 1e-11)
		if c.normal == 0 {
			relative(t, c.file+" vertical zone", f.MinimumZone, 1000*c.vertical, 1e-9)
			continue
		}
		// Printed to thirteen decimals of a millimetre.
		near(t, c.file+" vertical zone", f.MinimumZone, 1000*c.vertical, 6e-11)
		relative(t, c.file+" normal zone", f.MinimumZoneNormal, 1000*c.normal, 1e-9)
	}
}

// Small grids of unit pitch in exact fractions: minimum zone, peak to valley
// and root mean square about the least-squares plane. Heights are um over mm,
// so that vertical and normal figures agree to 1e-6.
func TestFlatnessOfSmallGrids(t *testing.T) {
	for _, c := range []struct {
		name          string
		n             int
		z             func(i, j int) float64 // row i, column j
		zone, pv, rms float64
	}{
		{"corner spike", 3, spike(0, 0), 3.0 / 4, 5.0 / 6, math.Sqrt(5.0 / 81)},
		{"edge spike", 3, spike(0, 1), 1, 1, math.Sqrt(13.0 / 162)},
		{"centre spike", 3, spike(1, 1), 1, 1, math.Sqrt(8.0 / 81)},
		{"twist", 3, func(i, j int) float64 { return float64((1 - i) * (1 - j)) }, 2, 2, 2.0 / 3},
		{"mod 17", 4, func(i, j int) float64 { return float64((7*i*i + 13*j + 5*i*j) % 17) }, 38.0 / 3, 68.0 / 5, math.Sqrt(22433.0 / 1280)},
	} {
		m := surface.NewMap(surface.Grid{NX: c.n, NY: c.n, DX: 1, DY: 1})
		for k := range m.Z {
			m.Z[k] = c.z(k/c.n, k%c.n)
		}
		f, err := Flatness(m)
		if err != nil {
			t.Fatal(err)
		}
		relative(t, c.name+" zone", f.MinimumZone, c.zone, 1e-12)
		relative(t, c.name+" peak to valley", f.LSTotal, c.pv, 1e-4)
		relative(t, c.name+" rms", f.LSRMS, c.rms, 1e-4)
		relative(t, c.name+" normal zone", f.MinimumZoneNormal, c.zone, 1e-4)
	}
}

func spike(i0, j0 int) func(i, j int) float64 {
	return func(i, j int) float64 {
		if i == i0 && j == j0 {
			return 1
		}
		return 0
	}
}

// zoneByLP is the vertical minimum zone by a linear-programming library, in
// dual form: the greatest sum w z over sum w = sum wx = sum wy = 0, sum |w| = 1;
// the zone is twice that.
func zoneByLP(t *testing.T, x, y, z []float64) float64 {
	t.Helper()
	n := len(z)
	a := mat.NewDense(4, 2*n, nil)
	c := make([]float64, 2*n)
	for k := range z {
		for s, sign := range [2]float64{1, -1} {
			col := 2*k + s
			c[col] = -sign * z[k]
			a.Set(0, col, sign)
			a.Set(1, col, sign*x[k])
			a.Set(2, col, sign*y[k])
			a.Set(3, col, 1)
		}
	}
	opt, _, err := lp.Simplex(c, a, []float64{0, 0, 0, 1}, 1e-12, nil)
	if err != nil {
		t.Fatal(err)
	}
	return -2 * opt
}

func TestMinimumZoneAgainstLinearProgramming(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 14))
	for trial := 0; trial < 150; trial++ {
		n := 4 + rng.IntN(30)
		var c surface.Cloud
		for k := 0; k < n; k++ {
			c.X = append(c.X, rng.Float64()*10)
			c.Y = append(c.Y, rng.Float64()*4)
			c.Z = append(c.Z, rng.NormFloat64()+c.X[k]*rng.Float64())
		}
		f, err := FlatnessOfCloud(c)
		if err != nil {
			t.Fatal(err)
		}
		relative(t, "zone", f.MinimumZone, zoneByLP(t, c.X, c.Y, c.Z), 1e-9)
		if f.MinimumZoneNormal > f.MinimumZone*(1+1e-12) || f.MinimumZone > f.LSTotal*(1+1e-6) {
			t.Errorf("normal zone %g, vertical zone %g, least squares %g", f.MinimumZoneNormal, f.MinimumZone, f.LSTotal)
		}
	}
}

// width is the least distance of parallel planes that hold the points, by
// trying every pair of edges and every face: mm throughout.
func width(p [][3]float64) float64 {
	best := math.Inf(1)
	try := func(a, b [3]float64) {
		n := [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
		l := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
		if l < 1e-12 {
			return
		}
		hi, lo := math.Inf(-1), math.Inf(1)
		for _, q := range p {
			d := (q[0]*n[0] + q[1]*n[1] + q[2]*n[2]) / l
			hi, lo = max(hi, d), min(lo, d)
		}
		best = min(best, hi-lo)
	}
	sub := func(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
	for i := range p {
		for j := range p[:i] {
			for k := range p {
				for l := range p[:k] {
					try(sub(p[i], p[j]), sub(p[k], p[l]))
				}
			}
		}
	}
	return best
}

// Along the normal, on small tilted sets, against every candidate there is.
func TestNormalZoneAgainstAllCandidates(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 16))
	for trial := 0; trial < 25; trial++ {
		n := 5 + rng.IntN(9)
		b, c := rng.NormFloat64()*0.5, rng.NormFloat64()*0.5
		var cl surface.Cloud
		var p [][3]float64
		for k := 0; k < n; k++ {
			x, y := rng.Float64()*10, rng.Float64()*8
			z := b*x + c*y + 0.3*rng.Float64()
			cl.X, cl.Y, cl.Z = append(cl.X, x), append(cl.Y, y), append(cl.Z, 1000*z)
			p = append(p, [3]float64{x, y, z})
		}
		f, err := FlatnessOfCloud(cl)
		if err != nil {
			t.Fatal(err)
		}
		relative(t, "normal zone", f.MinimumZoneNormal, 1000*width(p), 1e-9)
	}
}

// wavy is a face with form, waves and noise, and tilted.
func wavy(nx, ny int, pitch float64) *surface.Map {
	rng := rand.New(rand.NewPCG(17, 18))
	m := surface.NewMap(surface.Grid{NX: nx, NY: ny, DX: pitch, DY: pitch, X0: 40, Y0: -7})
	for k := range m.Z {
		x, y := m.X(k%nx), m.Y(k/nx)
		m.Z[k] = 0.01*(x-50)*(x-50) - 0.02*x*y + 3*math.Sin(x+0.4*y) + rng.NormFloat64() + 5*x
	}
	return m
}

// Shift, tilt, mirror and quarter turn change no figure; missing cells that
// carry no extreme change no zone; a cloud of the same points gives the same.
func TestFlatnessInvariances(t *testing.T) {
	m := wavy(60, 45, 0.5)
	f, err := Flatness(m)
	if err != nil {
		t.Fatal(err)
	}
	same := func(what string, g FlatnessFigures, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		relative(t, what+" zone", g.MinimumZone, f.MinimumZone, 1e-9)
		relative(t, what+" normal zone", g.MinimumZoneNormal, f.MinimumZoneNormal, 1e-5)
		relative(t, what+" FLTt", g.LSTotal, f.LSTotal, 1e-5)
		relative(t, what+" FLTq", g.LSRMS, f.LSRMS, 1e-5)
	}
	var c surface.Cloud
	tilt, mirror := surface.NewMap(m.Grid), surface.NewMap(m.Grid)
	turn := surface.NewMap(surface.Grid{NX: m.NY, NY: m.NX, DX: m.DY, DY: m.DX})
	for k, z := range m.Z {
		i, j := k%m.NX, k/m.NX
		c.X, c.Y, c.Z = append(c.X, m.X(i)), append(c.Y, m.Y(j)), append(c.Z, z)
		tilt.Z[k] = z + 12 - 2*m.X(i) + m.Y(j)
		mirror.Z[j*m.NX+m.NX-1-i] = z
		turn.Z[i*m.NY+m.NY-1-j] = z
	}
	g, err := FlatnessOfCloud(c)
	same("cloud", g, err)
	g, err = Flatness(tilt)
	same("tilt", g, err)
	g, err = Flatness(mirror)
	same("mirror", g, err)
	g, err = Flatness(turn)
	same("turn", g, err)

	holes := surface.NewMap(m.Grid)
	rng := rand.New(rand.NewPCG(19, 20))
	for k, z := range m.Z {
		r := z - f.ZonePlane.At(m.X(k%m.NX), m.Y(k/m.NX))
		holes.Z[k] = z
		if math.Abs(r) < f.MinimumZone/2-1e-6 && rng.IntN(3) > 0 {
			holes.Z[k] = math.NaN()
		}
	}
	h, err := Flatness(holes)
	if err != nil {
		t.Fatal(err)
	}
	relative(t, "holes zone", h.MinimumZone, f.MinimumZone, 1e-9)
}

func TestFlatnessRefusesALine(t *testing.T) {
	if _, err := FlatnessOfCloud(surface.Cloud{X: []float64{0, 1, 2}, Y: []float64{0, 2, 4}, Z: []float64{1, 5, 2}}); err == nil {
		t.Error("points on one line have no flatness, yet no error")
	}
	m := surface.NewMap(surface.Grid{NX: 9, NY: 1, DX: 1, DY: 1})
	if _, err := Flatness(m); err == nil {
		t.Error("one row has no flatness, yet no error")
	}
	f, err := FlatnessOfCloud(surface.Cloud{X: []float64{0, 1, 2}, Y: []float64{0, 2, 1}, Z: []float64{1, 5, 2}})
	if err != nil || f.MinimumZone > 1e-12 {
		t.Errorf("three points are flat: zone %g, error %v", f.MinimumZone, err)
	}
}

// speckled is a million heights with form and noise that testdata/peers/speed.py
// makes the same.
func speckled() *surface.Map {
	m := surface.NewMap(surface.Grid{NX: 1000, NY: 1000, DX: 0.1, DY: 0.1})
	for k := range m.Z {
		i, j := k%1000, k/1000
		x, y := 0.1*float64(i), 0.1*float64(j)
		m.Z[k] = 0.01*(x-50)*(x-50) - 0.02*x*y + 3*float64(((i*73856093)^(j*19349663))%1000)/1000
	}
	return m
}

func BenchmarkFlatness1M(b *testing.B) {
	m := speckled()
	for b.Loop() {
		if _, err := Flatness(m); err != nil {
			b.Fatal(err)
		}
	}
}

// The minimum zone alone, of a grid and of the same points scattered; timed
// with scipy's HiGHS by testdata/peers/speed.py.
func BenchmarkMinimumZone1M(b *testing.B) {
	m := speckled()
	var c surface.Cloud
	for k, z := range m.Z {
		c.X, c.Y, c.Z = append(c.X, m.X(k%m.NX)), append(c.Y, m.Y(k/m.NX)), append(c.Z, z)
	}
	zone := func(b *testing.B, set func() *envelope.Set) {
		var width float64
		for b.Loop() {
			z, err := set().MinimumZone()
			if err != nil {
				b.Fatal(err)
			}
			width = z.Width
		}
		b.ReportMetric(1e6*width, "pm")
	}
	b.Run("grid", func(b *testing.B) { zone(b, func() *envelope.Set { return envelope.OfMap(m) }) })
	b.Run("points", func(b *testing.B) { zone(b, func() *envelope.Set { return envelope.OfCloud(c) }) })
}
