package shelf

import (
	"github.com/before-iron/beforeiron/render/store"
	"github.com/before-iron/beforeiron/sim/run"
)

// row is a run in the list, forks below what they are another way on from.
type row struct {
	run   int // in the list of runs
	depth int
}

// tree orders runs, the newest first, with their forks below them. One is left out: it
// stands elsewhere, and its forks stand here by themselves; -1 for none.
func tree(runs []store.Saved, but int) []row {
	of := map[string]int{}
	for i := range runs {
		if l := runs[i].Log; l != nil && i != but {
			of[l.Header.Sum()] = i
		}
	}
	children := map[int][]int{}
	var roots []int
	for i := range runs {
		if i == but {
			continue
		}
		if l := runs[i].Log; l != nil && l.Header.Fork != nil {
			if from, known := of[l.Header.Fork.Of]; known && from != i {
				children[from] = append(children[from], i)
				continue
			}
		}
		roots = append(roots, i)
	}
	var out []row
	var add func(i, depth int)
	add = func(i, depth int) {
		out = append(out, row{i, depth})
		for _, k := range children[i] {
			add(k, depth+1)
		}
	}
	for _, i := range roots {
		add(i, 0)
	}
	return out
}

// forkedAt is the print at which a fork goes another way on; 0 before the first.
func forkedAt(l *run.Log) int {
	n := 0
	for _, e := range l.Entries[:min(l.Header.Fork.Acts, len(l.Entries))] {
		if e.Out.Print != nil {
			n = e.Out.Print.N
		}
	}
	return n
}
