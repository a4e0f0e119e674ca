package main

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/before-iron/beforeiron/lessons/page"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

type measureCommand struct {
	File    string    `arg:"" help:"Heights: .csv, .sdf or .x3p."`
	Film    float64   `default:"2.5" placeholder:"UM" help:"Film at which bearing is counted, um (${default})."`
	Unit    string    `placeholder:"UNIT" help:"Unit of the heights: um, mm, in, thou or tenth. By default what the file states, else um."`
	Load    *position `placeholder:"X,Y" help:"Where the part's weight acts, mm. By default its centroid."`
	Rigid   bool      `help:"Seat the part rigidly on three points instead of on a bed."`
	MinSpot float64   `default:"0.5" placeholder:"MM2" help:"Smallest patch that counts, mm^2 (${default})."`
	Neck    float64   `default:"1.0" placeholder:"MM" help:"Width at which a patch parts into points, mm; 0 never (${default})."`
	Connect int       `default:"8" enum:"4,8" placeholder:"4|8" help:"Whether cells touch over their edges (4) or also over their corners (8)."`
	Back    string    `placeholder:"FILE" help:"Heights of the back face in the same coordinates: parallelism to its least-squares plane. The word plate stands for the plane z = 0, where the heights were read above a plate that the back lies on."`
	JSON    bool      `name:"json" help:"Print JSON."`
	Out     string    `short:"o" placeholder:"FILE.html" help:"Also write a page: map, profiles, curves, spots and every figure in one file."`
	Force   bool      `help:"Replace an existing page."`
}

// position is X,Y in mm.
type position struct{ x, y float64 }

func (p *position) UnmarshalText(text []byte) error {
	a, b, ok := strings.Cut(string(text), ",")
	x, errX := strconv.ParseFloat(strings.TrimSpace(a), 64)
	y, errY := strconv.ParseFloat(strings.TrimSpace(b), 64)
	if !ok || errX != nil || errY != nil || math.IsNaN(x+y) || math.IsInf(x+y, 0) {
		return fmt.Errorf("%q is no position: give X,Y in mm, such as 50,37.5", text)
	}
	p.x, p.y = x, y
	return nil
}

func (c *measureCommand) Validate() error {
	for _, q := range []struct {
		name string
		v    float64
	}{{"film", c.Film}, {"min-spot", c.MinSpot}, {"neck", c.Neck}} {
		if !(q.v >= 0 && q.v <= surface.MaxReadingUM) {
			return fmt.Errorf("--%s is %g: give 0 or more", q.name, q.v)
		}
	}
	return nil
}

// measured are the figures of a file. Points that form no grid have flatness
// alone.
type measured struct {
	Cells      *[2]int        `json:"cells"`
	PitchMM    *[2]float64    `json:"pitch_mm"`
	ValidCells int            `json:"valid_cells"`
	FlatnessUM flatnessUM     `json:"flatness_um"`
	Texture    *textureFigure `json:"texture"`
	Seat       *seatFigures   `json:"seat"`
	Bearing    *bearingFigure `json:"bearing"`
	Parallel   *parallelUM    `json:"parallelism_um,omitempty"` // only with --back
	Lines      *lineFigures   `json:"lines,omitempty"`          // only of a file of lines
}

type flatnessUM struct {
	MinimumZone       *float64 `json:"minimum_zone"`
	MinimumZoneNormal *float64 `json:"minimum_zone_normal"`
	LSTotal           *float64 `json:"ls_total"`
	LSPeak            *float64 `json:"ls_peak"`
	LSValley          *float64 `json:"ls_valley"`
	LSRMS             *float64 `json:"ls_rms"`
}

// parallelUM is how the face lies to its back.
type parallelUM struct {
	Zone  float64 `json:"zone"`
	RiseX float64 `json:"rise_x"` // of the least-squares plane, over the whole length
	RiseY float64 `json:"rise_y"`
}

type textureFigure struct {
	Sa   *float64 `json:"sa_um"`
	Sq   *float64 `json:"sq_um"`
	Ssk  *float64 `json:"ssk"`
	Sku  *float64 `json:"sku"`
	Sz   *float64 `json:"sz_um"`
	Sk   *float64 `json:"sk_um"`
	Spk  *float64 `json:"spk_um"`
	Svk  *float64 `json:"svk_um"`
	Smr1 *float64 `json:"smr1_pct"`
	Smr2 *float64 `json:"smr2_pct"`
}

