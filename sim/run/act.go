package run

import (
	"fmt"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/lay"
)

// Act is one thing done to a part: the face it concerns, what that face is set
// against, and exactly one of the payloads. Integers throughout: places and
// lengths in 10 um, depths and films in 10 nm, angles in mrad, times in ms,
// forces in N.
//
// Every act is taken whatever effects are on: without its effect a soak only takes
// its time and supports hold the part without bending it.
type Act struct {
	Face    string `json:"face"`
	Against string `json:"against,omitempty"`

	Roll     *Roll     `json:"roll,omitempty"`
	Place    *Place    `json:"place,omitempty"`
	Rub      *Rub      `json:"rub,omitempty"`
	Lift     *Lift     `json:"lift,omitempty"`
	Contrast *Contrast `json:"contrast,omitempty"`
	Wipe     *Wipe     `json:"wipe,omitempty"`
	Cut      *Cut      `json:"cut,omitempty"`
	Stone    *Stone    `json:"stone,omitempty"`
	Chamfer  *Chamfer  `json:"chamfer,omitempty"`
	Hone     *Hone     `json:"hone,omitempty"`
	Change   *Change   `json:"change,omitempty"`
	Turn     *Turn     `json:"turn,omitempty"`
	Support  *Support  `json:"support,omitempty"`
	Soak     *Soak     `json:"soak,omitempty"`
	Push     *Push     `json:"push,omitempty"`
	Indicate *Indicate `json:"indicate,omitempty"`
	Bridge   *Bridge   `json:"bridge,omitempty"`
	Frame    *Frame    `json:"frame,omitempty"`
	Predict  *Predict  `json:"predict,omitempty"`
	Declare  *Declare  `json:"declare,omitempty"`
	Flake    *Flake    `json:"flake,omitempty"`
	SignOff  *SignOff  `json:"sign_off,omitempty"`
}

