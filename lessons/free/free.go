// Package free makes the jobs that no lesson sets: a part of a form, a size and a
// finish that somebody chooses, a master, and what of iron's unkindness lies today.
// What is asked for is what the coupon asks for.
package free

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Choice is what somebody chooses.
type Choice struct {
	Form    string // a key of Forms
	OutUM   float64
	Size    string // a key of Sizes
	Finish  string // a key of Finishes
	Metal   string // a key of Metals
	Master  string // a key of Masters
	Effects run.Effects
}

// Usual is the coupon: what is chosen before anything is.
func Usual() Choice {
	return Choice{Form: "drawn", OutUM: 45, Size: "coupon", Finish: surface.Milled, Metal: "grey-iron", Master: "plate"}
}

// Bounds of OutUM, um.
const (
	LeastUM = 10.0
	MostUM  = 120.0
)

// Forms in which a part can be out of flat. A drawn form is the seed's: bow, dish,
// twist and a hump in shares of its own.
var Forms = []string{"drawn", "crowned", "hollow", "dished", "twisted", "humped", "edges"}

// Finishes that a part can come with.
var Finishes = surface.Finishes()

// Metals that a part can be of.
var Metals = []string{"grey-iron", "steel"}

// Masters: a good plate, a plate of the shop, one that years of prints wore hollow,
// and the two that are laid on the part.
var Masters = []string{"plate", "shop", "worn", "straightedge", "prism"}

// size is a part's length and width, mm, and the pitch at which it is worked.
type size struct{ length, width, pitch float64 }

// Sizes that a part can have. The coarser pitch of the large ones keeps them to
// three quarters of a million cells.
var Sizes = []string{"pad", "coupon", "plate", "rail", "way", "table"}

var sizes = map[string]size{
	"pad": {60, 45, .2}, "coupon": {100, 75, .2}, "plate": {200, 150, .25},
	"rail": {300, 60, .2}, "way": {500, 80, .25}, "table": {400, 300, .4},
}

// Millimetres of a size.
func Millimetres(key string) (length, width float64) {
	s := sizes[key]
	return s.length, s.width
}

// Setup is the job. An error says which choice is none, or does not go with the
// others.
func (c Choice) Setup() (run.Setup, error) {
	coupon, err := lessons.Load("coupon")
	if err != nil {
		return run.Setup{}, err
	}
	s := coupon.Setup
	in, ok := sizes[c.Size]
	if !ok {
		return s, fmt.Errorf("size %q is none of %v", c.Size, Sizes)
	}
	if !(c.OutUM >= LeastUM && c.OutUM <= MostUM) {
		return s, fmt.Errorf("a part %g um out of flat: give %g to %g", c.OutUM, LeastUM, MostUM)
	}
	r := surface.Recipe{LengthMM: in.length, WidthMM: in.width, PitchMM: in.pitch, Finish: c.Finish}
	if err := c.shape(&r, in); err != nil {
		return s, err
	}
	s.Part = run.Part{Recipe: &r, Metal: c.Metal}
	if s.Master, err = c.master(in); err != nil {
		return s, err
	}
	s.Effects = c.Effects
	if s.Effects.Dial && s.Master.OnPart() {
		return s, fmt.Errorf("an indicator's stand needs a plate to ride on: take a plate, or leave that effect off")
	}
	return s, s.Check()
}

// shape gives the recipe its form.
func (c Choice) shape(r *surface.Recipe, in size) error {
	um := c.OutUM
	switch c.Form {
	case "drawn":
		r.RangeUM = um
	case "crowned":
		r.Form.BowUM = um
	case "hollow":
		r.Form.BowUM = -um
	case "dished":
		r.Form.DishUM = um
	case "twisted":
		r.Form.TwistUM = um
	case "humped":
		r.Form.Humps = []surface.Hump{{XMM: in.length * .4, YMM: in.width * .55, RadiusMM: math.Min(in.length, in.width) * .45, HeightUM: um}}
	case "edges":
		r.Form.EdgeDropUM, r.Form.EdgeDropMM = um, math.Min(in.length, in.width)/4
	default:
		return fmt.Errorf("form %q is none of %v", c.Form, Forms)
	}
	return nil
}

// wornUM is the hollow of the worn plate, um (assumed: past any grade, and what a
// busy plate may come to between calibrations).
const wornUM = 8.0

// master is what the part is blued against.
func (c Choice) master(in size) (m seat.Master, err error) {
	if m.LengthMM, m.WidthMM, err = PlateFor(in.length, in.width); err != nil {
		return m, err
	}
	switch c.Master {
	case "plate":
		m.Grade = seat.DIN8760
	case "shop":
		m.Grade = seat.DIN8762
	case "worn":
		m.Grade, m.WornUM = seat.DIN8761, wornUM
	case "straightedge", "prism":
		m.Grade, m.Kind = seat.DIN8760, seat.Kind(c.Master)
		m.LengthMM, m.WidthMM = 1.2*in.length, math.Min(in.width, 50)
	default:
		return m, fmt.Errorf("master %q is none of %v", c.Master, Masters)
	}
	return m, nil
}

// plates are common sizes of surface plates, mm.
var plates = [][2]float64{{400, 250}, {630, 400}, {1000, 630}, {1600, 1000}, {2000, 1000}, {2500, 1600}}

// plateRoomMM is what a plate must have beyond the part, so that a part that is
// rubbed stays on it.
const plateRoomMM = 40

// PlateFor is the smallest plate that a part of x by y mm can be rubbed on.
func PlateFor(x, y float64) (length, width float64, err error) {
	for _, p := range plates {
		a, b := p[0], p[1]
		if y > x {
			a, b = b, a
		}
		if a >= x+plateRoomMM && b >= y+plateRoomMM {
			return a, b, nil
		}
	}
	return 0, 0, fmt.Errorf("a part of %.4g x %.4g mm is larger than any plate to blue it on: are its positions in mm?", x, y)
}
