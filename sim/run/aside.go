package run

import (
	"slices"

	"github.com/before-iron/beforeiron/sim/blade"
)

// Aside is the run as it stands, copied to try what another decision would have
// come to: nothing that is done to it reaches this run or its record. Scatter is
// the seed of the hand's scatter from here on; with that of the header the same
// acts come out the same. There is no trying aside while a scored run is open
// (ErrLocked) or while an act is being done (ErrBusy).
func (r *Run) Aside(scatter uint64) (*Run, error) {
	switch {
	case r.locked():
		return nil, ErrLocked
	case r.open != nil:
		return nil, ErrBusy
	}
	c := *r
	c.header.ScatterSeed = scatter
	c.header.Fork = &Fork{Of: r.header.Sum(), Acts: len(r.entries)}
	c.entries = slices.Clip(c.entries)
	c.face, c.master = r.face.Clone(), r.master.Clone()
	c.cutter = blade.NewCutter(c.face)
	c.cutter.Each = c.bare
	if p := r.pigment; p != nil {
		copied := *p
		copied.Colour, copied.Shine = slices.Clone(p.Colour), slices.Clone(p.Shine)
		c.pigment = &copied
	}
	if r.coat != nil {
		c.coat = r.coat.Clone()
	}
	c.Record, c.tops = nil, nil
	return &c, nil
}

// locked reports whether the truth of the run is hidden.
func (r *Run) locked() bool { return r.header.Setup.Scored && !r.signed && !r.closed }
