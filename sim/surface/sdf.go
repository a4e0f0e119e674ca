package surface

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// SDF: surface data file, ISO 25178-71. Heights on a grid in metres, as text or
// as packed little-endian numbers.
const (
	sdfBinary1 = 81 // bytes of the header of binary 1.0
	sdfBinary2 = 85 // of 2.0, whose counts have four bytes each
)

// Types of data in an SDF file.
var sdfKinds = map[uint8]kind{3: kindFloat32, 4: kindInt8, 5: kindInt16, 6: kindInt32, 7: kindFloat64}

func (k kind) sdfType() uint8 { return [...]uint8{4, 5, 6, 3, 7}[k] }

// sdfHeader is what the reader needs of a header; scales in metres.
type sdfHeader struct {
	grid        Grid
	pitch       [2]float64
	z           float64
	compression uint64
	dataType    uint64
	checkType   uint64
}

// ReadSDF reads heights from an SDF file (ISO 25178-71): ASCII or binary, 1.0,
// its older form BCR-1.0, or 2.0. The missing-value codes of the standard, NaN
// and infinities are missing heights. The first point stands at (0, 0).
func ReadSDF(b []byte) (*Data, error) {
	if len(b) < 8 {
		return nil, errors.New("not an SDF file: it is shorter than the mark at its beginning")
	}
	switch mark := string(b[:8]); mark {
	case "aISO-1.0", "aBCR-1.0", "aISO-2.0":
		return readTextSDF(b[8:])
	case "bISO-1.0", "bBCR-1.0":
		return readBinarySDF(b, sdfBinary1)
	case "bISO-2.0":
		return readBinarySDF(b, sdfBinary2)
	default:
		return nil, fmt.Errorf("not an SDF file: it begins with %s, not with aISO-1.0 or bISO-1.0", quote(mark))
	}
}

func readBinarySDF(b []byte, size int) (*Data, error) {
	if len(b) < size {
		return nil, fmt.Errorf("the file is cut short: %d bytes where the header alone has %d", len(b), size)
	}
	var h sdfHeader
	rest := b[42:size] // behind mark, maker and two dates
	if size == sdfBinary1 {
		h.grid.NX, h.grid.NY = int(binary.LittleEndian.Uint16(rest)), int(binary.LittleEndian.Uint16(rest[2:]))
		rest = rest[4:]
	} else {
		h.grid.NX, h.grid.NY = int(binary.LittleEndian.Uint32(rest)), int(binary.LittleEndian.Uint32(rest[4:]))
		rest = rest[8:]
	}
	float := func(k int) float64 { return math.Float64frombits(binary.LittleEndian.Uint64(rest[8*k:])) }
	h.pitch, h.z = [2]float64{float(0), float(1)}, float(2)
	h.grid.DX, h.grid.DY = shift10(h.pitch[0], 3), shift10(h.pitch[1], 3)
	h.compression, h.dataType, h.checkType = uint64(rest[32]), uint64(rest[33]), uint64(rest[34])
	kd, err := h.check()
	if err != nil {
		return nil, err
	}
	n := h.grid.Cells()
	if have := (len(b) - size) / kd.size(); have < n {
		return nil, fmt.Errorf("the file is cut short: its header announces %d x %d heights, it holds %d", h.grid.NX, h.grid.NY, have)
	}
	return h.data(kd, b[size:size+n*kd.size()])
}

// check refuses a header that no data can follow.
func (h *sdfHeader) check() (kind, error) {
	if err := checkLattice(h.grid); err != nil {
		return 0, err
	}
	if h.z == 0 || h.z-h.z != 0 {
		return 0, fmt.Errorf("Zscale is %g: heights need a scale", h.z)
	}
	if h.compression != 0 {
		return 0, fmt.Errorf("compression %d: only files without compression (0) are read", h.compression)
	}
	kd, ok := sdfKinds[uint8(h.dataType)]
	if !ok || h.dataType > 255 {
		return 0, fmt.Errorf("data type %d is unknown: 3 to 7 are read", h.dataType)
	}
	return kd, nil
}

func (h *sdfHeader) data(kd kind, values []byte) (*Data, error) {
	d := &Data{Unit: "m", Stated: true, Map: NewMap(h.grid), stored: &stored{kind: kd, values: values, scale: h.z, pitch: h.pitch}}
	if h.checkType != 0 {
		d.Warnings = append(d.Warnings, fmt.Sprintf("check type %d is not verified", h.checkType))
	}
	if err := d.stored.heights(d.Map.Z, kd.lowest(), nil); err != nil {
		return nil, err
	}
	if err := checkMap(d.Map); err != nil {
		return nil, err
	}
	return d, nil
}

