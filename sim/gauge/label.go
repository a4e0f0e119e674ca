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
		k := 0
		for ; len(row) >= 64; row = row[64:] {
			out[k] = word((*[64]bool)(row))
			k++
		}
		for i, on := range row {
			out[k] |= bit(on) << i
		}
	}
	return b
}

// word has bit i set where cells[i] is.
func word(cells *[64]bool) uint64 {
	w := uint64(0)
	for i := 0; i < 64; i += 8 {
		m := (*[8]bool)(cells[i:])
		w |= (bit(m[0]) + 2*bit(m[1]) + 4*(bit(m[2])+2*bit(m[3])) +
			16*(bit(m[4])+2*bit(m[5])+4*(bit(m[6])+2*bit(m[7])))) << i
	}
	return w
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
	for j := 0; j < b.ny; j++ {
		r.start[j+1] = r.start[j] + stretches(b.row(j))
	}
	r.id = make([]int32, r.start[b.ny])
	for k := range r.id {
		r.id[k] = int32(k)
	}
	for j := 1; j < b.ny; j++ {
		join(r.id, b.row(j-1), b.row(j), r.start[j-1], r.start[j], connect == 8)
	}
	r.number()
	return r
}

// stretches is the number of runs of a row.
func stretches(row []uint64) int32 {
	n, below := 0, uint64(0)
	for _, w := range row {
		n += bits.OnesCount64(w &^ (w<<1 | below))
		below = w >> 63
	}
	return int32(n)
}

// edges writes the column where each run of a row begins and the one after its
// end, by turns, into list, which must hold one more than the row has cells.
func edges(row []uint64, list []int32) {
	n, below := 0, uint64(0)
	for k, w := range row {
		for turn := w ^ (w<<1 | below); turn != 0; turn &= turn - 1 {
			list[n] = int32(k*64 + bits.TrailingZeros64(turn))
			n++
		}
		below = w >> 63
	}
	list[n] = int32(len(row) * 64) // the end of a run that fills the last bit
}

// edgeList is long enough for the edges of any row.
func (b *bitmap) edgeList() []int32 { return make([]int32, b.words*64+1) }

// join unites the runs of a row with those that they touch in the row before.
// Two runs that overlap share exactly one stretch of common cells, and two that
// meet over a corner alone do so where one starts beside the end of the other:
// so each pair is found once, from bits, no two of them in one column, and the
// runs' indices are ranks among the starts.
func join(parent []int32, before, row []uint64, firstBefore, first int32, corners bool) {
	startedBefore, started := firstBefore-1, first-1
	// Pairs come from left to right. A run that has none yet is its own root, and
	// the root of the last is at hand: only the row before is searched.
	last, root := int32(-1), int32(-1)
	var below, belowBefore, belowBoth uint64
	for k, w := range row {
		p := before[k]
		leftW, leftP := w<<1|below, p<<1|belowBefore
		startW, startP, both := w&^leftW, p&^leftP, w&p
		touch := both &^ (both<<1 | belowBoth)
		if corners {
			touch |= startW&^p&leftP | startP&^w&leftW
		}
		for ; touch != 0; touch &= touch - 1 {
			upTo := touch ^ (touch - 1)
			other := find(parent, startedBefore+int32(bits.OnesCount64(startP&upTo)))
			run := started + int32(bits.OnesCount64(startW&upTo))
			if run != last {
				root = run
			}
			parent[max(root, other)] = min(root, other)
			last, root = run, min(root, other)
		}
		startedBefore += int32(bits.OnesCount64(startP))
		started += int32(bits.OnesCount64(startW))
		below, belowBefore, belowBoth = w>>63, p>>63, both>>63
	}
}

// find is the root of k. Nearly all are a step from theirs or roots themselves;
// both take the same way here, so that the processor guesses it right.
func find(parent []int32, k int32) int32 {
	p := parent[k]
	for parent[p] != p {
		parent[k] = parent[p]
		k, p = p, parent[p]
	}
	return p
}

// number turns roots into ids. A root stands before all its members, so one
// pass numbers them in order.
func (r *runs) number() {
	n := int32(0)
	for k, p := range r.id {
		id := r.id[p]
		if p == int32(k) {
			id = n
			n++
		}
		r.id[k] = id
	}
	r.n = int(n)
}

// paint writes label[id] over the cells of every run, or id+1 where label is
// nil, and 0 elsewhere.
func (r *runs) paint(labels []int32, label []int32) {
	nx := r.of.nx
	for j := 0; j < r.of.ny; j++ {
		row, ids := labels[j*nx:(j+1)*nx], r.id[r.start[j]:r.start[j+1]]
		clear(row)
		next, below := 0, uint64(0)
		for k, w := range r.of.row(j) {
			next -= int(below & w) // a run that goes on from the word before
			for first, last := w&^(w<<1), w&^(w>>1); first != 0; first, last = first&(first-1), last&(last-1) {
				v := ids[next] + 1
				if label != nil {
					v = label[ids[next]]
				}
				next++
				i := bits.TrailingZeros64(first)
				fill(row[k*64+i:], bits.TrailingZeros64(last)+1-i, v)
			}
			below = w >> 63
		}
	}
}

// fill writes v into the first n cells. Most runs of a speckled mask are no longer
// than four: up to three cells of background behind them are cleared besides, which
// the next run covers again.
func fill(cells []int32, n int, v int32) {
	if n <= 4 && len(cells) >= 4 {
		short := (*[4]int32)(cells)
		short[0] = v
		short[1] = v & int32((1-n)>>8)
		short[2] = v & int32((2-n)>>8)
		short[3] = v & int32((3-n)>>8)
		return
	}
	cells = cells[:n]
	for i := range cells {
		cells[i] = v
	}
}
