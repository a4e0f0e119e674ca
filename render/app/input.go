package app

import (
	"github.com/hajimehoshi/ebiten/v2"

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

// gather is what came in since the last tick, in points.
type gather struct {
	touches []ebiten.TouchID
	typed   []rune
}

func (g *gather) input(size kit.Rect, scale float64) kit.Input {
	in := kit.Input{Size: size}
	x, y := ebiten.CursorPosition()
	in.X, in.Y = float64(x)/scale, float64(y)/scale
	in.Main = ebiten.IsMouseButtonPressed(ebiten.MouseButtonLeft)
	in.Second = ebiten.IsMouseButtonPressed(ebiten.MouseButtonRight)
	in.Middle = ebiten.IsMouseButtonPressed(ebiten.MouseButtonMiddle)
	in.WheelX, in.WheelY = ebiten.Wheel()
	for k, keys := range keyOf {
		for _, key := range keys {
			in.Held[k] = in.Held[k] || ebiten.IsKeyPressed(key)
		}
	}
	in.Shift = ebiten.IsKeyPressed(ebiten.KeyShift)
	if !ebiten.IsKeyPressed(ebiten.KeyControl) && !ebiten.IsKeyPressed(ebiten.KeyMeta) {
		g.typed = ebiten.AppendInputChars(g.typed[:0])
		in.Typed = g.typed
	}
	g.touches = ebiten.AppendTouchIDs(g.touches[:0])
	for _, id := range g.touches {
		x, y := ebiten.TouchPosition(id)
		in.Touches = append(in.Touches, kit.Touch{ID: int(id), X: float64(x) / scale, Y: float64(y) / scale})
	}
	return in
}
