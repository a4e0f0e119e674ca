package app

import "github.com/before-iron/beforeiron/sim/lay"

// square is the region from lo to hi, 10 um, either way.
func square(lo, hi int) lay.Region {
	return lay.Paint(100, 100, 75, func(i, j int) bool { return i*100 >= lo && i*100 < hi && j*100 >= lo && j*100 < hi })
}
