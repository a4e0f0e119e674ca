package scene

import "github.com/before-iron/beforeiron/assets/words"

// Say is words.Say of what names the marking colour that is chosen: {colour}, and
// {Colour} where a sentence begins with it. Settings that name none of ours mean blue.
func (d *Desk) Say(key string, blanks ...any) string {
	of := d.Set.Pigment
	if !words.Has("colour." + of) {
		of = "blue"
	}
	return words.Say(key, append(blanks, "colour", words.Say("colour."+of), "Colour", words.Say("settings.pigment."+of))...)
}