type seatFigures struct {
	Contacts  [][2]float64 `json:"contacts"`
	Reactions []float64    `json:"reactions"`
	PlaneUM   [3]float64   `json:"plane_um"`
	MaxGapUM  float64      `json:"max_gap_um"`
	MeanGapUM float64      `json:"mean_gap_um"`
}

type bearingFigure struct {
	FilmUM     float64  `json:"film_um"`
	Cells      int      `json:"cells"`
	AreaPct    *float64 `json:"area_pct"`
	Spots      int      `json:"spots"`
	Points     *int     `json:"points"`
	PerIn2     *float64 `json:"points_per_in2"`
	FrameMin   *int     `json:"frame_min"`
	FrameMax   *int     `json:"frame_max"`
	ClarkEvans *float64 `json:"clark_evans"`
	VMR3x3     *float64 `json:"vmr_3x3"`
}

func (c *measureCommand) Run(s streams) error {
	if c.Out != "" {
		if _, err := place(c.Out, c.Force, c.File, c.Back); err != nil {
			return err
		}
	}
	h, err := readHeightsOrLines(s, c.File, c.Unit)
	if err != nil {
		return err
	}
	if h.survey != nil {
		h.Map = nil // stations are far too few to speak of texture or bearing
	}
	m, face, err := c.measure(h.Data)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if c.Back != "" {
		if err := c.parallel(s, h.Data, m, face); err != nil {
			return err
		}
	}
	if h.survey != nil {
		face.Survey, face.Lines = h.survey, h.lines
		if m.Lines, err = linesOf(h.lines, h.survey); err != nil {
			return fmt.Errorf("%s: %w", c.File, err)
		}
	}
	if c.Out != "" {
		html, err := face.HTML()
		if err != nil {
			return err
		}
		if err := save(c.Out, html, c.Force); err != nil {
			return err
		}
	}
	if c.JSON {
		return printJSON(s.out, m)
	}
	return m.print(s)
}

// measure takes all figures, and what a page of them needs.
func (c *measureCommand) measure(d *surface.Data) (*measured, *page.Measured, error) {
	face := &page.Measured{Program: version, File: filepath.Base(c.File), Map: d.Map, Cloud: d.Cloud}
	if d.Map == nil {
		f, err := gauge.FlatnessOfCloud(*d.Cloud)
		if err != nil {
			return nil, nil, err
		}
		face.Flatness = f
		return &measured{ValidCells: len(d.Cloud.Z), FlatnessUM: flatnessOf(f)}, face, nil
	}
	m := d.Map
	out := &measured{Cells: &[2]int{m.NX, m.NY}, PitchMM: &[2]float64{m.DX, m.DY}, ValidCells: m.Valid()}
	f, err := gauge.Flatness(m)
	if err != nil {
		return nil, nil, err
	}
	face.Flatness, out.FlatnessUM = f, flatnessOf(f)
	t, err := gauge.Texture(m)
	if err != nil {
		return nil, nil, err
	}
	face.Texture = &t
	out.Texture = &textureFigure{
		Sa: figure(t.Sa), Sq: figure(t.Sq), Ssk: t.Ssk, Sku: t.Sku, Sz: figure(t.Sz),
		Sk: figure(t.Core.Sk), Spk: figure(t.Core.Spk), Svk: figure(t.Core.Svk),
		Smr1: figure(t.Core.Smr1), Smr2: figure(t.Core.Smr2),
	}
	plane, err := c.seat(m, out)
	if errors.Is(err, seat.ErrNoBalance) {
		// Heights millimetres out of flat may beat the solver: there is no plane to
		// measure from, and the figures that need none still stand.
		return out, face, nil
	}
	if err != nil {
		return nil, nil, err
	}
	rule := gauge.PointRule{MinSpotMM2: c.MinSpot, NeckMM: c.Neck, Connect: c.Connect}
	b, count := gauge.Bearing(m, plane, c.Film, rule)
	out.Bearing = &bearingFigure{
		FilmUM: b.FilmUM, Cells: b.Cells, AreaPct: figure(b.AreaPct), Spots: b.Spots, Points: b.Points, PerIn2: b.PerIn2,
		FrameMin: b.FrameMin, FrameMax: b.FrameMax, ClarkEvans: b.ClarkEvans, VMR3x3: b.VMR3x3,
	}
	face.Bearing = &page.MeasuredBearing{
		Load: c.loadWords(m), Plane: plane, MeanGapUM: out.Seat.MeanGapUM, MaxGapUM: out.Seat.MaxGapUM,
		FilmUM: c.Film, Rule: rule, Figures: b, Count: &count,
	}
	return out, face, nil
}

