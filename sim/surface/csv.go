package surface

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// maxLine bounds one line of a CSV file, bytes.
const maxLine = 1 << 22

// ReadCSV reads measured heights from comma, semicolon or tab separated text.
//
// Points: three columns x, y, z, with or without a row of names (x,y,z in any
// order; a unit may follow, as in z_um or "z (mm)"). x and y are mm unless their
// columns say in.
//
// A matrix: a line "# pitch_mm: P" or "# pitch_mm: PX,PY" stands above bare
// rows of heights; the first row is y = 0 and the first column x = 0 unless a
// line "# origin_mm: X,Y" says otherwise. Both may be in inches: "# pitch_in: 1". An empty cell is missing. Lines such as
// "# about_maker: M" say where the heights come from (see About).
//
// Lines that begin with # are comments; one that says "units mm" or "z unit:
// tenth" states the unit of z. With semicolons or tabs a comma inside a number
// is a decimal comma. A height that is empty, NaN or infinite is missing.
//
// Points that stand on a regular lattice, or on part of one, also make a Map.
// Errors are one line and name the line of the file.
func ReadCSV(r io.Reader, opt ReadOptions) (*Data, error) {
	if opt.Unit != "" {
		if _, ok := UnitUM(opt.Unit); !ok {
			return nil, fmt.Errorf("unit %q is unknown: take um, mm, in, thou or tenth", opt.Unit)
		}
	}
	var c csvReader
	in := bufio.NewReaderSize(r, 1<<16)
	for n := 1; ; n++ {
		line, err := readLine(in)
		if err != nil && err != io.EOF {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		if n == 1 {
			line = bytes.TrimPrefix(line, []byte("\ufeff"))
		}
		if e := c.line(n, line); e != nil {
			return nil, fmt.Errorf("line %d: %w", n, e)
		}
		if err == io.EOF {
			break
		}
	}
	return c.finish(opt)
}

func readLine(in *bufio.Reader) ([]byte, error) {
	var line []byte
	for {
		part, err := in.ReadSlice('\n')
		line = append(line, part...)
		if len(line) > maxLine {
			return nil, fmt.Errorf("more than %d bytes in one line: is this a CSV file?", maxLine)
		}
		if err != bufio.ErrBufferFull {
			return bytes.TrimSuffix(bytes.TrimSuffix(line, []byte("\n")), []byte("\r")), err
		}
	}
}

type csvReader struct {
	separator rune // 0 until the first row

	pitch, origin [2]float64
	pitchLine     int
	originLine    int

	about    [][2]string // names and values
	unit     string      // of z, as stated
	unitLine int

	columns   int // of every row; 0 until the first
	firstLine int
	points    bool       // rows are points
	named     bool       // their columns have names
	order     [3]int     // columns of x, y and z
	toMM      [2]float64 // what x and y are multiplied by; 0 where their columns state no unit

	x, y, z   []float64 // z alone for a matrix, in the unit of the file
	rows      int
	rowLine   []int32 // matrix: line of each row
	pointLine []int32 // points: line of each point
}

func (c *csvReader) line(n int, line []byte) error {
	for k, b := range line {
		if b < ' ' && b != '\t' {
			return fmt.Errorf("byte %d is %#02x: this is not a text file; save the heights as CSV in UTF-8", k+1, b)
		}
	}
	text := bytes.TrimLeft(line, " \t")
	if len(text) > 0 && text[0] == '#' {
		return c.comment(n, string(text[1:]))
	}
	if len(bytes.TrimSpace(line)) == 0 && !c.tabsAreCells(line) {
		return nil
	}
	return c.row(n, line)
}

// tabsAreCells tells a row of empty cells from a blank line.
func (c *csvReader) tabsAreCells(blank []byte) bool {
	matrix := c.separator == '\t' || c.separator == 0 && c.pitchLine > 0
	return matrix && bytes.IndexByte(blank, '\t') >= 0
}

// comment takes pitch, origin and unit from a comment line.
func (c *csvReader) comment(n int, text string) error {
	name, value := text, ""
	if k := strings.IndexAny(text, ":="); k >= 0 {
		name, value = text[:k], text[k+1:]
	}
	switch key := strings.ToLower(strings.TrimSpace(name)); key {
	case "pitch_mm", "pitch_in":
		p, err := pair(key, value)
		if err != nil {
			return err
		}
		if len(p) == 1 {
			p = append(p, p[0])
		}
		if !(p[0] >= MinPitchMM && p[1] >= MinPitchMM) {
			return fmt.Errorf("%s is %s: give a pitch above 0 (from %g mm)", key, strings.TrimSpace(value), MinPitchMM)
		}
		if c.columns > 0 {
			return fmt.Errorf("%s stands below the first row (line %d): move it above", key, c.firstLine)
		}
		if c.pitchLine > 0 {
			return fmt.Errorf("%s is stated again (line %d)", key, c.pitchLine)
		}
		c.pitch, c.pitchLine = [2]float64{p[0], p[1]}, n
		return nil
	case "origin_mm", "origin_in":
		p, err := pair(key, value)
		if err == nil && len(p) != 2 {
			err = fmt.Errorf("%s: give X,Y", key)
		}
		if err != nil {
			return err
		}
		if c.originLine > 0 {
			return fmt.Errorf("%s is stated again (line %d)", key, c.originLine)
		}
		c.origin, c.originLine = [2]float64{p[0], p[1]}, n
		return nil
	}
	if about, ok := strings.CutPrefix(strings.ToLower(strings.TrimSpace(name)), aboutPrefix); ok {
		// The value as it stands: one blank belongs to the line.
		c.about = append(c.about, [2]string{about, strings.TrimPrefix(value, " ")})
		return nil
	}
	unit, err := statedUnit(text)
	if err != nil || unit == "" {
		return err
	}
	return c.state(n, unit)
}

func (c *csvReader) state(n int, unit string) error {
	if c.unit != "" && c.unit != unit {
		return fmt.Errorf("the heights are said to be in %s, but line %d says %s", unit, c.unitLine, c.unit)
	}
	c.unit, c.unitLine = unit, n
	return nil
}

// pair reads one or two positions in the unit in which their name ends, and gives
// them in mm.
func pair(name, text string) ([]float64, error) {
	toMM := 1.0
	if strings.HasSuffix(name, "_in") {
		toMM = inchMM
	}
	var out []float64
	for _, f := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == '\t' || r == ' ' }) {
		v, err := strconv.ParseFloat(f, 64)
		if v *= toMM; err != nil || !(math.Abs(v) <= MaxPositionMM) {
			return nil, fmt.Errorf("%s: %s is not a length", name, quote(f))
		}
		out = append(out, v)
	}
	if len(out) < 1 || len(out) > 2 {
		return nil, fmt.Errorf("%s: give one or two lengths", name)
	}
	return out, nil
}

