package gauge

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/before-iron/beforeiron/sim/surface"
)

// eightLines is the usual survey of a plate: edges, middle lines, diagonals.
func eightLines(kind LineKind, w, h float64, steps int, z func(x, y float64) float64, noise func() float64) []SurveyLine {
	ends := [][4]float64{
		{0, 0, w, 0}, {w, 0, w, h}, {0, h, w, h}, {0, 0, 0, h},
		{0, h / 2, w, h / 2}, {w / 2, 0, w / 2, h}, {0, 0, w, h}, {w, 0, 0, h},
	}
	var lines []SurveyLine
	for n, e := range ends {
		l := SurveyLine{Kind: kind, X0: e[0], Y0: e[1], X1: e[2], Y1: e[3], SigmaUM: 0.3}
		at := func(k int) float64 {
			t := float64(k) / float64(steps)
			x, y := e[0]+t*(e[2]-e[0]), e[1]+t*(e[3]-e[1])
			// What each kind leaves open.
			switch kind {
			case LevelSteps:
				return z(x, y) + 0.05*x - 0.11*y
			case AutocollimatorSteps:
				return z(x, y) + 7*float64(n)*t
			default:
				return z(x, y) + 20 - 3*float64(n) + 11*float64(n)*t
			}
		}
		for k := 0; k <= steps; k++ {
			switch {
			case kind == StraightedgeHeights:
				l.Readings = append(l.Readings, at(k)+noise())
			case k > 0:
				l.Readings = append(l.Readings, at(k)-at(k-1)+noise())
			}
		}
		lines = append(lines, l)
	}
	return lines
}

func dome(x, y float64) float64 {
	return 4*math.Sin(x/150) + 0.00003*(x-300)*(y-200) - 2e-5*(y-100)*(y-100)
}

func quiet() float64 { return 0 }

// Readings without error give the plate back, whatever the kind leaves open, up
// to a plane through all of it.
func TestSurveyGivesThePlateBack(t *testing.T) {
	for _, kind := range []LineKind{LevelSteps, AutocollimatorSteps, StraightedgeHeights} {
		s, err := Solve(eightLines(kind, 600, 400, 6, dome, quiet))
		if err != nil {
			t.Fatal(err)
		}
		// Four corners, four edges of 5 more (two of them mid points that the
		// middle lines share), 4 + 4 + 4 + 4 inner ones and the centre.
		if len(s.Stations) != 4+4*5+16+1 {
			t.Errorf("kind %d: %d stations", kind, len(s.Stations))
		}
		c := s.Cloud()
		for k := range c.Z {
			c.Z[k] -= dome(c.X[k], c.Y[k])
		}
		f, err := FlatnessOfCloud(c)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "shape", f.MinimumZone, 0, 1e-8)
		p := surface.Cloud{}
		for _, q := range s.Stations {
			p.X, p.Y, p.Z = append(p.X, q.X), append(p.Y, q.Y), append(p.Z, q.Z)
		}
		plane, err := p.LeastSquares()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "own plane", math.Abs(plane.A)+600*math.Abs(plane.B)+400*math.Abs(plane.C), 0, 1e-9)
		for k, l := range s.Lines {
			for _, r := range l.Residuals {
				near(t, "residual", r, 0, 1e-8)
			}
			if l.Closure == nil {
				t.Fatalf("kind %d: line %d has no closure", kind, k)
			}
			near(t, "closure", *l.Closure, 0, 1e-8)
		}
		near(t, "scatter", s.Scatter, 0, 1e-7)
	}
}

// Over many surveys with random errors the heights scatter as stated, and the
// residuals as the readings were said to.
func TestSurveyUncertainty(t *testing.T) {
	rng := rand.New(rand.NewPCG(29, 30))
	const trials = 600
	for _, kind := range []LineKind{LevelSteps, AutocollimatorSteps, StraightedgeHeights} {
		var sums, squares, stated []float64
		scatter := 0.0
		for trial := range trials {
			a, err := adjust(eightLines(kind, 600, 400, 4, dome, func() float64 { return 0.3 * rng.NormFloat64() }))
			if err != nil {
				t.Fatal(err)
			}
			if trial == 0 {
				sums, squares, stated = make([]float64, len(a.stations)), make([]float64, len(a.stations)), a.variance
			}
			for k, s := range a.stations {
				sums[k] += s.Z
				squares[k] += s.Z * s.Z
			}
			ss := 0.0
			for k := range a.lines {
				for _, r := range a.residuals(k) {
					ss += r * r / (0.3 * 0.3)
				}
			}
			scatter += ss / float64(a.freedom) / trials
		}
		near(t, "mean square of weighted residuals per freedom", scatter, 1, 0.05)
		ratio := 0.0
		for k := range sums {
			v := (squares[k] - sums[k]*sums[k]/trials) / (trials - 1)
			ratio += v / stated[k] / float64(len(sums))
		}
		near(t, "found variance over stated", ratio, 1, 0.05)
	}
}

// A blunder in one reading shows in the closure of its line and in the scatter.
func TestSurveyShowsABlunder(t *testing.T) {
	for _, kind := range []LineKind{LevelSteps, AutocollimatorSteps, StraightedgeHeights} {
		lines := eightLines(kind, 600, 400, 4, dome, quiet)
		lines[6].Readings[2] += 5 // of a straightedge the middle, which others cross
		s, err := Solve(lines)
		if err != nil {
			t.Fatal(err)
		}
		if s.Scatter < 1.5 {
			t.Errorf("kind %d: scatter %g", kind, s.Scatter)
		}
		if *s.Lines[6].Closure < 1 {
			t.Errorf("kind %d: the line with the blunder closes to %g um", kind, *s.Lines[6].Closure)
		}
		clean, err := Solve(eightLines(kind, 600, 400, 4, dome, quiet))
		if err != nil {
			t.Fatal(err)
		}
		if s.Stations[0].SigmaUM <= clean.Stations[0].SigmaUM {
			t.Error("a survey that scatters must say so in its uncertainty")
		}
	}
}

func TestSurveyRefusesWhatItCannotTie(t *testing.T) {
	line := func(x0, y0, x1, y1 float64) SurveyLine {
		return SurveyLine{X0: x0, Y0: y0, X1: x1, Y1: y1, Readings: []float64{1, 2, 3}, SigmaUM: 1}
	}
	for name, lines := range map[string][]SurveyLine{
		"nothing":         nil,
		"one line":        {line(0, 0, 300, 0)},
		"parallel lines":  {line(0, 0, 300, 0), line(0, 200, 300, 200)},
		"no length":       {line(5, 5, 5, 5)},
		"no readings":     {{X1: 3, SigmaUM: 1}},
		"no uncertainty":  {{X1: 3, Readings: []float64{1}}},
		"one height only": {{Kind: StraightedgeHeights, X1: 3, Readings: []float64{1}, SigmaUM: 1}},
	} {
		if _, err := Solve(lines); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