// plateDatum names the plane z = 0 where a file of the back would stand.
const plateDatum = "plate"

// parallel measures how the face lies to its back.
func (c *measureCommand) parallel(s streams, d *surface.Data, out *measured, face *page.Measured) error {
	if d.Map == nil {
		return fmt.Errorf("%s: parallelism needs heights on a grid", c.File)
	}
	var datum surface.Plane
	face.Datum = "the plate, z = 0,"
	if c.Back != plateDatum {
		back, err := readHeights(s, c.Back, c.Unit)
		if err == nil {
			datum, err = back.Points().LeastSquares()
		}
		if err != nil {
			return err
		}
		face.Datum = "the least-squares plane of the back, " + filepath.Base(c.Back) + ","
	}
	p, err := gauge.Parallelism(d.Map, datum)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	face.Parallelism = &p
	out.Parallel = &parallelUM{p.ZoneUM, p.RiseX, p.RiseY}
	return nil
}

// loadWords says under what load the part rests, and on what.
func (c *measureCommand) loadWords(m *surface.Map) string {
	at := "at its centroid,"
	load := seat.Weight(m)
	if c.Load != nil {
		at, load.X, load.Y = "acting at", c.Load.x, c.Load.y
	}
	on := fmt.Sprintf("on a bed of %g N/mm² per µm under %.3g N, the weight of iron 25 mm thick,", seat.Stiffness, load.N)
	if c.Rigid {
		on = "rigidly on three points under a load"
	}
	return fmt.Sprintf("%s %s (%.4g, %.4g) mm", on, at, load.X, load.Y)
}

func flatnessOf(f gauge.FlatnessFigures) flatnessUM {
	return flatnessUM{
		MinimumZone: figure(f.MinimumZone), MinimumZoneNormal: figure(f.MinimumZoneNormal),
		LSTotal: figure(f.LSTotal), LSPeak: figure(f.LSPeak), LSValley: figure(f.LSValley), LSRMS: figure(f.LSRMS),
	}
}

// seat puts the part down and fills in how it rests.
func (c *measureCommand) seat(m *surface.Map, out *measured) (surface.Plane, error) {
	load := seat.Weight(m)
	if c.Load != nil {
		load.X, load.Y = c.Load.x, c.Load.y
	}
	if c.Rigid {
		r, err := seat.Rest(m, load.X, load.Y)
		if err != nil {
			return surface.Plane{}, err
		}
		out.Seat = &seatFigures{
			Contacts: r.Contacts, Reactions: r.Reactions, PlaneUM: [3]float64{r.Plane.A, r.Plane.B, r.Plane.C},
			MaxGapUM: r.MaxGap, MeanGapUM: r.MeanGap,
		}
		return r.Plane, nil
	}
	r, err := seat.OnBed(m, load, seat.Stiffness)
	if errors.Is(err, seat.ErrLoadOutside) {
		err = fmt.Errorf("load at x %g, y %g mm: %w; give a position within its outline", load.X, load.Y, err)
	}
	if err != nil {
		return surface.Plane{}, err
	}
	out.Seat = onBed(m, r)
	return r.Plane, nil
}

