package lessons

import (
	"errors"
	"fmt"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

const (
	inchMM = 25.4
	// roomMM is how much larger than the part its master must be, so that a part
	// rubbed over 20 mm stays on it.
	roomMM = 20.0
)

// Check builds the lesson's part and reports the first thing in which the job
// makes no sense: a part that its master cannot carry, an aim that cannot be
// measured on it, or one that it meets before any work is done.
func (l *Lesson) Check() error {
	if err := l.checkWords(); err != nil {
		return err
	}
	if err := l.checkJob(); err != nil {
		return err
	}
	for _, seed := range append([]uint64{l.FirstSeed()}, l.Seeds...) {
		if err := l.checkStart(seed); err != nil {
			return fmt.Errorf("seed %d: %w", seed, err)
		}
	}
	return nil
}

// checkJob is what can be told without the part.
func (l *Lesson) checkJob() error {
	s := l.Setup
	if err := s.Check(); err != nil {
		return err
	}
	recipe := s.Part.Recipe
	switch {
	case recipe == nil || s.Part.Readings != nil:
		return errors.New("setup: part: a lesson makes its part by a recipe: give part: recipe:")
	case s.Part.Finish != "" || s.Part.PitchMM != 0 || s.Part.Texture != nil:
		return errors.New("setup: part: finish, texture and pitch_mm belong inside recipe")
	case recipe.Seed != 0 || s.Master.Seed != 0:
		return errors.New("setup: seed is not for a lesson to give in recipe or master: list the surfaces under seeds, or leave seeds out for any")
	case recipe.PitchMM > gauge.DefaultRule.NeckMM/2:
		return fmt.Errorf("setup: recipe pitch_mm is %g: points cannot be told apart above %g mm", recipe.PitchMM, gauge.DefaultRule.NeckMM/2)
	case recipe.LengthMM < inchMM || recipe.WidthMM < gauge.BlockAcrossMM:
		return fmt.Errorf("setup: a part of %g x %g mm has no room for an inch frame and a 30 mm block: give at least %g x %d mm", recipe.LengthMM, recipe.WidthMM, inchMM, gauge.BlockAcrossMM)
	}
	if m := s.Master; m.LengthMM != 0 || m.WidthMM != 0 {
		if m.LengthMM < recipe.LengthMM+roomMM || m.WidthMM < recipe.WidthMM+roomMM {
			return fmt.Errorf("setup: a master of %g x %g mm is too small to rub a part of %g x %g mm on: give it %g mm more each way", m.LengthMM, m.WidthMM, recipe.LengthMM, recipe.WidthMM, roomMM)
		}
	}
	t := s.Target
	switch {
	case t.PointsPerIn2 <= 0 || t.FrameMin <= 0:
		return errors.New("setup: target points_per_in2 and frame_min: say how many points are asked for")
	case float64(t.FrameMin) > t.PointsPerIn2:
		return fmt.Errorf("setup: target frame_min %d is above points_per_in2 %g: the worst frame cannot ask for more than the mean", t.FrameMin, t.PointsPerIn2)
	case t.AreaPct[1] <= t.AreaPct[0]:
		return errors.New("setup: target area_pct: give the least and the most bearing, such as [30, 50]")
	case t.BridgedUM <= 0 || t.BareUM[1] <= t.BareUM[0]:
		return errors.New("setup: target bridged_um and bare_um: say what the indicator may show, such as 5 and [3, 8]")
	}
	return nil
}

// checkStart builds the part of a seed.
func (l *Lesson) checkStart(seed uint64) error {
	s := l.Setup
	s.Scored = false // the truth of a scored run is locked, and here it is wanted
	r, err := run.New(s, l.ID, seed, seed, "", "")
	if err != nil {
		return err
	}
	m, err := r.Truth()
	if err != nil {
		return err
	}
	return done(m, s.Target)
}

// done reports a face that meets a target as it comes.
func done(m *surface.Map, t run.Target) error {
	rest, err := seat.OnBed(m, seat.Weight(m), seat.Stiffness)
	if err != nil {
		return err
	}
	b, _ := gauge.Bearing(m, rest.Plane, t.FilmUM, gauge.DefaultRule)
	if b.PerIn2 != nil && *b.PerIn2 >= t.PointsPerIn2 && b.FrameMin != nil && *b.FrameMin >= t.FrameMin &&
		b.AreaPct >= t.AreaPct[0] && b.AreaPct <= t.AreaPct[1] {
		return errors.New("the part meets the target before any work is done: ask for more, or start from a worse part")
	}
	return nil
}