// readTextSDF reads what follows the mark of an ASCII file.
func readTextSDF(b []byte) (*Data, error) {
	text := &sdfText{rest: b, line: 1}
	if after, _ := text.next(); strings.TrimSpace(after) != "" {
		return nil, fmt.Errorf("line 1: %s behind the mark of the file", quote(strings.TrimSpace(after)))
	}
	h, err := text.header()
	if err != nil {
		return nil, err
	}
	if _, err := h.check(); err != nil {
		return nil, err
	}
	n := h.grid.Cells()
	if (len(text.rest)+1)/2 < n { // a digit and a blank each
		return nil, fmt.Errorf("the file is cut short: its header announces %d x %d heights, behind it stand %d bytes", h.grid.NX, h.grid.NY, len(text.rest))
	}
	values := make([]byte, 8*n)
	if err := text.values(values, n); err != nil {
		return nil, err
	}
	return h.data(kindFloat64, values)
}

type sdfText struct {
	rest []byte
	line int // of the file: 1 is the one that next returns first
}

// next is the next line, without its end; ok is false at the end of the file.
func (t *sdfText) next() (line string, ok bool) {
	if len(t.rest) == 0 {
		return "", false
	}
	raw, rest, _ := bytes.Cut(t.rest, []byte("\n"))
	t.rest = rest
	t.line++
	return string(bytes.TrimSuffix(raw, []byte("\r"))), true
}

func (t *sdfText) header() (h sdfHeader, err error) {
	fields := map[string]string{}
	for {
		line, ok := t.next()
		if !ok {
			return h, errors.New("the file ends within its header: a line * must close it")
		}
		line = strings.TrimSpace(line)
		if line == "*" {
			break
		}
		if line == "" {
			continue
		}
		name, value, ok := strings.Cut(line, "=")
		if !ok {
			return h, fmt.Errorf("line %d: %s is not Name = value", t.line-1, quote(line))
		}
		fields[strings.ToLower(strings.TrimSpace(name))] = strings.TrimSpace(value)
	}
	count := func(name string) int {
		v, e := strconv.ParseUint(fields[strings.ToLower(name)], 10, 31)
		if e != nil && err == nil {
			err = fmt.Errorf("header: %s is %s: give a whole number", name, quote(fields[strings.ToLower(name)]))
		}
		return int(v)
	}
	scale := func(name string, shift int) float64 {
		v, e := parseShifted(fields[strings.ToLower(name)], shift)
		if e != nil && err == nil {
			err = fmt.Errorf("header: %s: %w", name, e)
		}
		return v
	}
	optional := func(name string, otherwise uint64) uint64 {
		if fields[strings.ToLower(name)] == "" {
			return otherwise
		}
		return uint64(count(name))
	}
	h.grid = Grid{NX: count("NumPoints"), NY: count("NumProfiles"), DX: scale("Xscale", 3), DY: scale("Yscale", 3)}
	h.pitch = [2]float64{scale("Xscale", 0), scale("Yscale", 0)}
	h.z = scale("Zscale", 0)
	h.compression, h.dataType, h.checkType = optional("Compression", 0), optional("DataType", 7), optional("CheckType", 0)
	return h, err
}

// values reads n numbers in any number of lines, up to a line *.
func (t *sdfText) values(out []byte, n int) error {
	k := 0
	for k <= n {
		line, ok := t.next()
		if !ok {
			break
		}
		if strings.TrimSpace(line) == "*" {
			break
		}
		for _, f := range strings.Fields(line) {
			if k == n {
				return fmt.Errorf("line %d: more than the %d heights that the header announces", t.line-1, n)
			}
			v := math.NaN()
			if !strings.EqualFold(f, "BAD") {
				var err error
				if v, err = strconv.ParseFloat(f, 64); err != nil {
					return fmt.Errorf("line %d: %s is not a number", t.line-1, quote(f))
				}
				if v <= -3.4e38 { // a binary code for a missing height, printed
					v = math.NaN()
				}
			}
			put(out, kindFloat64, k, v)
			k++
		}
	}
	if k < n {
		return fmt.Errorf("the file is cut short: its header announces %d heights, it holds %d", n, k)
	}
	return nil
}

