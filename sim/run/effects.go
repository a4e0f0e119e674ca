package run

import (
	"fmt"
	"strings"
)

// Effects switches on the ways in which iron is unkind, one by one. All are off
// unless a setup names them, and what is off costs nothing. sim/PHYSICS.md says
// what each of them does.
type Effects struct {
	// Film: colour is used up by prints and lies as unevenly as it was rolled,
	// smears along the path that was rubbed, and turns the reading over when it
	// is thick and rubbed hard.
	Film bool `yaml:"film" json:"film,omitempty"`
	// Grit: chips that were not wiped off hold the part up.
	Grit bool `yaml:"grit" json:"grit,omitempty"`
	// Edges: the part comes with sharp edges, and their burr comes back until
	// they are chamfered.
	Edges bool `yaml:"edges" json:"edges,omitempty"`
	// Wringing: a face that touches nearly everywhere sticks to the master and
	// drags its colour.
	Wringing bool `yaml:"wringing" json:"wringing,omitempty"`
	// Path: the seat is found along the path of the rub, which tells where the
	// master is not flat; a print shows what came near it anywhere.
	Path bool `yaml:"path" json:"path,omitempty"`
	// Overhang: the part has its own weight at its own middle, wherever the master
	// ends under it, and tips when that is beyond the edge.
	Overhang bool `yaml:"overhang" json:"overhang,omitempty"`
	// Wear: rubbing wears the master where it is done.
	Wear bool `yaml:"wear" json:"wear,omitempty"`
	// Bending: the part bends along its length, under its own weight on the
	// master, and on supports on the bench.
	Bending bool `yaml:"bending" json:"bending,omitempty"`
	// Heat: hands, lamp, solvent and cutting warm the part, which bows; the master
	// draws its warmth off.
	Heat bool `yaml:"heat" json:"heat,omitempty"`
	// Dial: the indicator has its resolution and hysteresis, and its stand rides
	// on the master.
	Dial bool `yaml:"dial" json:"dial,omitempty"`
	// Torn: a blunt edge, and steel cut dry, tears metal out of the mark.
	Torn bool `yaml:"torn" json:"torn,omitempty"`
}

// Effect is one switch of Effects, as it is offered to a learner.
type Effect struct {
	Name    string // as a setup spells it
	Default bool   // whether it is on where a setup does not name it
	Does    string // in one line
}

// EffectList lists every effect, the ways in which blue lies first, then how part
// and master move, then tools.
func EffectList() []Effect {
	return []Effect{
		{"film", false, "the film is used up, lies as unevenly as it was rolled, and turns over when it is thick and rubbed hard"},
		{"grit", false, "chips that were not wiped off hold the part up"},
		{"edges", false, "the edges come sharp, and their burr comes back until they are chamfered"},
		{"wringing", false, "a face that touches nearly everywhere sticks and drags its colour"},
		{"path", false, "a rub over a master that is not flat shows what came near it anywhere"},
		{"overhang", false, "a part put beyond the edge of the master keeps its weight there, and tips"},
		{"wear", false, "rubbing wears the master where it is done"},
		{"bending", false, "the part bends along its length: on the master, on supports, clamped"},
		{"heat", false, "hands, lamp, solvent and cutting warm the part, and it bows until it has soaked"},
		{"dial", false, "the indicator has its resolution and lag, and its stand rides on the master's error"},
		{"torn", false, "a blunt edge, or steel cut dry, tears pits into the mark"},
	}
}

// On reports whether the effect of that name is switched on; false for a name that
// is none.
func (e *Effects) On(name string) bool {
	p := e.byName(name)
	return p != nil && *p
}

// Switch sets the effect of that name. It errs on a name that is none.
func (e *Effects) Switch(name string, on bool) error {
	p := e.byName(name)
	if p == nil {
		return fmt.Errorf("no effect is called %q: take all, or some of %s", name, strings.Join(EffectNames(), ", "))
	}
	*p = on
	return nil
}

// Add switches on the effects of a list, names with commas between them, or "all".
// On an error it switches none.
func (e *Effects) Add(list string) error {
	names := strings.Split(list, ",")
	if strings.TrimSpace(list) == "all" {
		names = EffectNames()
	}
	next := *e
	for _, n := range names {
		if err := next.Switch(strings.TrimSpace(n), true); err != nil {
			return err
		}
	}
	*e = next
	return nil
}

// EffectNames are the names on the list, in its order.
func EffectNames() (names []string) {
	for _, e := range EffectList() {
		names = append(names, e.Name)
	}
	return names
}

func (e *Effects) byName(name string) *bool {
	switch name {
	case "film":
		return &e.Film
	case "grit":
		return &e.Grit
	case "edges":
		return &e.Edges
	case "wringing":
		return &e.Wringing
	case "path":
		return &e.Path
	case "overhang":
		return &e.Overhang
	case "wear":
		return &e.Wear
	case "bending":
		return &e.Bending
	case "heat":
		return &e.Heat
	case "dial":
		return &e.Dial
	case "torn":
		return &e.Torn
	}
	return nil
}
