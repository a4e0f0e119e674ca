// Package run is the heart of the simulator: a part's starting state and the
// acts done to it. Apply is the only door through which anything happens to a
// part, so that window, command line, replay, report and tests agree bit for
// bit.
package run

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

const (
	// Format names the run log, FormatVersion its layout.
	Format        = "before-iron-run"
	FormatVersion = 1
	// Physics is the version of everything that decides a height or a reading.
	// It rises whenever a golden run changes.
	Physics = 2
)

// Header is the starting state of a run: with the acts that follow it, all that
// is needed to make every height again.
type Header struct {
	Format        string `json:"format"`
	FormatVersion int    `json:"format_version"`
	Physics       int    `json:"physics"`
	Program       string `json:"program"` // version of the program that began it

	Lesson      string `json:"lesson,omitempty"` // lesson, empty for somebody's own part
	PartSeed    uint64 `json:"part_seed"`        // surface of the part and of the master
	ScatterSeed uint64 `json:"scatter_seed"`     // the hand's scatter
	Hand        string `json:"hand,omitempty"`   // synthetic hand that worked it, empty for a person

	Bodies []Body `json:"bodies"`
	Setup  Setup  `json:"setup"`
	Fork   *Fork  `json:"fork,omitempty"`
}

// Body is a thing with faces that acts can name as "body.face".
type Body struct {
	Name  string   `json:"name"`
	Faces []string `json:"faces"`
}

// bodies are those of every run of this version.
func bodies() []Body {
	return []Body{{Name: "part", Faces: []string{"top"}}, {Name: "master", Faces: []string{"top"}}}
}

// Fork says of which run, by the sum of its header line, and after how many of
// its acts this one is another way on.
type Fork struct {
	Of   string `json:"of"`
	Acts int    `json:"acts"`
}

// Setup is a job: part, master, tool, hand, aim and limits. Lessons are setups
// with words around them.
type Setup struct {
	Part   Part        `yaml:"part" json:"part"`
	Master seat.Master `yaml:"master" json:"master"`
	Blade  Change      `yaml:"blade" json:"blade"`
	Hand   lay.Hand    `yaml:"hand" json:"hand"`
	Target Target      `yaml:"target" json:"target"`
	Limits Limits      `yaml:"limits" json:"limits"`
	// Indicator is the one at hand.
	Indicator Indicator `yaml:"indicator" json:"indicator,omitzero"`
	// Effects are the ways in which iron is unkind that this job has.
	Effects Effects `yaml:"effects" json:"effects,omitzero"`
	// Scored closes the truth until sign-off and forbids forks.
	Scored bool `yaml:"scored" json:"scored"`
	// Rubric is what the run is to be marked by, as score.Of reads it; empty is the
	// standard. A run carries it, so that it is marked alike wherever it goes.
	Rubric string `yaml:"-" json:"rubric,omitempty"`
}

// mostRubric bounds the rubric that a run carries, bytes.
const mostRubric = 1 << 14

// Part is what is worked: made by a recipe, or from somebody's own readings with
// the texture of a finish.
type Part struct {
	Recipe   *surface.Recipe  `yaml:"recipe" json:"recipe,omitempty"`
	Readings *Readings        `yaml:"readings" json:"readings,omitempty"`
	Finish   string           `yaml:"finish" json:"finish,omitempty"`     // of readings
	Texture  *surface.Texture `yaml:"texture" json:"texture,omitempty"`   // of readings, in the place of a finish
	PitchMM  float64          `yaml:"pitch_mm" json:"pitch_mm,omitempty"` // of readings; 0 chooses
	Metal    string           `yaml:"metal" json:"metal,omitempty"`       // "grey-iron" or "steel"; empty is grey iron
	Stock    Stock            `yaml:"stock" json:"stock,omitzero"`
}

// Worn reports whether the part was scraped once and has worn: it has no machined
// skin that must be broken before a print can be trusted.
func (p Part) Worn() bool {
	return p.Finish == surface.Worn || p.Recipe != nil && p.Recipe.Finish == surface.Worn
}

