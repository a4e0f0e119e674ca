package store

import "github.com/before-iron/beforeiron/render/units"

// Settings are what the learner has set.
type Settings struct {
	Units         units.System `json:"units"`
	Iron          string       `json:"iron"`       // a key of palette.Themes
	Pigment       string       `json:"pigment"`    // a key of palette.Pigments
	TextScale     float64      `json:"text_scale"` // 1 to 2.5
	Pattern       bool         `json:"pattern"`    // the blue is hatched as well as coloured
	ReducedMotion bool         `json:"reduced_motion"`
	Mute          bool         `json:"mute"`
	SkipWaiting   bool         `json:"skip_waiting"` // strokes and waits on iron are not played out
	// Routine is which steps of the routine strip were last ticked.
	Routine []string `json:"routine"`
	// Rubric is the file of a teacher's rubric; empty for the program's own.
	Rubric string `json:"rubric"`
	// Guided is how far the first five minutes have been gone.
	Guided int `json:"guided"`
	// Foresaw is how many prints in a row were foreseen: the more, the less is said.
	Foresaw int `json:"foresaw"`
}

// Steps of text scale.
const (
	SmallestText = 1.0
	LargestText  = 2.5
)

// Defaults are the settings of a fresh folder.
func Defaults() Settings {
	return Settings{
		Units: units.Metric, Iron: "dark", Pigment: "blue", TextScale: 1,
		Routine: []string{"stone", "wipe", "roll", "rub", "over"},
	}
}

// mended has figures out of range brought back into it.
func (s Settings) mended() Settings {
	if !(s.TextScale >= SmallestText) {
		s.TextScale = SmallestText
	}
	s.TextScale = min(s.TextScale, LargestText)
	known := false
	for _, u := range units.Systems {
		known = known || u == s.Units
	}
	if !known {
		s.Units = units.Metric
	}
	s.Guided, s.Foresaw = max(0, s.Guided), max(0, s.Foresaw)
	return s
}
