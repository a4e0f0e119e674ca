package gauge

import (
	"fmt"
	"math"
)

// Standing says how well a figure of a class is known.
type Standing string

const (
	Traced     Standing = "traced to the source"
	FromMemory Standing = "from memory"
	Practice   Standing = "common practice"
)

// Class is what one source asks of a scraped face. A nought means that the
// source says nothing about that figure.
type Class struct {
	ID  string
	Use string
	// Points are asked for per AreaMM2: at least PointsMin; PointsMax ends the
	// range that the source names, and more is no fault.
	PointsMin, PointsMax float64
	AreaMM2              float64
	// Bearing is the share of the area, percent, under a film of FilmMinUM to
	// FilmMaxUM. No source states its film in um: the range is assumed from
	// what it says is counted, true contact under a thin film or all that is
	// visibly blue.
	BearingMin, BearingMax float64
	FilmMinUM, FilmMaxUM   float64
	Source                 string
	Standing               Standing
}

const (
	per25mm = 25.0 * 25.0

	iso8512  = "ISO 8512-1 clause 9 (AS 1004.1), bearing area of cast-iron surface plates"
	spots876 = "trade pages on cast-iron surface plates, spots in 25 x 25 mm"
	usTaught = "machine rebuilding as taught in the United States"
	ukusUse  = "trade counts by use, United States and Britain"
	cnBook   = "Chinese fitter's textbooks, points in 25 x 25 mm"
	jbt9874  = "JB/T 9874 (later GB/T 25373), metal-cutting machine assembly; mean over 100 cm^2 on machines to 10 t, 300 cm^2 above"
	ruBook   = "Russian encyclopaedia summary, spots in a frame of 25 x 25 mm"
)

