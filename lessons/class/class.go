// Package class makes of the marked runs of a class a gradebook, statements for a
// record store, and what can be said of all together without saying it of one. It
// knows seat codes and no names.
package class

import (
	"sort"
	"strings"
	"time"

	"github.com/before-iron/beforeiron/sim/score"
)

// Attempt is one marked run.
type Attempt struct {
	File     string // name of the file
	Code     string // seat code
	Lesson   string // empty for somebody's own part
	Number   int    // from 1, of this seat at this lesson
	Seed     uint64
	Signed   bool
	Program  string // version that began the run
	Hand     string // synthetic hand, empty for a person
	Finished time.Time
	Sum      string // that the run is known by
	Report   *score.Report
}

// SeatCode is the code in the name of a file: what stands before the first dot or
// underscore, so that c3-07.run and c3-07_again.run are of one seat.
func SeatCode(file string) string {
	if n := strings.IndexAny(file, "._"); n >= 0 {
		return file[:n]
	}
	return file
}

// Sort puts attempts in order of seat, lesson and file, and numbers them.
func Sort(all []Attempt) {
	sort.SliceStable(all, func(a, b int) bool {
		x, y := &all[a], &all[b]
		switch {
		case x.Code != y.Code:
			return x.Code < y.Code
		case x.Lesson != y.Lesson:
			return x.Lesson < y.Lesson
		}
		return x.File < y.File
	})
	for n := range all {
		a := &all[n]
		a.Number = 1
		if n > 0 && all[n-1].Code == a.Code && all[n-1].Lesson == a.Lesson {
			a.Number = all[n-1].Number + 1
		}
	}
}

// Twins are the files that hold the same acts, line for line.
func Twins(all []Attempt) [][]string {
	bySum := map[string][]string{}
	var sums []string
	for _, a := range all {
		if len(bySum[a.Sum]) == 0 {
			sums = append(sums, a.Sum)
		}
		bySum[a.Sum] = append(bySum[a.Sum], a.File)
	}
	var out [][]string
	for _, s := range sums {
		if len(bySum[s]) > 1 {
			out = append(out, bySum[s])
		}
	}
	return out
}
