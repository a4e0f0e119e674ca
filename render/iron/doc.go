// Package iron draws metal as a lamp shows it: the face of a part with its
// marks and the pigment on them, the granite master with its film, and what is
// drawn over a face in its own coordinates.
//
// It is fed with what a run shows (run.Appearance, blue.Reading) and keeps no
// state of the part beyond copies on the graphics card. Heights are not among
// them, save where a debrief hands over a map to be drawn.
//
// A frame is drawn in two steps. The camera passes bring slopes, lay and pigment
// to the resolution of the view, once for each view and only where the face has
// changed. The lamp pass lights the result, one texel a pixel, so that a lamp
// that follows the pointer costs little on a machine without a graphics card.
package iron
