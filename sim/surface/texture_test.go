package surface

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// speckled is a map whose heights repeat nowhere near, of mean about nought.
func speckled(nx, ny int, dx, dy float64) *Map {
	m := NewMap(Grid{NX: nx, NY: ny, DX: dx, DY: dy})
	rng := rand.New(rand.NewPCG(5, 1))
	for k := range m.Z {
		m.Z[k] = rng.NormFloat64()
	}
	return m
}

func textureOf(t *testing.T, m *Map, dx, dy float64) *Texture {
	t.Helper()
	out, err := NewTexture(m, dx, dy)
	if err != nil {
		t.Fatal(err)
	}
	out.File, out.CutoffMM = "scan.x3p", 8
	return out
}

func TestTextureAtItsOwnPitchIsTheFile(t *testing.T) {
	m := speckled(40, 30, .2, .2)
	mean := 0.0
	for _, z := range m.Z {
		mean += z / float64(len(m.Z))
	}
	x := textureOf(t, m, .2, .2)
	for k, z := range m.Z {
		if x.NX != 40 || x.NY != 30 || math.Abs(FromSteps(x.Steps[k])-(z-mean)) > .5/StepsPerUM+1e-12 {
			t.Fatalf("%d x %d, height %d is %g, want %g", x.NX, x.NY, k, FromSteps(x.Steps[k]), z-mean)
		}
	}
}

// Cells of the part that hold whole cells of the file take their mean; those that
// hold parts of them, the mean weighted by what they hold (by hand).
func TestTextureIsTheMeanOverACell(t *testing.T) {
	for _, c := range []struct {
		z     []float64
		pitch float64
		want  []float64
	}{
		{[]float64{3, 5, -1, -7}, .1, []float64{4, -4}},
		{[]float64{6, 0, -6, 0, 6}, .2 / 1.5, []float64{4, -4, 2}}, // 1.5 of them each; the half that is left over is left out
		{[]float64{4, 8, -12}, .4, []float64{4, 5, 7, 3, -7, -12}},
	} {
		m := NewMap(Grid{NX: len(c.z), NY: 2, DX: c.pitch, DY: .2})
		copy(m.Z, c.z)
		copy(m.Z[len(c.z):], c.z)
		x := textureOf(t, m, .2, .2)
		n := x.NX
		mean := 0.0
		for _, w := range c.want[:n] {
			mean += w / float64(n)
		}
		for k := range n {
			if got := FromSteps(x.Steps[k]); math.Abs(got-(c.want[k]-mean)) > 1e-3 {
				t.Errorf("pitch %g: cell %d is %g, want %g", c.pitch, k, got, c.want[k]-mean)
			}
		}
	}
}

func TestTextureBounds(t *testing.T) {
	m := speckled(30, 20, .2, .2)
	for k := range m.Z {
		if k%7 == 0 {
			m.Z[k] = math.NaN()
		}
	}
	for k, s := range textureOf(t, m, .2, .2).Steps {
		if m.Z[k] != m.Z[k] && s != 0 {
			t.Errorf("missing height %d became %d steps", k, s)
		}
	}
	if x := textureOf(t, speckled(1400, 1300, .2, .2), .2, .2); x.NX*x.NY > MaxTextureCells || x.NX < 1000 || x.NY < 1000 {
		t.Errorf("a large file became %d x %d cells", x.NX, x.NY)
	}
	if x := textureOf(t, speckled(2, 3000, .2, .2), .2, .2); x.NX != 2 || x.NY != 3000 {
		t.Errorf("a long file became %d x %d cells", x.NX, x.NY)
	}
	few, high := speckled(30, 20, .2, .2), speckled(30, 20, .2, .2)
	for k := range few.Z {
		if k%3 > 0 {
			few.Z[k] = math.NaN()
		}
	}
	high.Z[0] = 1e6
	for _, c := range []struct {
		m    *Map
		want string
	}{
		{speckled(9, 9, .6, .2), "too coarse for a texture"}, {few, "only 200 of 600"}, {high, "are the unit and the cutoff right?"},
		{speckled(3, 3, .1, .1), "less than two cells"},
	} {
		if _, err := NewTexture(c.m, .2, .2); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want one with %q", err, c.want)
		}
	}
}

// Every cell of a face that bears a texture stands at a height of it, neighbours on
// the face are neighbours in the texture or the same cell of it, and another seed
// begins elsewhere.
func TestTextureCoversAFace(t *testing.T) {
	m := speckled(37, 23, .2, .2)
	for k := range m.Z {
		m.Z[k] = float64(k*541%(37*23)) / 100 // no two alike: 541 is prime
	}
	x := textureOf(t, m, .2, .2)
	at := map[int32]int{}
	for k, s := range x.Steps {
		at[s] = k
	}
	if len(at) != len(x.Steps) {
		t.Fatal("two cells of the test's texture are alike")
	}
	r := Recipe{LengthMM: 40, WidthMM: 30, PitchMM: .2, Texture: x}
	firsts := map[int32]bool{}
	for r.Seed = range 6 {
		f := build(t, r)
		firsts[f.H[0]] = true
		for k, h := range f.H {
			was, ok := at[h]
			if !ok {
				t.Fatalf("cell %d stands at %d steps, which the texture has nowhere", k, h)
			}
			if k%f.NX > 0 {
				if left := at[f.H[k-1]]; was/x.NX != left/x.NX || was-left > 1 || left-was > 1 {
					t.Fatalf("cell %d shows cell %d of the texture, beside %d", k, was, left)
				}
			}
			if k >= f.NX {
				if up := at[f.H[k-f.NX]]; was%x.NX != up%x.NX || was/x.NX-up/x.NX > 1 || up/x.NX-was/x.NX > 1 {
					t.Fatalf("cell %d shows cell %d of the texture, below %d", k, was, up)
				}
			}
		}
	}
	if len(firsts) < 5 {
		t.Errorf("six seeds begin at %d places", len(firsts))
	}
	r.RangeUM = 46
	if got := outOfFlat(t, build(t, r)); math.Abs(got-46) > .01 {
		t.Errorf("form and texture are %g um out of flat, want 46", got)
	}
}

