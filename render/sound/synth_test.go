package sound

import (
	"encoding/binary"
	"io"
	"math"
	"testing"
)

const rate = 48000

// take reads so many seconds as the mean of both sides.
func take(t testing.TB, s io.Reader, seconds float64) []float64 {
	t.Helper()
	p := make([]byte, int(seconds*rate)*FrameBytes)
	if n, err := io.ReadFull(s, p); err != nil || n != len(p) {
		t.Fatalf("read %d of %d bytes: %v", n, len(p), err)
	}
	out := make([]float64, len(p)/FrameBytes)
	for i := range out {
		l, r := side(p, 2*i), side(p, 2*i+1)
		if !(math.Abs(l) <= 1 && math.Abs(r) <= 1) {
			t.Fatalf("frame %d is %g, %g", i, l, r)
		}
		out[i] = (l + r) / 2
	}
	return out
}

func side(p []byte, n int) float64 {
	return float64(math.Float32frombits(binary.LittleEndian.Uint32(p[4*n:])))
}

func power(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum / float64(len(x))
}

// brightness is the share of power in the steps from sample to sample: it rises
// with the mean square frequency.
func brightness(x []float64) float64 {
	sum := 0.0
	for i := 1; i < len(x); i++ {
		sum += (x[i] - x[i-1]) * (x[i] - x[i-1])
	}
	return sum / float64(len(x)) / power(x)
}

func TestSilenceUntilSomethingSounds(t *testing.T) {
	if p := power(take(t, NewSynth(rate), .1)); p != 0 {
		t.Fatalf("power %g from nothing", p)
	}
}

func TestStrokeLastsAsLongAsItsLength(t *testing.T) {
	for _, c := range []Stroke{{DepthUM: 8, LengthMM: 12, SpeedMM: 120}, {DepthUM: 3, LengthMM: 6, SpeedMM: 200}} {
		s := NewSynth(rate)
		s.Cut(c)
		x := take(t, s, c.LengthMM/c.SpeedMM)
		if p := power(x); p < 1e-4 {
			t.Errorf("%+v: power %g", c, p)
		}
		if p := power(take(t, s, .1)); p > 1e-9 {
			t.Errorf("%+v: sounds on after its end with %g", c, p)
		}
		// The blade lifts in and out: the middle third is the loudest.
		n := len(x) / 3
		if a, b, c := power(x[:n]), power(x[n:2*n]), power(x[2*n:]); b < a || b < c {
			t.Errorf("thirds have %g, %g, %g", a, b, c)
		}
	}
}

func TestDeeperIsLouderAndFasterIsBrighter(t *testing.T) {
	sound := func(depth, speed float64) []float64 {
		s := NewSynth(rate)
		s.Cut(Stroke{DepthUM: depth, LengthMM: speed, SpeedMM: speed})
		return take(t, s, 1)
	}
	if a, b := power(sound(3, 120)), power(sound(15, 120)); b < 1.5*a {
		t.Errorf("15 um has %g, 3 um %g", b, a)
	}
	if a, b := brightness(sound(8, 60)), brightness(sound(8, 400)); b < 1.2*a {
		t.Errorf("400 mm/s is %g bright, 60 mm/s %g", b, a)
	}
}

// Chatter comes at the pitch of its ripple: speed over distance.
func TestChatterComesFromDistance(t *testing.T) {
	const speed = 140.0 // 100 crests a second
	at := func(ripple, hz float64) float64 {
		s := NewSynth(rate)
		s.Cut(Stroke{DepthUM: 8, LengthMM: speed, SpeedMM: speed, Ripple: ripple})
		x := take(t, s, 1)
		var re, im, all float64
		for i, v := range x {
			w := 2 * math.Pi * hz * float64(i) / rate
			re, im, all = re+v*v*math.Cos(w), im+v*v*math.Sin(w), all+v*v
		}
		return math.Hypot(re, im) / all
	}
	if on, off := at(1, speed/rippleMM), at(1, 1.37*speed/rippleMM); on < 5*off {
		t.Errorf("loudness waves by %.3f at the ripple's pitch and %.3f beside it", on, off)
	}
	if none := at(0, speed/rippleMM); none > .1 {
		t.Errorf("without chatter loudness waves by %.3f", none)
	}
}

