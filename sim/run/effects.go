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
	// Torn: a blunt edge, and steel cut dry, tears metal out of the mark.
	Torn bool `yaml:"torn" json:"torn,omitempty"`
}
