package surface

import (
	"archive/zip"
	"bytes"
	"crypto/md5"
	"encoding/hex"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"path"
	"strconv"
	"strings"
)

// X3P: ISO 25178-72 (and ISO 5436-2 before it), a zip with an XML description,
// the heights as packed little-endian numbers and a bit for each that is valid.

// maxX3PText bounds the unpacked main.xml, bytes: room for some two million
// heights written as text.
const maxX3PText = 1 << 26

// maxDeflate is the greatest ratio to which deflate can pack: what claims more
// is not what the archive holds.
const maxDeflate = 1032

// ReadX3P reads heights from an X3P file: a surface on a grid, or a point
// cloud; binary or text data, masks, any of the four number types.
//
// It bears what real writers do: a byte-order mark, a CZ axis without
// Increment, a root without a namespace, the parts inside a folder, a stale or
// upper-case checksum (a warning). Empty, NaN, infinite and masked heights are
// missing.
func ReadX3P(b []byte) (*Data, error) {
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return nil, fmt.Errorf("not an X3P file: %w", err)
	}
	x := &x3p{files: z.File, length: uint64(len(b))}
	text, err := x.main()
	if err != nil {
		return nil, err
	}
	if err := x.parse(text); err != nil {
		return nil, fmt.Errorf("main.xml: %w", err)
	}
	d, err := x.data()
	if err != nil {
		return nil, err
	}
	d.Unit, d.Warnings = "m", x.warnings
	for k, r := range record2 {
		d.say(r.name, x.about[k])
	}
	return d, nil
}

type x3pAxis struct{ axisType, dataType, increment, offset string }

// record2 are the elements of Record2 that a file may say, in their order.
var record2 = [...]struct{ name, group, element string }{
	{aboutCreated, "", "Date"},
	{aboutCreator, "", "Creator"},
	{aboutMaker, "Instrument", "Manufacturer"},
	{aboutModel, "Instrument", "Model"},
	{aboutSerial, "Instrument", "Serial"},
	{aboutVersion, "Instrument", "Version"},
	{aboutCalibrated, "", "CalibrationDate"},
	{aboutProbing, "ProbingSystem", "Type"},
	{aboutProbe, "ProbingSystem", "Identification"},
	{aboutComment, "", "Comment"},
}

// x3pAbout are the names that have a place there.
func x3pAbout() []string {
	var names []string
	for _, r := range record2 {
		names = append(names, r.name)
	}
	return names
}

type x3p struct {
	files    []*zip.File
	length   uint64 // of the archive, bytes
	folder   string // of main.xml
	warnings []string

	feature  string
	axes     [3]x3pAxis
	rotation [9]string
	size     [3]string // of the matrix
	list     string    // length of a list
	checksum string    // name of the file with that of main.xml

	about             [len(record2)]string
	points, pointsMD5 string
	valid, validMD5   string
	datums            []float64 // of a list in main.xml; NaN is missing
	inDatum           int       // numbers in each
}

func (x *x3p) warn(format string, args ...any) {
	x.warnings = append(x.warnings, fmt.Sprintf(format, args...))
}

// main finds and unpacks main.xml, in the archive's root or in a folder.
func (x *x3p) main() ([]byte, error) {
	var found *zip.File
	for _, f := range x.files {
		if strings.EqualFold(path.Base(slashed(f.Name)), "main.xml") && (found == nil || len(f.Name) < len(found.Name)) {
			found = f
		}
	}
	if found == nil {
		return nil, errors.New("not an X3P file: the archive has no main.xml")
	}
	x.folder = path.Dir(slashed(found.Name))
	if found.UncompressedSize64 > maxX3PText {
		return nil, fmt.Errorf("main.xml is %d bytes long: at most %d are read", found.UncompressedSize64, maxX3PText)
	}
	return x.unpack(found, int(found.UncompressedSize64))
}