func TestHeldSoundsDieAway(t *testing.T) {
	for k := range heldKinds {
		s := NewSynth(rate)
		for range 30 {
			s.Hold(k, 150, .5, 0)
			take(t, s, 1.0/60)
		}
		if p := power(take(t, s, .05)); p < 1e-5 {
			t.Errorf("kind %d: power %g while a hand moves", k, p)
		}
		take(t, s, .6)
		if p := power(take(t, s, .1)); p > 1e-10 {
			t.Errorf("kind %d: power %g long after", k, p)
		}
		if s.held[k].voice != nil {
			t.Errorf("kind %d: its voice is kept", k)
		}
	}
}

func TestPanGoesToItsSide(t *testing.T) {
	s := NewSynth(rate)
	s.Cut(Stroke{DepthUM: 8, LengthMM: 10, SpeedMM: 100, Pan: -1})
	p := make([]byte, 4800*FrameBytes)
	s.Read(p)
	var l, r float64
	for i := range 4800 {
		l, r = l+math.Abs(side(p, 2*i)), r+math.Abs(side(p, 2*i+1))
	}
	if l == 0 || r != 0 {
		t.Errorf("wholly left: left %g, right %g", l, r)
	}
}

func TestVoicesAreBounded(t *testing.T) {
	s := NewSynth(rate)
	for range 500 {
		s.Cut(Stroke{DepthUM: 60, LengthMM: 500, SpeedMM: 5})
		s.Knock(1, 0)
		s.Tick()
	}
	if n := len(s.strokes); n > maxVoices {
		t.Fatalf("%d voices", n)
	}
	take(t, s, .2) // and within -1 to 1
}

func TestVolumeAndSilence(t *testing.T) {
	s := NewSynth(rate)
	s.Cut(Stroke{DepthUM: 8, LengthMM: 400, SpeedMM: 100})
	take(t, s, 1)
	s.SetVolume(0)
	take(t, s, .4)
	if p := power(take(t, s, .1)); p > 1e-10 {
		t.Errorf("volume 0: power %g", p)
	}
	s.SetVolume(1)
	take(t, s, .4)
	if p := power(take(t, s, .1)); p < 1e-5 {
		t.Errorf("volume 1 again: power %g", p)
	}
	s.Silence()
	take(t, s, .1)
	if p := power(take(t, s, .1)); p > 1e-10 {
		t.Errorf("silenced: power %g", p)
	}
}

// Whatever is asked for, samples stay finite, and odd buffers get whole frames.
func FuzzSynth(f *testing.F) {
	f.Add(8.0, 10.0, 120.0, .5, 0.0, uint16(100))
	f.Add(math.NaN(), math.Inf(1), -5.0, 1e300, -9.0, uint16(7))
	f.Fuzz(func(t *testing.T, depth, length, speed, ripple, pan float64, bytes uint16) {
		s := NewSynth(rate)
		s.Cut(Stroke{depth, length, speed, ripple, pan})
		s.Hold(Kind(int(bytes)%7-1), speed, ripple, pan)
		s.Knock(ripple, pan)
		p := make([]byte, bytes)
		n, err := s.Read(p)
		if err != nil || n != len(p)/FrameBytes*FrameBytes {
			t.Fatalf("read %d of %d bytes: %v", n, len(p), err)
		}
		take(t, s, .01)
	})
}

// A machine without a card has an Out all the same.
func TestOutNeverFails(t *testing.T) {
	o := Open()
	o.Cut(Stroke{DepthUM: 5, LengthMM: 8, SpeedMM: 100})
	o.Mute(true)
	o.Focus(false)
	o.Focus(true)
	if !o.Muted() {
		t.Error("muted and not muted")
	}
	o.Mute(false)
	o.Tick()
	if again := Open(); again == nil { // the driver allows one
		t.Error("no second output")
	}
	_ = o.Err()
}

func BenchmarkSecondOfStrokes(b *testing.B) {
	s := NewSynth(rate)
	p := make([]byte, rate*FrameBytes)
	for b.Loop() {
		for range 4 {
			s.Cut(Stroke{DepthUM: 8, LengthMM: 100, SpeedMM: 100, Ripple: .3})
		}
		s.Read(p)
	}
}
