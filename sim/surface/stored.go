package surface

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// kind is the type of the numbers in a binary file.
type kind int

const (
	kindInt8 kind = iota
	kindInt16
	kindInt32
	kindFloat32
	kindFloat64
)

func (k kind) size() int { return [...]int{1, 2, 4, 4, 8}[k] }

// stored is how the heights of a map stand in a file that keeps metres: what
// lets a file cross from one such format to another without rounding through
// um. The height of a cell is offset + scale * value.
type stored struct {
	kind          kind
	values        []byte // little-endian, x fastest
	scale, offset float64
	pitch, origin [2]float64
}

// value is the number of cell k.
func (s *stored) value(k int) float64 {
	switch s.kind {
	case kindInt8:
		return float64(int8(s.values[k]))
	case kindInt16:
		return float64(int16(binary.LittleEndian.Uint16(s.values[2*k:])))
	case kindInt32:
		return float64(int32(binary.LittleEndian.Uint32(s.values[4*k:])))
	case kindFloat32:
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(s.values[4*k:])))
	default:
		return math.Float64frombits(binary.LittleEndian.Uint64(s.values[8*k:]))
	}
}

// put writes v as a number of the given kind at cell k.
func put(b []byte, kd kind, k int, v float64) {
	switch kd {
	case kindInt16:
		binary.LittleEndian.PutUint16(b[2*k:], uint16(int16(v)))
	case kindInt32:
		binary.LittleEndian.PutUint32(b[4*k:], uint32(int32(v)))
	case kindFloat32:
		binary.LittleEndian.PutUint32(b[4*k:], math.Float32bits(float32(v)))
	case kindFloat64:
		binary.LittleEndian.PutUint64(b[8*k:], math.Float64bits(v))
	}
}

// lowest is the number that SDF files put where a height is missing.
func (k kind) lowest() float64 {
	return [...]float64{math.MinInt8, math.MinInt16, math.MinInt32, -math.MaxFloat32, -math.MaxFloat64}[k]
}

// heights fills z with um. Missing are values that are not finite, those equal
// to code, and those whose bit in valid is zero; a NaN code and a nil valid
// mark none. It refuses a height beyond MaxReadingUM.
func (s *stored) heights(z []float64, code float64, valid []byte) error {
	scale, offset := shift10(s.scale, 6), shift10(s.offset, 6)
	// Four million float64 should cost little beside unzipping them.
	doubles := s.values
	if s.kind != kindFloat64 {
		doubles = nil
	}
	for k := range z {
		var v float64
		if doubles != nil {
			v = math.Float64frombits(binary.LittleEndian.Uint64(doubles[8*k:]))
		} else {
			v = s.value(k)
		}
		if v-v != 0 || v == code || valid != nil && valid[k/8]>>(k%8)&1 == 0 {
			z[k] = math.NaN()
			continue
		}
		h := float64(v * scale)
		if offset != 0 {
			h += offset
		}
		if !(math.Abs(h) <= MaxReadingUM) {
			return fmt.Errorf("height %d of %d is %.4g m, beyond 1 km: are the scale and the type of the data right?", k+1, len(z), h/1e6)
		}
		z[k] = h
	}
	return nil
}

// storedMap is how a map of um goes into a file that keeps metres: the um
// themselves beside a scale of 1e-6, so that no bit is lost.
func storedMap(m *Map) *stored {
	s := &stored{kind: kindFloat64, scale: 1e-6, values: make([]byte, 8*len(m.Z)),
		pitch: [2]float64{metres(m.DX), metres(m.DY)}, origin: [2]float64{metres(m.X0), metres(m.Y0)}}
	for k, z := range m.Z {
		put(s.values, kindFloat64, k, z)
	}
	return s
}

// record is how d was stored, or is to be.
func (d *Data) record() *stored {
	if d.stored != nil {
		return d.stored
	}
	return storedMap(d.Map)
}

// metres is the length that reads back as mm, where there is one.
func metres(mm float64) float64 {
	m := shift10(mm, -3)
	for _, next := range []float64{m, math.Nextafter(m, 0), math.Nextafter(m, 2*m)} {
		if shift10(next, 3) == mm {
			return next
		}
	}
	return m
}

// metresText is a length of mm as a decimal number of metres that reads back
// as mm: m, where that does, else one with the digits of mm.
func metresText(m, mm float64) string {
	if shift10(m, 3) == mm {
		return shortest(m)
	}
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(mm, 'e', -1, 64), "e")
	e, err := strconv.Atoi(exponent)
	if err != nil {
		return shortest(m)
	}
	return mantissa + "e" + strconv.Itoa(e-3)
}

// shift10 is v times 10^n, rounded from the decimal digits of v: 1e-6 shifted
// by six is 1, and 2e-4 m are 0.2 mm, which a product need not give.
func shift10(v float64, n int) float64 {
	out, err := parseShifted(strconv.FormatFloat(v, 'e', -1, 64), n)
	if err != nil {
		return v * math.Pow10(n)
	}
	return out
}

// parseShifted reads a decimal number and multiplies it by 10^n before it is
// rounded.
func parseShifted(text string, n int) (float64, error) {
	mantissa, exponent := text, 0
	if k := strings.IndexAny(text, "eE"); k >= 0 {
		e, err := strconv.Atoi(text[k+1:])
		if err != nil || e < -1000 || e > 1000 {
			return 0, fmt.Errorf("%s is not a number", quote(text))
		}
		mantissa, exponent = text[:k], e
	}
	v, err := strconv.ParseFloat(mantissa+"e"+strconv.Itoa(exponent+n), 64)
	if err != nil {
		return 0, fmt.Errorf("%s is not a number", quote(text))
	}
	return v, nil
}

func shortest(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
