package run

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/fnv"
	"math/rand/v2"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Run is a part under work. It is made by New, Replay or Fork and changed by
// Apply alone.
type Run struct {
	header  Header
	entries []Entry

	face   *surface.Face
	cutter *blade.Cutter
	blade  blade.Blade
	master *seat.Plate

	film    float64 // um rolled on the master, 0 when it is bare
	placed  *Place
	turned  bool          // by a half turn for the next placing
	pigment *blue.Reading // colour on the part, nil when it is clean
	fresh   bool          // pigment shows the face as it is: nothing cut or stoned since
	dirty   bool          // colour was not wiped off the part since it last printed
	rubbed  bool          // since it was placed
	litter
	posture

	metal blade.Metal // of the part
	power bool        // the blade in hand is driven by power

	trace  Trace // of the instrument last used
	prints int
	ms     int
	signed bool
	closed bool // a log that was signed off is being made again: its truth is open
	open   *Job
	broken error // set when an act was done but could not be written down

	// Record, when set, is given each entry as it is done, before Apply's job
	// ends; its error ends the run.
	Record func(Entry) error

	tops *surface.Map // scratch
}

// Entry is an act that was done, and what came of it.
type Entry struct {
	N   int     `json:"n"` // from 1
	Act Act     `json:"act"`
	Out Outcome `json:"out"`
}

// Outcome is what came of an act: enough to repeat it and to notice when a
// repetition differs.
type Outcome struct {
	MS      int    `json:"ms"`                // time it took on iron
	Laid    int    `json:"laid,omitempty"`    // strokes laid
	Planned int    `json:"planned,omitempty"` // of so many
	Print   *Print `json:"print,omitempty"`   // after lifting
	Range   int    `json:"range,omitempty"`   // of an instrument, 10 nm
	Count   int    `json:"count,omitempty"`   // in the inch frame
	Drag    int    `json:"drag,omitempty"`    // thousandths of the face that touch, when a rub drags
	Tipped  int    `json:"tipped,omitempty"`  // thousandths of the way on which the part, or the master on it, tipped
	Pivot   Pivot  `json:"pivot,omitzero"`    // of a push
	Early   int    `json:"early,omitempty"`   // 1: flaked before any print was good enough
}

// Print is what there is to count on a print, by the points rule.
type Print struct {
	N        int `json:"n"`        // from 1
	Coloured int `json:"coloured"` // cells
	Permille int `json:"permille"` // of the face
	Spots    int `json:"spots"`
	Points   int `json:"points"`
	PerIn2   int `json:"per_in2"` // hundredths of a point per square inch
	FrameMin int `json:"frame_min"`
	FrameMax int `json:"frame_max"`
}

var (
	// ErrLocked answers a question for the truth while a scored run is open.
	ErrLocked = errors.New("the truth is locked while a scored run is open: sign off first")
	// ErrSigned answers an act on a run that is signed off.
	ErrSigned = errors.New("the run is signed off: nothing more can be done to it")
	// ErrNoStroke answers a cut that would lay nothing.
	ErrNoStroke = errors.New("cut: no stroke falls on the face: paint or point on the part")
	// ErrTooSmall answers an instrument that does not fit on the face.
	ErrTooSmall = errors.New("the face is too small")
	// ErrBusy answers an act while another is being done.
	ErrBusy = errors.New("an act is being done: let it end or stop it first")
)

// New begins a run of setup s: lesson names it, part and scatter are the seeds,
// hand names a synthetic hand, program the version that begins it.
func New(s Setup, lesson string, part, scatter uint64, hand, program string) (*Run, error) {
	return Begin(Header{
		Format: Format, FormatVersion: FormatVersion, Physics: Physics, Program: program,
		Lesson: lesson, PartSeed: part, ScatterSeed: scatter, Hand: hand,
		Bodies: bodies(), Setup: s,
	})
}

// Begin begins the run that a header describes.
func Begin(h Header) (*Run, error) {
	switch {
	case h.Format != Format:
		return nil, fmt.Errorf("header: format is %q, not %q: this is no run", h.Format, Format)
	case h.FormatVersion != FormatVersion:
		return nil, fmt.Errorf("header: format version %d is not the %d of this program: use the version %s that wrote it", h.FormatVersion, FormatVersion, h.Program)
	}
	if err := h.Setup.Check(); err != nil {
		return nil, err
	}
	f, err := h.Setup.Part.face(h.PartSeed)
	if err != nil {
		return nil, err
	}
	m := h.Setup.Master
	m.Seed = h.PartSeed
	plate, err := seat.NewPlate(m)
	if err != nil {
		return nil, err
	}
	r := &Run{header: h, face: f, cutter: blade.NewCutter(f), master: plate, metal: metals[h.Setup.Part.Metal]}
	r.cutter.Each = r.bare
	r.lie()
	if err := r.stand(); err != nil {
		return nil, err
	}
	r.take(h.Setup.Blade)
	return r, nil
}

func (r *Run) take(c Change) {
	r.blade = blade.Blade{
		RadiusMM: float64(c.Radius) / 100, WidthMM: float64(c.Width) / 100, Handle: float64(c.Handle) / 1000,
		Force: r.metal.Force,
	}
	r.power = c.Drive == powerDrive
}

// bare takes the colour off a cell that a stroke cuts; a sharp edge it turns up
// anew.
func (r *Run) bare(cell int, _ int32) {
	if r.sharp != nil && r.sharp[cell] > 0 {
		r.face.Burr[cell] = r.sharp[cell]
	}
	if r.pigment != nil {
		r.pigment.Colour[cell], r.pigment.Shine[cell] = 0, 0
	}
}

