package iron

import (
	"math"
	"math/rand/v2"

	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/run"
)

// scraped is an appearance and a reading of nx by ny cells of pitch mm, covered
// with crossed marks drawn at random and with patches of colour: not a part that
// was worked, but as busy as one.
func scraped(nx, ny int, pitch float64, mask []bool) (*run.Appearance, *blue.Reading) {
	a, r := &run.Appearance{Mask: mask}, &blue.Reading{Film: 2.5, Mask: mask}
	a.NX, a.NY, a.DX, a.DY, a.X0, a.Y0 = nx, ny, pitch, pitch, pitch/2, pitch/2
	r.Grid = a.Grid
	n := nx * ny
	a.SlopeX, a.SlopeY, a.LayCos, a.LaySin = make([]int8, n), make([]int8, n), make([]int8, n), make([]int8, n)
	r.Colour, r.Shine = make([]uint8, n), make([]uint8, n)
	rng := rand.New(rand.NewPCG(5, 5))
	for range nx * ny / 300 {
		mark(a, rng.Float64()*float64(nx)*pitch, rng.Float64()*float64(ny)*pitch, math.Pi/4*float64(1+2*rng.IntN(2)))
	}
	for j := range ny {
		for i := range nx {
			v := math.Sin(float64(i)*pitch*1.1) * math.Sin(float64(j)*pitch*1.3)
			if v > .2 {
				r.Colour[j*nx+i] = uint8(64 + 190*v)
			}
			if v > .9 {
				r.Shine[j*nx+i] = uint8(255 * (v - .5) * 2)
			}
		}
	}
	return a, r
}

// mark lays one mark of 2 by 6 mm about (x, y) at an angle.
func mark(a *run.Appearance, x, y, angle float64) {
	s, c := math.Sincos(angle)
	reach := int(4 / a.DX)
	ci, cj := int(x/a.DX), int(y/a.DY)
	for j := max(0, cj-reach); j < min(a.NY, cj+reach); j++ {
		for i := max(0, ci-reach); i < min(a.NX, ci+reach); i++ {
			dx, dy := a.X(i)-x, a.Y(j)-y
			along, across := dx*c+dy*s, dy*c-dx*s
			if math.Abs(along) > 3 || math.Abs(across) > 1 {
				continue
			}
			k := j*a.NX + i
			slope := across*30 + along*2
			a.SlopeX[k], a.SlopeY[k] = int8(-slope*s), int8(slope*c)
			a.LayCos[k], a.LaySin[k] = int8(127*math.Cos(2*angle)), int8(127*math.Sin(2*angle))
		}
	}
}