// SDFForm is how an SDF file writes its numbers.
type SDFForm string

// The forms of SDF 1.0.
const (
	SDFBinary SDFForm = "binary"
	SDFText   SDFForm = "text"
)

// errNoGrid refuses to write scattered points where only a grid can stand.
var errNoGrid = errors.New("points that form no grid cannot stand in an SDF file: write .csv or .x3p")

// WriteSDF writes d as SDF 1.0. Heights that were read from a file in metres
// keep their numbers, type and scale where SDF has them; others stand in um
// beside a Zscale of 1e-6. Dates are written as zeros: the simulator keeps no
// clock.
func WriteSDF(w io.Writer, d *Data, form SDFForm) error {
	if d.Map == nil {
		return errNoGrid
	}
	m := d.Map
	if err := checkSide(m.NX, m.NY); err != nil {
		return err
	}
	if m.NX > math.MaxUint16 || m.NY > math.MaxUint16 {
		return fmt.Errorf("%d x %d heights are more than SDF 1.0 can count (%d along a side): write .x3p", m.NX, m.NY, math.MaxUint16)
	}
	s := d.record()
	if s.offset != 0 { // SDF heights have a scale but no offset
		s = storedMap(m)
	}
	kd := s.sdfKind(m)
	out := bufio.NewWriterSize(w, 1<<16)
	if form == SDFText {
		writeTextSDF(out, m, s)
	} else {
		writeBinarySDF(out, m, s, kd)
	}
	return out.Flush()
}

// sdfKind is the narrowest type of SDF 1.0 that holds every number of s beside
// its code for a missing one.
func (s *stored) sdfKind(m *Map) kind {
	kd := map[kind]kind{kindInt8: kindInt16, kindInt16: kindInt16, kindInt32: kindInt32, kindFloat32: kindFloat64, kindFloat64: kindFloat64}[s.kind]
	for k, z := range m.Z {
		if z == z && kd != kindFloat64 && s.value(k) == kd.lowest() {
			kd = map[kind]kind{kindInt16: kindInt32, kindInt32: kindFloat64}[kd]
		}
	}
	return kd
}

const (
	sdfMaker = "BeforeIron"   // ten characters
	sdfDate  = "000000000000" // DDMMYYYYhhmm
)

func writeBinarySDF(out *bufio.Writer, m *Map, s *stored, kd kind) {
	h := []byte("bISO-1.0" + sdfMaker + sdfDate + sdfDate)
	h = binary.LittleEndian.AppendUint16(h, uint16(m.NX))
	h = binary.LittleEndian.AppendUint16(h, uint16(m.NY))
	for _, v := range []float64{s.pitch[0], s.pitch[1], s.scale, -1} {
		h = binary.LittleEndian.AppendUint64(h, math.Float64bits(v))
	}
	out.Write(append(h, 0, kd.sdfType(), 0))
	var number [8]byte
	for k, z := range m.Z {
		v := kd.lowest()
		if z == z {
			v = s.value(k)
		}
		put(number[:], kd, 0, v)
		out.Write(number[:kd.size()])
	}
}

func writeTextSDF(out *bufio.Writer, m *Map, s *stored) {
	fmt.Fprintf(out, "aISO-1.0\r\nManufacID = %s\r\nCreateDate = %s\r\nModDate = %s\r\nNumPoints = %d\r\nNumProfiles = %d\r\n", sdfMaker, sdfDate, sdfDate, m.NX, m.NY)
	fmt.Fprintf(out, "Xscale = %s\r\nYscale = %s\r\nZscale = %s\r\nZresolution = -1\r\nCompression = 0\r\nDataType = 7\r\nCheckType = 0\r\n*\r\n",
		metresText(s.pitch[0], m.DX), metresText(s.pitch[1], m.DY), shortest(s.scale))
	for j := range m.NY {
		for i := range m.NX {
			if i > 0 {
				out.WriteByte(' ')
			}
			k := j*m.NX + i
			if m.Z[k] == m.Z[k] {
				out.Write(strconv.AppendFloat(out.AvailableBuffer(), s.value(k), 'g', -1, 64))
			} else {
				out.WriteString("BAD")
			}
		}
		out.WriteString("\r\n")
	}
	out.WriteString("*\r\n*\r\n")
}
