package sound

import (
	"encoding/binary"
	"math"
	"sync"
)

// FrameBytes is the size of a frame: left and right, 32-bit floats, little-endian.
const FrameBytes = 8

// maxVoices bounds what sounds at a time; a further stroke replaces the oldest.
const maxVoices = 12

// Synth makes sound as it is read. Its methods may be called while another
// goroutine reads.
type Synth struct {
	mu      sync.Mutex
	rate    float64
	noise   uint64
	strokes []*voice        // oldest first
	held    [heldKinds]held // what sounds as long as a hand moves
	gain    float64         // present volume, moving towards volume
	volume  float64
}

// NewSynth is a silent synthesiser of rate frames a second, at full volume.
func NewSynth(rate int) *Synth {
	return &Synth{rate: float64(rate), noise: 0x9E3779B97F4A7C15, gain: 1, volume: 1}
}

// Stroke is one stroke of the blade.
type Stroke struct {
	DepthUM  float64
	LengthMM float64
	SpeedMM  float64 // mm/s
	Ripple   float64 // 0 to 1, how much the blade chatters
	Pan      float64 // -1 left to 1 right
}

// Kind is a sound that lasts as long as a hand moves.
type Kind int

// The kinds, in the order of heldKinds.
const (
	Scraping Kind = iota // a stroke that is drawn by hand
	Stoning
	Rolling
	Rubbing
	heldKinds
)

// SetVolume sets the volume, 0 to 1; it is reached within a few hundredths of a
// second.
func (s *Synth) SetVolume(v float64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.volume = bounded(v, 0, 1)
}

// Cut sounds a stroke from its beginning to its end.
func (s *Synth) Cut(k Stroke) {
	length, speed := bounded(k.LengthMM, .5, 500), bounded(k.SpeedMM, 5, 2000)
	v := s.scrape(bounded(k.DepthUM, .1, 60), speed, bounded(k.Ripple, 0, 1))
	v.frames = int(length / speed * s.rate)
	v.place(k.Pan)
	s.start(v)
}

// Knock is the part rocking over on its master: force 0 to 1.
func (s *Synth) Knock(force, pan float64) {
	force = bounded(force, 0, 1)
	v := &voice{level: .5 * force, frames: int(.25 * s.rate), strike: true}
	v.place(pan)
	// A block of iron on stone: low, short and dull.
	v.ring(s.rate, 180, .035, .9)
	v.ring(s.rate, 410, .028, .6)
	v.ring(s.rate, 1130, .018, .35)
	s.start(v)
}

// Tick is a control that was pressed.
func (s *Synth) Tick() {
	v := &voice{level: .10, frames: int(.05 * s.rate), strike: true}
	v.place(0)
	v.ring(s.rate, 1750, .008, .8)
	v.ring(s.rate, 2900, .005, .3)
	s.start(v)
}

// Hold keeps a sound going for a moment: call it on every tick in which a hand
// moves at speed mm/s, pressing 0 to 1. It dies away by itself.
func (s *Synth) Hold(k Kind, speed, press, pan float64) {
	if k < 0 || k >= heldKinds {
		return
	}
	speed, press = bounded(speed, 0, 2000), bounded(press, 0, 1)
	s.mu.Lock()
	defer s.mu.Unlock()
	h := &s.held[k]
	if h.voice == nil {
		h.voice = s.heldVoice(k)
	}
	// Friction is louder and brighter the faster it goes.
	h.target = (1 - math.Exp(-speed/120)) * (.35 + .65*press)
	h.left = int(.12 * s.rate)
	h.voice.place(pan)
	h.voice.speed = speed
}

// Silence lets all that sounds die away.
func (s *Synth) Silence() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, v := range s.strokes {
		v.frames = min(v.frames, v.at+int(.02*s.rate))
	}
	for k := range s.held {
		s.held[k].left = 0
	}
}

