package surface

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"
)

// Data is what a file of measured heights holds.
type Data struct {
	Map   *Map   // heights on a grid; nil when the points form none
	Cloud *Cloud // the points as they were written; nil when the file is a matrix

	// Unit is the unit in which the heights stood in the file: um, mm, in, thou,
	// tenth, or m for the formats that keep metres. UnitStated reports that the file
	// or whoever reads it states the unit; otherwise um is assumed.
	Unit       string
	UnitStated bool
	// About is what the file says of where its heights come from.
	About About
	// Warnings are what a reader noticed and did not refuse, one line each.
	Warnings []string

	// stored keeps the numbers of a file in metres. It belongs to Map as read: a
	// map that has been changed goes into a Data of its own.
	stored *stored
}

// Points are the measured points with heights, from the cloud or, failing it,
// from the cells of the map.
func (d *Data) Points() *Cloud {
	if d.Cloud != nil {
		return d.Cloud
	}
	c := &Cloud{}
	for k, z := range d.Map.Z {
		if z == z {
			c.X = append(c.X, d.Map.X(k%d.Map.NX))
			c.Y = append(c.Y, d.Map.Y(k/d.Map.NX))
			c.Z = append(c.Z, z)
		}
	}
	return c
}

// ReadOptions say what a file leaves open.
type ReadOptions struct {
	// Unit of the heights in a CSV file: um, mm, in, thou or tenth. Empty takes what
	// the file states and, when it states nothing, um.
	Unit string
}

// Bounds of what the readers accept.
const (
	MaxCells      = 1 << 26 // cells of a map
	MaxPoints     = 1 << 24 // points that stand with their positions
	MaxSide       = 100_000 // cells along one side of a map
	MaxReadingUM  = 1e9     // um: 1 km
	MaxPositionMM = 1e8     // mm: 100 km
	MinPitchMM    = 1e-9    // mm: 1 pm
)

// UnitUM is the length of a unit in um: um, mm, in, thou or tenth (of a thousandth
// of an inch), with their usual spellings; ok is false for any other word.
func UnitUM(name string) (um float64, ok bool) {
	um, ok = units[canonicalUnit(name)]
	return um, ok
}

var units = map[string]float64{"um": 1, "mm": 1e3, "in": 25400, "thou": 25.4, "tenth": 2.54}

const inchMM = 25.4

func canonicalUnit(name string) string {
	switch n := strings.ToLower(strings.TrimSpace(name)); n {
	// The third is the micro sign of Latin-1, as ToLower leaves it.
	case "µm", "μm", "\ufffdm", "micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers":
		return "um"
	case "millimetre", "millimetres", "millimeter", "millimeters":
		return "mm"
	case "inch", "inches":
		return "in"
	case "thous", "mil", "mils":
		return "thou"
	case "tenths":
		return "tenth"
	default:
		return n
	}
}

// fromPoints sets the map and the cloud from points, z NaN where there is no
// height; place says where point k stood in the file.
func (d *Data) fromPoints(x, y, z []float64, place func(k int) string) error {
	duplicate := func(first, k int) error {
		return fmt.Errorf("%s: the position (%g, %g) was given in %s already", place(k), x[k], y[k], place(first))
	}
	if len(z) == 0 {
		return errTooFew
	}
	g, cell, ok := lattice(x, y)
	if ok {
		d.Map = NewMap(g)
		from := make([]int, g.Cells())
		for k := range from {
			from[k], d.Map.Z[k] = -1, math.NaN()
		}
		for k, at := range cell {
			if from[at] >= 0 {
				return duplicate(from[at], k)
			}
			from[at], d.Map.Z[at] = k, z[k]
		}
	} else if first, k, found := findDuplicate(x, y); found {
		return duplicate(first, k)
	}
	d.Cloud = &Cloud{}
	for k, h := range z {
		if h == h {
			d.Cloud.X, d.Cloud.Y, d.Cloud.Z = append(d.Cloud.X, x[k]), append(d.Cloud.Y, y[k]), append(d.Cloud.Z, h)
		}
	}
	return checkCloud(d.Cloud)
}

// FromCloud is data of points that did not come from a file; a map as well where they
// stand on a regular lattice. It errs as the readers do.
func FromCloud(c Cloud) (*Data, error) {
	d := &Data{Unit: "um"}
	if err := d.fromPoints(c.X, c.Y, c.Z, func(k int) string { return fmt.Sprintf("point %d", k+1) }); err != nil {
		return nil, err
	}
	return d, d.check()
}

