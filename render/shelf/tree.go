package shelf

import "github.com/before-iron/beforeiron/render/store"

// row is a run in the list, forks below what they are another way on from.
type row struct {
	run   int // in the list of runs
	depth int
	cycle int // at which it forks off
}

// tree orders runs, the newest first, with their forks below them.
func tree(runs []store.Saved) []row {
	of := map[string]int{}
	for i := range runs {
		if l := runs[i].Log; l != nil {
			of[l.Header.Sum()] = i
		}
	}
	children := map[int][]int{}
	var roots []int
	for i := range runs {
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
		r := row{run: i, depth: depth}
		if l := runs[i].Log; l != nil && l.Header.Fork != nil {
			for _, e := range l.Entries[:min(l.Header.Fork.Acts, len(l.Entries))] {
				if e.Out.Print != nil {
					r.cycle = e.Out.Print.N
				}
			}
		}
		out = append(out, r)
		for _, k := range children[i] {
			add(k, depth+1)
		}
	}
	for _, i := range roots {
		add(i, 0)
	}
	return out
}