// Fork begins another way on from this run after its first n acts; see Log.Fork.
func (r *Run) Fork(n int) (*Run, error) {
	h, err := (&Log{Header: r.header, Entries: r.entries}).Fork(n)
	if err != nil {
		return nil, err
	}
	f, err := Begin(h)
	if err != nil {
		return nil, err
	}
	return f, f.Repeat(r.entries[:n])
}

// Repeat does entries again, each as far as it went, and refuses one that comes
// out otherwise.
func (r *Run) Repeat(entries []Entry) error {
	for _, e := range entries {
		if err := r.RepeatOne(e); err != nil {
			return err
		}
	}
	return nil
}

// RepeatOne does one entry again.
func (r *Run) RepeatOne(e Entry) error {
	if e.N != len(r.entries)+1 {
		return fmt.Errorf("act %d stands where act %d should", e.N, len(r.entries)+1)
	}
	j, err := r.Apply(e.Act)
	if err != nil {
		return fmt.Errorf("act %d: %w", e.N, err)
	}
	if e.Out.Laid < e.Out.Planned {
		if _, err = j.Step(e.Out.Laid); err == nil {
			err = j.Stop()
		}
	} else {
		err = j.Finish()
	}
	if err != nil {
		return fmt.Errorf("act %d: %w", e.N, err)
	}
	if !j.out.equal(e.Out) {
		return &Differs{N: e.N, Kind: e.Act.Kind()}
	}
	return nil
}

// Differs says that an act, done again, came out otherwise than recorded.
type Differs struct {
	N    int
	Kind string
}

func (d *Differs) Error() string {
	return fmt.Sprintf("act %d (%s) comes out otherwise than recorded", d.N, d.Kind)
}

func (o Outcome) equal(p Outcome) bool {
	if (o.Print == nil) != (p.Print == nil) || o.Print != nil && *o.Print != *p.Print {
		return false
	}
	o.Print, p.Print = nil, nil
	return o == p
}

// Header is the run's starting state.
func (r *Run) Header() Header { return r.header }

// Entries are the acts done so far.
func (r *Run) Entries() []Entry { return r.entries }

// Prints is how often the part was printed; the cycle after print n is cycle n.
func (r *Run) Prints() int { return r.prints }

// MS is the time that the acts would have taken on iron, milliseconds.
func (r *Run) MS() int { return r.ms }

// Signed reports whether the run is signed off.
func (r *Run) Signed() bool { return r.signed }

// Blade is the blade in hand.
func (r *Run) Blade() blade.Blade { return r.blade }

// Film is the gap, um, at which the film on the master takes; 0 when it is bare.
func (r *Run) Film() float64 { return r.film }

// Turned reports whether the part is turned by a half turn for its next placing.
func (r *Run) Turned() bool { return r.turned }

// Grid is the lattice of the part's face.
func (r *Run) Grid() surface.Grid { return r.face.Grid }

// Trace is what the instrument last used showed; empty when none was.
func (r *Run) Trace() Trace { return r.trace }

// Reading is the colour on the part as the eye gets it; nil on a clean face.
// fresh is false when the face was cut or stoned since it was printed. The
// reading must not be changed.
func (r *Run) Reading() (reading *blue.Reading, fresh bool) {
	if r.placed != nil {
		return nil, false
	}
	return r.pigment, r.fresh
}

// Appearance is what raking light shows of the face.
func (r *Run) Appearance() *Appearance { return see(r.face) }

// Truth is the heights of the metal, um. While a scored run is open it answers
// ErrLocked.
func (r *Run) Truth() (*surface.Map, error) {
	if r.locked() {
		return nil, ErrLocked
	}
	return r.face.Heights(nil), nil
}

// Digest is a hash of the heights of all faces, metal and burr, in hexadecimal.
func (r *Run) Digest() string {
	h := sha256.New()
	buf := make([]byte, 0, 6*4096)
	for k, z := range r.face.H {
		buf = binary.LittleEndian.AppendUint32(buf, uint32(z))
		buf = binary.LittleEndian.AppendUint16(buf, r.face.Burr[k])
		if len(buf) == cap(buf) || k == len(r.face.H)-1 {
			h.Write(buf)
			buf = buf[:0]
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// random is the stream of random numbers of one purpose of the act being done.
func (r *Run) random(purpose string) *rand.Rand {
	h := fnv.New128a()
	var b [16]byte
	binary.LittleEndian.PutUint64(b[:8], r.header.ScatterSeed)
	binary.LittleEndian.PutUint64(b[8:], uint64(len(r.entries)+1))
	h.Write(b[:])
	h.Write([]byte(purpose))
	s := h.Sum(nil)
	return rand.New(rand.NewPCG(binary.BigEndian.Uint64(s[:8]), binary.BigEndian.Uint64(s[8:])))
}

// count fills in what there is to count on a reading.
func count(n int, reading *blue.Reading) *Print {
	mask, coloured := reading.Marks(nil)
	c := gauge.CountPoints(mask, reading.Mask, reading.Grid, gauge.DefaultRule)
	cells := len(mask)
	if reading.Mask != nil {
		cells = 0
		for _, ok := range reading.Mask {
			if ok {
				cells++
			}
		}
	}
	return &Print{
		N: n, Coloured: coloured, Permille: 1000 * coloured / max(1, cells), Spots: c.Spots,
		Points: c.Points, PerIn2: int(float64(100*c.Points)*gauge.MM2PerIn2/c.ValidMM2 + .5),
		FrameMin: c.FrameMin, FrameMax: c.FrameMax,
	}
}