// statedUnit finds a statement of the unit of z in a comment: "units mm", "z
// unit: tenth", "heights in um". Empty when there is none.
func statedUnit(comment string) (string, error) {
	for _, sentence := range strings.FieldsFunc(comment, func(r rune) bool { return r == ';' || r == '.' }) {
		words := strings.FieldsFunc(strings.ToLower(sentence), func(r rune) bool {
			return strings.ContainsRune(" \t,:=()[]_\"'", r)
		})
		general, ofZ := "", ""
		for k, w := range words {
			switch w {
			case "unit", "units", "height", "heights", "reading", "readings", "value", "values", "dimension", "dimensions":
				if u := unitAfter(words[k+1:]); u != "" && general == "" {
					general = u
				}
			case "z":
				if u := unitAfter(words[k+1:]); u != "" && ofZ == "" {
					ofZ = u
				}
			}
		}
		if ofZ != "" {
			return ofZ, nil
		}
		if general == "" {
			continue
		}
		for _, w := range words {
			if u := canonicalUnit(w); u != "in" && u != general && units[u] > 0 {
				return "", fmt.Errorf("the comment names both %s and %s: write \"z unit: %s\" for the heights", general, u, general)
			}
		}
		return general, nil
	}
	return "", nil
}

// unitAfter is the unit that a list of words opens with, small words skipped;
// "in" is the inch only where nothing follows it.
func unitAfter(words []string) string {
	for k, w := range words {
		switch u := canonicalUnit(w); {
		case w == "is" || w == "are" || w == "unit" || w == "units" || w == "given" || w == "measured":
		case u == "in" && w == "in" && k+1 < len(words):
		case units[u] > 0:
			return u
		default:
			return ""
		}
	}
	return ""
}

