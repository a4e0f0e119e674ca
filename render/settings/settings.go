// Package settings is the scene in which the window is set to its user.
package settings

import (
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/units"
)

// Scene is the scene.
type Scene struct{ desk *scene.Desk }

// New is the scene over the desk's settings.
func New(desk *scene.Desk) *Scene { return &Scene{desk} }

// textScales are the sizes of text that can be chosen, per cent.
var textScales = []int{100, 125, 150, 175, 200, 225, 250}

const gap = 10.0

// Tick does one tick of the scene.
func (s *Scene) Tick(u *kit.UI) (next scene.Next) {
	set := s.desk.Set
	before := *set
	all := u.Size().Inset(2 * gap)
	if w := 860 * u.TextScale; all.W > w {
		all = kit.Rect{X: math.Round((u.Size().W - w) / 2), Y: all.Y, W: w, H: all.H}
	}
	u.Panel(all, "settings", words.Say("settings.title"))
	c := u.ScrollColumn("page", all.Inset(2*gap), gap-2)
	c.Heading("title", words.Say("settings.title"))

	c.Name("text.name", words.Say("settings.text"))
	var labels []string
	at := 0
	for i, p := range textScales {
		labels = append(labels, fmt.Sprintf("%d %%", p))
		if int(math.Round(100*set.TextScale)) == p {
			at = i
		}
	}
	at, _ = c.Choose("text", labels, at, nil)
	set.TextScale = float64(textScales[at]) / 100

	set.Units = choose(c, "units", units.Systems, set.Units)
	var irons []string
	for _, t := range palette.Themes {
		irons = append(irons, t.Key)
	}
	set.Iron = choose(c, "iron", irons, set.Iron)
	set.Pigment = choose(c, "pigment", palette.Pigments, set.Pigment)
	set.Pattern, _ = c.Toggle("pattern", words.Say("settings.pattern"), set.Pattern, kit.Opts{})
	c.Name("motion.name", words.Say("settings.motion"))
	set.ReducedMotion, _ = c.Toggle("reduced", words.Say("settings.reduced"), set.ReducedMotion, kit.Opts{})
	set.SkipWaiting, _ = c.Toggle("skip", words.Say("settings.skip"), set.SkipWaiting, kit.Opts{})
	set.Mute, _ = c.Toggle("mute", words.Say("settings.mute"), set.Mute, kit.Opts{})
	c.Text("where", words.Say("settings.where", "folder", s.desk.Store.Where()), kit.Small, kit.Quiet)
	labels = []string{words.Say("settings.back"), words.Say("settings.again")}
	switch c.Buttons(labels, []string{"back", "again"}, []kit.Opts{{Tone: kit.Go}, {Tone: kit.Quiet, Tip: words.Say("settings.tip.again")}}) {
	case 0:
		next = scene.Next{To: scene.Back}
	case 1:
		set.Guided = 0
		next = scene.Next{To: scene.First}
	}
	c.Close()
	if u.Back() {
		next = scene.Next{To: scene.Back}
	}
	if fmt.Sprint(before) != fmt.Sprint(*set) {
		s.desk.Changed()
	}
	return next
}

// choose is one of several keys of settings; what each is called stands under
// settings.<group>.<key>.
func choose[K ~string](c *kit.Column, group string, keys []K, now K) K {
	c.Name(group+".name", words.Say("settings."+group))
	labels := make([]string, len(keys))
	at := 0
	for i, k := range keys {
		labels[i] = words.Say("settings." + group + "." + string(k))
		if k == now {
			at = i
		}
	}
	at, _ = c.Choose(group, labels, at, nil)
	return keys[at]
}
