// Package heat is what warmth does to the shape of a part: a difference through
// its thickness, which bows it and dies away in seconds, and the warmth of the
// whole body, which goes in tens of minutes and bows it while the master draws it
// off through the face.
package heat

import "math"

// Properties of grey iron, SI units; the table in sim/PHYSICS.md gives ranges and
// sources.
const (
	Expansion   = 11e-6  // 1/K
	Diffusivity = 1.5e-5 // m^2/s
	Density     = 7200.0 // kg/m^3
	Capacity    = 460.0  // J/(kg K)
)

// Flows of heat; all assumed, with the reason beside them.
const (
	// AirFilm is what air takes from a surface, W/(m^2 K): free convection and
	// radiation near room temperature.
	AirFilm = 10.0
	// PlateFilm is what a master takes from the face that lies on it, W/(m^2 K):
	// some 25 um of air between them on the mean, at .026 W/(m K).
	PlateFilm = 1000.0
	// HandWatts flow from two hands into a part that they carry, from its sides.
	HandWatts = 15.0
	// RubFlux is what finger tips give to the back of a part that is rubbed,
	// W/m^2 of face.
	RubFlux = 50.0
	// LampFlux falls on a face that lies under the bench lamp, W/m^2.
	LampFlux = 50.0
	// WashFlux is drawn from a face that is wiped with solvent, W/m^2: about a
	// gram to the square decimetre, dry in a minute and a half.
	WashFlux = 200.0
	// CutShare of the work of cutting stays in the part; chips and blade take the
	// rest.
	CutShare = 0.5
)

// Plate is a part as heat sees it, and what takes heat from it.
type Plate struct {
	LengthMM, WidthMM, ThicknessMM float64
	Air, Master                    float64 // W/(m^2 K), through the films of air
}

// NewPlate is a part of that size, mm, with the usual films.
func NewPlate(length, width, thickness float64) Plate {
	return Plate{length, width, thickness, AirFilm, PlateFilm}
}

// State of a part: BodyK is its mean warmth above the room and the master,
// AcrossK how much warmer the face is than the back, in kelvin.
type State struct{ BodyK, AcrossK float64 }

// Flow is what reaches a part meanwhile: W/m^2 into the face and into the back,
// W into its sides, and whether the face lies on the master.
type Flow struct {
	Face, Back, Sides float64
	OnPlate           bool
}

// Conductivity of the iron, W/(m K).
const Conductivity = Diffusivity * Density * Capacity

// AcrossSeconds is the time constant t^2/(pi^2 D) of a difference through the
// thickness, s.
func (p Plate) AcrossSeconds() float64 {
	t := p.ThicknessMM / 1000
	return float64(t*t) / (math.Pi * math.Pi * Diffusivity)
}

// BodySeconds is the time constant of the body's warmth, s: in still air, or on
// the master.
func (p Plate) BodySeconds(onPlate bool) float64 {
	l, w, t := p.LengthMM/1000, p.WidthMM/1000, p.ThicknessMM/1000
	return float64(float64(Density*Capacity*l)*float64(w*t)) / p.loss(onPlate)
}

// loss is the heat that the part loses per kelvin, W/K.
func (p Plate) loss(onPlate bool) float64 {
	l, w, t := p.LengthMM/1000, p.WidthMM/1000, p.ThicknessMM/1000
	area := float64(l * w)
	loss := float64(p.Air * (2*area + float64(2*(l+w)*t)))
	if onPlate {
		loss += float64((p.Master - p.Air) * area)
	}
	return loss
}

// After is the state s seconds of a steady flow later.
//
// The body goes exponentially to where it loses what flows in. The difference
// through the thickness goes, with its own and shorter time constant, to that
// which the flow then keeps up: a flux q through one face makes q t/2k of it (a
// parabola of temperature bends as that straight line does). What the master
// draws off through the face is such a flux.
func (p Plate) After(s State, f Flow, seconds float64) State {
	l, w, t := p.LengthMM/1000, p.WidthMM/1000, p.ThicknessMM/1000
	area := float64(l * w)
	slow, quick := p.BodySeconds(f.OnPlate), p.AcrossSeconds()
	end := (float64((f.Face+f.Back)*area) + f.Sides) / p.loss(f.OnPlate)
	perFlux := t / (2 * Conductivity)
	steady, drawn := float64((f.Face-f.Back)*perFlux), 0.0
	if f.OnPlate {
		steady -= float64(float64(p.Master*end) * perFlux)
		// As long as iron conducts better than the film this is far below one.
		drawn = -float64(float64(p.Master*(s.BodyK-end))*perFlux) / (1 - min(.9, quick/slow))
	}
	eSlow, eQuick := decay(seconds/slow), decay(seconds/quick)
	return State{
		BodyK:   coarse(end + float64((s.BodyK-end)*eSlow)),
		AcrossK: coarse(steady + float64(drawn*eSlow) + float64((s.AcrossK-steady-drawn)*eQuick)),
	}
}

// BowUM is how far a difference of acrossK through the thickness bows a length
// of lengthMM, um, convex on the warm side: alpha L^2 dT/8t.
func (p Plate) BowUM(lengthMM, acrossK float64) float64 {
	return float64(float64(Expansion*1000*acrossK)*float64(lengthMM*lengthMM)) / (8 * p.ThicknessMM)
}

func decay(u float64) float64 { return coarse(math.Exp(-u)) }

// coarse rounds to 2^-24, so that the last bit of an exponential, which differs
// between processors, reaches no height.
func coarse(v float64) float64 { return math.Round(v*(1<<24)) / (1 << 24) }