type (
	// Roll spreads a fresh film: Film is the gap, 10 nm, at which colour will
	// take. Passes of the roller, crossed in turn, even it out: 0 is the usual
	// four; fewer are quicker and leave streaks (with the film effect), and old
	// colour that was not wiped off stays under it. On is "part" for colour on
	// the part, to be read on a master wiped clean: bright is high. Empty or
	// "master" is the usual way.
	Roll struct {
		Film   int    `json:"film"`
		Passes int    `json:"passes,omitempty"`
		On     string `json:"on,omitempty"`
	}
	// Place sets the part on the master with its middle X, Y (10 um) from the
	// master's middle.
	Place struct {
		X int `json:"x"`
		Y int `json:"y"`
	}
	// Rub moves the placed part along Path, steps from where it was placed
	// (10 um), while a hand presses with Press newtons at Load (10 um, on the
	// part); Load is idle when Press is 0: the part's own weight prints.
	Rub struct {
		Path  [][2]int `json:"path"`
		Press int      `json:"press,omitempty"`
		Load  [2]int   `json:"load"`
	}
	// Lift takes the part off the master and turns its face up to be read.
	Lift struct{}
	// Contrast dulls the part's clean face, "red" or "yellow", under the colour of
	// the next print, so that fewer spots are misread. Wiping takes it off.
	Contrast struct {
		Colour string `json:"colour"`
	}
	// Wipe cleans part or master ("part", "master") of all that lies on it:
	// colour, contrast, chips and oil.
	Wipe struct {
		What string `json:"what"`
	}
	// Cut lays strokes: a single one, a row along a line, or an area. Depth
	// (10 nm) or Force (N), one of them, says how deep. Wet cuts under a lubricant,
	// as steel needs it; it stays on the face until that is wiped.
	Cut struct {
		Depth int  `json:"depth,omitempty"`
		Force int  `json:"force,omitempty"`
		Wet   bool `json:"wet,omitempty"`

		Stroke *Line `json:"stroke,omitempty"`
		Row    *Row  `json:"row,omitempty"`
		Area   *Area `json:"area,omitempty"`
	}
	// Line is a stretch from one point to another, 10 um.
	Line struct {
		From [2]int `json:"from"`
		To   [2]int `json:"to"`
	}
	// Row is a row of strokes of Length (10 um) along a line.
	Row struct {
		Line
		Length int `json:"length"`
	}
	// Area is a painted region in which the hand takes everything, or works by
	// Example: strokes of Length (10 um) in direction Dir (mrad), rows Spacing
	// thousandths of a mark's width apart.
	Area struct {
		Region  lay.Region   `json:"region"`
		Dir     int          `json:"dir"`
		Length  int          `json:"length"`
		Spacing int          `json:"spacing"`
		Example *lay.Example `json:"example,omitempty"`
	}
	// Stone runs the flat stone over the face, Passes times.
	Stone struct {
		Passes int `json:"passes"`
	}
	// Chamfer breaks the part's edges, Width in 10 um from the outline that the
	// part came with. That rim is no part of the face any more.
	Chamfer struct {
		Width int `json:"width"`
	}
	// Hone restores the edge of the blade in hand.
	Hone struct{}
	// Change takes a blade of end radius Radius and breadth Width (10 um), held
	// at Handle (mrad) to the work, sharp. Drive is "power" for a power scraper,
	// whose strokes are quick, short and all of a length; empty or "push" is the
	// hand alone.
	Change struct {
		Radius int    `json:"radius"`
		Width  int    `json:"width"`
		Handle int    `json:"handle"`
		Drive  string `json:"drive,omitempty"`
	}
	// Turn turns the part by a half turn for the next placing.
	Turn struct{}
	// Support sets the part, face up, on chosen Points (10 um) of its length, or
	// flat on the bench when there are none; Clamp holds it down on all of them.
	// Without the bending effect that changes no height.
	Support struct {
		Points [][2]int `json:"points"`
		Clamp  bool     `json:"clamp,omitempty"`
	}
	// Soak waits for MS milliseconds, the part on the bench with the lamp off or on
	// the master, so that its warmth goes (with the heat effect).
	Soak struct {
		MS int `json:"ms"`
	}
	// Push swings the placed part from the place At (10 um, on the part) in the
	// direction Dir (mrad, seen on the face) to find its pivot: the hinge test.
	Push struct {
		At  [2]int `json:"at"`
		Dir int    `json:"dir"`
	}
	// Indicate draws a bare 1.5 mm tip along the middle row.
	Indicate struct{}
	// Bridge steps a 30 x 9 mm gauge block along the middle row.
	Bridge struct{}
	// Frame lays the inch frame with its first corner at At (10 um) on the
	// reading and counts.
	Frame struct {
		At [2]int `json:"at"`
	}
	// Predict says where colour will come in the next print, and how sure the
	// learner is, 1 to 3.
	Predict struct {
		Region lay.Region `json:"region"`
		Sure   int        `json:"sure"`
	}
	// Declare is the learner's inspection sheet, filled in before signing off: what
	// the learner takes the face to be. Sheet lists its entries; what was left blank
	// is nil, and Class is empty.
	Declare struct {
		PointsPerIn2 *int `json:"points_per_in2,omitempty"`
		FrameMin     *int `json:"frame_min,omitempty"` // points in the worst inch frame
		AreaPct      *int `json:"area_pct,omitempty"`  // bearing

		Film     *int   `json:"film,omitempty"`      // of the print it goes by, 10 nm
		FrameMax *int   `json:"frame_max,omitempty"` // points in the fullest frame
		Hinge    *int   `json:"hinge,omitempty"`     // pivot from the nearer end, 10 um
		Block    *int   `json:"block,omitempty"`     // range over the gauge block, 10 nm
		Bare     *int   `json:"bare,omitempty"`      // range under the bare tip, 10 nm
		Warmer   *int   `json:"warmer,omitempty"`    // part over master, mK
		Class    string `json:"class,omitempty"`     // that it would be given, of gauge.Classes
	}
	// Flake sets a Pattern of oil pockets Depth (10 nm) deep after acceptance. On
	// a face that no print has shown to be good enough it is done all the same,
	// as iron would let it be done, and recorded as early.
	Flake struct {
		Pattern string     `json:"pattern"`
		Depth   int        `json:"depth"`
		Region  lay.Region `json:"region"`
	}
	// SignOff ends the run.
	SignOff struct{}
)

// Kind is the name of the act's payload, as the format spells it; empty when
// there is none or more than one.
func (a Act) Kind() string {
	kind, n := "", 0
	for _, p := range a.payloads() {
		if p.set {
			kind = p.kind
			n++
		}
	}
	if n != 1 {
		return ""
	}
	return kind
}

type payload struct {
	kind string
	set  bool
}

