package gauge

import (
	"math/rand/v2"
	"testing"
)

func maskOf(nx, ny int, on func(x, y int) bool) []bool {
	m := make([]bool, nx*ny)
	for k := range m {
		m[k] = on(k%nx, k/nx)
	}
	return m
}

// Masks and counts from testdata/counting/masks.csv, where the sources stand.
func TestLabelKnownMasks(t *testing.T) {
	scipy := []string{"001100", "000100", "110010", "000100"}
	for _, c := range []struct {
		name          string
		nx, ny        int
		on            func(x, y int) bool
		cells, n4, n8 int
		largest8      int
	}{
		{"scipy documentation", 6, 4, func(x, y int) bool { return scipy[y][x] == '1' }, 7, 4, 2, 5},
		{"6x6 checker", 6, 6, func(x, y int) bool { return (x+y)%2 == 0 }, 18, 18, 1, 18},
		{"M1", 64, 48, func(x, y int) bool { return (x*x+3*y*y+x*y)%17 < 5 }, 777, 355, 157, 0},
		{"M3", 128, 96, func(x, y int) bool { return ((x*73856093)^(y*19349663))%1000 < 300 }, 3723, 1559, 572, 105},
	} {
		m := maskOf(c.nx, c.ny, c.on)
		labels := make([]int32, len(m))
		if n := Label(m, c.nx, c.ny, 4, labels); n != c.n4 {
			t.Errorf("%s: %d 4-connected, want %d", c.name, n, c.n4)
		}
		n := Label(m, c.nx, c.ny, 8, labels)
		if n != c.n8 {
			t.Errorf("%s: %d 8-connected, want %d", c.name, n, c.n8)
		}
		areas := make([]int, n+1)
		for _, l := range labels {
			areas[l]++
		}
		cells, largest := 0, 0
		for _, a := range areas[1:] {
			cells, largest = cells+a, max(largest, a)
		}
		if cells != c.cells {
			t.Errorf("%s: %d cells, want %d", c.name, cells, c.cells)
		}
		if c.largest8 > 0 && largest != c.largest8 {
			t.Errorf("%s: largest %d, want %d", c.name, largest, c.largest8)
		}
	}
}

// flood is the plain way to label, for comparison.
func flood(mask []bool, nx, ny, connect int, labels []int32) int {
	clear(labels)
	n := 0
	var stack []int
	for k, on := range mask {
		if !on || labels[k] != 0 {
			continue
		}
		n++
		labels[k] = int32(n)
		stack = append(stack[:0], k)
		for len(stack) > 0 {
			c := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for dj := -1; dj <= 1; dj++ {
				for di := -1; di <= 1; di++ {
					i, j := c%nx+di, c/nx+dj
					if i < 0 || j < 0 || i >= nx || j >= ny || connect == 4 && di*dj != 0 {
						continue
					}
					if q := j*nx + i; mask[q] && labels[q] == 0 {
						labels[q] = int32(n)
						stack = append(stack, q)
					}
				}
			}
		}
	}
	return n
}

func TestLabelAgainstFlood(t *testing.T) {
	check := func(name string, m []bool, nx, ny int) {
		t.Helper()
		got, want := make([]int32, len(m)), make([]int32, len(m))
		for _, connect := range []int{4, 8} {
			for k := range got {
				got[k] = -7 // what was there before
			}
			n, w := Label(m, nx, ny, connect, got), flood(m, nx, ny, connect, want)
			if n != w {
				t.Fatalf("%s %dx%d connect %d: %d patches, flood %d", name, nx, ny, connect, n, w)
			}
			for k := range got {
				if got[k] != want[k] {
					t.Fatalf("%s %dx%d connect %d cell %d: label %d, flood %d", name, nx, ny, connect, k, got[k], want[k])
				}
			}
		}
	}
	rng := rand.New(rand.NewPCG(5, 6))
	for trial := 0; trial < 300; trial++ {
		nx, ny := 1+rng.IntN(200), 1+rng.IntN(40)
		p := rng.Float64()
		check("random", maskOf(nx, ny, func(x, y int) bool { return rng.Float64() < p }), nx, ny)
	}
	for _, nx := range []int{1, 2, 3, 63, 64, 65, 127, 128, 129, 192} { // a word has 64 cells
		for _, ny := range []int{1, 2, 65} {
			for name, on := range map[string]func(x, y int) bool{
				"empty":        func(x, y int) bool { return false },
				"full":         func(x, y int) bool { return true },
				"checker":      func(x, y int) bool { return (x+y)%2 == 0 },
				"last column":  func(x, y int) bool { return x == nx-1 },
				"slants":       func(x, y int) bool { return (x+y)%5 == 0 || (x-y+1000)%7 == 0 },
				"comb":         func(x, y int) bool { return x%2 == 0 || y == ny-1 },
				"nested vees":  func(x, y int) bool { return (max(x, nx-1-x)+y)%3 == 0 },
				"nested boxes": func(x, y int) bool { return min(x, y, nx-1-x, ny-1-y)%2 == 0 },
			} {
				check(name, maskOf(nx, ny, on), nx, ny)
			}
		}
	}
	check("no cells", nil, 0, 0)
}

// spotsMask looks like a blued face: about a third covered, in round spots.
// testdata/peers/speed.py draws the same.
func spotsMask(n int) []bool {
	m := make([]bool, n*n)
	for s := 0; s < n*n/500; s++ {
		cx, cy, r := s*73856093%n, s*19349663/7%n, 4+s%9
		for j := max(cy-r, 0); j <= min(cy+r, n-1); j++ {
			for i := max(cx-r, 0); i <= min(cx+r, n-1); i++ {
				if (i-cx)*(i-cx)+(j-cy)*(j-cy) <= r*r {
					m[j*n+i] = true
				}
			}
		}
	}
	return m
}

// The same masks are timed with scipy.ndimage.label by testdata/peers/speed.py.
func BenchmarkLabel4M(b *testing.B) {
	const n = 2000
	labels := make([]int32, n*n)
	random := maskOf(n, n, func(x, y int) bool { return ((x*73856093)^(y*19349663))%1000 < 300 })
	for _, c := range []struct {
		name string
		mask []bool
	}{{"spots", spotsMask(n)}, {"random", random}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				Label(c.mask, n, n, 8, labels)
			}
		})
	}
}
