package kit

// Key is a key that is not a character.
type Key uint8

// The keys that the kit and the scenes know. Everything else is told by the
// character that it types, so that it is the same on every keyboard.
const (
	Enter Key = iota
	Space
	Escape
	Tab
	Up
	Down
	Left
	Right
	Home
	End
	PageUp
	PageDown
	Backspace
	Delete
	keys
)

// Touch is a finger on the screen.
type Touch struct {
	ID   int
	X, Y float64
}

// Input is what came in during one tick.
type Input struct {
	Size Rect // the window, points; X and Y are 0

	X, Y                 float64 // the pointer
	Main, Second, Middle bool    // its buttons, held
	WheelX, WheelY       float64 // turns since the tick before; away is positive
	Touches              []Touch // fingers, in the order in which they came
	Held                 [keys]bool
	Shift                bool
	Typed                []rune // characters since the tick before
}

// Times of a held key, ticks of 1/60 s: before it repeats, and between repeats.
const (
	repeatAfter = 24
	repeatEvery = 3
)

// keyboard tells presses from holding.
type keyboard struct {
	held [keys]int // ticks
}

// step takes the keys held now and reports which act in this tick.
func (k *keyboard) step(now [keys]bool) (acts [keys]bool) {
	for i, down := range now {
		if !down {
			k.held[i] = 0
			continue
		}
		h := k.held[i]
		acts[i] = h == 0 || h >= repeatAfter && (h-repeatAfter)%repeatEvery == 0
		k.held[i]++
	}
	return acts
}

// repeats reports whether the key's act in this tick is a repeat.
func (k *keyboard) repeats(key Key) bool { return k.held[key] > 1 }