// Classes are acceptance figures for scraped faces by use, each as one source
// gives them. Sources differ, and none of them is the program's own.
var Classes = []Class{
	{ID: "plate-0", Use: "surface plate, grade 0", BearingMin: 20, FilmMinUM: 0.5, FilmMaxUM: 2, Source: iso8512, Standing: Traced},
	{ID: "plate-1", Use: "surface plate, grade 1", BearingMin: 15, FilmMinUM: 0.5, FilmMaxUM: 2, Source: iso8512, Standing: Traced},
	{ID: "plate-2", Use: "surface plate, grade 2", BearingMin: 10, FilmMinUM: 0.5, FilmMaxUM: 2, Source: iso8512, Standing: Traced},
	{ID: "plate-3", Use: "surface plate, grade 3", BearingMin: 10, FilmMinUM: 0.5, FilmMaxUM: 2, Source: iso8512, Standing: Traced},

	{ID: "plate-spots-0-1", Use: "surface plate, grades 0 and 1", PointsMin: 25, AreaMM2: per25mm, Source: spots876, Standing: Traced},
	{ID: "plate-spots-2", Use: "surface plate, grade 2", PointsMin: 20, AreaMM2: per25mm, Source: spots876, Standing: Traced},
	{ID: "plate-spots-3", Use: "surface plate, grade 3", PointsMin: 12, AreaMM2: per25mm, Source: spots876, Standing: Traced},

	{ID: "way-us", Use: "sliding way", PointsMin: 20, PointsMax: 30, AreaMM2: MM2PerIn2, BearingMin: 40, BearingMax: 60, FilmMinUM: 2, FilmMaxUM: 5, Source: usTaught, Standing: FromMemory},
	{ID: "reference-us", Use: "straightedge, master", PointsMin: 30, PointsMax: 50, AreaMM2: MM2PerIn2, BearingMin: 30, BearingMax: 50, FilmMinUM: 2, FilmMaxUM: 5, Source: usTaught, Standing: FromMemory},

	{ID: "joint-coarse", Use: "coarse fixed joint", PointsMin: 3, PointsMax: 5, AreaMM2: MM2PerIn2, Source: ukusUse, Standing: Practice},
	{ID: "joint", Use: "general fixed joint", PointsMin: 5, PointsMax: 10, AreaMM2: MM2PerIn2, Source: ukusUse, Standing: Practice},
	{ID: "table", Use: "machine table, general datum, seal face", PointsMin: 8, PointsMax: 12, AreaMM2: MM2PerIn2, Source: ukusUse, Standing: Practice},
	{ID: "way", Use: "machine slideway, tool datum", PointsMin: 10, PointsMax: 20, AreaMM2: MM2PerIn2, Source: ukusUse, Standing: Practice},
	{ID: "way-precision", Use: "precision slideway, straightedge", PointsMin: 20, PointsMax: 30, AreaMM2: MM2PerIn2, Source: ukusUse, Standing: Practice},
	{ID: "gauge", Use: "grade 1 plate, precision gauge", PointsMin: 25, PointsMax: 40, AreaMM2: MM2PerIn2, Source: ukusUse, Standing: Practice},
	{ID: "master", Use: "grade 0 plate, high-precision way", PointsMin: 30, PointsMax: 40, AreaMM2: MM2PerIn2, Source: ukusUse, Standing: Practice},

	{ID: "cn-joint-coarse", Use: "coarse fixed joint", PointsMin: 2, PointsMax: 5, AreaMM2: per25mm, Source: cnBook, Standing: FromMemory},
	{ID: "cn-joint", Use: "general fixed joint", PointsMin: 5, PointsMax: 8, AreaMM2: per25mm, Source: cnBook, Standing: FromMemory},
	{ID: "cn-table", Use: "machine table, general datum", PointsMin: 8, PointsMax: 12, AreaMM2: per25mm, Source: cnBook, Standing: FromMemory},
	{ID: "cn-way", Use: "machine slideway, tool datum", PointsMin: 12, PointsMax: 16, AreaMM2: per25mm, Source: cnBook, Standing: FromMemory},
	{ID: "cn-way-precision", Use: "precision slideway, straightedge", PointsMin: 16, PointsMax: 20, AreaMM2: per25mm, Source: cnBook, Standing: FromMemory},
	{ID: "cn-gauge", Use: "grade 1 plate, precision gauge", PointsMin: 20, PointsMax: 25, AreaMM2: per25mm, Source: cnBook, Standing: FromMemory},
	{ID: "cn-master", Use: "grade 0 plate, high-precision way", PointsMin: 25, AreaMM2: per25mm, Source: cnBook, Standing: FromMemory},

	{ID: "jb-high-narrow", Use: "high-precision machine, way to 250 mm wide", PointsMin: 20, AreaMM2: per25mm, Source: jbt9874, Standing: FromMemory},
	{ID: "jb-high-wide", Use: "high-precision machine, way over 250 mm wide", PointsMin: 16, AreaMM2: per25mm, Source: jbt9874, Standing: FromMemory},
	{ID: "jb-precision-narrow", Use: "precision machine, way to 250 mm wide", PointsMin: 16, AreaMM2: per25mm, Source: jbt9874, Standing: FromMemory},
	{ID: "jb-precision-wide", Use: "precision machine, way over 250 mm wide", PointsMin: 12, AreaMM2: per25mm, Source: jbt9874, Standing: FromMemory},
	{ID: "jb-ordinary-narrow", Use: "ordinary machine, way to 250 mm wide", PointsMin: 10, AreaMM2: per25mm, Source: jbt9874, Standing: FromMemory},
	{ID: "jb-ordinary-wide", Use: "ordinary machine, way over 250 mm wide", PointsMin: 6, AreaMM2: per25mm, Source: jbt9874, Standing: FromMemory},
	{ID: "jb-gib-high", Use: "high-precision machine, gib or clamp strip", PointsMin: 12, AreaMM2: per25mm, Source: jbt9874, Standing: FromMemory},
	{ID: "jb-gib-precision", Use: "precision machine, gib or clamp strip", PointsMin: 10, AreaMM2: per25mm, Source: jbt9874, Standing: FromMemory},
	{ID: "jb-gib-ordinary", Use: "ordinary machine, gib or clamp strip", PointsMin: 6, AreaMM2: per25mm, Source: jbt9874, Standing: FromMemory},

	{ID: "ru-way-precision", Use: "precision slideway, straightedge", PointsMin: 20, PointsMax: 25, AreaMM2: per25mm, Source: ruBook, Standing: Practice},
}

