package surface

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Data is what a file of measured heights holds.
type Data struct {
	Map   *Map   // heights on a grid; nil when the points form none
	Cloud *Cloud // the points as they were written; nil when the file is a matrix

	// Unit is the unit in which the heights stood in the file: um, mm, in,
	// tenth, or m for the formats that keep metres.
	Unit string
	// Warnings are what a reader noticed and did not refuse, one line each.
	Warnings []string
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
	// Unit of the heights in a CSV file: um, mm, in or tenth. Empty takes what
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
)

// UnitUM is the length of a unit in um: um, mm, in or tenth (of a thousandth of
// an inch), with their usual spellings; ok is false for any other word.
func UnitUM(name string) (um float64, ok bool) {
	um, ok = units[canonicalUnit(name)]
	return um, ok
}

var units = map[string]float64{"um": 1, "mm": 1e3, "in": 25400, "tenth": 2.54}

func canonicalUnit(name string) string {
	switch n := strings.ToLower(strings.TrimSpace(name)); n {
	// The third is the micro sign of Latin-1, as ToLower leaves it.
	case "µm", "μm", "\ufffdm", "micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers":
		return "um"
	case "millimetre", "millimetres", "millimeter", "millimeters":
		return "mm"
	case "inch", "inches":
		return "in"
	case "tenths":
		return "tenth"
	default:
		return n
	}
}

var errTooFew = errors.New("fewer than three points have a height: a face needs at least three")

// checkFace refuses n points that no plane can be laid through.
func checkFace(n int, at func(k int) (x, y, z float64)) error {
	var x0, y0, x1, y1, far, wide float64
	count := 0
	for k := range n {
		x, y, z := at(k)
		if z != z {
			continue
		}
		if count == 0 {
			x0, y0 = x, y
		}
		count++
		if d := math.Hypot(x-x0, y-y0); d > far {
			far, x1, y1 = d, x, y
		}
	}
	if count < 3 {
		return errTooFew
	}
	for k := range n {
		x, y, z := at(k)
		if z != z {
			continue
		}
		wide = max(wide, math.Abs(float64((x-x0)*(y1-y0))-float64((y-y0)*(x1-x0))))
	}
	if !(wide > 1e-9*float64(far*far)) {
		return errOneLine
	}
	return nil
}

func checkMap(m *Map) error {
	return checkFace(len(m.Z), func(k int) (x, y, z float64) { return m.X(k % m.NX), m.Y(k / m.NX), m.Z[k] })
}

func checkCloud(c *Cloud) error {
	return checkFace(len(c.Z), func(k int) (x, y, z float64) { return c.X[k], c.Y[k], c.Z[k] })
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