// Readings give the form and the texture comes on top, as a finish does.
func TestTextureOnReadings(t *testing.T) {
	d := read(t, inchGrid)
	dx, dy := d.FacePitch()
	bare, err := FromReadings(d, Skin{}, 0, 11)
	if err != nil {
		t.Fatal(err)
	}
	if dx != bare.DX || dy != bare.DY {
		t.Errorf("FacePitch says %g x %g mm, the face has %g x %g", dx, dy, bare.DX, bare.DY)
	}
	x := textureOf(t, speckled(200, 150, dx, dy), dx, dy)
	f, err := FromReadings(d, Skin{Measured: x}, 0, 11)
	if err != nil {
		t.Fatal(err)
	}
	sum, squares := 0.0, 0.0
	for k := range f.H {
		z := FromSteps(f.H[k] - bare.H[k])
		sum, squares = sum+z, squares+z*z
	}
	n := float64(len(f.H))
	if math.Abs(sum/n) > .05 || math.Abs(math.Sqrt(squares/n)-1) > .02 {
		t.Errorf("the texture has mean %g and rms %g um, want 0 and that of the file, 1", sum/n, math.Sqrt(squares/n))
	}
	scattered := &Data{Cloud: circle(9)}
	dx, dy = scattered.FacePitch()
	if f, err := FromReadings(scattered, Skin{}, 0, 1); err != nil || dx != f.DX || dy != f.DY {
		t.Errorf("FacePitch says %g x %g mm of scattered readings: %v", dx, dy, err)
	}
}

func TestTextureErrors(t *testing.T) {
	good := Recipe{LengthMM: 20, WidthMM: 10, PitchMM: .2, Texture: textureOf(t, speckled(20, 20, .2, .2), .2, .2)}
	build(t, good)
	for want, spoil := range map[string]func(*Recipe){
		"its pitch is 0.2 x 0.2 mm where":    func(r *Recipe) { r.PitchMM = .25 },
		"give one of them":                   func(r *Recipe) { r.Finish = Milled },
		"399 heights for 20 x 20":            func(r *Recipe) { r.Texture.Steps = r.Texture.Steps[1:] },
		"400 heights for -20 x -20":          func(r *Recipe) { r.Texture.NX, r.Texture.NY = -20, -20 },
		"heights for 9223372036854775807 x ": func(r *Recipe) { r.Texture.NX, r.Texture.NY = math.MaxInt, math.MaxInt },
		"beyond 500":                         func(r *Recipe) { r.Texture.Steps[7] = math.MinInt32 },
		"longer than 255":                    func(r *Recipe) { r.Texture.File = strings.Repeat("x", 256) },
		"give a name that can be printed":    func(r *Recipe) { r.Texture.File = "a\nb" },
		"a cutoff of 0 mm":                   func(r *Recipe) { r.Texture.CutoffMM = 0 },
		"a pitch of NaN":                     func(r *Recipe) { r.Texture.DX = math.NaN() },
	} {
		r := good
		x := *good.Texture
		x.Steps = append([]int32{}, x.Steps...)
		r.Texture = &x
		spoil(&r)
		if _, err := Build(r); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}

// A texture goes through a run's header whole, and a recipe without one is written
// as it always was.
func TestTextureTravels(t *testing.T) {
	x := textureOf(t, speckled(4, 3, .2, .2), .2, .2)
	b, err := json.Marshal(x)
	if err != nil {
		t.Fatal(err)
	}
	var back Texture
	if err := json.Unmarshal(b, &back); err != nil || fmt.Sprint(back) != fmt.Sprint(*x) {
		t.Errorf("%s came back as %v: %v", b, back, err)
	}
	if b, err = json.Marshal(coupon(1)); err != nil || strings.Contains(string(b), "texture") {
		t.Errorf("a recipe without a texture is written %s: %v", b, err)
	}
}

// The digest was computed on amd64; arm64 and wasm must reach the same.
func TestTextureIsTheSameOnEveryProcessor(t *testing.T) {
	m := NewMap(Grid{NX: 90, NY: 70, DX: .07, DY: .07})
	for k := range m.Z {
		m.Z[k] = float64((k*73856093)%1000) / 300
	}
	r := coupon(4)
	r.Finish, r.Texture = "", textureOf(t, m, .2, .2)
	if got, want := digest(build(t, r)), uint64(0xf56c0c522d240353); got != want {
		t.Errorf("digest %#x, want %#x", got, want)
	}
}
