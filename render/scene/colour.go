package scene

import (
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
)

// colour is what the marking colour that is chosen is called within a sentence and at the
// head of one. Settings that name none of ours mean blue.
func (d *Desk) colour() (within, head string) {
	of := d.Set.Pigment
	if !words.Has("colour." + of) {
		of = "blue"
	}
	return words.Say("colour." + of), words.Say("settings.pigment." + of)
}

// Say is words.Say of what names the marking colour: {colour}, and {Colour} where a
// sentence begins with it.
func (d *Desk) Say(key string, blanks ...any) string {
	within, head := d.colour()
	return words.Say(key, append(blanks, "colour", within, "Colour", head)...)
}

// Told is a sentence of the simulation or of a lesson, which speak of blue, of um and of
// mm, in the learner's colour and units.
func (d *Desk) Told(text string) string {
	within, head := d.colour()
	return d.Set.Units.Told(strings.NewReplacer("blue", within, "Blue", head).Replace(text))
}