// Stock is what a part is under its face, for bending and heat.
type Stock struct {
	ThicknessMM float64 `yaml:"thickness_mm" json:"thickness_mm,omitempty"` // 0 is 25 mm
	YoungGPa    float64 `yaml:"e_gpa" json:"e_gpa,omitempty"`               // 0 is that of the metal
	Density     float64 `yaml:"rho_kg_m3" json:"rho_kg_m3,omitempty"`       // 0 is that of the metal
	// BackBowUM is how far the back is hollow along its length, um, so that the
	// part bends when it is clamped down; negative when it is crowned.
	BackBowUM float64 `yaml:"back_bow_um" json:"back_bow_um,omitempty"`
	// WarmK is how much warmer than the room the part comes, K.
	WarmK float64 `yaml:"warm_k" json:"warm_k,omitempty"`
}

// metals by the name that a setup gives.
var metals = map[string]blade.Metal{"": blade.GreyIron, blade.GreyIron.Name: blade.GreyIron, blade.Steel.Name: blade.Steel}

// Readings are measured heights, um: over a grid, null where missing; or, when X
// and Y are given, as points, which may stand on a grid as well.
type Readings struct {
	NX int       `json:"nx,omitempty"`
	NY int       `json:"ny,omitempty"`
	DX float64   `json:"dx_mm,omitempty"`
	DY float64   `json:"dy_mm,omitempty"`
	X0 float64   `json:"x0_mm,omitempty"`
	Y0 float64   `json:"y0_mm,omitempty"`
	X  []float64 `json:"x_mm,omitempty"`
	Y  []float64 `json:"y_mm,omitempty"`
	Z  Heights   `json:"z_um"`
}

// Indicator is a bench indicator: 0 stands for the usual. Acceptance is measured
// with the usual tip whatever is at hand.
type Indicator struct {
	TipMM        float64 `yaml:"tip_mm" json:"tip_mm,omitempty"`               // diameter of the ball; 0 is 1.5
	ResolutionUM float64 `yaml:"resolution_um" json:"resolution_um,omitempty"` // with the dial effect; 0 is 0.5
	HysteresisUM float64 `yaml:"hysteresis_um" json:"hysteresis_um,omitempty"` // with the dial effect; 0 is 1
}

// tip is the diameter of the ball, mm.
func (i Indicator) tip() float64 {
	if i.TipMM == 0 {
		return gauge.TipDiameterMM
	}
	return i.TipMM
}

// dial is what it makes of what the tip meets.
func (i Indicator) dial() gauge.Dial {
	d := gauge.DefaultDial
	if i.ResolutionUM != 0 {
		d.ResolutionUM = i.ResolutionUM
	}
	if i.HysteresisUM != 0 {
		d.HysteresisUM = i.HysteresisUM
	}
	return d
}

// Target is what acceptance asks for, at film FilmUM under the part's own
// weight. Points are per square inch, in the mean and in the worst sliding inch
// frame; areas in per cent of the face; ranges in um.
type Target struct {
	FilmUM       float64    `yaml:"film_um" json:"film_um"`
	PointsPerIn2 float64    `yaml:"points_per_in2" json:"points_per_in2"`
	FrameMin     int        `yaml:"frame_min" json:"frame_min"`
	AreaPct      [2]float64 `yaml:"area_pct" json:"area_pct"`
	BridgedUM    float64    `yaml:"bridged_um" json:"bridged_um"`
	BareUM       [2]float64 `yaml:"bare_um" json:"bare_um"`
}

// Limits of a run: how often it may be printed, and how much of the face one act
// may take. 0 sets none.
type Limits struct {
	Prints int     `yaml:"prints" json:"prints,omitempty"`
	ActMM2 float64 `yaml:"act_mm2" json:"act_mm2,omitempty"`
}

// ReadingsOf packs measured data for a header.
func ReadingsOf(d *surface.Data) *Readings {
	r := &Readings{}
	var z []float64
	if m := d.Map; m != nil {
		r.NX, r.NY, r.DX, r.DY, r.X0, r.Y0 = m.NX, m.NY, m.DX, m.DY, m.X0, m.Y0
		z = m.Z
	}
	if c := d.Cloud; c != nil {
		r.X, r.Y, z = c.X, c.Y, c.Z
	}
	r.Z = z
	return r
}

