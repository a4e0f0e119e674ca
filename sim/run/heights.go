package run

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
)

// Heights are measured heights, um, NaN where there is none. In JSON they are an
// array with null for that. A part may have eight million of them, so they are kept
// and read as plain numbers.
type Heights []float64

// MarshalJSON writes the numbers as encoding/json writes a float64: a header that is
// read and written again has the same sum.
func (h Heights) MarshalJSON() ([]byte, error) {
	if h == nil {
		return []byte("null"), nil
	}
	b := []byte{'['}
	for k, z := range h {
		if k > 0 {
			b = append(b, ',')
		}
		switch size := math.Abs(z); {
		case z != z:
			b = append(b, "null"...)
		case math.IsInf(z, 0):
			return nil, fmt.Errorf("height %d is infinite", k+1)
		case size != 0 && (size < 1e-6 || size >= 1e21):
			b = strconv.AppendFloat(b, z, 'e', -1, 64)
			if n := len(b); b[n-4] == 'e' && b[n-3] == '-' && b[n-2] == '0' {
				b[n-2] = b[n-1]
				b = b[:n-1]
			}
		default:
			b = strconv.AppendFloat(b, z, 'f', -1, 64)
		}
	}
	return append(b, ']'), nil
}

// UnmarshalJSON reads them.
func (h *Heights) UnmarshalJSON(b []byte) error {
	*h = nil
	if string(b) == "null" {
		return nil
	}
	if len(b) < 2 || b[0] != '[' {
		return fmt.Errorf("heights are no array")
	}
	out := make(Heights, 0, bytes.Count(b, []byte{','})+1)
	for rest := b[1 : len(b)-1]; len(rest) > 0; {
		var one []byte
		one, rest, _ = bytes.Cut(rest, []byte{','})
		one = bytes.TrimSpace(one)
		if len(one) == 0 {
			break // of an array of none
		}
		z := math.NaN()
		if string(one) != "null" {
			var err error
			// What json takes for a number is one; a name such as Inf is none to it.
			if z, err = strconv.ParseFloat(string(one), 64); err != nil || one[0] != '-' && (one[0] < '0' || one[0] > '9') {
				return fmt.Errorf("height %d is no number", len(out)+1)
			}
		}
		out = append(out, z)
	}
	*h = out
	return nil
}
