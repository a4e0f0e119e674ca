//go:build !js

package work

// Breathe lets the window go on while something long is reckoned; here it runs
// beside the window as it is.
func Breathe() {}
