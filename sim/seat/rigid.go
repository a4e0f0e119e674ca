package seat

import (
	"errors"
	"fmt"
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
	"github.com/before-iron/beforeiron/sim/surface/envelope"
)

// ErrLoadOutside says that the load lies outside the part: outside the convex
// hull of the cells that could carry it, so that the part would tip.
var ErrLoadOutside = errors.New("the load lies outside the part, which would tip")

// ContactGap is the gap up to which a rigid seat counts a cell as touching, um.
const ContactGap = 1e-6

// Rigid is how a rigid part rests on a rigid true plane.
type Rigid struct {
	Plane    surface.Plane // the resting plane: nowhere below a height
	Contacts [][2]float64  // x, y mm of all cells whose gap is at most ContactGap
	// Reactions are the shares of the load in the order of Contacts; nil unless
	// there are exactly three contacts that are not on one line, for only then
	// does balance alone decide them.
	Reactions []float64
	// MaxGap and MeanGap are over the valid cells, um.
	MaxGap, MeanGap float64
}

// Rest is the rigid seat of the heights of m on a true plane under a load at
// (loadX, loadY) mm: of all planes that lie nowhere below a valid cell, the one
// lowest at the load. An error wraps ErrLoadOutside, or says that the cells
// span no plane.
func Rest(m *surface.Map, loadX, loadY float64) (Rigid, error) {
	p, err := restingPlane(envelope.OfMap(m), loadX, loadY)
	if err != nil {
		return Rigid{}, err
	}
	r := Rigid{Plane: p}
	slope := make([]float64, m.NX)
	for i := range slope {
		slope[i] = float64(p.B * m.X(i))
	}
	n, sum := 0, 0.0
	for j := 0; j < m.NY; j++ {
		base := p.A + float64(p.C*m.Y(j))
		rowSum := 0.0
		for i, z := range m.Z[j*m.NX : (j+1)*m.NX] {
			gap := base + slope[i] - z
			if gap != gap {
				continue
			}
			n++
			rowSum += gap
			r.MaxGap = max(r.MaxGap, gap)
			if gap <= ContactGap {
				r.Contacts = append(r.Contacts, [2]float64{m.X(i), m.Y(j)})
			}
		}
		sum += rowSum
	}
	r.MeanGap = sum / float64(n)
	r.Reactions = shares(r.Contacts, loadX, loadY)
	return r, nil
}

// RestPoints is Rest over scattered points: x, y mm and z um, all of one
// length.
func RestPoints(x, y, z []float64, loadX, loadY float64) (Rigid, error) {
	p, err := restingPlane(envelope.OfCloud(surface.Cloud{X: x, Y: y, Z: z}), loadX, loadY)
	if err != nil {
		return Rigid{}, err
	}
	r := Rigid{Plane: p}
	sum := 0.0
	for k := range z {
		gap := p.At(x[k], y[k]) - z[k]
		sum += gap
		r.MaxGap = max(r.MaxGap, gap)
		if gap <= ContactGap {
			r.Contacts = append(r.Contacts, [2]float64{x[k], y[k]})
		}
	}
	r.MeanGap = sum / float64(len(z))
	r.Reactions = shares(r.Contacts, loadX, loadY)
	return r, nil
}

func restingPlane(s *envelope.Set, x, y float64) (surface.Plane, error) {
	p, err := s.Rest(x, y)
	if errors.Is(err, envelope.ErrOutside) {
		err = fmt.Errorf("load at x %g, y %g mm: %w; give a position within its outline", x, y, ErrLoadOutside)
	}
	return p, err
}

// shares divides a load at (x, y) over three contacts that are not on one
// line; nil for any other number.
func shares(contacts [][2]float64, x, y float64) []float64 {
	if len(contacts) != 3 {
		return nil
	}
	area := func(a, b, c [2]float64) float64 {
		return float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
	}
	a, b, c := contacts[0], contacts[1], contacts[2]
	whole := area(a, b, c)
	size2 := func(p [2]float64) float64 {
		return float64((p[0]-a[0])*(p[0]-a[0])) + float64((p[1]-a[1])*(p[1]-a[1]))
	}
	if math.Abs(whole) <= 1e-9*max(size2(b), size2(c)) {
		return nil
	}
	load := [2]float64{x, y}
	return []float64{area(load, b, c) / whole, area(a, load, c) / whole, area(a, b, load) / whole}
}
