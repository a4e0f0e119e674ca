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

// forget makes every block differ from the next print.
func (k *inked) forget() { k.sums = nil }

// unsure does so with the blocks of some cells of a face that is nx cells long.
func (k *inked) unsure(cells image.Rectangle, nx int) {
	if k.sums == nil {
		return
	}
	nx, _ = blocksOf(nx, 1)
	for j := cells.Min.Y / block; j*block < cells.Max.Y; j++ {
		for i := cells.Min.X / block; i*block < cells.Max.X; i++ {
			k.sums[j*nx+i] = 0
		}
	}
}

// differing takes over the colour of a whole face and lists the blocks that differ.
func (k *inked) differing(r *blue.Reading) []image.Rectangle {
	nx, ny := blocksOf(r.NX, r.NY)
	if k.sums == nil {
		k.seed, k.sums = maphash.MakeSeed(), make([]uint64, nx*ny)
	}
	return joined(r.NX, r.NY, func(i, j int) bool { return k.renew(r, i, j, nx) })
}

// renew takes over block i of row j, of nx, and reports whether it differs.
func (k *inked) renew(r *blue.Reading, i, j, nx int) bool {
	var h maphash.Hash
	h.SetSeed(k.seed)
	from, to := i*block, min((i+1)*block, r.NX)
	for y := j * block; y < min((j+1)*block, r.NY); y++ {
		h.Write(r.Colour[y*r.NX+from : y*r.NX+to])
		h.Write(r.Shine[y*r.NX+from : y*r.NX+to])
	}
	was := &k.sums[j*nx+i]
	sum := h.Sum64()
	differs := sum != *was
	*was = sum
	return differs
}