func findDuplicate(x, y []float64) (first, k int, found bool) {
	order := make([]int, len(x))
	for k := range order {
		order[k] = k
	}
	sort.Slice(order, func(a, b int) bool {
		a, b = order[a], order[b]
		switch {
		case x[a] != x[b]:
			return x[a] < x[b]
		case y[a] != y[b]:
			return y[a] < y[b]
		}
		return a < b
	})
	for q := 1; q < len(order); q++ {
		a, b := order[q-1], order[q]
		if x[a] == x[b] && y[a] == y[b] {
			return a, b, true
		}
	}
	return 0, 0, false
}

var errTooFew = errors.New("fewer than three points have a height: a face needs at least three")

// check holds data that did not come straight from a reader to what the readers
// promise.
func (d *Data) check() error {
	if m := d.Map; m != nil {
		if err := checkLattice(m.Grid); err != nil {
			return err
		}
		if len(m.Z) != m.Cells() {
			return fmt.Errorf("%d heights for %d x %d cells", len(m.Z), m.NX, m.NY)
		}
		if err := checkHeights(m.Z); err != nil {
			return err
		}
		if err := checkMap(m); err != nil {
			return err
		}
	}
	c := d.Cloud
	if c == nil {
		if d.Map == nil {
			return errTooFew
		}
		return nil
	}
	if len(c.X) != len(c.Z) || len(c.Y) != len(c.Z) {
		return fmt.Errorf("%d x, %d y and %d heights: give as many of each", len(c.X), len(c.Y), len(c.Z))
	}
	for k := range c.Z {
		if !(math.Abs(c.X[k]) <= MaxPositionMM && math.Abs(c.Y[k]) <= MaxPositionMM) || c.Z[k] != c.Z[k] {
			return fmt.Errorf("point %d at (%g, %g) mm with height %g um: give finite numbers", k+1, c.X[k], c.Y[k], c.Z[k])
		}
	}
	if err := checkHeights(c.Z); err != nil {
		return err
	}
	return checkCloud(c)
}

func checkHeights(z []float64) error {
	for k, h := range z {
		if math.Abs(h) > MaxReadingUM {
			return fmt.Errorf("height %d of %d is %g um, beyond 1 km", k+1, len(z), h)
		}
	}
	return nil
}

// checkMap refuses a map that no plane can be laid through.
func checkMap(m *Map) error {
	var at [2][2]int // the first two cells with a height, as column and row
	count, line := 0, true
	for j := range m.NY {
		row := m.Z[j*m.NX : (j+1)*m.NX]
		for i, z := range row {
			if z != z {
				continue
			}
			if count < 2 {
				at[count] = [2]int{i, j}
			} else if (at[1][0]-at[0][0])*(j-at[0][1]) != (at[1][1]-at[0][1])*(i-at[0][0]) {
				line = false
			}
			if count++; count >= 3 && !line {
				return nil
			}
		}
	}
	if count < 3 {
		return errTooFew
	}
	return errOneLine
}

// checkCloud refuses points that no plane can be laid through.
func checkCloud(c *Cloud) error {
	if len(c.Z) < 3 {
		return errTooFew
	}
	x0, y0 := c.X[0], c.Y[0]
	var dx, dy, far, wide float64 // to the farthest point from the first
	for k := range c.Z {
		if d := math.Hypot(c.X[k]-x0, c.Y[k]-y0); d > far {
			far, dx, dy = d, c.X[k]-x0, c.Y[k]-y0
		}
	}
	for k := range c.Z {
		wide = max(wide, math.Abs(float64((c.X[k]-x0)*dy)-float64((c.Y[k]-y0)*dx)))
	}
	if !(wide > 1e-9*float64(far*far)) {
		return errOneLine
	}
	return nil
}

func checkSide(nx, ny int) error {
	if nx < 2 || ny < 2 {
		return fmt.Errorf("%d x %d heights are a line, not a face: give at least 2 rows and 2 columns", nx, ny)
	}
	if nx > MaxSide || ny > MaxSide || nx*ny > MaxCells {
		return fmt.Errorf("%d x %d heights are too many: at most %d along a side and %d in all", nx, ny, MaxSide, MaxCells)
	}
	return nil
}

// checkLattice refuses a pitch or an origin that no face has, mm.
func checkLattice(g Grid) error {
	if err := checkSide(g.NX, g.NY); err != nil {
		return err
	}
	for _, p := range []float64{g.DX, g.DY} {
		if !(p >= MinPitchMM && p <= MaxPositionMM) {
			return fmt.Errorf("the pitch is %g mm: a pitch must lie above 0 (from %g)", p, MinPitchMM)
		}
	}
	for _, p := range []float64{g.X0, g.Y0, g.X(g.NX - 1), g.Y(g.NY - 1)} {
		if !(math.Abs(p) <= MaxPositionMM) {
			return fmt.Errorf("a position of %g mm is beyond %g: are the increments and offsets right?", p, MaxPositionMM)
		}
	}
	return nil
}