// onBed gathers the patches that carry a part on its bed, and the gaps.
func onBed(m *surface.Map, r seat.Seat) *seatFigures {
	f := &seatFigures{PlaneUM: [3]float64{r.Plane.A, r.Plane.B, r.Plane.C}, MaxGapUM: math.Inf(-1)}
	loaded := make([]bool, m.Cells())
	sum, n := 0.0, 0
	for j := range m.NY {
		for i := range m.NX {
			z := m.At(i, j)
			if z != z {
				continue
			}
			gap := r.Plane.At(m.X(i), m.Y(j)) - z
			f.MaxGapUM = max(f.MaxGapUM, gap)
			sum += gap
			n++
			loaded[j*m.NX+i] = r.Overlap(m, i, j) > 0
		}
	}
	f.MeanGapUM = sum / float64(n)

	patches := gauge.CountPoints(loaded, nil, m.Grid, gauge.PointRule{Connect: 8})
	f.Contacts, f.Reactions = make([][2]float64, len(patches.Patches)), make([]float64, len(patches.Patches))
	for k, p := range patches.Patches {
		f.Contacts[k] = [2]float64{p.X, p.Y}
	}
	whole := 0.0
	for k, p := range patches.PatchImage(nil) {
		if p > 0 {
			o := r.Overlap(m, k%m.NX, k/m.NX)
			f.Reactions[p-1] += o
			whole += o
		}
	}
	for k := range f.Reactions {
		f.Reactions[k] /= whole
	}
	return f
}

// contactsShown is how many contacts the table lists.
const contactsShown = 6

func (m *measured) print(s streams) error {
	t := newTable(s.out)
	if m.Cells != nil {
		t.row("cells", fmt.Sprintf("%d x %d", m.Cells[0], m.Cells[1]), fmt.Sprintf("%d valid, pitch %s x %s mm", m.ValidCells, digits(m.PitchMM[0]), digits(m.PitchMM[1])))
	} else {
		what := "they form no grid: flatness alone"
		if m.Lines != nil {
			what = "stations on lines: flatness alone"
		}
		t.row("points", m.ValidCells, what)
	}
	if m.Lines != nil {
		m.Lines.rows(t)
	}
	f := m.FlatnessUM
	t.row("flatness, minimum zone", f.MinimumZone, "um vertical")
	t.row("", f.MinimumZoneNormal, "um normal")
	t.row("flatness, least squares", f.LSTotal, fmt.Sprintf("um: peak %s, valley %s, rms %s", show(f.LSPeak), show(f.LSValley), show(f.LSRMS)))
	if x := m.Parallel; x != nil {
		t.row("parallelism to the back", &x.Zone, fmt.Sprintf("um; it climbs by %s um along x and %s along y", show(&x.RiseX), show(&x.RiseY)))
	}
	if x := m.Texture; x != nil {
		t.row("texture", x.Sa, fmt.Sprintf("um Sa; Sq %s, Sz %s um; Ssk %s, Sku %s", show(x.Sq), show(x.Sz), show(x.Ssk), show(x.Sku)))
		t.row("", x.Sk, fmt.Sprintf("um Sk; Spk %s, Svk %s um; Smr1 %s, Smr2 %s %%", show(x.Spk), show(x.Svk), show(x.Smr1), show(x.Smr2)))
	}
	if m.Cells != nil && m.Seat == nil {
		t.row("seat", "-", "it finds no rest under this load")
	}
	if x := m.Seat; x != nil {
		t.row("gap when seated", x.MeanGapUM, fmt.Sprintf("um mean, %s um greatest", show(x.MaxGapUM)))
		t.row("contacts", len(x.Contacts))
		for k, at := range x.Contacts[:min(contactsShown, len(x.Contacts))] {
			share := ""
			if x.Reactions != nil {
				share = fmt.Sprintf("carries %s %%", decimal(100*x.Reactions[k]))
			}
			t.row("", fmt.Sprintf("%s, %s mm", decimal(at[0]), decimal(at[1])), share)
		}
		if more := len(x.Contacts) - contactsShown; more > 0 {
			t.row("", fmt.Sprintf("and %d more", more))
		}
	}
	if x := m.Bearing; x != nil {
		t.row(fmt.Sprintf("bearing at %g um", x.FilmUM), x.AreaPct, fmt.Sprintf("%% of the face, %d cells", x.Cells))
		if x.Points == nil {
			t.row("points", "-", fmt.Sprintf("from %d spots: the pitch is too coarse to part them", x.Spots))
			return t.end()
		}
		t.row("points", x.Points, fmt.Sprintf("from %d spots", x.Spots))
		t.row("points per square inch", x.PerIn2, inFrames(x.FrameMin, x.FrameMax))
		t.row("spread", x.ClarkEvans, fmt.Sprintf("Clark-Evans; variance to mean in 3 x 3 boxes %s", show(x.VMR3x3)))
	}
	return t.end()
}