func (s *Synth) start(v *voice) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.strokes) == maxVoices {
		s.strokes = append(s.strokes[:0], s.strokes[1:]...)
	}
	s.strokes = append(s.strokes, v)
}

// held is a lasting sound, its level and how many frames it is still wanted for.
type held struct {
	voice         *voice
	level, target float64
	left          int
}

// scrape is the voice of a blade: noise in a band that rises with speed and sinks
// with depth, over the ringing of the blade, broken up by chatter.
func (s *Synth) scrape(depthUM, speed, ripple float64) *voice {
	v := &voice{level: .16 + .30*math.Sqrt(depthUM/20), ripple: ripple, speed: speed}
	centre := 2600 * math.Pow(speed/150, .35) * math.Pow(depthUM/8, -.18)
	v.band(s.rate, bounded(centre, 700, 7500), .9, 1)
	v.band(s.rate, bounded(centre*2.4, 1500, 12000), 1.2, .35)
	for _, r := range [...][2]float64{{870, .22}, {2240, .16}, {4630, .10}} {
		v.band(s.rate, r[0], 14, r[1])
	}
	return v
}

func (s *Synth) heldVoice(k Kind) *voice {
	v := &voice{}
	switch k {
	case Scraping:
		v = s.scrape(6, 120, 0)
	case Stoning: // a soft even hiss
		v.level = .20
		v.band(s.rate, 5200, .7, 1)
		v.band(s.rate, 8800, .8, .5)
	case Rolling: // tacky: low, with the patter of the film letting go
		v.level, v.patter = .34, .06
		v.band(s.rate, 520, .8, 1)
		v.band(s.rate, 1700, 1.1, .5)
	case Rubbing: // iron sliding on a film over stone
		v.level = .30
		v.band(s.rate, 300, .9, 1)
		v.band(s.rate, 1250, 1, .30)
	}
	return v
}

// Read fills p with whole frames; it never blocks for long and never ends. Bytes
// beyond the last whole frame are left alone.
func (s *Synth) Read(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := len(p) / FrameBytes
	for i := range n {
		l, r := s.frame()
		binary.LittleEndian.PutUint32(p[i*FrameBytes:], math.Float32bits(l))
		binary.LittleEndian.PutUint32(p[i*FrameBytes+4:], math.Float32bits(r))
	}
	return n * FrameBytes, nil
}

// frame is the next frame, within -1 to 1.
func (s *Synth) frame() (left, right float32) {
	s.gain += (s.volume - s.gain) * min(1, 60/s.rate)
	var l, r float64
	add := func(v *voice, loud float64) {
		x := v.next(s, loud)
		l += x * v.left
		r += x * v.right
		v.at++
	}
	alive := s.strokes[:0]
	for _, v := range s.strokes {
		add(v, v.shape())
		if v.at < v.frames {
			alive = append(alive, v)
		}
	}
	clear(s.strokes[len(alive):])
	s.strokes = alive
	for k := range s.held {
		h := &s.held[k]
		if h.voice == nil {
			continue
		}
		goal := 0.0
		if h.left > 0 {
			h.left--
			goal = h.target
		}
		h.level += (goal - h.level) * min(1, 45/s.rate)
		if goal == 0 && h.level < 1e-5 {
			h.voice = nil
			continue
		}
		add(h.voice, h.level)
	}
	return float32(s.gain * limited(l)), float32(s.gain * limited(r))
}

// limited bends what is loud towards 1 and never over it.
func limited(x float64) float64 { return x / math.Sqrt(1+x*x) }

// white is noise, -1 to 1 (xorshift64*).
func (s *Synth) white() float64 {
	s.noise ^= s.noise >> 12
	s.noise ^= s.noise << 25
	s.noise ^= s.noise >> 27
	return float64(int64(s.noise*0x2545F4914F6CDD1D)) / (1 << 63)
}

func bounded(v, lo, hi float64) float64 {
	if !(v >= lo) { // and for what is not a number
		return lo
	}
	return min(v, hi)
}