func (c *csvReader) row(n int, line []byte) error {
	text := string(line)
	if c.separator == 0 {
		c.separator = ','
		switch {
		case strings.ContainsRune(text, ';'):
			c.separator = ';'
		case strings.ContainsRune(text, '\t'):
			c.separator = '\t'
		}
	}
	count := strings.Count(text, string(c.separator)) + 1
	if c.columns == 0 {
		names, err := c.open(n, text, count)
		if err != nil || names {
			return err
		}
	}
	if count != c.columns {
		return fmt.Errorf("%s where line %d has %d", columns(count), c.firstLine, c.columns)
	}
	if c.points {
		return c.point(n, strings.Split(text, string(c.separator)))
	}
	return c.matrixRow(n, text)
}

func columns(n int) string {
	if n == 1 {
		return "1 column"
	}
	return fmt.Sprintf("%d columns", n)
}

// open decides from the first row what the file holds; names reports that the
// row held the names of the columns.
func (c *csvReader) open(n int, text string, count int) (names bool, err error) {
	c.columns, c.firstLine = count, n
	if count > MaxSide {
		return false, fmt.Errorf("%d columns are too many: at most %d", count, MaxSide)
	}
	fields := []string{text}
	if count <= 3 {
		fields = strings.Split(text, string(c.separator))
	}
	if count == 3 && nameOf(fields[0]) != "" && nameOf(fields[1]) != "" && nameOf(fields[2]) != "" {
		c.points, c.named = true, true
		return true, c.header(n, fields)
	}
	if c.pitchLine > 0 {
		if count < 2 {
			return false, fmt.Errorf("%s of heights: a face needs at least 2 (separate them by commas)", columns(count))
		}
		return false, nil
	}
	if count != 3 {
		if count == 1 && len(strings.Fields(text)) > 1 {
			return false, errors.New("the numbers are parted by blanks: part them by commas, semicolons or tabs")
		}
		return false, fmt.Errorf("%s: points need x,y,z; a matrix of heights needs a line \"# pitch_mm: 0.2\" above it", columns(count))
	}
	c.points, c.order = true, [3]int{0, 1, 2}
	return false, nil
}

// nameOf is x, y or z when the field is the name of a column.
func nameOf(field string) string {
	f := strings.ToLower(clean(field))
	if f == "" || !strings.ContainsRune("xyz", rune(f[0])) {
		return ""
	}
	if r, _ := utf8.DecodeRuneInString(f[1:]); r >= 'a' && r <= 'z' {
		return ""
	}
	return f[:1]
}

func (c *csvReader) header(n int, fields []string) error {
	seen := map[string]bool{}
	for k, f := range fields {
		name := nameOf(f)
		if seen[name] {
			return fmt.Errorf("two columns are called %s: name them x, y and z", name)
		}
		seen[name] = true
		c.order[strings.Index("xyz", name)] = k
		rest := strings.TrimFunc(clean(f)[1:], func(r rune) bool { return strings.ContainsRune(" _-()[]/,.:", r) })
		if rest == "" {
			continue
		}
		unit := canonicalUnit(rest)
		if _, ok := units[unit]; !ok {
			return fmt.Errorf("column %s has the unit %s: take um, mm, in, thou or tenth", name, quote(rest))
		}
		if name != "z" {
			if unit != "mm" && unit != "in" {
				return fmt.Errorf("column %s is in %s: positions must be in mm or in", name, unit)
			}
			c.toMM[strings.Index("xy", name)] = units[unit] / 1000
			continue
		}
		if err := c.state(n, unit); err != nil {
			return err
		}
	}
	return nil
}

