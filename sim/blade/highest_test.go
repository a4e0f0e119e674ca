package blade

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// The highest around every value is the highest of all that lie within reach of it,
// looked at one by one.
func TestHighestAround(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, c := range []struct{ nx, ny, rx, ry int }{
		{1, 1, 0, 0}, {1, 1, 3, 2}, {7, 5, 1, 1}, {5, 7, 9, 9}, {63, 4, 3, 1}, {64, 9, 5, 4}, {65, 3, 0, 1}, {131, 40, 7, 11}, {20, 200, 2, 50},
	} {
		v := make([]int32, c.nx*c.ny)
		for k := range v {
			v[k] = int32(rng.IntN(2000)) - 1000
			if rng.IntN(5) == 0 {
				v[k] = nothing
			}
		}
		want := make([]int32, len(v))
		for k := range want {
			i, j := k%c.nx, k/c.nx
			high := int32(nothing)
			for y := max(0, j-c.ry); y <= min(c.ny-1, j+c.ry); y++ {
				for x := max(0, i-c.rx); x <= min(c.nx-1, i+c.rx); x++ {
					high = max(high, v[y*c.nx+x])
				}
			}
			want[k] = high
		}
		highestAround(v, c.nx, c.ny, c.rx, c.ry)
		if !slices.Equal(v, want) {
			t.Errorf("%d x %d values, %d x %d around: %v, want %v", c.nx, c.ny, c.rx, c.ry, v, want)
		}
	}
}

func BenchmarkStone(b *testing.B) {
	f := wavy(200, 150, .2, 1)
	for b.Loop() {
		Stone(f)
	}
}
