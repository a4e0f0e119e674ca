package app

import (
	"slices"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"

	"github.com/before-iron/beforeiron/render/kit"
)

// keyOf are the keys that are no characters.
var keyOf = map[kit.Key][]ebiten.Key{
	kit.Enter:     {ebiten.KeyEnter, ebiten.KeyNumpadEnter},
	kit.Space:     {ebiten.KeySpace},
	kit.Escape:    {ebiten.KeyEscape},
	kit.Tab:       {ebiten.KeyTab},
	kit.Up:        {ebiten.KeyArrowUp},
	kit.Down:      {ebiten.KeyArrowDown},
	kit.Left:      {ebiten.KeyArrowLeft},
	kit.Right:     {ebiten.KeyArrowRight},
	kit.Home:      {ebiten.KeyHome},
	kit.End:       {ebiten.KeyEnd},
	kit.PageUp:    {ebiten.KeyPageUp},
	kit.PageDown:  {ebiten.KeyPageDown},
	kit.Backspace: {ebiten.KeyBackspace},
	kit.Delete:    {ebiten.KeyDelete},
}

// gather is what comes in, in points.
type gather struct {
	was     kit.Input // as the scene was last told
	touches []ebiten.TouchID
	typed   []rune
}

// inputs are what came in since the last tick, in the order in which the scene is to
// be told. It is one, but on a machine that is too busy for sixty ticks a second.
func (g *gather) inputs(size kit.Rect, scale float64) []kit.Input {
	now := kit.Input{Size: size}
	x, y := ebiten.CursorPosition()
	now.X, now.Y = float64(x)/scale, float64(y)/scale
	var fell kit.Input
	button := func(b ebiten.MouseButton) (down, fell bool) {
		// IsMouseButtonPressed would still say yes of one let go in the tick in which it
		// was pressed.
		return inpututil.MouseButtonPressDuration(b) > 0, inpututil.IsMouseButtonJustPressed(b)
	}
	now.Main, fell.Main = button(ebiten.MouseButtonLeft)
	now.Second, fell.Second = button(ebiten.MouseButtonRight)
	now.Middle, fell.Middle = button(ebiten.MouseButtonMiddle)
	now.WheelX, now.WheelY = ebiten.Wheel()
	for k, keys := range keyOf {
		for _, key := range keys {
			now.Held[k] = now.Held[k] || inpututil.KeyPressDuration(key) > 0
			fell.Held[k] = fell.Held[k] || inpututil.IsKeyJustPressed(key)
		}
	}
	now.Shift = ebiten.IsKeyPressed(ebiten.KeyShift)
	if !ebiten.IsKeyPressed(ebiten.KeyControl) && !ebiten.IsKeyPressed(ebiten.KeyMeta) {
		g.typed = ebiten.AppendInputChars(g.typed[:0])
		now.Typed = g.typed
	}
	g.touches = ebiten.AppendTouchIDs(g.touches[:0])
	for _, id := range g.touches {
		x, y := ebiten.TouchPosition(id)
		now.Touches = append(now.Touches, kit.Touch{ID: int(id), X: float64(x) / scale, Y: float64(y) / scale})
	}
	steps := split(g.was, now, fell)
	g.was = steps[len(steps)-1]
	return steps
}

// split takes one tick apart into steps in which no button or key both falls and
// rises, one finger does not become another, and one character is typed. was is the
// step before, now is how things are at the end of the tick, and what is held in fell
// went down during it.
func split(was, now, fell kit.Input) []kit.Input {
	up, down, end := quiet(was), now, quiet(now)
	ups, downs, ends := switches(&up), switches(&down), switches(&end)
	again, tapped := false, false
	for i, f := range switches(&fell) {
		again = again || *f && *ups[i]
		tapped = tapped || *f && !*ends[i]
		*ups[i] = *ups[i] && !*f
		*downs[i] = *downs[i] || *f
	}
	up.Touches = nil
	for _, t := range was.Touches {
		if slices.ContainsFunc(now.Touches, func(n kit.Touch) bool { return n.ID == t.ID }) {
			up.Touches = append(up.Touches, t)
		}
	}
	again = again || len(up.Touches) < min(len(was.Touches), len(now.Touches))

	var steps []kit.Input
	if again {
		steps = append(steps, up)
	}
	down.Typed = now.Typed[:min(1, len(now.Typed))]
	steps = append(steps, down)
	for i := 1; i < len(now.Typed); i++ {
		next := quiet(down)
		next.Typed = now.Typed[i : i+1]
		steps = append(steps, next)
	}
	if tapped {
		steps = append(steps, end)
	}
	return steps
}

// quiet is what goes on from one step to the next: no turn of the wheel and no
// character is told twice.
func quiet(in kit.Input) kit.Input {
	in.WheelX, in.WheelY, in.Typed = 0, 0, nil
	return in
}

// switches are the buttons and keys of an input.
func switches(in *kit.Input) []*bool {
	out := []*bool{&in.Main, &in.Second, &in.Middle}
	for i := range in.Held {
		out = append(out, &in.Held[i])
	}
	return out
}
