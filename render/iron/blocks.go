package iron

import "image"

// block is the side, cells, of the blocks in which a face is looked through for what
// is to be drawn anew.
const block = 64

// blocksOf is the number of blocks along a face of nx by ny cells.
func blocksOf(nx, ny int) (int, int) { return (nx + block - 1) / block, (ny + block - 1) / block }

// joined asks of each block of a face of nx by ny cells once, row by row, whether it is
// one of those that are looked for, and lists their cells: blocks side by side, and runs
// of them that lie below each other, in one rectangle.
func joined(nx, ny int, asked func(i, j int) bool) (out []image.Rectangle) {
	all := image.Rect(0, 0, nx, ny)
	bx, by := blocksOf(nx, ny)
	above := map[[2]int]int{} // runs that reach down to this row, by their ends: where they are in out
	for j := range by {
		here := map[[2]int]int{}
		for i := 0; i < bx; i++ {
			from := i
			for i < bx && asked(i, j) {
				i++
			}
			if i == from {
				continue
			}
			run := image.Rect(from*block, j*block, i*block, (j+1)*block).Intersect(all)
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

// Joined is rectangles that hold the cells of the given ones: those themselves, or, where
// that is less, the blocks that they meet.
func (f *Face) Joined(cells []image.Rectangle) []image.Rectangle {
	if len(cells) < 2 {
		return cells
	}
	nx, ny := blocksOf(f.nx, f.ny)
	met := make([]bool, nx*ny)
	for _, r := range cells {
		for j := r.Min.Y / block; j*block < r.Max.Y; j++ {
			for i := r.Min.X / block; i*block < r.Max.X; i++ {
				met[j*nx+i] = true
			}
		}
	}
	if blocks := joined(f.nx, f.ny, func(i, j int) bool { return met[j*nx+i] }); area(blocks) < area(cells) {
		return blocks
	}
	return cells
}

// area is the number of cells in rectangles.
func area(rs []image.Rectangle) int {
	n := 0
	for _, r := range rs {
		n += r.Dx() * r.Dy()
	}
	return n
}