// ClassOf is the class of an ID; ok is false where there is none.
func ClassOf(id string) (c Class, ok bool) {
	for _, c := range Classes {
		if c.ID == id {
			return c, true
		}
	}
	return c, false
}

// Verdict is how a figure stands to what a class asks.
type Verdict string

const (
	Meets         Verdict = "meets"
	Misses        Verdict = "misses"
	NotComparable Verdict = "not comparable"
)

// Finding is one figure held against one demand of a class.
type Finding struct {
	What    string // "points" or "bearing"
	Verdict Verdict
	Got     float64
	Why     string
}

// Comparable reports whether figures taken at a film of film um can be held
// against the class: a class that states no film leaves that open.
func (c Class) Comparable(film float64) bool {
	return c.FilmMaxUM == 0 || film >= c.FilmMinUM*(1-hair) && film <= c.FilmMaxUM*(1+hair)
}

// Judge holds a count, taken at a film of film um, against the class: its
// points where the class asks for points and they could be counted, its bearing
// where the class asks for bearing. What was taken at a film other than the
// class's is not comparable, whatever it is, nor are the points of a face on which no
// frame of the class's area lies whole: they are counted in such frames.
func (c Class) Judge(count *PointCount, film float64) []Finding {
	var out []Finding
	if c.PointsMin > 0 {
		f := Finding{What: "points"}
		switch {
		case !count.HasPoints:
			f.Verdict, f.Why = NotComparable, "the readings are too far apart to count points"
		case !count.holdsFrame(math.Sqrt(c.AreaMM2)):
			f.Got = count.Per(c.AreaMM2)
			f.Verdict, f.Why = NotComparable, fmt.Sprintf("no frame of %.3g mm lies whole on the face", math.Sqrt(c.AreaMM2))
		case !c.Comparable(film):
			f.Got = count.Per(c.AreaMM2)
			f.Verdict, f.Why = NotComparable, c.otherFilm(fmt.Sprintf("%.1f points in %.0f mm^2", f.Got, c.AreaMM2), film)
		default:
			f.Got = count.Per(c.AreaMM2)
			f.Verdict, f.Why = Meets, fmt.Sprintf("%.1f points in %.0f mm^2, at least %g asked for", f.Got, c.AreaMM2, c.PointsMin)
			if f.Got < c.PointsMin*(1-hair) {
				f.Verdict = Misses
			}
		}
		out = append(out, f)
	}
	if c.BearingMin > 0 {
		f := Finding{What: "bearing", Got: count.Bearing(film).AreaPct}
		switch {
		case !c.Comparable(film):
			f.Verdict = NotComparable
			f.Why = c.otherFilm(fmt.Sprintf("%.1f %%", f.Got), film)
		case f.Got < c.BearingMin*(1-hair):
			f.Verdict = Misses
			f.Why = fmt.Sprintf("%.1f %% at a film of %g um, at least %g %% asked for", f.Got, film, c.BearingMin)
		case c.BearingMax > 0 && f.Got > c.BearingMax*(1+hair):
			f.Verdict = Misses
			f.Why = fmt.Sprintf("%.1f %% at a film of %g um, above %g %%: so full a face leaves no room for oil and wrings", f.Got, film, c.BearingMax)
		default:
			f.Verdict = Meets
			f.Why = fmt.Sprintf("%.1f %% at a film of %g um", f.Got, film)
		}
		out = append(out, f)
	}
	return out
}

// holdsFrame reports whether a square frame of side mm lies whole on the face.
func (c *PointCount) holdsFrame(side float64) bool {
	_, _, ok := c.Frames(side)
	return ok
}

// otherFilm says why a figure cannot be held against the class.
func (c Class) otherFilm(got string, film float64) string {
	return fmt.Sprintf("%s at a film of %g um; the class speaks of a film of %g to %g um", got, film, c.FilmMinUM, c.FilmMaxUM)
}
