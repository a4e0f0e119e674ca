package page

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"image/color"
	"math"
	"strings"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Measured is what the page of a measured face is written from. Heights are um.
type Measured struct {
	Program  string // version that writes it
	File     string // name of what was measured
	Map      *surface.Map
	Cloud    *surface.Cloud // points that form no grid, where there is no map
	Flatness gauge.FlatnessFigures
	Texture  *gauge.TextureFigures // with a map
	// Parallelism to the datum that Datum names; nil where none was given.
	Parallelism *gauge.ParallelismFigures
	Datum       string
	Bearing     *MeasuredBearing // nil where it finds no rest
	Survey      *gauge.Survey    // of lines, nil without
	Lines       []gauge.SurveyLine
}

// MeasuredBearing is how the face of a page rests and bears.
type MeasuredBearing struct {
	Load                string        // in words, after "rests"
	Plane               surface.Plane // that it rests on
	MeanGapUM, MaxGapUM float64
	FilmUM              float64
	Rule                gauge.PointRule
	Figures             gauge.BearingFigures
	Count               *gauge.PointCount
}

//go:embed measured.html
var measuredText string

var measuredPage = template.Must(template.New("measured").Parse(measuredText))

// HTML is the page. The same face gives the same bytes.
func (m *Measured) HTML() ([]byte, error) {
	filled, err := m.fill()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := measuredPage.Execute(&b, filled); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

type (
	figureRow   struct{ Name, Value, What string }
	straightRow struct{ Name, Length, Zone, Least, Ends string }
	lineRow     struct{ Name, Kind, Closure, Residual, Straight string }
	stationRow  struct{ X, Y, Height, Uncertainty string }
	classRow    struct{ Use, Asked, Got, So, Source string }
	frameView   struct {
		Drawing template.HTML
		Caption string
	}
	measuredFill struct {
		Program, Title, About, Seat string
		Style                       template.CSS
		MapTitle, MapCaption        string
		Map, Key                    template.HTML
		Wide                        bool // whether the map takes the whole width
		Form                        []figureRow
		Lines                       []lineRow
		LinesNote                   string
		Stations                    []stationRow
		Profiles                    []template.HTML
		Straight                    []straightRow
		Curve                       template.HTML
		CurveCaption                string
		Shares                      []figureRow
		Film, BearingNote           string
		Spots                       template.HTML
		SpotsCaption                string
		Bearing                     []figureRow
		Frames                      []frameView
		Classes                     []classRow
		OtherFilms                  string
	}
)

func (m *Measured) fill() (*measuredFill, error) {
	f := &measuredFill{Program: m.Program, Title: m.File, Style: template.CSS(style)}
	flat := m.Flatness
	f.Form = []figureRow{
		{"Flatness, minimum zone", micro(flat.MinimumZoneNormal), "least distance of two parallel planes that hold the face"},
		{"the same, vertical", micro(flat.MinimumZone), "measured along z"},
		{"FLTt", micro(flat.LSTotal), "peak to valley, along the normal of the least-squares plane"},
		{"FLTp, FLTv", micro(flat.LSPeak) + ", " + micro(flat.LSValley), "highest peak, deepest valley"},
		{"FLTq", micro(flat.LSRMS), "root mean square"},
	}
	if m.Map == nil {
		f.About = fmt.Sprintf("%d points that form no grid: flatness alone.", len(m.Cloud.Z))
		m.fillPlan(f)
		return f, m.fillLines(f)
	}
	g := m.Map.Grid
	length, width := gauge.Reach(g)
	f.About = fmt.Sprintf("%d × %d heights at a pitch of %.6g × %.6g mm over %.6g × %.6g mm; %d of %d cells have a height.",
		g.NX, g.NY, g.DX, g.DY, length, width, m.Map.Valid(), g.Cells())
	m.fillMap(f)
	m.fillTexture(f)
	if err := m.fillProfiles(f); err != nil {
		return nil, err
	}
	if m.Bearing == nil {
		f.Seat = "It finds no rest under this load: nothing can be said of its bearing."
	} else {
		m.fillBearing(f)
	}
	return f, m.fillLines(f)
}

// micro is a length of um with four digits or so.
func micro(v float64) string { return decimals(v) + " µm" }

func decimals(v float64) string {
	a := math.Abs(v)
	places := 3
	for ; a >= 10 && places > 0; a /= 10 {
		places--
	}
	return strings.Replace(fmt.Sprintf("%.*f", places, v), "-", "−", 1)
}

func known(v *float64) string {
	if v == nil {
		return "–"
	}
	return decimals(*v)
}

const (
	fineMap     = 50 // cells along its shorter side from which a map can bear lines
	fewReadings = 12 // readings along the longer side that have room for figures
)

// fillMap draws heights above the plane of the flatness figures.
func (m *Measured) fillMap(f *measuredFill) {
	g, plane := m.Map.Grid, m.Flatness.LSPlane
	field := review.Sample(g, func(k int) float64 { return m.Map.Z[k] - plane.At(g.X(k%g.NX), g.Y(k/g.NX)) })
	low, high := field.Range()
	form := smooth(field)
	least, most := form.Range()
	step := isoStep(most - least)
	at := place(form, g)
	told := fmt.Sprintf("Map of heights from %s to %s about the least-squares plane. Smoothed, the face is highest near %s and lowest near %s mm.",
		micro(low), micro(high), at(true), at(false))
	v := newView(g, field.W, field.H, told)
	lines := fmt.Sprintf("; a line every %s µm of the form, marks smoothed out", short(step))
	fine := min(field.W, field.H) >= fineMap
	if !fine {
		// A line is a cell wide, and would cover what it parts.
		lines, step = "", math.Inf(1)
	}
	v.picture(truthPicture(field, step))
	switch {
	case fine:
		for _, l := range labels(form, step) {
			v.text("label", l.X*v.w/float64(field.W), l.Y*v.h/float64(field.H)+2, l.Text)
		}
	case max(g.NX, g.NY) <= fewReadings:
		lines = ", each written over its place"
		for k, z := range m.Map.Z {
			if x, y := g.X(k%g.NX), g.Y(k/g.NX); z == z {
				at, down := v.at(x, y)
				v.text("label", at, down+2, decimals(z-plane.At(x, y)))
			}
		}
	}
	f.MapTitle, f.Map, f.Key = "Heights", v.svg(), heightKey(low, high)
	f.MapCaption = fmt.Sprintf("Heights from the least-squares plane, means over %.3g × %.3g mm%s. x runs to the right and y down, mm.",
		float64(g.NX)*g.DX/float64(field.W), float64(g.NY)*g.DY/float64(field.H), lines)
}

// place tells where a field is highest or lowest, mm.
func place(f *review.Field, g surface.Grid) func(highest bool) string {
	return func(highest bool) string {
		best := -1
		for k, v := range f.V {
			if v == v && (best < 0 || highest && v > f.V[best] || !highest && v < f.V[best]) {
				best = k
			}
		}
		x0, y0, x1, y1 := g.Edges()
		x := x0 + (x1-x0)*(float64(best%f.W)+.5)/float64(f.W)
		y := y0 + (y1-y0)*(float64(best/f.W)+.5)/float64(f.H)
		return fmt.Sprintf("(%.4g, %.4g)", x, y)
	}
}

// heightKey is the scale of the colours.
func heightKey(low, high float64) template.HTML {
	const steps = truthSteps
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="scale" viewBox="0 0 200 18" role="img" aria-label="%s">`, esc(fmt.Sprintf("Colours run from dark at %s to light at %s", micro(low), micro(high))))
	for k := range steps {
		c := palette.Cividis(float64(k) / (steps - 1))
		fmt.Fprintf(&b, `<rect x="%.2f" y="0" width="%.2f" height="7" fill="#%02x%02x%02x"/>`, 200*float64(k)/steps, 200.0/steps+.2, c.R, c.G, c.B)
	}
	for k := range 5 {
		anchor := [5]string{"start", "middle", "middle", "middle", "end"}[k]
		fmt.Fprintf(&b, `<text class="axis" x="%d" y="15" text-anchor="%s">%s</text>`, 50*k, anchor, decimals(low+(high-low)*float64(k)/4))
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

func (m *Measured) fillTexture(f *measuredFill) {
	t := m.Texture
	sdq := "–"
	if t.Sdq != nil {
		sdq = fmt.Sprintf("%.4f", *t.Sdq)
	}
	f.Form = append(f.Form,
		figureRow{"Sa, Sq", micro(t.Sa) + ", " + micro(t.Sq), "mean and root mean square height"},
		figureRow{"Sz", micro(t.Sz), "greatest height"},
		figureRow{"Sp, Sv", micro(t.Sp) + ", " + micro(t.Sv), "highest peak, deepest pit"},
		figureRow{"Ssk, Sku", known(t.Ssk) + ", " + known(t.Sku), "skewness and kurtosis of the heights"},
		figureRow{"Sdq", sdq, "root mean square slope, µm/µm"},
		figureRow{"Sk", micro(t.Core.Sk), "core"},
		figureRow{"Spk, Svk", micro(t.Core.Spk) + ", " + micro(t.Core.Svk), "reduced peaks, reduced valleys"},
		figureRow{"Smr1, Smr2", decimals(t.Core.Smr1) + " %, " + decimals(t.Core.Smr2) + " %", "shares of peaks, and of peaks and core"},
	)
	if twist, err := gauge.Twist(m.Map); err == nil {
		f.Form = append(f.Form, figureRow{"Twist", micro(twist), "of the fourth corner from the plane of three"})
	}

	if p := m.Parallelism; p != nil {
		f.Form = append(f.Form,
			figureRow{"Parallelism", micro(p.ZoneUM), "least distance of two planes parallel to " + m.Datum + " that hold the face"},
			figureRow{"Wedge", micro(p.RiseX) + ", " + micro(p.RiseY), "climb of the least-squares plane from that, along x and along y"})
	}

	p := plot{id: "curve", title: "Height, µm, reached by a share of the area, %", x1: 100}
	var line []xy
	for k := range 201 {
		share := float64(k) / 200
		line = append(line, xy{100 * share, t.Curve.Height(share)})
	}
	p.told = fmt.Sprintf("Material-ratio curve from %s at 0 %% through %s at 50 %% to %s at 100 %% of the area.", micro(t.Curve.Height(0)), micro(t.Curve.Height(.5)), micro(t.Curve.Height(1)))
	top, bottom := m.coreLevels()
	p.lines = []plotLine{{"mine", line}, {"other", []xy{{0, top}, {t.Core.Smr1, top}}}, {"other", []xy{{t.Core.Smr2, bottom}, {100, bottom}}},
		{"par", []xy{{0, top}, {100, bottom}}}}
	f.Curve = p.svg()
	f.CurveCaption = fmt.Sprintf("Heights from the least-squares plane. The long broken line is the core's, drawn out from the steepest share that 40 %% of the area take: its fall is Sk, %s. Dotted lines part off %s %% of peaks and %s %% of valleys.",
		micro(t.Core.Sk), decimals(t.Core.Smr1), decimals(100-t.Core.Smr2))
	high := t.Curve.Height(.02)
	for _, share := range []float64{2, 5, 10, 20, 30, 50, 70, 90, 98} {
		c := t.Curve.Height(share / 100)
		f.Shares = append(f.Shares, figureRow{fmt.Sprintf("%g %%", share), micro(c), micro(high - c)})
	}
}

// coreLevels are the heights at which the line of the core meets 0 and 100 %.
func (m *Measured) coreLevels() (top, bottom float64) {
	t := m.Texture
	top = t.Curve.Height(t.Core.Smr1 / 100)
	bottom = top - t.Core.Sk
	if t.Core.Smr1 == 0 {
		bottom = t.Curve.Height(t.Core.Smr2 / 100)
		top = bottom + t.Core.Sk
	}
	return top, bottom
}

// fillProfiles draws the middle lines and the diagonals.
func (m *Measured) fillProfiles(f *measuredFill) error {
	g := m.Map.Grid
	across, down := float64(g.NX-1), float64(g.NY-1)
	for k, l := range []struct {
		name           string
		i0, j0, i1, j1 float64
	}{
		{"Middle line along x", 0, float64(g.NY / 2), across, float64(g.NY / 2)},
		{"Middle line along y", float64(g.NX / 2), 0, float64(g.NX / 2), down},
		{"Diagonal from the first corner", 0, 0, across, down},
		{"Diagonal from the far corner of x", across, 0, 0, down},
	} {
		n := int(math.Max(math.Abs(l.i1-l.i0), math.Abs(l.j1-l.j0))) + 1
		length := math.Hypot((l.i1-l.i0)*g.DX, (l.j1-l.j0)*g.DY)
		var x, z []float64
		for q := range n {
			t := float64(q) / float64(n-1)
			i, j := int(math.Round(l.i0+t*(l.i1-l.i0))), int(math.Round(l.j0+t*(l.j1-l.j0)))
			if h := m.Map.At(i, j); h == h {
				x, z = append(x, t*length), append(z, h)
			}
		}
		s, err := gauge.Straightness(x, z)
		if err != nil || len(x) < 3 {
			continue // missing, or two heights that any line goes through
		}
		zone := s.MinimumZone
		p := plot{id: fmt.Sprintf("profile%d", k), title: l.name + ", µm over mm", x1: length,
			told: fmt.Sprintf("%s, %.4g mm long: %s out of straight in the minimum zone, %s about its least-squares line.", l.name, length, micro(zone.Width()), micro(s.LeastSquares.Width()))}
		rest := func(v xy) xy { return xy{v.x, v.y - s.LeastSquares.A - s.LeastSquares.B*v.x} }
		var line []xy
		for q := range x {
			line = append(line, rest(xy{x[q], z[q]}))
		}
		edge := func(by float64) plotLine {
			return plotLine{"par", []xy{rest(xy{0, zone.A + by}), rest(xy{length, zone.A + zone.B*length + by})}}
		}
		p.lines = []plotLine{edge(zone.Peak), edge(-zone.Valley), {"mine", thinned(line)}}
		f.Profiles = append(f.Profiles, p.svg())
		f.Straight = append(f.Straight, straightRow{l.name, fmt.Sprintf("%.4g mm", length), decimals(zone.Width()), decimals(s.LeastSquares.Width()), decimals(s.EndPoint.Width())})
	}
	return nil
}

// thinned keeps the lowest and the highest of every stretch of a long line.
func thinned(line []xy) []xy {
	const stretches = 300
	if len(line) <= 2*stretches {
		return line
	}
	var out []xy
	for s := range stretches {
		part := line[s*len(line)/stretches : (s+1)*len(line)/stretches]
		lo, hi := 0, 0
		for k, p := range part {
			if p.y < part[lo].y {
				lo = k
			}
			if p.y > part[hi].y {
				hi = k
			}
		}
		out = append(out, part[min(lo, hi)], part[max(lo, hi)])
	}
	return out
}

func (m *Measured) fillBearing(f *measuredFill) {
	b := m.Bearing
	g, count, film := m.Map.Grid, b.Count, b.FilmUM
	f.Film = fmt.Sprintf("%g", film)
	f.Seat = fmt.Sprintf("For the bearing it rests %s. Seated, it lies %s below the plane in the mean and %s at most.", b.Load, micro(b.MeanGapUM), micro(b.MaxGapUM))
	f.BearingNote = fmt.Sprintf("What lies within %g µm of a true plane when the part rests %s. Another film or another load gives other figures: a bearing share says nothing without both.", film, b.Load)
	mask, valid := gauge.BearingMask(m.Map, b.Plane, film)
	bald, hasBald := gauge.LargestBald(mask, valid, g)
	// It reaches from cell to cell: on a grid too coarse to tell points it says as little.
	hasBald = hasBald && count.HasPoints

	share := review.Sample(g, func(k int) float64 {
		switch {
		case valid != nil && !valid[k]:
			return math.NaN()
		case mask[k]:
			return 1
		}
		return 0
	})
	rows := []figureRow{
		{"Area", decimals(b.Figures.AreaPct) + " %", fmt.Sprintf("of the face, %d cells", b.Figures.Cells)},
		{"Spots", fmt.Sprint(b.Figures.Spots), fmt.Sprintf("patches of at least %g mm², %d-connected", b.Rule.MinSpotMM2, b.Rule.Connect)},
	}
	told := fmt.Sprintf("Bearing at a %g µm film: %s %% of the face in %d spots.", film, decimals(b.Figures.AreaPct), b.Figures.Spots)
	v := newView(g, share.W, share.H, told)
	v.picture(sharePicture(share))
	caption := "Dark: within the film."
	if hasBald {
		v.circle("bald", bald)
		caption += " The ring is the largest bald circle."
	}
	if !count.HasPoints {
		rows = append(rows, figureRow{"Points", "–", fmt.Sprintf("the pitch is too coarse to part spots at necks of %g mm or to find a bald circle", b.Rule.NeckMM)})
	} else {
		rows = append(rows, figureRow{"Points", fmt.Sprint(count.Points), fmt.Sprintf("spots parted at necks under %g mm", b.Rule.NeckMM)},
			densityRow(count, "per square inch", gauge.FrameMM, count.PerIn2), densityRow(count, "per 25 × 25 mm", 25, count.Per(625)))
		for _, side := range []struct {
			name string
			mm   float64
		}{{"inch frame", gauge.FrameMM}, {"25 mm frame", 25}} {
			few, many, ok := count.Frames(side.mm)
			if !ok {
				continue
			}
			rows = append(rows, figureRow{"in a sliding " + side.name, fmt.Sprintf("%d to %d", few.Points, many.Points), "emptiest and fullest that lies wholly on the face"})
			if side.mm != gauge.FrameMM {
				continue
			}
			v.frame("frame", few.X, few.Y, side.mm, "A")
			v.frame("frame", many.X, many.Y, side.mm, "B")
			caption += " A and B are the emptiest and the fullest inch frame."
			f.Frames = append(f.Frames, m.frameView(few, mask, valid, "A, the emptiest inch frame"), m.frameView(many, mask, valid, "B, the fullest inch frame"))
		}
	}
	if s := count.PatchSizes(); s.N() > 0 {
		rows = append(rows, sizeRow("Size of spots", s))
	}
	if count.HasPoints {
		if s := count.PointSizes(); s.N() > 0 {
			rows = append(rows, sizeRow("Size of points", s))
		}
	}
	if hasBald {
		rows = append(rows, figureRow{"Largest bald circle", fmt.Sprintf("%s mm", decimals(bald.Diameter)), fmt.Sprintf("about (%.4g, %.4g) mm", bald.X, bald.Y)})
	}
	if count.HasPoints {
		rows = append(rows, m.spreadRows()...)
		if h := count.Hollows(m.Map, b.Plane); h.N > 0 {
			rows = append(rows, figureRow{"Hollows around the points", micro(h.Mean), fmt.Sprintf("deep in the mean, from %s to %s", micro(h.Least), micro(h.Greatest))})
		}
	}
	f.Bearing, f.Spots, f.SpotsCaption = rows, v.svg(), caption
	f.OtherFilms = otherFilms(m.Map, b)
	m.fillClasses(f)
}

// densityRow is how many points there are to the area of a frame; on a face that no
// such frame lies on it says that nobody could count them so.
func densityRow(count *gauge.PointCount, name string, side, density float64) figureRow {
	if _, _, ok := count.Frames(side); !ok {
		return figureRow{name, "–", fmt.Sprintf("no frame of %g mm lies whole on the face; points over its area would come to %s", side, decimals(density))}
	}
	return figureRow{name, decimals(density), "over the whole face"}
}

func sizeRow(name string, s gauge.SizeDistribution) figureRow {
	what := fmt.Sprintf("median; a quarter below %s, a quarter above %s, largest %s", decimals(s.Quantile(.25)), decimals(s.Quantile(.75)), decimals(s.Quantile(1)))
	if s.N() > 1 {
		what += fmt.Sprintf("; variation %s", decimals(s.Variation()))
	}
	return figureRow{name, decimals(s.Quantile(.5)) + " mm²", what}
}

// spreadRows say how evenly the points lie.
func (m *Measured) spreadRows() []figureRow {
	b := m.Bearing
	rows := []figureRow{{"Clark-Evans", known(b.Figures.ClarkEvans), "1 random, above it even, below it in heaps; no correction for the edge"}}
	// The correction is for a rectangle without holes.
	if m.Map.Valid() == m.Map.Cells() {
		var x, y []float64
		for _, p := range b.Count.List {
			x, y = append(x, p.X), append(y, p.Y)
		}
		x0, y0, x1, y1 := m.Map.Edges()
		if r, ok := gauge.ClarkEvansDonnelly(x, y, b.Count.ValidMM2, 2*(x1-x0+y1-y0)); ok {
			rows = append(rows, figureRow{"the same, corrected", decimals(r), "for the neighbours that the edge cuts off"})
		}
	}
	return append(rows, figureRow{"Quadrats", known(b.Figures.VMR3x3), "variance to mean of the points in 3 × 3 boxes: 1 random, below it even"})
}

// otherFilms is the bearing at the films that other people would take.
func otherFilms(m *surface.Map, b *MeasuredBearing) string {
	var parts []string
	for _, film := range []float64{.5, 1, 2, 5, 10} {
		if film == b.FilmUM {
			continue
		}
		mask, _ := gauge.BearingMask(m, b.Plane, film)
		on := 0
		for _, c := range mask {
			if c {
				on++
			}
		}
		parts = append(parts, fmt.Sprintf("%s %% at %g µm", decimals(100*float64(on)/float64(m.Valid())), film))
	}
	return "The same face bears " + strings.Join(parts, ", ") + "."
}

// frameView shows the cells of a frame and the points in it.
func (m *Measured) frameView(at gauge.Frame, mask, valid []bool, name string) frameView {
	g := m.Map.Grid
	i0, j0 := int(math.Round((at.X-g.X0)/g.DX+.5)), int(math.Round((at.Y-g.Y0)/g.DY+.5))
	nx, ny := min(int(math.Round(gauge.FrameMM/g.DX)), g.NX-i0), min(int(math.Round(gauge.FrameMM/g.DY)), g.NY-j0)
	part := surface.Grid{NX: nx, NY: ny, DX: g.DX, DY: g.DY, X0: g.X(i0), Y0: g.Y(j0)}
	p := newPicture(nx, ny, []color.RGBA{iron, ink, noIron})
	for j := range ny {
		for i := range nx {
			k := (j0+j)*g.NX + i0 + i
			switch {
			case valid != nil && !valid[k]:
				p.img.Pix[j*nx+i] = 2
			case mask[k]:
				p.img.Pix[j*nx+i] = 1
			}
		}
	}
	v := newView(part, 200, int(math.Round(200*float64(ny)*g.DY/(float64(nx)*g.DX))), fmt.Sprintf("%s: %d points", name, at.Points))
	v.picture(p)
	for _, q := range m.Bearing.Count.List {
		if q.X >= at.X && q.X < at.X+gauge.FrameMM && q.Y >= at.Y && q.Y < at.Y+gauge.FrameMM {
			v.dot(q.X, q.Y)
		}
	}
	return frameView{v.svg(), fmt.Sprintf("%s: %d points, each marked where its core has its middle.", name, at.Points)}
}

func (m *Measured) fillClasses(f *measuredFill) {
	b := m.Bearing
	for _, c := range gauge.Classes {
		var asked, got, so []string
		if c.PointsMin > 0 {
			s := fmt.Sprintf("%g", c.PointsMin)
			if c.PointsMax > 0 {
				s += fmt.Sprintf("–%g", c.PointsMax)
			}
			per := "25 × 25 mm"
			if c.AreaMM2 == gauge.MM2PerIn2 {
				per = "square inch"
			}
			asked = append(asked, fmt.Sprintf("%s points per %s", s, per))
		}
		if c.BearingMin > 0 {
			s := fmt.Sprintf("at least %g", c.BearingMin)
			if c.BearingMax > 0 {
				s = fmt.Sprintf("%g–%g", c.BearingMin, c.BearingMax)
			}
			asked = append(asked, fmt.Sprintf("%s %% bearing at %g–%g µm", s, c.FilmMinUM, c.FilmMaxUM))
		}
		sign := map[gauge.Verdict]string{gauge.Meets: "✓ meets", gauge.Misses: "✗ misses", gauge.NotComparable: "not comparable"}
		for _, finding := range c.Judge(b.Count, b.FilmUM) {
			g := "–"
			switch {
			case finding.What == "bearing":
				g = decimals(finding.Got) + " %"
			case b.Count.HasPoints:
				g = decimals(finding.Got)
			}
			got, so = append(got, g), append(so, sign[finding.Verdict])
		}
		f.Classes = append(f.Classes, classRow{c.Use, strings.Join(asked, "; "), strings.Join(got, "; "), strings.Join(so, "; "),
			fmt.Sprintf("%s (%s)", typeset(c.Source), c.Standing)})
	}
}
