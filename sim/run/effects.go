package run

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
