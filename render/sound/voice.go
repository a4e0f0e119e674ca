package sound

import "math"

// voice is one thing that sounds: noise, or a strike, through a few filters.
type voice struct {
	at, frames  int // frames so far and, for what ends by itself, in all
	level       float64
	left, right float64 // shares of the two sides
	strike      bool    // one impulse instead of noise

	speed  float64 // mm/s, for what goes by distance
	ripple float64 // depth of chatter, 0 to 1
	patter float64 // chance of a burst in each millisecond
	burst  float64
	phase  float64 // of the chatter, in turns

	filters []filter
	gains   []float64
}

// rippleMM is the distance from crest to crest of a blade's chatter (assumed).
const rippleMM = 1.4

// place sets where a voice comes from: at -1 all of it goes left, at 1 right; the power of both stays the same.
func (v *voice) place(pan float64) {
	pan = bounded(pan, -1, 1)
	v.left, v.right = math.Sqrt((1-pan)/2), math.Sqrt((1+pan)/2)
}

// shape is the envelope of a stroke: in over its first quarter and out over the
// last third, as the blade lifts; a strike has none.
func (v *voice) shape() float64 {
	if v.strike {
		return 1
	}
	t := float64(v.at) / float64(max(1, v.frames))
	ease := func(u float64) float64 {
		u = max(0, min(1, u))
		return u * u * (3 - 2*u)
	}
	return min(ease(t/.25), ease((1-t)/.35))
}

// next is the next sample at a loudness.
func (v *voice) next(s *Synth, loud float64) float64 {
	x := 0.0
	switch {
	case v.strike && v.at == 0:
		x = 1
	case !v.strike:
		x = s.white()
	}
	if v.ripple > 0 {
		v.phase += v.speed / rippleMM / s.rate
		v.phase -= math.Floor(v.phase)
		// The blade leaves the metal for a part of each wave.
		x *= 1 - v.ripple*.85*math.Max(0, math.Cos(2*math.Pi*v.phase))
	}
	if v.patter > 0 {
		if math.Abs(s.white()) < v.patter*1000/s.rate {
			v.burst = 1
		}
		v.burst -= v.burst * min(1, 400/s.rate)
		x *= .5 + 1.2*v.burst
	}
	sum := 0.0
	for n := range v.filters {
		sum += v.gains[n] * v.filters[n].next(x)
	}
	return v.level * loud * sum
}

// band lets a band about centre Hz through, the narrower the greater q.
func (v *voice) band(rate, centre, q, gain float64) {
	w := 2 * math.Pi * min(centre, .45*rate) / rate
	alpha := math.Sin(w) / (2 * q)
	// The band pass of constant peak gain of R. Bristow-Johnson's audio EQ
	// cookbook (W3C note, 2021).
	v.filters = append(v.filters, filter{
		b0: alpha / (1 + alpha), b2: -alpha / (1 + alpha),
		a1: -2 * math.Cos(w) / (1 + alpha), a2: (1 - alpha) / (1 + alpha),
	})
	v.gains = append(v.gains, gain)
}

// ring is a resonance that a strike sets off: Hz, and the time in which it falls
// to 1/e, s.
func (v *voice) ring(rate, hz, fall, gain float64) {
	w, r := 2*math.Pi*hz/rate, math.Exp(-1/(fall*rate))
	v.filters = append(v.filters, filter{b1: r * math.Sin(w), a1: -2 * r * math.Cos(w), a2: r * r})
	v.gains = append(v.gains, gain)
}

// filter is a section of second order.
type filter struct {
	b0, b1, b2, a1, a2 float64
	x1, x2, y1, y2     float64
}

func (f *filter) next(x float64) float64 {
	y := f.b0*x + f.b1*f.x1 + f.b2*f.x2 - f.a1*f.y1 - f.a2*f.y2
	f.x1, f.x2 = x, f.x1
	f.y1, f.y2 = y, f.y1
	return y
}
