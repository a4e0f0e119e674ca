// Package drive does to a scene what a person does, without a window: it moves a
// pointer, presses keys, sets fingers down. Tests of scenes use it.
package drive

import (
	"fmt"
	"time"

	"github.com/before-iron/beforeiron/render/kit"
)

// Hand drives the scene that Tick builds.
type Hand struct {
	UI   *kit.UI
	In   kit.Input
	Tick func(u *kit.UI)
}

// New is a hand on a scene in a window of the given size, after two ticks.
func New(w, h, textScale float64, tick func(u *kit.UI)) *Hand {
	d := &Hand{UI: kit.New(), Tick: tick}
	d.UI.TextScale = textScale
	d.In.Size = kit.Rect{W: w, H: h}
	d.Ticks(2)
	return d
}

// Ticks lets n ticks pass.
func (d *Hand) Ticks(n int) {
	for range n {
		d.UI.Begin(d.In)
		d.Tick(d.UI)
		d.UI.End()
		d.In.WheelX, d.In.WheelY, d.In.Typed = 0, 0, nil
	}
}

// Until lets ticks pass until done says so; an error when it never does.
func (d *Hand) Until(done func() bool) error {
	for range 20000 {
		if done() {
			return nil
		}
		d.Ticks(1)
	}
	return fmt.Errorf("still not done after 20000 ticks")
}

// Key presses and lets go of a key.
func (d *Hand) Key(k kit.Key) {
	d.In.Held[k] = true
	d.Ticks(1)
	d.In.Held[k] = false
	d.Ticks(1)
}

// Press presses a control by key, wherever it is scrolled to.
func (d *Hand) Press(id string) error {
	if d.Node(id) == nil {
		return fmt.Errorf("there is no %q", id)
	}
	d.UI.FocusOn(id)
	d.Ticks(1)
	d.Key(kit.Enter)
	d.Ticks(2)
	return nil
}

// Settle lets ticks pass until nothing is under way any more.
func (d *Hand) Settle() error {
	var moving string
	for range 20000 {
		d.Ticks(1)
		moving = ""
		for _, n := range d.UI.Nodes() {
			if n.Role == kit.RoleProgress {
				moving = n.ID
			}
		}
		if moving == "" {
			d.Ticks(2)
			return nil
		}
		time.Sleep(5 * time.Millisecond)
	}
	return fmt.Errorf("%q never comes to its end", moving)
}

// Type types characters.
func (d *Hand) Type(text string) {
	for _, r := range text {
		d.In.Typed = []rune{r}
		d.Ticks(1)
	}
}

// Node is a node by its identity; nil when there is none.
func (d *Hand) Node(id string) *kit.Node {
	nodes := d.UI.Nodes()
	for i := range nodes {
		if nodes[i].ID == id {
			return &nodes[i]
		}
	}
	return nil
}

// Middle is the middle of what is seen of a node.
func (d *Hand) Middle(id string) (x, y float64, err error) {
	n := d.Node(id)
	if n == nil || n.Visible().Empty() {
		return 0, 0, fmt.Errorf("%q cannot be seen", id)
	}
	r := n.Visible()
	return r.X + r.W/2, r.Y + r.H/2, nil
}

// Click clicks on a node with the main button.
func (d *Hand) Click(id string) error {
	x, y, err := d.Middle(id)
	if err != nil {
		return err
	}
	d.Drag([2]float64{x, y})
	return nil
}

// Drag presses the main button at the first place and lets go at the last.
func (d *Hand) Drag(places ...[2]float64) {
	d.In.X, d.In.Y = places[0][0], places[0][1]
	d.Ticks(1)
	d.In.Main = true
	for _, p := range places {
		d.In.X, d.In.Y = p[0], p[1]
		d.Ticks(1)
	}
	d.In.Main = false
	d.Ticks(2)
}

// Stroke draws with one finger.
func (d *Hand) Stroke(places ...[2]float64) {
	for _, p := range places {
		d.In.Touches = []kit.Touch{{ID: 1, X: p[0], Y: p[1]}}
		d.Ticks(1)
	}
	d.In.Touches = nil
	d.Ticks(2)
}

// Tap taps a node with a finger.
func (d *Hand) Tap(id string) error {
	x, y, err := d.Middle(id)
	if err != nil {
		return err
	}
	d.Stroke([2]float64{x, y}, [2]float64{x, y})
	return nil
}
