package gauge

import (
	"math"

	"github.com/before-iron/beforeiron/sim/surface"
	"github.com/before-iron/beforeiron/sim/surface/envelope"
)

// FlatnessFigures are deviations from flatness, um.
type FlatnessFigures struct {
	// MinimumZone is the least distance of two parallel planes that hold the
	// face, measured vertically; MinimumZoneNormal along their normal, which is
	// the flatness of ISO 1101.
	MinimumZone, MinimumZoneNormal float64
	// ISO 12781-1, normal to the total-least-squares plane: peak to valley
	// (FLTt), peak (FLTp), valley (FLTv) and root mean square (FLTq).
	LSTotal, LSPeak, LSValley, LSRMS float64

	LSPlane   surface.Plane // the total-least-squares plane
	ZonePlane surface.Plane // half way between the planes of the vertical zone
}

// Flatness is that of the valid cells of m. It errs where they span no plane.
func Flatness(m *surface.Map) (FlatnessFigures, error) {
	p, err := surface.LeastSquares(m)
	if err != nil {
		return FlatnessFigures{}, err
	}
	return flatness(envelope.OfMap(m), p, func(see func(x, y, z float64)) {
		for j := 0; j < m.NY; j++ {
			y := m.Y(j)
			for i, z := range m.Z[j*m.NX : (j+1)*m.NX] {
				if z == z {
					see(m.X(i), y, z)
				}
			}
		}
	})
}

// FlatnessOfCloud is that of scattered points.
func FlatnessOfCloud(c surface.Cloud) (FlatnessFigures, error) {
	p, err := c.LeastSquares()
	if err != nil {
		return FlatnessFigures{}, err
	}
	return flatness(envelope.OfCloud(c), p, func(see func(x, y, z float64)) {
		for k, z := range c.Z {
			see(c.X[k], c.Y[k], z)
		}
	})
}

// flatness is that of the points that each shows, whose vertical least-squares
// plane is p.
func flatness(s *envelope.Set, p surface.Plane, each func(see func(x, y, z float64))) (FlatnessFigures, error) {
	f := FlatnessFigures{LSPlane: square(p, each)}
	hi, lo, ss, n := math.Inf(-1), math.Inf(1), 0.0, 0
	each(func(x, y, z float64) {
		r := z - f.LSPlane.At(x, y)
		hi, lo = max(hi, r), min(lo, r)
		ss += float64(r * r)
		n++
	})
	b, c := f.LSPlane.B/1000, f.LSPlane.C/1000
	cos := 1 / math.Sqrt(1+float64(b*b)+float64(c*c))
	f.LSPeak, f.LSValley = float64(hi*cos), float64(-lo*cos)
	f.LSTotal = f.LSPeak + f.LSValley
	f.LSRMS = math.Sqrt(ss/float64(n)) * cos
	vertical, err := s.MinimumZone()
	if err != nil {
		return f, err
	}
	normal, err := s.MinimumZoneNormal()
	if err != nil {
		return f, err
	}
	f.MinimumZone, f.MinimumZoneNormal, f.ZonePlane = vertical.Width, normal.Width, vertical.Mid
	return f, nil
}

// square turns a vertical least-squares plane into the total-least-squares one,
// that of least squared distances along its normal, through the same centroid.
//
// Its slopes s solve (C - k I) s = C p, C being the covariance of the positions,
// p the slopes of the vertical plane and k the least eigenvalue of the whole
// covariance, which is the root below those of C of
//
//	g(k) = v - k (1 + p.p) - k^2 p.(C - k I)^-1 p
//
// with v the variance about the vertical plane: falling and concave, so that
// Newton steps from above the root go straight down to it.
func square(p surface.Plane, each func(see func(x, y, z float64))) surface.Plane {
	var n, mx, my float64
	each(func(x, y, _ float64) { n, mx, my = n+1, mx+x, my+y })
	mx, my = mx/n, my/n
	var xx, xy, yy, v float64 // mm^2
	each(func(x, y, z float64) {
		r := (z - p.At(x, y)) / 1000
		x, y = x-mx, y-my
		xx += float64(x * x)
		xy += float64(x * y)
		yy += float64(y * y)
		v += float64(r * r)
	})
	xx, xy, yy, v = xx/n, xy/n, yy/n, v/n
	b, c := p.B/1000, p.C/1000
	pp := float64(b*b) + float64(c*c)
	half := (xx - yy) / 2
	least := (xx+yy)/2 - math.Sqrt(float64(half*half)+float64(xy*xy))
	// lean is (C - k I)^-1 (b, c).
	lean := func(k float64) (float64, float64) {
		det := float64((xx-k)*(yy-k)) - float64(xy*xy)
		return (float64((yy-k)*b) - float64(xy*c)) / det, (float64((xx-k)*c) - float64(xy*b)) / det
	}
	k := 0.0
	const steps = 100
	for range steps {
		lb, lc := lean(k)
		pl := float64(b*lb) + float64(c*lc)
		g := v - float64(k*(1+pp)) - float64(k*k*pl)
		ll := float64(lb*lb) + float64(lc*lc)
		slope := -(1 + pp) - float64(2*k*pl) - float64(k*k*ll)
		next := k - g/slope
		if next >= least {
			next = (k + least) / 2
		}
		if math.Abs(next-k) <= 1e-15*next {
			k = next
			break
		}
		k = next
	}
	lb, lc := lean(k)
	height := p.At(mx, my)
	q := surface.Plane{B: 1000 * (b + float64(k*lb)), C: 1000 * (c + float64(k*lc))}
	q.A = height - float64(q.B*mx) - float64(q.C*my)
	return q
}
