package gauge

import "math/bits"

// Label numbers the connected patches of mask, nx by ny cells, x fastest. Cells
// touch over their edges (connect 4) or also over their corners (connect 8).
// It writes 0 for background and 1..n, in raster order of the first cell of
// each patch, into labels, which must hold nx*ny, and returns n.
func Label(mask []bool, nx, ny, connect int, labels []int32) int {
	r := packed(mask, nx, ny).runs(connect)
	r.paint(labels, nil)
	return r.n
}

// bitmap is a mask with one bit a cell; every row begins a new word, and bits
// beyond nx are nought.
type bitmap struct {
	nx, ny, words int // words a row
	w             []uint64
}

func newBitmap(nx, ny int) *bitmap {
	words := (nx + 63) / 64
	return &bitmap{nx, ny, words, make([]uint64, words*ny)}
}

func (b *bitmap) row(j int) []uint64 { return b.w[j*b.words : (j+1)*b.words] }

func (b *bitmap) at(i, j int) bool { return b.row(j)[i/64]>>(i&63)&1 != 0 }

func packed(mask []bool, nx, ny int) *bitmap {
	b := newBitmap(nx, ny)
	for j := 0; j < ny; j++ {
		row, out := mask[j*nx:(j+1)*nx], b.row(j)
		i := 0
		for ; i+8 <= nx; i += 8 {
			m := (*[8]bool)(row[i:])
			out[i/64] |= (bit(m[0]) | bit(m[1])<<1 | bit(m[2])<<2 | bit(m[3])<<3 |
				bit(m[4])<<4 | bit(m[5])<<5 | bit(m[6])<<6 | bit(m[7])<<7) << (i & 63)
		}
		for ; i < nx; i++ {
			out[i/64] |= bit(row[i]) << (i & 63)
		}
	}
	return b
}

func bit(on bool) uint64 {
	if on {
		return 1
	}
	return 0
}

// runs are the patches of a bitmap as its rows' stretches of set cells.
type runs struct {
	of    *bitmap
	n     int     // patches; ids are 0..n-1 in raster order of their first cells
	id    []int32 // the patch of each run; those of row j are id[start[j]:start[j+1]]
	start []int32
}

// runs labels the bitmap by joining each row's runs to those of the row before
// (union-find whose roots are the earliest runs).
func (b *bitmap) runs(connect int) *runs {
	r := &runs{of: b, start: make([]int32, b.ny+1)}
	total := 0
	for j := 0; j < b.ny; j++ {
		r.start[j] = int32(total)
		var carry uint64
		for _, w := range b.row(j) {
			total += bits.OnesCount64(w &^ (w<<1 | carry))
			carry = w >> 63
		}
	}
	r.start[b.ny] = int32(total)
	r.id = make([]int32, total)
	for k := range r.id {
		r.id[k] = int32(k)
	}
	for j := 1; j < b.ny; j++ {
		join(r.id, b.row(j-1), b.row(j), r.start[j-1], r.start[j], connect == 8)
	}
	// A root stands before all its members, so one pass numbers them in order.
	for k, p := range r.id {
		if p == int32(k) {
			r.id[k] = int32(r.n)
			r.n++
		} else {
			r.id[k] = r.id[p]
		}
	}
	return r
}

// run is a row's stretch of cells i0 <= i < i1 that belong to one patch.
type run struct{ i0, i1 int32 }

// extents are the runs that r.id names.
func (r *runs) extents() []run {
	list := make([]run, len(r.id))
	for j := 0; j < r.of.ny; j++ {
		row := r.of.row(j)
		var below uint64
		starts, ends := r.start[j], r.start[j]
		for k, w := range row {
			base := int32(k * 64)
			for s := w &^ (w<<1 | below); s != 0; s &= s - 1 {
				list[starts].i0 = base + int32(bits.TrailingZeros64(s))
				starts++
			}
			// Ends are marked on the first cell after a run.
			for e := (w<<1 | below) &^ w; e != 0; e &= e - 1 {
				list[ends].i1 = base + int32(bits.TrailingZeros64(e))
				ends++
			}
			below = w >> 63
		}
		if ends < starts {
			list[ends].i1 = int32(len(row) * 64)
		}
	}
	return list
}

// join unites the runs of a row with those that they touch in the row before.
// Two runs that overlap share exactly one stretch of common cells, and two that
// meet over a corner alone do so where one starts beside the end of the other:
// so each pair is found once, from bits, and the runs' indices are ranks among
// the starts.
func join(parent []int32, before, row []uint64, kb, kr int32, corners bool) {
	kb--
	kr--
	var below, belowBefore, belowBoth uint64
	for k, w := range row {
		p := before[k]
		startW := w &^ (w<<1 | below)
		startP := p &^ (p<<1 | belowBefore)
		both := w & p
		for s := both &^ (both<<1 | belowBoth); s != 0; s &= s - 1 {
			upTo := s ^ (s - 1)
			unite(parent, kb+int32(bits.OnesCount64(startP&upTo)), kr+int32(bits.OnesCount64(startW&upTo)))
		}
		if corners {
			for s := startW &^ p & (p<<1 | belowBefore); s != 0; s &= s - 1 {
				upTo := s ^ (s - 1)
				unite(parent, kb+int32(bits.OnesCount64(startP&(upTo>>1))), kr+int32(bits.OnesCount64(startW&upTo)))
			}
			for s := startP &^ w & (w<<1 | below); s != 0; s &= s - 1 {
				upTo := s ^ (s - 1)
				unite(parent, kb+int32(bits.OnesCount64(startP&upTo)), kr+int32(bits.OnesCount64(startW&(upTo>>1))))
			}
		}
		kb += int32(bits.OnesCount64(startP))
		kr += int32(bits.OnesCount64(startW))
		below, belowBefore, belowBoth = w>>63, p>>63, both>>63
	}
}

func unite(parent []int32, a, b int32) {
	a, b = find(parent, a), find(parent, b)
	parent[max(a, b)] = min(a, b)
}

func find(parent []int32, k int32) int32 {
	for parent[k] != k {
		parent[k] = parent[parent[k]]
		k = parent[k]
	}
	return k
}

// paint writes label[id] over the cells of every run, or id+1 where label is
// nil, and 0 elsewhere.
func (r *runs) paint(labels []int32, label []int32) {
	nx := r.of.nx
	for j := 0; j < r.of.ny; j++ {
		row := labels[j*nx : (j+1)*nx]
		clear(row)
		ids := r.id[r.start[j]:r.start[j+1]]
		at, below := -1, uint64(0)
		for k, w := range r.of.row(j) {
			last := w >> 63
			for w != 0 {
				lo := bits.TrailingZeros64(w)
				n := bits.TrailingZeros64(^(w >> lo))
				if lo > 0 || below == 0 {
					at++
				}
				below = 0
				v := ids[at] + 1
				if label != nil {
					v = label[ids[at]]
				}
				cells := row[k*64+lo:]
				if n <= 4 && len(cells) >= 4 {
					// Most runs of a speckled mask are this short; what is written
					// beyond the end is background until the next run covers it.
					short := (*[4]int32)(cells)
					short[0] = v
					short[1] = v & int32((1-n)>>8)
					short[2] = v & int32((2-n)>>8)
					short[3] = v & int32((3-n)>>8)
				} else {
					cells = cells[:n]
					for i := range cells {
						cells[i] = v
					}
				}
				w &= ^uint64(0) << (lo + n)
			}
			below = last
		}
	}
}