func (c *csvReader) point(n int, fields []string) error {
	if len(c.x) >= MaxPoints {
		return fmt.Errorf("more than %d points", MaxPoints)
	}
	var v [3]float64
	for k := range v {
		var err error
		if v[k], err = c.number(fields[c.order[k]], c.order[k]+1); err != nil {
			return err
		}
		if k < 2 && c.toMM[k] != 0 {
			v[k] *= c.toMM[k]
		}
		if k < 2 && !(math.Abs(v[k]) <= MaxPositionMM) {
			return fmt.Errorf("column %d: the position %s is not a length (at most %g mm)", c.order[k]+1, quote(fields[c.order[k]]), MaxPositionMM)
		}
	}
	c.x, c.y, c.z = append(c.x, v[0]), append(c.y, v[1]), append(c.z, v[2])
	c.pointLine = append(c.pointLine, int32(n))
	return nil
}

func (c *csvReader) matrixRow(n int, text string) error {
	if c.rows >= MaxSide || len(c.z)+c.columns > MaxCells {
		return fmt.Errorf("more than %d rows or %d heights", MaxSide, MaxCells)
	}
	separator := string(c.separator)
	for k := range c.columns {
		field, rest, _ := strings.Cut(text, separator)
		v, err := c.number(field, k+1)
		if err != nil {
			return err
		}
		c.z = append(c.z, v)
		text = rest
	}
	c.rows++
	c.rowLine = append(c.rowLine, int32(n))
	return nil
}