// data unpacks them.
func (r *Readings) data() (*surface.Data, error) {
	z := slices.Clone(r.Z)
	d := &surface.Data{}
	scattered := len(r.X) > 0
	if scattered {
		if len(r.X) != len(z) || len(r.Y) != len(z) {
			return nil, fmt.Errorf("readings: %d x, %d y and %d z: give as many of each", len(r.X), len(r.Y), len(z))
		}
		d.Cloud = &surface.Cloud{X: r.X, Y: r.Y, Z: z}
		if r.NX == 0 {
			return d, nil
		}
	}
	if r.NX < 2 || r.NY < 2 || r.NX > surface.MaxFaceCells/r.NY || !(r.DX > 0) || !(r.DY > 0) || !scattered && r.NX*r.NY != len(z) {
		return nil, fmt.Errorf("readings: a grid of %d x %d at %g x %g mm with %d heights does not fit together", r.NX, r.NY, r.DX, r.DY, len(z))
	}
	g := surface.Grid{NX: r.NX, NY: r.NY, DX: r.DX, DY: r.DY, X0: r.X0, Y0: r.Y0}
	d.Map = &surface.Map{Grid: g, Z: z}
	if scattered {
		d.Map = surface.NewMap(g)
		for k := range d.Map.Z {
			d.Map.Z[k] = math.NaN()
		}
		for k := range z {
			if i, j, ok := g.Nearest(r.X[k], r.Y[k]); ok {
				d.Map.Z[j*g.NX+i] = z[k]
			}
		}
	}
	return d, nil
}

// face makes the part's face.
func (p Part) face(seed uint64) (*surface.Face, error) {
	switch {
	case p.Recipe != nil && p.Readings == nil:
		recipe := *p.Recipe
		recipe.Seed = seed
		return surface.Build(recipe)
	case p.Readings != nil && p.Recipe == nil:
		d, err := p.Readings.data()
		if err != nil {
			return nil, err
		}
		return surface.FromReadings(d, surface.Skin{Finish: p.Finish, Measured: p.Texture}, p.PitchMM, seed)
	}
	return nil, errors.New("setup: the part needs a recipe or readings, one of them")
}

// Check reports the first thing that is wrong with a setup.
func (s Setup) Check() error {
	change := Act{Change: &s.Blade}.On()
	if err := change.check(); err != nil {
		return fmt.Errorf("setup: blade: %w", err)
	}
	if _, ok := metals[s.Part.Metal]; !ok {
		return fmt.Errorf("setup: part metal is %q: %q or %q", s.Part.Metal, blade.GreyIron.Name, blade.Steel.Name)
	}
	if err := s.checkStock(); err != nil {
		return err
	}
	if len(s.Rubric) > mostRubric {
		return fmt.Errorf("setup: rubric has %d bytes: at most %d", len(s.Rubric), mostRubric)
	}
	t := s.Target
	if !(t.FilmUM >= .2 && t.FilmUM <= 20) {
		return fmt.Errorf("setup: target film_um is %g: give .2 to 20", t.FilmUM)
	}
	for _, q := range []struct {
		name   string
		v      float64
		lo, hi float64
	}{
		{"target points_per_in2", t.PointsPerIn2, 0, 200}, {"target frame_min", float64(t.FrameMin), 0, 200},
		{"target area_pct low", t.AreaPct[0], 0, 100}, {"target area_pct high", t.AreaPct[1], t.AreaPct[0], 100},
		{"target bridged_um", t.BridgedUM, 0, 1000}, {"target bare_um low", t.BareUM[0], 0, 1000},
		{"target bare_um high", t.BareUM[1], t.BareUM[0], 1000},
		{"hand depth_spread", s.Hand.DepthSpread, 0, 1}, {"hand place_mm", s.Hand.PlaceMM, 0, 10},
		{"hand angle_rad", s.Hand.Angle, 0, 1}, {"hand misread", s.Hand.Misread, 0, 1},
		{"indicator tip_mm", s.Indicator.TipMM, 0, 20}, {"indicator resolution_um", s.Indicator.ResolutionUM, 0, 100},
		{"indicator hysteresis_um", s.Indicator.HysteresisUM, 0, 100},
		{"limits prints", float64(s.Limits.Prints), 0, 10000}, {"limits act_mm2", s.Limits.ActMM2, 0, 1e9},
	} {
		if !(q.v >= q.lo && q.v <= q.hi) {
			return fmt.Errorf("setup: %s is %g: give %g to %g", q.name, q.v, q.lo, q.hi)
		}
	}
	return nil
}
