package app

import (
	"math"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/sound"
	"github.com/before-iron/beforeiron/render/stage"
	"github.com/before-iron/beforeiron/sim/blade"
)

// speaker is what sounds are played on.
type speaker interface {
	Cut(sound.Stroke)
	Hold(k sound.Kind, speed, press, pan float64)
	Knock(force, pan float64)
	Tick()
}

// noise lets what happens on the bench be heard.
type noise struct {
	out   speaker
	plan  []held
	quiet int        // ticks until the next stroke may sound
	plate [2]float64 // where the part was on the plate, mm
}

// held is a sound that goes on for some ticks.
type held struct {
	kind  sound.Kind
	ticks int
	speed float64
	press float64
}

// How acts sound: for as many ticks as an ear needs to know them.
var actSounds = map[string]held{
	"stone": {sound.Stoning, 36, 180, .4},
	"roll":  {sound.Rolling, 30, 260, .5},
	"rub":   {sound.Rubbing, 36, 120, .3},
}

const (
	// strokeTicks is the least time between strokes that are heard, ticks: many
	// that fall at once would be one roar.
	strokeTicks = 7
	// strokeSpeed is the speed of a hand's stroke, mm/s.
	strokeSpeed = 110.0
	// mostPlanned bounds what is still to sound.
	mostPlanned = 4
)

// follow takes in one tick: what was pressed, and what happened on the stage.
func (n *noise) follow(u *kit.UI, s stage.Stage) {
	if n.out == nil {
		return
	}
	if u.Clicked() != "" {
		n.out.Tick()
	}
	n.quiet--
	if k := len(s.Laid); k > 0 && n.quiet <= 0 {
		n.quiet = strokeTicks
		n.out.Cut(strokeSound(s, s.Laid[k-1]))
	}
	for _, kind := range s.Done {
		if h, ok := actSounds[kind]; ok && len(n.plan) < mostPlanned {
			n.plan = append(n.plan, h)
		}
		if kind == "place" {
			n.out.Knock(.35, 0)
		}
	}
	if len(n.plan) > 0 {
		h := &n.plan[0]
		n.out.Hold(h.kind, h.speed, h.press, 0)
		if h.ticks--; h.ticks <= 0 {
			n.plan = n.plan[1:]
		}
	}
	if at := [2]float64{s.PlateX, s.PlateY}; s.Back && at != n.plate {
		const ticksASecond = 60
		n.out.Hold(sound.Rubbing, math.Hypot(at[0]-n.plate[0], at[1]-n.plate[1])*ticksASecond, .3, 0)
		n.plate = at
	}
}

// strokeSound is how a stroke sounds, from where it lies in the view.
func strokeSound(s stage.Stage, k blade.Stroke) sound.Stroke {
	x := float64(k.X0+k.X1) / 2 / blade.UnitsPerMM
	px, _ := s.View.Px(x, 0)
	half := float64(s.View.Dst.Dx()) / 2
	return sound.Stroke{
		DepthUM: k.DepthUM, LengthMM: k.Length(), SpeedMM: strokeSpeed,
		Pan: max(-1, min(1, (px-float64(s.View.Dst.Min.X)-half)/max(1, half))),
	}
}
