package iron

import (
	"hash/maphash"
	"image"

	"github.com/before-iron/beforeiron/sim/blue"
)

// inked remembers, as a hash, the colour of each block of a face: of the next print
// only the blocks that differ are drawn anew.
type inked struct {
	seed maphash.Seed
	sums []uint64 // of each block, row by row; none while there is no print
}

// inkBlock is the side of a block, cells.
const inkBlock = 64

// forget makes every block differ from the next print.
func (k *inked) forget() { k.sums = nil }

// unsure does so with the blocks of some cells of a face that is nx cells long.
func (k *inked) unsure(cells image.Rectangle, nx int) {
	if k.sums == nil {
		return
	}
	nx = (nx + inkBlock - 1) / inkBlock
	for j := cells.Min.Y / inkBlock; j*inkBlock < cells.Max.Y; j++ {
		for i := cells.Min.X / inkBlock; i*inkBlock < cells.Max.X; i++ {
			k.sums[j*nx+i] = 0
		}
	}
}

// differing takes over the colour of a whole face and lists the blocks that differ,
// those side by side in one rectangle.
func (k *inked) differing(r *blue.Reading) (out []image.Rectangle) {
	all := image.Rect(0, 0, r.NX, r.NY)
	nx, ny := (r.NX+inkBlock-1)/inkBlock, (r.NY+inkBlock-1)/inkBlock
	if k.sums == nil {
		k.seed, k.sums = maphash.MakeSeed(), make([]uint64, nx*ny)
	}
	above := map[[2]int]int{} // the runs that reach down to this row, by their ends: where in out
	for j := range ny {
		here := map[[2]int]int{}
		for i := 0; i < nx; i++ {
			from := i
			for i < nx && k.renew(r, i, j, nx) {
				i++
			}
			if i == from {
				continue
			}
			run := image.Rect(from*inkBlock, j*inkBlock, i*inkBlock, (j+1)*inkBlock).Intersect(all)
			at, ok := above[[2]int{from, i}]
			if ok {
				out[at] = out[at].Union(run)
			} else {
				at, out = len(out), append(out, run)
			}
			here[[2]int{from, i}] = at
		}
		above = here
	}
	return out
}

// renew takes over block i of row j, of nx, and reports whether it differs.
func (k *inked) renew(r *blue.Reading, i, j, nx int) bool {
	var h maphash.Hash
	h.SetSeed(k.seed)
	from, to := i*inkBlock, min((i+1)*inkBlock, r.NX)
	for y := j * inkBlock; y < min((j+1)*inkBlock, r.NY); y++ {
		h.Write(r.Colour[y*r.NX+from : y*r.NX+to])
		h.Write(r.Shine[y*r.NX+from : y*r.NX+to])
	}
	was := &k.sums[j*nx+i]
	sum := h.Sum64()
	differs := sum != *was
	*was = sum
	return differs
}