func (a Act) payloads() []payload {
	return []payload{
		{"roll", a.Roll != nil}, {"place", a.Place != nil}, {"rub", a.Rub != nil}, {"lift", a.Lift != nil},
		{"contrast", a.Contrast != nil}, {"wipe", a.Wipe != nil}, {"cut", a.Cut != nil}, {"stone", a.Stone != nil},
		{"chamfer", a.Chamfer != nil}, {"hone", a.Hone != nil}, {"change", a.Change != nil}, {"turn", a.Turn != nil},
		{"support", a.Support != nil}, {"soak", a.Soak != nil}, {"push", a.Push != nil},
		{"indicate", a.Indicate != nil}, {"bridge", a.Bridge != nil}, {"frame", a.Frame != nil},
		{"predict", a.Predict != nil}, {"declare", a.Declare != nil}, {"flake", a.Flake != nil},
		{"sign_off", a.SignOff != nil},
	}
}

// check reports the first thing that is wrong with the act by itself, whatever
// the state of the run.
func (a Act) check() error {
	kind := a.Kind()
	if kind == "" {
		return fmt.Errorf("an act names exactly one thing to do, such as roll, rub or cut")
	}
	if a.Face != partTop {
		return fmt.Errorf("%s: face is %q: this run has only %q to work on", kind, a.Face, partTop)
	}
	if want := against[kind]; a.Against != want {
		return fmt.Errorf("%s: set against %q: it must be %q", kind, a.Against, want)
	}
	switch {
	case a.Roll != nil:
		if on := a.Roll.On; on != "" && on != onPart && on != onMaster {
			return fmt.Errorf("roll: on is %q: %q or %q", on, onMaster, onPart)
		}
		return firstError(within(kind, "film", a.Roll.Film, 20, 2000, "10 nm"), within(kind, "passes", a.Roll.Passes, 0, 20, "passes"))
	case a.Place != nil:
		return firstError(within(kind, "x", a.Place.X, -farPlace, farPlace, "10 um"), within(kind, "y", a.Place.Y, -farPlace, farPlace, "10 um"))
	case a.Rub != nil:
		return a.Rub.check()
	case a.Wipe != nil:
		if w := a.Wipe.What; w != onPart && w != onMaster {
			return fmt.Errorf("wipe: what is %q: %q or %q", w, onPart, onMaster)
		}
	case a.Contrast != nil:
		if c := a.Contrast.Colour; c != "red" && c != "yellow" {
			return fmt.Errorf("contrast: colour is %q: \"red\" or \"yellow\"", c)
		}
	case a.Chamfer != nil:
		return within(kind, "width", a.Chamfer.Width, 10, 300, "10 um")
	case a.Flake != nil:
		if err := a.Flake.Region.Check(); err != nil {
			return fmt.Errorf("flake: %w", err)
		}
		if err := blade.CheckFlake(a.Flake.Pattern, float64(a.Flake.Depth)/100); err != nil {
			return fmt.Errorf("flake: %w", err)
		}
	case a.Support != nil:
		return a.Support.check()
	case a.Soak != nil:
		return within(kind, "ms", a.Soak.MS, 1, 86_400_000, "ms, to a day")
	case a.Push != nil:
		return firstError(within(kind, "at x", a.Push.At[0], -farPlace, farPlace, "10 um"), within(kind, "at y", a.Push.At[1], -farPlace, farPlace, "10 um"),
			within(kind, "dir", a.Push.Dir, -6284, 6284, "mrad"))
	case a.Cut != nil:
		return a.Cut.check()
	case a.Stone != nil:
		return within(kind, "passes", a.Stone.Passes, 1, 20, "passes")
	case a.Change != nil:
		if d := a.Change.Drive; d != "" && d != pushDrive && d != powerDrive {
			return fmt.Errorf("change: drive is %q: %q or %q", d, pushDrive, powerDrive)
		}
		return firstError(within(kind, "radius", a.Change.Radius, 2000, 30000, "10 um"),
			within(kind, "width", a.Change.Width, 300, 5000, "10 um"),
			within(kind, "handle", a.Change.Handle, 170, 1200, "mrad"))
	case a.Frame != nil:
		return firstError(within(kind, "x", a.Frame.At[0], -farPlace, farPlace, "10 um"), within(kind, "y", a.Frame.At[1], -farPlace, farPlace, "10 um"))
	case a.Predict != nil:
		return firstError(a.Predict.Region.Check(), within(kind, "sure", a.Predict.Sure, 1, 3, "of three"))
	case a.Declare != nil:
		return a.Declare.check()
	}
	return nil
}