// number reads one field; NaN where it is empty, NaN or infinite.
func (c *csvReader) number(field string, column int) (float64, error) {
	f := clean(field)
	if f == "" {
		return math.NaN(), nil
	}
	if c.separator != ',' && !strings.ContainsRune(f, '.') {
		f = strings.Replace(f, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(f, 64)
	switch {
	case errors.Is(err, strconv.ErrRange):
		return 0, fmt.Errorf("column %d: %s is too large a number", column, quote(f))
	case err != nil:
		return 0, fmt.Errorf("column %d: %s is not a number", column, quote(f))
	case math.IsInf(v, 0):
		return math.NaN(), nil
	}
	return v, nil
}

// clean strips blanks and one pair of quotes.
func clean(field string) string {
	f := strings.TrimSpace(field)
	if len(f) >= 2 && f[0] == '"' && f[len(f)-1] == '"' {
		f = strings.TrimSpace(f[1 : len(f)-1])
	}
	return f
}

// quote shows what stood in a file, cut short.
func quote(s string) string {
	if len(s) > 40 {
		s = s[:40] + "..."
	}
	return strconv.Quote(s)
}

func (c *csvReader) finish(opt ReadOptions) (*Data, error) {
	if len(c.z) == 0 {
		return nil, errors.New("no heights: give rows x,y,z or a matrix below a line \"# pitch_mm: 0.2\"")
	}
	d := &Data{Unit: "um", UnitStated: c.unit != "" || opt.Unit != ""}
	if c.unit != "" {
		d.Unit = c.unit
	}
	if opt.Unit != "" {
		if asked := canonicalUnit(opt.Unit); c.unit != "" && asked != c.unit {
			d.Warnings = append(d.Warnings, fmt.Sprintf("line %d states heights in %s: the unit that was asked for, %s, overrides it", c.unitLine, c.unit, asked))
		}
		d.Unit = canonicalUnit(opt.Unit)
	}
	c.sayAbout(d)
	if c.points && c.toMM == [2]float64{} && (d.Unit == "in" || d.Unit == "thou" || d.Unit == "tenth") {
		d.Warnings = append(d.Warnings, "x and y are taken in mm: if they are inches, name their columns x_in and y_in")
	}
	for k := range c.z {
		z := c.z[k] * units[d.Unit]
		if math.Abs(z) > MaxReadingUM {
			return nil, fmt.Errorf("line %d: a height of %g %s is beyond 1 km: is the unit right?", c.lineOf(k), c.z[k], d.Unit)
		}
		c.z[k] = z
	}
	if !c.points {
		return c.finishMatrix(d)
	}
	return c.finishPoints(d)
}

func (c *csvReader) lineOf(k int) int32 {
	if c.points {
		return c.pointLine[k]
	}
	return c.rowLine[k/c.columns]
}

func (c *csvReader) finishMatrix(d *Data) (*Data, error) {
	// The room that the heights grew into is given back: they are kept as long as the part.
	d.Map = &Map{Z: slices.Clone(c.z), Grid: Grid{NX: c.columns, NY: c.rows, DX: c.pitch[0], DY: c.pitch[1], X0: c.origin[0], Y0: c.origin[1]}}
	if err := checkLattice(d.Map.Grid); err != nil {
		return nil, err
	}
	if err := checkMap(d.Map); err != nil {
		return nil, err
	}
	return d, nil
}

func (c *csvReader) finishPoints(d *Data) (*Data, error) {
	err := d.fromPoints(c.x, c.y, c.z, func(k int) string { return fmt.Sprintf("line %d", c.pointLine[k]) })
	if errors.Is(err, errOneLine) && !c.named {
		return nil, fmt.Errorf("%w; a matrix of heights needs a line such as \"# pitch_mm: 10\" above it", err)
	}
	if err != nil {
		return nil, err
	}
	if !c.named && len(c.z) <= fewRows && (d.Map == nil || 2*d.Map.Valid() < d.Map.Cells()) {
		d.Warnings = append(d.Warnings, "rows of three numbers without names are read as points x,y,z: if they are a matrix of heights, write a line such as \"# pitch_mm: 10\" above them")
	}
	return d, nil
}

// fewRows is up to how many rows of three numbers, without names and on no lattice of
// which they fill half, may as well be a matrix of heights (assumed).
const fewRows = 50

// aboutPrefix begins a comment that says where the heights come from.
const aboutPrefix = "about_"

// sayAbout keeps what the comments say, the lines of one name joined.
func (c *csvReader) sayAbout(d *Data) {
	for _, name := range aboutNames {
		var lines []string
		for _, a := range c.about {
			if a[0] == name {
				lines = append(lines, a[1])
			}
		}
		if lines != nil {
			d.say(name, strings.Join(lines, "\n"))
		}
	}
}

// writeAbout writes comments that sayAbout reads.
func writeAbout(out *bytes.Buffer, a About) {
	for _, name := range aboutNames {
		if a[name] == "" {
			continue
		}
		for _, line := range strings.Split(a[name], "\n") {
			fmt.Fprintf(out, "# %s%s: %s\n", aboutPrefix, name, line)
		}
	}
}

// WriteCSV writes m as a matrix of um below its pitch and origin, an empty
// cell where a height is missing. ReadCSV gives back every bit.
func WriteCSV(w io.Writer, m *Map) error {
	if err := checkSide(m.NX, m.NY); err != nil {
		return err
	}
	out := bufio.NewWriterSize(w, 1<<16)
	number := func(v float64) { out.Write(strconv.AppendFloat(out.AvailableBuffer(), v, 'g', -1, 64)) }
	pairLine := func(name string, a, b float64) {
		out.WriteString("# " + name + ": ")
		number(a)
		if a != b || name == "origin_mm" {
			out.WriteByte(',')
			number(b)
		}
		out.WriteByte('\n')
	}
	pairLine("pitch_mm", m.DX, m.DY)
	if m.X0 != 0 || m.Y0 != 0 {
		pairLine("origin_mm", m.X0, m.Y0)
	}
	out.WriteString("# unit: um\n")
	for j := range m.NY {
		for i := range m.NX {
			if i > 0 {
				out.WriteByte(',')
			}
			if z := m.At(i, j); z == z {
				number(z)
			}
		}
		out.WriteByte('\n')
	}
	return out.Flush()
}

// WriteCloudCSV writes scattered points as x_mm,y_mm,z_um rows.
func WriteCloudCSV(w io.Writer, c *Cloud) error {
	out := bufio.NewWriterSize(w, 1<<16)
	out.WriteString("x_mm,y_mm,z_um\n")
	for k := range c.Z {
		b := out.AvailableBuffer()
		b = strconv.AppendFloat(b, c.X[k], 'g', -1, 64)
		b = append(b, ',')
		b = strconv.AppendFloat(b, c.Y[k], 'g', -1, 64)
		b = append(b, ',')
		b = strconv.AppendFloat(b, c.Z[k], 'g', -1, 64)
		out.Write(append(b, '\n'))
	}
	return out.Flush()
}
