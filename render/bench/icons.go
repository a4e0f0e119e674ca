package bench

import (
	"math"

	"github.com/before-iron/beforeiron/render/kit"
)

// Icons of the tools, drawn in a unit square.
var (
	brushIcon = []kit.Mark{
		line(.08, .1, .9, .55, .45),
		line(.16, .45, .6, .12, .9, .3, .95, .5, .8, .45, .6),
	}
	pointIcon = []kit.Mark{
		{Shape: kit.Ring, Points: []kit.Point{{X: .5, Y: .5}}, Width: .34, Thick: .08},
		{Shape: kit.Circle, Points: []kit.Point{{X: .5, Y: .5}}, Width: .12},
	}
	strokeIcon  = []kit.Mark{line(.12, .15, .85, .85, .15), line(.08, .3, .95, .95, .3)}
	frameIcon   = []kit.Mark{line(.08, .12, .12, .88, .12, .88, .88, .12, .88, .12, .12, .3, .12), line(.05, .5, .12, .5, .3), line(.05, .5, .7, .5, .88), line(.05, .12, .5, .3, .5), line(.05, .7, .5, .88, .5)}
	rubIcon     = []kit.Mark{line(.08, .1, .75, .9, .75), {Shape: kit.Ring, Points: []kit.Point{{X: .5, Y: .42}}, Width: .24, Thick: .08}, line(.08, .74, .42, .66, .5, .58, .4)}
	dialIcon    = []kit.Mark{{Shape: kit.Ring, Points: []kit.Point{{X: .5, Y: .4}}, Width: .32, Thick: .08}, line(.07, .5, .4, .68, .26), line(.08, .5, .72, .5, .95)}
	blockIcon   = []kit.Mark{line(.08, .2, .3, .8, .3, .8, .62, .2, .62, .2, .3, .3, .3), line(.08, .05, .72, .95, .72), line(.08, .5, .05, .5, .28)}
	bladeIcon   = []kit.Mark{line(.08, .15, .95, .6, .4), line(.08, .46, .3, .78, .58, .92, .24, .7, .14, .46, .3, .5, .34)}
	nearerIcon  = []kit.Mark{line(.1, .15, .5, .85, .5), line(.1, .5, .15, .5, .85)}
	fartherIcon = []kit.Mark{line(.1, .15, .5, .85, .5)}
	wholeIcon   = []kit.Mark{line(.08, .1, .3, .1, .15, .3, .15), line(.08, .7, .15, .9, .15, .9, .3), line(.08, .9, .7, .9, .85, .7, .85), line(.08, .3, .85, .1, .85, .1, .7), line(.08, .3, .35, .7, .35, .7, .65, .3, .65, .3, .35, .5, .35)}
	checksIcon  = []kit.Mark{line(.08, .12, .5, .3, .72, .6, .25), line(.08, .5, .78, .92, .78), line(.08, .6, .56, .92, .56)}
	setupIcon   = []kit.Mark{line(.08, .1, .8, .9, .8), line(.08, .25, .8, .25, .5, .75, .5, .75, .8), line(.08, .5, .5, .5, .18), line(.08, .36, .3, .5, .16, .64, .3)}
	signIcon    = []kit.Mark{line(.08, .2, .1, .8, .1, .8, .9, .2, .9, .2, .1, .4, .1), line(.08, .34, .5, .46, .64, .68, .34)}
	beforeIcon  = []kit.Mark{line(.08, .36, .12, .9, .12, .9, .66, .36, .66, .36, .12, .5, .12), line(.08, .24, .34, .1, .34, .1, .88, .64, .88, .64, .78)}
	keysIcon    = []kit.Mark{line(.07, .08, .25, .92, .25, .92, .78, .08, .78, .08, .25, .2, .25), line(.08, .22, .42, .32, .42), line(.08, .45, .42, .55, .42), line(.08, .68, .42, .78, .42), line(.08, .3, .62, .7, .62)}
	gearIcon    = []kit.Mark{line(.08, .1, .3, .9, .3), line(.08, .1, .7, .9, .7), {Shape: kit.Circle, Points: []kit.Point{{X: .35, Y: .3}}, Width: .12}, {Shape: kit.Circle, Points: []kit.Point{{X: .65, Y: .7}}, Width: .12}}
	leaveIcon   = []kit.Mark{line(.09, .85, .5, .15, .5), line(.09, .42, .22, .15, .5, .42, .78)}
)

// stepIcons are those of the routine.
var stepIcons = map[string][]kit.Mark{
	"stone": {line(.08, .1, .35, .7, .35, .9, .62, .3, .62, .1, .35, .3, .62), line(.08, .1, .85, .9, .85)},
	"wipe":  {line(.08, .15, .3, .5, .2, .85, .3, .75, .62, .25, .62, .15, .3, .4, .3), line(.08, .1, .85, .9, .85)},
	"half":  append(turned(.5, .5, .34, 200, 20, .08), turned(.5, .5, .34, 20, -160, .08)...),
	"predict": {
		line(.09, .28, .34, .34, .18, .5, .12, .66, .18, .72, .34, .64, .46, .5, .54, .5, .68),
		{Shape: kit.Circle, Points: []kit.Point{{X: .5, Y: .86}}, Width: .07},
	},
	"roll": {
		{Shape: kit.Ring, Points: []kit.Point{{X: .42, Y: .62}}, Width: .2, Thick: .08},
		line(.08, .42, .62, .78, .12, .95, .12), line(.08, .1, .88, .9, .88),
	},
	"rub":  rubIcon,
	"over": turned(.5, .72, .38, 180, 350, .08),
}

// turned is an arc about (x, y) from one angle to another, degrees, with a head
// at its end.
func turned(x, y, radius, from, to, width float64) []kit.Mark {
	at := func(degrees, r float64) kit.Point {
		s, c := math.Sincos(degrees * math.Pi / 180)
		return kit.Point{X: x + c*r, Y: y + s*r}
	}
	arc := kit.Mark{Shape: kit.Line, Width: width}
	const pieces = 10
	for i := range pieces + 1 {
		arc.Points = append(arc.Points, at(from+(to-from)*float64(i)/pieces, radius))
	}
	back := to - math.Copysign(32, to-from)
	head := kit.Mark{Shape: kit.Line, Width: width, Points: []kit.Point{at(back, radius*1.42), at(to, radius), at(back, radius*.62)}}
	return []kit.Mark{arc, head}
}

// line is a line through points given as x, y, x, y.
func line(width float64, xy ...float64) kit.Mark {
	m := kit.Mark{Shape: kit.Line, Width: width}
	for i := 0; i+1 < len(xy); i += 2 {
		m.Points = append(m.Points, kit.Point{X: xy[i], Y: xy[i+1]})
	}
	return m
}