func slashed(name string) string { return strings.ReplaceAll(name, `\`, "/") }

// find is the file of the archive that a link names, beside main.xml or
// anywhere under that name.
func (x *x3p) find(link string) *zip.File {
	want := path.Join(x.folder, slashed(link))
	for _, f := range x.files {
		if path.Clean(slashed(f.Name)) == want {
			return f
		}
	}
	for _, f := range x.files {
		if strings.EqualFold(path.Base(slashed(f.Name)), path.Base(slashed(link))) {
			return f
		}
	}
	return nil
}

// unpack reads n bytes of f. It takes no memory for what f cannot hold.
func (x *x3p) unpack(f *zip.File, n int) ([]byte, error) {
	if f.UncompressedSize64 < uint64(n) {
		return nil, fmt.Errorf("%s is cut short: %d bytes where %d are needed", quote(f.Name), f.UncompressedSize64, n)
	}
	if packed := min(f.CompressedSize64, x.length); packed < uint64(n)/maxDeflate {
		return nil, fmt.Errorf("%s claims %d bytes, more than its %d packed bytes can hold", quote(f.Name), n, packed)
	}
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", quote(f.Name), err)
	}
	defer r.Close()
	b := make([]byte, n)
	if got, err := io.ReadFull(r, b); err != nil && !errors.Is(err, zip.ErrChecksum) || got < n {
		if err == io.ErrUnexpectedEOF || err == io.EOF {
			return nil, fmt.Errorf("%s is cut short: %d bytes where %d are needed", quote(f.Name), got, n)
		}
		return nil, fmt.Errorf("%s is damaged: %w", quote(f.Name), err)
	}
	var more [1]byte
	switch got, err := r.Read(more[:]); {
	case errors.Is(err, zip.ErrChecksum):
		x.warn("the archive's own checksum of %s is wrong", quote(f.Name))
	case got > 0:
		x.warn("%s holds more than its description says", quote(f.Name))
	}
	return b, nil
}

// parse takes from main.xml what the reader needs.
func (x *x3p) parse(text []byte) error {
	x.verifyMain(text)
	dec := xml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	dec.CharsetReader = charset
	var at []string
	var content []byte
	for {
		token, err := dec.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			line, _ := dec.InputPos()
			return fmt.Errorf("line %d: %s", line, strings.ReplaceAll(err.Error(), "\n", " "))
		}
		switch t := token.(type) {
		case xml.StartElement:
			if len(at) == 0 && t.Name.Local != "ISO5436_2" {
				return fmt.Errorf("the root element is %s, not ISO5436_2", quote(t.Name.Local))
			}
			if len(at) > 16 {
				return errors.New("elements are nested too deeply")
			}
			at = append(at, t.Name.Local)
			content = content[:0]
		case xml.CharData:
			content = append(content, t...)
		case xml.EndElement:
			if err := x.element(strings.Join(at[1:], "/"), strings.TrimSpace(string(content))); err != nil {
				line, _ := dec.InputPos()
				return fmt.Errorf("line %d: %w", line, err)
			}
			at = at[:len(at)-1]
			content = content[:0]
		}
	}
}

// charset reads the encodings that XML files of instruments declare.
func charset(label string, in io.Reader) (io.Reader, error) {
	switch strings.ToLower(label) {
	case "utf-8", "utf8", "us-ascii", "ascii":
		return in, nil
	case "iso-8859-1", "latin1", "windows-1252":
		b, err := io.ReadAll(in)
		if err != nil {
			return nil, err
		}
		var out strings.Builder
		for _, c := range b {
			out.WriteRune(rune(c))
		}
		return strings.NewReader(out.String()), nil
	}
	return nil, fmt.Errorf("encoding %s is not read: save as UTF-8", quote(label))
}

func (x *x3p) element(at, value string) error {
	if at == "Record3/DataList/Datum" {
		return x.datum(value)
	}
	if axis, field, ok := strings.Cut(strings.TrimPrefix(at, "Record1/Axes/"), "/"); ok && strings.HasPrefix(at, "Record1/Axes/") {
		if axis == "Rotation" {
			if r, c, ok := rotationCell(field); ok {
				x.rotation[3*r+c] = value
			}
			return nil
		}
		k := strings.Index("CXCYCZ", axis)
		if len(axis) != 2 || k < 0 || k%2 != 0 {
			return nil
		}
		a := &x.axes[k/2]
		switch field {
		case "AxisType":
			a.axisType = value
		case "DataType":
			a.dataType = value
		case "Increment":
			a.increment = value
		case "Offset":
			a.offset = value
		}
		return nil
	}
	for k, r := range record2 {
		if at == path.Join("Record2", r.group, r.element) {
			x.about[k] = value
			return nil
		}
	}
	fields := map[string]*string{
		"Record1/FeatureType":                     &x.feature,
		"Record3/MatrixDimension/SizeX":           &x.size[0],
		"Record3/MatrixDimension/SizeY":           &x.size[1],
		"Record3/MatrixDimension/SizeZ":           &x.size[2],
		"Record3/ListDimension":                   &x.list,
		"Record3/DataLink/PointDataLink":          &x.points,
		"Record3/DataLink/MD5ChecksumPointData":   &x.pointsMD5,
		"Record3/DataLink/ValidPointsLink":        &x.valid,
		"Record3/DataLink/MD5ChecksumValidPoints": &x.validMD5,
		"Record4/ChecksumFile":                    &x.checksum,
	}
	if field := fields[at]; field != nil {
		*field = value
	}
	return nil
}

// rotationCell is the row and column of r11 to r33.
func rotationCell(name string) (row, column int, ok bool) {
	if len(name) != 3 || name[0] != 'r' || name[1] < '1' || name[1] > '3' || name[2] < '1' || name[2] > '3' {
		return 0, 0, false
	}
	return int(name[1] - '1'), int(name[2] - '1'), true
}

// datum reads one entry of a list: z, or x;y;z.
func (x *x3p) datum(value string) error {
	if value == "" {
		for range max(1, x.inDatum) {
			x.datums = append(x.datums, math.NaN())
		}
		return nil
	}
	parts := strings.Split(value, ";")
	if x.inDatum == 0 {
		if len(parts) != 1 && len(parts) != 3 {
			return fmt.Errorf("a Datum of %d numbers: z, or x;y;z, is read", len(parts))
		}
		if len(x.datums) > 0 && len(parts) == 3 {
			// Empty ones came first, before it was clear what they lack.
			missing := len(x.datums)
			for range 2 * missing {
				x.datums = append(x.datums, math.NaN())
			}
		}
		x.inDatum = len(parts)
	}
	if len(parts) != x.inDatum {
		return fmt.Errorf("a Datum of %d numbers among such of %d", len(parts), x.inDatum)
	}
	for _, p := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil {
			return fmt.Errorf("the Datum %s is not a number", quote(p))
		}
		x.datums = append(x.datums, v)
	}
	return nil
}

// verifyMain compares main.xml with its checksum file, where there is one.
func (x *x3p) verifyMain(text []byte) {
	f := x.find("md5checksum.hex")
	if f == nil || f.UncompressedSize64 > 1<<12 {
		return
	}
	b, err := x.unpack(f, int(f.UncompressedSize64))
	if err != nil {
		x.warn("the checksum of main.xml cannot be read")
		return
	}
	stated, _, _ := strings.Cut(strings.TrimSpace(string(b)), " ")
	x.verify("main.xml", text, stated)
}

func (x *x3p) verify(name string, b []byte, stated string) {
	if stated = strings.TrimSpace(stated); stated == "" {
		return
	}
	sum := md5.Sum(b)
	if is := hex.EncodeToString(sum[:]); !strings.EqualFold(is, stated) {
		x.warn("the checksum of %s is wrong: %s is stated, the content has %s", quote(name), quote(stated), is)
	}
}

// numbers are an axis' type, increment and offset; the increment is 1 where
// none stands.
func (a x3pAxis) numbers() (kd kind, increment, offset float64, err error) {
	kd, ok := map[string]kind{"": kindFloat64, "I": kindInt16, "L": kindInt32, "F": kindFloat32, "D": kindFloat64}[a.dataType]
	if !ok {
		return 0, 0, 0, fmt.Errorf("DataType %s is unknown: I, L, F or D is read", quote(a.dataType))
	}
	increment = 1
	if a.increment != "" {
		if increment, err = parseShifted(a.increment, 0); err != nil {
			return 0, 0, 0, fmt.Errorf("Increment: %w", err)
		}
	}
	if a.offset != "" {
		if offset, err = parseShifted(a.offset, 0); err != nil {
			return 0, 0, 0, fmt.Errorf("Offset: %w", err)
		}
	}
	if increment == 0 || increment-increment != 0 || offset-offset != 0 {
		return 0, 0, 0, fmt.Errorf("Increment is %s and Offset %s", quote(a.increment), quote(a.offset))
	}
	return kd, increment, offset, nil
}

func (x *x3p) data() (*Data, error) {
	switch x.feature {
	case "SUR", "PCL":
	case "PRF":
		return nil, errors.New("the file holds a profile (PRF): a line is not a face")
	default:
		return nil, fmt.Errorf("main.xml: FeatureType is %s: SUR or PCL is read", quote(x.feature))
	}
	for k, v := range x.rotation {
		unit := 0.0
		if k%4 == 0 {
			unit = 1
		}
		if r, err := strconv.ParseFloat(v, 64); v != "" && (err != nil || r != unit) {
			x.warn("the rotation that the file states is not applied")
			break
		}
	}
	incremental := x.axes[0].axisType != "A" && x.axes[1].axisType != "A" && x.inDatum != 3
	if x.feature == "SUR" && incremental {
		return x.surface()
	}
	return x.cloud()
}

// count multiplies the dimensions that main.xml states.
func (x *x3p) count() (n [3]int, err error) {
	n = [3]int{1, 1, 1}
	for k, text := range x.size {
		if text == "" {
			if k < 2 {
				return n, errors.New("main.xml: MatrixDimension is missing")
			}
			continue
		}
		v, err := strconv.ParseUint(text, 10, 31)
		if err != nil {
			return n, fmt.Errorf("main.xml: Size%c is %s: give a whole number", 'X'+k, quote(text))
		}
		n[k] = int(v)
	}
	return n, nil
}

// surface reads heights on a grid.
func (x *x3p) surface() (*Data, error) {
	n, err := x.count()
	if err != nil {
		return nil, err
	}
	if n[2] != 1 {
		return nil, fmt.Errorf("main.xml: %d layers: one is read", n[2])
	}
	g := Grid{NX: n[0], NY: n[1]}
	s := &stored{}
	var pitch, origin [2]float64 // mm
	for k, a := range x.axes[:2] {
		if a.increment == "" {
			return nil, fmt.Errorf("main.xml: axis C%c has no Increment", 'X'+k)
		}
		if _, s.pitch[k], s.origin[k], err = a.numbers(); err != nil {
			return nil, fmt.Errorf("main.xml: axis C%c: %w", 'X'+k, err)
		}
		if pitch[k], err = parseShifted(a.increment, 3); err == nil && a.offset != "" {
			origin[k], err = parseShifted(a.offset, 3)
		}
		if err != nil {
			return nil, fmt.Errorf("main.xml: axis C%c: %w", 'X'+k, err)
		}
	}
	g.DX, g.DY, g.X0, g.Y0 = pitch[0], pitch[1], origin[0], origin[1]
	if s.kind, s.scale, s.offset, err = x.axes[2].numbers(); err != nil {
		return nil, fmt.Errorf("main.xml: axis CZ: %w", err)
	}
	if err := checkLattice(g); err != nil {
		return nil, err
	}
	var valid []byte
	if x.datums != nil {
		if len(x.datums) != g.Cells() {
			return nil, fmt.Errorf("main.xml: %d heights where %d x %d are announced", len(x.datums), g.NX, g.NY)
		}
		s.kind, s.values = kindFloat64, make([]byte, 8*len(x.datums))
		for k, v := range x.datums {
			put(s.values, kindFloat64, k, v)
		}
	} else if s.values, valid, err = x.linked(g.Cells(), s.kind.size()); err != nil {
		return nil, err
	}
	d := &Data{Map: NewMap(g), stored: s}
	if err := s.heights(d.Map.Z, math.NaN(), valid); err != nil {
		return nil, err
	}
	if err := checkMap(d.Map); err != nil {
		return nil, err
	}
	return d, nil
}

// linked unpacks n records of binary data and their mask, nil where all are
// valid.
func (x *x3p) linked(n, size int) (values, valid []byte, err error) {
	if x.points == "" {
		return nil, nil, errors.New("main.xml: Record3 has neither a DataList nor a PointDataLink")
	}
	read := func(link, sum string, n int) ([]byte, error) {
		f := x.find(link)
		if f == nil {
			return nil, fmt.Errorf("the archive lacks %s, which main.xml names", quote(link))
		}
		b, err := x.unpack(f, n)
		if err == nil {
			x.verify(link, b, sum)
		}
		return b, err
	}
	if values, err = read(x.points, x.pointsMD5, n*size); err != nil {
		return nil, nil, err
	}
	if x.valid != "" {
		valid, err = read(x.valid, x.validMD5, (n+7)/8)
	}
	return values, valid, err
}

// cloud reads points with positions of their own: a point cloud, or a surface
// whose axes are absolute.
func (x *x3p) cloud() (*Data, error) {
	var kinds [3]kind
	var increment, offset [3]float64
	size := 0
	for k, a := range x.axes {
		kd, inc, off, err := a.numbers()
		if err != nil {
			return nil, fmt.Errorf("main.xml: axis C%c: %w", 'X'+k, err)
		}
		kinds[k] = kd
		shift := 3 // mm
		if k == 2 {
			shift = 6 // um
		}
		increment[k], offset[k] = shift10(inc, shift), shift10(off, shift)
		size += kd.size()
	}
	n, err := x.listLength()
	if err != nil {
		return nil, err
	}
	number := func(k, axis int) float64 { return x.datums[3*k+axis] }
	var valid []byte
	if x.datums != nil {
		if x.inDatum != 3 || len(x.datums) != 3*n {
			return nil, fmt.Errorf("main.xml: points need %d entries x;y;z", n)
		}
	} else {
		for k := range 2 {
			if x.axes[k].axisType != "A" {
				return nil, fmt.Errorf("main.xml: axis C%c of points is not absolute (AxisType A)", 'X'+k)
			}
		}
		var values []byte
		if values, valid, err = x.linked(n, size); err != nil {
			return nil, err
		}
		start := [3]int{0, kinds[0].size(), kinds[0].size() + kinds[1].size()}
		number = func(k, axis int) float64 {
			one := stored{kind: kinds[axis], values: values[k*size+start[axis]:]}
			return one.value(0)
		}
	}
	var p [3][]float64
	var from []int
	for k := range n {
		var v [3]float64
		missing := valid != nil && valid[k/8]>>(k%8)&1 == 0
		for axis := range v {
			v[axis] = float64(number(k, axis)*increment[axis]) + offset[axis]
			missing = missing || v[axis]-v[axis] != 0
		}
		if missing {
			continue
		}
		if math.Abs(v[0]) > MaxPositionMM || math.Abs(v[1]) > MaxPositionMM || math.Abs(v[2]) > MaxReadingUM {
			return nil, fmt.Errorf("point %d lies at (%.4g, %.4g, %.4g) m: are the increments and types right?", k+1, v[0]/1e3, v[1]/1e3, v[2]/1e6)
		}
		for axis := range v {
			p[axis] = append(p[axis], v[axis])
		}
		from = append(from, k+1)
	}
	d := &Data{}
	return d, d.fromPoints(p[0], p[1], p[2], func(k int) string { return fmt.Sprintf("point %d", from[k]) })
}

func (x *x3p) listLength() (int, error) {
	n := 0
	if x.list != "" {
		v, err := strconv.ParseUint(x.list, 10, 31)
		if err != nil {
			return 0, fmt.Errorf("main.xml: ListDimension is %s: give a whole number", quote(x.list))
		}
		n = int(v)
	} else {
		size, err := x.count()
		if err != nil {
			return 0, err
		}
		for k := range size {
			if size[k] > MaxPoints {
				return 0, fmt.Errorf("main.xml: Size%c is %d: at most %d points are read", 'X'+k, size[k], MaxPoints)
			}
		}
		if n = size[0] * size[1]; n <= MaxPoints {
			n *= size[2]
		}
	}
	if n < 3 || n > MaxPoints {
		return 0, fmt.Errorf("main.xml: %d points: 3 to %d are read", n, MaxPoints)
	}
	return n, nil
}

// WriteX3P writes d as X3P: its map as a surface, or its points as a cloud.
// Heights that were read from a file in metres keep their numbers, type, scale
// and offset; others stand in um beside an Increment of 1e-6.
func WriteX3P(w io.Writer, d *Data) error {
	z := zip.NewWriter(w)
	var err error
	if d.Map != nil {
		err = writeX3PSurface(z, d)
	} else {
		err = writeX3PCloud(z, d)
	}
	if err != nil {
		return err
	}
	return z.Close()
}

func writeX3PSurface(z *zip.Writer, d *Data) error {
	m, s := d.Map, d.record()
	if err := checkSide(m.NX, m.NY); err != nil {
		return err
	}
	kd := s.kind
	if kd == kindInt8 {
		kd = kindInt16
	}
	values := s.values
	valid := make([]byte, (len(m.Z)+7)/8)
	whole := true
	if kd != s.kind || m.Valid() < len(m.Z) {
		values = make([]byte, kd.size()*len(m.Z))
	}
	for k, h := range m.Z {
		v := math.NaN()
		if h == h {
			valid[k/8] |= 1 << (k % 8)
			v = s.value(k)
		} else if whole = false; kd == kindInt16 || kd == kindInt32 {
			v = 0
		}
		if &values[0] != &s.values[0] {
			put(values, kd, k, v)
		}
	}
	if whole {
		valid = nil
	}
	axes := x3pAxisXML("CX", "I", kindFloat64, metresText(s.pitch[0], m.DX), metresText(s.origin[0], m.X0)) +
		x3pAxisXML("CY", "I", kindFloat64, metresText(s.pitch[1], m.DY), metresText(s.origin[1], m.Y0)) +
		x3pAxisXML("CZ", "A", kd, shortest(s.scale), shortest(s.offset))
	size := fmt.Sprintf("<MatrixDimension><SizeX>%d</SizeX><SizeY>%d</SizeY><SizeZ>1</SizeZ></MatrixDimension>", m.NX, m.NY)
	return writeX3PParts(z, d.About, "SUR", axes, size, values, valid)
}

func writeX3PCloud(z *zip.Writer, d *Data) error {
	c := d.Cloud
	values := make([]byte, 24*len(c.Z))
	for k := range c.Z {
		put(values, kindFloat64, 3*k, c.X[k])
		put(values, kindFloat64, 3*k+1, c.Y[k])
		put(values, kindFloat64, 3*k+2, c.Z[k])
	}
	axes := x3pAxisXML("CX", "A", kindFloat64, "1e-3", "0") + x3pAxisXML("CY", "A", kindFloat64, "1e-3", "0") + x3pAxisXML("CZ", "A", kindFloat64, "1e-6", "0")
	return writeX3PParts(z, d.About, "PCL", axes, fmt.Sprintf("<ListDimension>%d</ListDimension>", len(c.Z)), values, nil)
}

func x3pAxisXML(name, axisType string, kd kind, increment, offset string) string {
	return fmt.Sprintf("      <%s>\n        <AxisType>%s</AxisType>\n        <DataType>%s</DataType>\n        <Increment>%s</Increment>\n        <Offset>%s</Offset>\n      </%s>\n",
		name, axisType, [...]string{"", "I", "L", "F", "D"}[kd], increment, offset, name)
}

// writeRecord2 writes what is said of where the heights come from, and nothing
// where that is nothing.
func writeRecord2(b *strings.Builder, about About) {
	if len(about) == 0 {
		return
	}
	b.WriteString("  <Record2>\n")
	group := ""
	for k, r := range record2 {
		if r.group != "" && r.group != group {
			fmt.Fprintf(b, "    <%s>\n", r.group)
		}
		group = r.group
		if v := about[r.name]; v != "" {
			fmt.Fprintf(b, "    <%s>", r.element)
			xml.EscapeText(b, []byte(v))
			fmt.Fprintf(b, "</%s>\n", r.element)
		}
		if r.group != "" && (k+1 == len(record2) || record2[k+1].group != r.group) {
			fmt.Fprintf(b, "    </%s>\n", r.group)
		}
	}
	b.WriteString("  </Record2>\n")
}

func writeX3PParts(z *zip.Writer, about About, feature, axes, size string, values, valid []byte) error {
	const points, mask = "bindata/data.bin", "bindata/valid.bin"
	var b strings.Builder
	b.WriteString(xml.Header)
	b.WriteString("<p:ISO5436_2 xmlns:p=\"http://www.opengps.eu/2008/ISO5436_2\">\n")
	fmt.Fprintf(&b, "  <Record1>\n    <Revision>ISO5436 - 2000</Revision>\n    <FeatureType>%s</FeatureType>\n    <Axes>\n%s    </Axes>\n  </Record1>\n", feature, axes)
	writeRecord2(&b, about)
	fmt.Fprintf(&b, "  <Record3>\n    %s\n    <DataLink>\n      <PointDataLink>%s</PointDataLink>\n      <MD5ChecksumPointData>%x</MD5ChecksumPointData>\n", size, points, md5.Sum(values))
	if valid != nil {
		fmt.Fprintf(&b, "      <ValidPointsLink>%s</ValidPointsLink>\n      <MD5ChecksumValidPoints>%x</MD5ChecksumValidPoints>\n", mask, md5.Sum(valid))
	}
	b.WriteString("    </DataLink>\n  </Record3>\n  <Record4>\n    <ChecksumFile>md5checksum.hex</ChecksumFile>\n  </Record4>\n</p:ISO5436_2>\n")
	parts := []struct {
		name    string
		content []byte
	}{
		{"main.xml", []byte(b.String())},
		{"md5checksum.hex", fmt.Appendf(nil, "%x *main.xml\n", md5.Sum([]byte(b.String())))},
		{points, values},
		{mask, valid},
	}
	for _, p := range parts {
		if p.content == nil {
			continue
		}
		f, err := z.Create(p.name)
		if err != nil {
			return err
		}
		if _, err := f.Write(p.content); err != nil {
			return err
		}
	}
	return nil
}
