package review

import "github.com/before-iron/beforeiron/sim/run"

// SameSurface reports whether runs of two headers began on one surface with one
// target, so that they can be held beside each other.
func SameSurface(a, b run.Header) bool { return strangers(a, b) == "" }
