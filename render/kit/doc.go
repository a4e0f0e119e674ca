// Package kit is the window's kit of controls. It draws nothing and imports no
// graphics: at every tick it takes what came in (pointer, keys, touch) and the
// state that the scene holds, and yields a list of nodes that says what each
// thing is, where it is and what it says. The painter, the tests and a mirror for
// screen readers read the same list.
//
// A scene calls the controls in the order in which they are to be read; that is
// also the order in which Tab goes. Lists, tabs and other groups are one stop of
// Tab, with the arrow keys inside. What a tick's input does is decided against
// the nodes of the tick before, which are what the person saw.
//
// Lengths are in points: pixels of a screen at scale 1. Text, and whatever holds
// text, grows with UI.TextScale; a target is at least MinTarget either way.
package kit

// MinTarget is the least side of anything that is pressed, points.
const MinTarget = 44.0
