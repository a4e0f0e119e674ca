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

	maker, created, modified string
	resolution               float64 // of heights, m; negative is not known
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
	h := sdfHeader{maker: string(b[8:18]), created: string(b[18:30]), modified: string(b[30:42])}
	rest := b[42:size]
	if size == sdfBinary1 {
		h.grid.NX, h.grid.NY = int(binary.LittleEndian.Uint16(rest)), int(binary.LittleEndian.Uint16(rest[2:]))
		rest = rest[4:]
	} else {
		h.grid.NX, h.grid.NY = int(binary.LittleEndian.Uint32(rest)), int(binary.LittleEndian.Uint32(rest[4:]))
		rest = rest[8:]
	}
	float := func(k int) float64 { return math.Float64frombits(binary.LittleEndian.Uint64(rest[8*k:])) }
	h.pitch, h.z, h.resolution = [2]float64{float(0), float(1)}, float(2), float(3)
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
	d, err := h.data(kd, b[size:size+n*kd.size()])
	if err == nil {
		d.say(aboutComment, trailer(string(b[size+n*kd.size():])))
	}
	return d, err
}

// trailer is the text behind the heights, without the stars that may stand about it.
func trailer(text string) string {
	text = strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n"))
	for _, star := range []string{"*", "\x00"} {
		text = strings.TrimSpace(strings.TrimSuffix(strings.TrimPrefix(text, star), star))
	}
	return text
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
	d := &Data{Unit: "m", Map: NewMap(h.grid), stored: &stored{kind: kd, values: values, scale: h.z, pitch: h.pitch}}
	if h.maker = strings.TrimRight(h.maker, " \x00"); h.maker != sdfMaker {
		d.say(aboutMaker, h.maker)
	}
	d.say(aboutCreated, dateOf(h.created))
	d.say(aboutModified, dateOf(h.modified))
	if h.resolution > 0 && h.resolution <= math.MaxFloat64 {
		d.say(aboutResolution, shortest(h.resolution))
	}
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
	kd, err := h.check()
	if err != nil {
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
	if whole := wholeNumbers(values, kd); whole != nil {
		values = whole
	} else {
		kd = kindFloat64
	}
	d, err := h.data(kd, values)
	if err == nil {
		d.say(aboutComment, trailer(string(text.rest)))
	}
	return d, err
}

// wholeNumbers are float64 values as numbers of an integer kind, the lowest for a
// missing one; nil where the kind is none or one of them does not fit.
func wholeNumbers(values []byte, kd kind) []byte {
	if kd != kindInt8 && kd != kindInt16 && kd != kindInt32 {
		return nil
	}
	from := stored{kind: kindFloat64, values: values}
	out := make([]byte, len(values)/8*kd.size())
	for k := range len(values) / 8 {
		v := from.value(k)
		if v != v {
			v = kd.lowest()
		} else if v != math.Trunc(v) || !(math.Abs(v) <= -kd.lowest()-1) {
			return nil
		}
		put(out, kd, k, v)
	}
	return out
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
	h.maker, h.created, h.modified = fields["manufacid"], fields["createdate"], fields["moddate"]
	h.resolution = -1
	if r, e := parseShifted(fields["zresolution"], 0); e == nil {
		h.resolution = r
	}
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
// beside a Zscale of 1e-6. Maker, dates, resolution and comment (the trailer) are
// those that d has; a date that it has not is zeros, for the simulator keeps no
// clock. What of them has no place is told in lost.
func WriteSDF(w io.Writer, d *Data, form SDFForm) (lost []string, err error) {
	if d.Map == nil {
		return nil, errNoGrid
	}
	m := d.Map
	if err := checkSide(m.NX, m.NY); err != nil {
		return nil, err
	}
	if m.NX > math.MaxUint16 || m.NY > math.MaxUint16 {
		return nil, fmt.Errorf("%d x %d heights are more than SDF 1.0 can count (%d along a side): write .x3p", m.NX, m.NY, math.MaxUint16)
	}
	s := d.record()
	if s.offset != 0 { // SDF heights have a scale but no offset
		s = storedMap(m)
	}
	kd := s.sdfKind(m)
	about, lost := sdfAboutOf(d.About)
	out := bufio.NewWriterSize(w, 1<<16)
	if form == SDFText {
		writeTextSDF(out, m, s, kd, about)
	} else {
		writeBinarySDF(out, m, s, kd, about)
	}
	return lost, out.Flush()
}

// sdfAbout is what an SDF file has room for.
type sdfAbout struct {
	maker             string // ten bytes at most
	created, modified string // twelve digits
	resolution        float64
	comment           string // lines parted by a carriage return and a line feed
}

func sdfAboutOf(a About) (s sdfAbout, lost []string) {
	lost = a.dropped(aboutMaker, aboutCreated, aboutModified, aboutResolution, aboutComment)
	s.maker = sdfMaker
	if a[aboutMaker] != "" {
		s.maker = strings.ToValidUTF8(a[aboutMaker][:min(len(a[aboutMaker]), len(sdfMaker))], "")
		if s.maker != a[aboutMaker] {
			lost = append(lost, fmt.Sprintf("an SDF file has room for %d characters of the maker: %s is cut to %s", len(sdfMaker), quote(a[aboutMaker]), quote(s.maker)))
		}
	}
	for _, date := range []struct {
		name string
		to   *string
	}{{aboutCreated, &s.created}, {aboutModified, &s.modified}} {
		var whole bool
		if *date.to, whole = digits(a[date.name]); !whole {
			lost = append(lost, fmt.Sprintf("an SDF file keeps day, month, year, hour and minute: the date %s of %s becomes %s", quote(a[date.name]), date.name, *date.to))
		}
	}
	s.resolution = -1
	if r, err := parseShifted(a[aboutResolution], 0); err == nil {
		s.resolution = r
	}
	var lines []string
	for _, line := range strings.Split(a[aboutComment], "\n") {
		if strings.TrimSpace(line) == "*" {
			lost = append(lost, "a comment's line * would end it in an SDF file: that line is left out")
			continue
		}
		lines = append(lines, line)
	}
	s.comment = strings.Join(lines, "\r\n")
	return s, lost
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

const sdfMaker = "BeforeIron" // ten bytes, which is the room there is

func writeBinarySDF(out *bufio.Writer, m *Map, s *stored, kd kind, about sdfAbout) {
	h := []byte("bISO-1.0" + about.maker + strings.Repeat(" ", len(sdfMaker)-len(about.maker)) + about.created + about.modified)
	h = binary.LittleEndian.AppendUint16(h, uint16(m.NX))
	h = binary.LittleEndian.AppendUint16(h, uint16(m.NY))
	for _, v := range []float64{s.pitch[0], s.pitch[1], s.scale, about.resolution} {
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
	out.WriteString(about.comment)
}

func writeTextSDF(out *bufio.Writer, m *Map, s *stored, kd kind, about sdfAbout) {
	fmt.Fprintf(out, "aISO-1.0\r\nManufacID = %s\r\nCreateDate = %s\r\nModDate = %s\r\nNumPoints = %d\r\nNumProfiles = %d\r\n", about.maker, about.created, about.modified, m.NX, m.NY)
	fmt.Fprintf(out, "Xscale = %s\r\nYscale = %s\r\nZscale = %s\r\nZresolution = %s\r\nCompression = 0\r\nDataType = %d\r\nCheckType = 0\r\n*\r\n",
		metresText(s.pitch[0], m.DX), metresText(s.pitch[1], m.DY), shortest(s.scale), shortest(about.resolution), kd.sdfType())
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
	out.WriteString("*\r\n")
	if about.comment != "" {
		out.WriteString(about.comment + "\r\n")
	}
	out.WriteString("*\r\n")
}