// What can be wiped or rolled, and what drives a blade.
const (
	onPart     = "part"
	onMaster   = "master"
	pushDrive  = "push"
	powerDrive = "power"
)

const (
	partTop   = "part.top"
	masterTop = "master.top"
	// farPlace bounds coordinates, 10 um: ten metres.
	farPlace = 1000000
)

// against is what each act sets the part's face against.
var against = map[string]string{
	"roll": masterTop, "place": masterTop, "rub": masterTop, "lift": masterTop, "push": masterTop,
	"wipe": "cloth", "contrast": "cloth", "cut": "blade", "hone": "blade", "change": "blade", "flake": "blade",
	"stone": "stone", "chamfer": "file", "turn": "", "support": "bench", "soak": "air",
	"indicate": "indicator", "bridge": "block", "frame": "frame",
	"predict": "", "declare": "", "sign_off": "",
}

// On is the act with its face and what it is set against filled in.
func (a Act) On() Act {
	a.Face, a.Against = partTop, against[a.Kind()]
	return a
}

func (r Rub) check() error {
	if len(r.Path) < 1 || len(r.Path) > 1000 {
		return fmt.Errorf("rub: path has %d steps: give 1 to 1000", len(r.Path))
	}
	for _, p := range r.Path {
		if err := firstError(within("rub", "path x", p[0], -farPlace, farPlace, "10 um"), within("rub", "path y", p[1], -farPlace, farPlace, "10 um")); err != nil {
			return err
		}
	}
	return firstError(within("rub", "press", r.Press, 0, 1000, "N"),
		within("rub", "load x", r.Load[0], -farPlace, farPlace, "10 um"), within("rub", "load y", r.Load[1], -farPlace, farPlace, "10 um"))
}

func (s Support) check() error {
	if len(s.Points) > 16 {
		return fmt.Errorf("support: %d points: give at most 16", len(s.Points))
	}
	for _, p := range s.Points {
		if err := firstError(within("support", "point x", p[0], -farPlace, farPlace, "10 um"), within("support", "point y", p[1], -farPlace, farPlace, "10 um")); err != nil {
			return err
		}
	}
	return nil
}

func (d Declare) check() error {
	for _, e := range Sheet {
		if v := *e.Of(&d); v != nil {
			if err := within("declare", e.ID, *v, e.Lo, e.Hi, e.each); err != nil {
				return err
			}
		}
	}
	if _, known := gauge.ClassOf(d.Class); d.Class != "" && !known {
		return fmt.Errorf("declare: no class is called %q", d.Class)
	}
	return nil
}

func (c Cut) check() error {
	ways := 0
	for _, set := range []bool{c.Stroke != nil, c.Row != nil, c.Area != nil} {
		if set {
			ways++
		}
	}
	if ways != 1 {
		return fmt.Errorf("cut: give one of stroke, row and area")
	}
	if (c.Depth == 0) == (c.Force == 0) {
		return fmt.Errorf("cut: give depth or force, one of them")
	}
	if err := firstError(within("cut", "depth", c.Depth, 0, 7000, "10 nm"), within("cut", "force", c.Force, 0, 1000, "N")); err != nil {
		return err
	}
	line := func(l Line) error {
		for _, v := range []int{l.From[0], l.From[1], l.To[0], l.To[1]} {
			if err := within("cut", "place", v, -farPlace, farPlace, "10 um"); err != nil {
				return err
			}
		}
		if l.From == l.To {
			return fmt.Errorf("cut: the stroke has no length")
		}
		return nil
	}
	switch {
	case c.Stroke != nil:
		return line(*c.Stroke)
	case c.Row != nil:
		return firstError(line(c.Row.Line), within("cut", "length", c.Row.Length, 200, 5000, "10 um"))
	}
	a := c.Area
	err := firstError(a.Region.Check(), within("cut", "dir", a.Dir, -6284, 6284, "mrad"),
		within("cut", "length", a.Length, 200, 5000, "10 um"), within("cut", "spacing", a.Spacing, 200, 10000, "thousandths"))
	if err == nil && a.Example != nil {
		err = a.Example.Check()
	}
	return err
}

func within(kind, name string, v, lo, hi int, unit string) error {
	if v < lo || v > hi {
		return fmt.Errorf("%s: %s is %d: give %d to %d (%s)", kind, name, v, lo, hi, unit)
	}
	return nil
}

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
