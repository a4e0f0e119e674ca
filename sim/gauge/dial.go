package gauge

import "math"

// Dial is an indicator as it is: it shows steps of ResolutionUM, and lags by
// HysteresisUM between rising and falling.
type Dial struct{ ResolutionUM, HysteresisUM float64 }

// DefaultDial is an indicator that reads micrometres (assumed: a good lever type
// of 1 um a division, read to half of one, repeats within one).
var DefaultDial = Dial{ResolutionUM: 0.5, HysteresisUM: 1}

// Read replaces the heights, um, that a tip meets one after the other by what the
// dial shows: the pointer is taken along only at the ends of its play.
func (d Dial) Read(heights []float64) {
	if len(heights) == 0 {
		return
	}
	shown := heights[0]
	for k, h := range heights {
		shown = math.Max(h-d.HysteresisUM/2, math.Min(h+d.HysteresisUM/2, shown))
		heights[k] = shown
		if d.ResolutionUM > 0 {
			heights[k] = float64(math.Round(shown/d.ResolutionUM) * d.ResolutionUM)
		}
	}
}
