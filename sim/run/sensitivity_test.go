package run

import (
	"testing"

	"github.com/before-iron/beforeiron/sim/heat"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Each assumed figure of what moves, bends and warms, halved and doubled, and
// whether the conclusion that rests on it stands. sim/PHYSICS.md carries the
// table; a conclusion that begins or ceases to stand fails here.
func TestSensitivity(t *testing.T) {
	for _, c := range []struct {
		name       string
		conclusion string
		stands     func(factor float64) bool
		half, two  bool
	}{
		{"heat.PlateFilm", "a part of 400 x 25 mm, 6 K warm, is more than 1 um hollow after 8 s on the master and true after a quarter of an hour", func(f float64) bool {
			p := heat.NewPlate(400, 60, 25)
			p.Master *= f
			s := heat.State{BodyK: 6}
			at := func(seconds float64) float64 {
				return p.BowUM(400, p.After(s, heat.Flow{OnPlate: true}, seconds).AcrossK)
			}
			return at(8) < -1 && at(900) > -.25
		}, true, true},
		{"heat.AirFilm", "a block of 1.8 kg cools in tens of minutes", func(f float64) bool {
			p := heat.NewPlate(100, 100, 25)
			p.Air *= f
			m := p.BodySeconds(false) / 60
			return m > 10 && m < 100
		}, true, true},
		{"heat.LampFlux", "the bench lamp alone bows 300 mm by less than a quarter micrometre", func(f float64) bool {
			return fluxBow(300, f*heat.LampFlux) < .25
		}, true, true},
		{"heat.RubFlux", "finger tips on the back bow 300 mm by less than a quarter micrometre", func(f float64) bool {
			return fluxBow(300, f*heat.RubFlux) < .25
		}, true, true},
		{"heat.WashFlux", "solvent drying on the face bows 300 mm by less than half a micrometre", func(f float64) bool {
			return fluxBow(300, f*heat.WashFlux) < .5
		}, true, true},
		{"heat.HandWatts", "carrying a coupon of 100 x 75 mm for a minute bows it by less than a quarter micrometre on the master", func(f float64) bool {
			p := heat.NewPlate(100, 75, 25)
			s := p.After(heat.State{}, heat.Flow{Sides: f * heat.HandWatts}, 60)
			s = p.After(s, heat.Flow{OnPlate: true}, 8)
			return p.BowUM(100, s.AcrossK) > -.25
		}, true, false},
		{"heat.CutShare", "500 strokes of 200 N and 12 mm warm a 1.8 kg block by .3 to 1.5 K", func(f float64) bool {
			p := heat.NewPlate(100, 100, 25)
			s := p.After(heat.State{}, heat.Flow{Face: f * heat.CutShare * 500 * 200 * .012 / 1000 / .01}, 1000)
			return s.BodyK > .3 && s.BodyK < 1.5
		}, true, true},
		{"seat.WearPerMetre", "45 prints of 160 mm wear a master by less than a fifth of a micrometre", func(f float64) bool {
			return f*seat.WearPerMetre*45*.16 < .2
		}, true, true},
		{"seat.Stiffness", "pivots: crown above even above hollow", func(f float64) bool {
			crown, even, hollow := stiffPivot(t, 3, f*seat.Stiffness), stiffPivot(t, 0, f*seat.Stiffness), stiffPivot(t, -3, f*seat.Stiffness)
			return crown > even+.04 && even > hollow+.04
		}, true, true},
		{"run.IronYoungGPa", "a bar of 500 x 25 mm, 8 um hollow, lies down and touches in its middle", func(f float64) bool {
			s := shaped(500, 40, surface.Form{BowUM: -8}, Effects{Bending: true})
			s.Part.Stock.YoungGPa = f * IronYoungGPa
			r := begin(t, s)
			do(t, r, printing(60)...)
			return colouredAt(t, r, 250, 20)
		}, true, false},
		{"run.PushFriction", "a part twisted by 20 um turns off its middle line, to the side it is pushed", func(f float64) bool {
			// The lean is friction times half the thickness, and no more.
			s := shaped(200, 80, surface.Form{TwistUM: 20}, Effects{})
			s.Part.Stock.ThicknessMM = f * ThicknessMM
			r := begin(t, s)
			one := pivot(t, r, 200, 80, true, 1571).Y - 4000
			other := pivot(t, r, 200, 80, true, -1571).Y - 4000
			return one*other < 0 || one > 1000 || one < -1000
		}, true, true},
	} {
		half, two := c.stands(.5), c.stands(2)
		t.Logf("%s: %s: as it is %v, halved %v, doubled %v", c.name, c.conclusion, c.stands(1), half, two)
		if !c.stands(1) {
			t.Errorf("%s: it does not stand as it is: %s", c.name, c.conclusion)
		}
		if half != c.half || two != c.two {
			t.Errorf("%s: halved %v, doubled %v, and the page says %v, %v", c.name, half, two, c.half, c.two)
		}
	}
}

// fluxBow is the bow, um, of a length of 25 mm iron under a steady flux, W/m^2.
func fluxBow(length, flux float64) float64 {
	p := heat.NewPlate(length, 60, 25)
	return p.BowUM(length, p.After(heat.State{}, heat.Flow{Face: flux}, 1000).AcrossK)
}

// stiffPivot is the pivot of a bowed part of 200 x 50 mm on a bed of stiffness k,
// from the far end.
func stiffPivot(t *testing.T, bow, k float64) float64 {
	t.Helper()
	f, err := surface.Build(surface.Recipe{LengthMM: 200, WidthMM: 50, PitchMM: .5, Form: surface.Form{BowUM: bow}})
	if err != nil {
		t.Fatal(err)
	}
	m := f.Tops(nil)
	l, err := seat.NewBed(m).Settle(seat.Case{Under: [4]int{0, 0, m.NX, m.NY}, Forces: []seat.Load{seat.Weight(m)}}, k)
	if err != nil {
		t.Fatal(err)
	}
	p, err := seat.Swing(l.Pressed(k), 200, 25, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	return p.X / 200
}
