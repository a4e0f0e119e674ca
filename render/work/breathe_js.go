package work

import "time"

// Breathe lets the window go on while something long is reckoned: a browser has
// one thread, which must be given back for it to draw.
func Breathe() { time.Sleep(time.Millisecond) }
