package run

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// A run log is JSON Lines: a header, the entries in order, and, once signed off,
// a seal. Every line names the sum of the line before it and ends in its own,
// the SHA-256 of all its bytes up to that, so that a line altered, left out or
// swapped is found. That finds damage and edits; it does not stop a forger who
// simulates a run anew.

// Seal closes a run that is signed off: the digest of the heights at the end,
// the number of acts, and the marks it was given, for a program of another
// physics version to show.
type Seal struct {
	Digest string          `json:"digest"`
	Acts   int             `json:"acts"`
	Marks  json.RawMessage `json:"marks,omitempty"`
}

// line is what one line of a log carries, one of its first three fields.
type line struct {
	Header *Header `json:"header,omitempty"`
	Entry  *Entry  `json:"entry,omitempty"`
	Seal   *Seal   `json:"seal,omitempty"`
	Prev   string  `json:"prev,omitempty"`
}

// sumTail is what stands between a line's content and its sum: `,"sum":"` and,
// after 64 hexadecimal digits, `"}`.
const sumTail = `,"sum":"`

// Writer writes a log, one line a call.
type Writer struct {
	w    io.Writer
	prev string
}

// NewWriter writes the header of a log to w.
func NewWriter(w io.Writer, h Header) (*Writer, error) {
	l := &Writer{w: w}
	return l, l.write(line{Header: &h})
}

// Continue writes on after a log that was read.
func Continue(w io.Writer, l *Log) *Writer { return &Writer{w: w, prev: l.last} }

// Entry writes the line of an act that was done.
func (l *Writer) Entry(e Entry) error { return l.write(line{Entry: &e}) }

// Seal writes the last line.
func (l *Writer) Seal(s Seal) error { return l.write(line{Seal: &s}) }

func (l *Writer) write(content line) error {
	content.Prev = l.prev
	b, sum, err := encode(content)
	if err != nil {
		return err
	}
	if _, err := l.w.Write(b); err != nil {
		return err
	}
	l.prev = sum
	return nil
}

// encode is a line with its sum and end of line.
func encode(content line) (b []byte, sum string, err error) {
	b, err = json.Marshal(content)
	if err != nil {
		return nil, "", err
	}
	b = b[:len(b)-1]
	sum = sumOf(b)
	b = append(b, sumTail...)
	b = append(b, sum...)
	return append(b, '"', '}', '\n'), sum, nil
}

func sumOf(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}

// Sum is the sum of the header's line, by which a fork names the run that it is
// another way on of.
func (h Header) Sum() string {
	_, sum, err := encode(line{Header: &h})
	if err != nil {
		return ""
	}
	return sum
}

// Log is a run as it was read.
type Log struct {
	Header  Header
	Entries []Entry
	Seal    *Seal
	// Torn is the number of a last line that was only half written and has been
	// dropped, 0 when there is none; Good is the length in bytes of what stands.
	Torn int
	Good int64

	last string
}

// SignedOff reports whether the run of the log has come to its end.
func (l *Log) SignedOff() bool {
	n := len(l.Entries)
	return n > 0 && l.Entries[n-1].Act.SignOff != nil
}

// Fork is the header of another way on from this run after its first n acts. It is a
// practice, whatever the run was: a scored run has no other way before it is signed
// off, for there is no undo on iron, and what is tried after that is not scored.
func (l *Log) Fork(n int) (Header, error) {
	switch {
	case l.Header.Setup.Scored && !l.SignedOff():
		return Header{}, errors.New("a scored run cannot be forked before it is signed off")
	case n < 0 || n > len(l.Entries):
		return Header{}, fmt.Errorf("fork: after %d acts of %d", n, len(l.Entries))
	}
	h := l.Header
	h.Fork = &Fork{Of: l.Header.Sum(), Acts: n}
	h.Setup.Scored = false
	return h, nil
}

// Sum is that of the last line, which no other log has that differs in any line; of a
// log that was not read it is empty.
func (l *Log) Sum() string { return l.last }

// maxLine bounds a line: a header may hold a part's own readings.
const maxLine = 256 << 20

// Read reads a log. A last line without its end that does not fit its sum is
// dropped and said in Torn; anything else that does not fit is refused with its
// line number.
func Read(in io.Reader) (*Log, error) {
	l := &Log{}
	r := bufio.NewReaderSize(in, 64<<10)
	for n := 1; ; n++ {
		b, err := readLine(r)
		if errors.Is(err, io.EOF) && len(b) == 0 {
			break
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		ended := err == nil
		if err := l.take(n, bytes.TrimSuffix(b, []byte("\n"))); err != nil {
			if !ended && n > 1 && l.Seal == nil {
				l.Torn = n
				break
			}
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		l.Good += int64(len(b))
		if !ended {
			break
		}
	}
	if l.last == "" {
		return nil, errors.New("line 1: the file is empty: a run begins with a header")
	}
	return l, nil
}

func readLine(r *bufio.Reader) ([]byte, error) {
	var b []byte
	for {
		part, err := r.ReadSlice('\n')
		b = append(b, part...)
		if len(b) > maxLine {
			return nil, fmt.Errorf("longer than %d MiB: this is no run", maxLine>>20)
		}
		if !errors.Is(err, bufio.ErrBufferFull) {
			return b, err
		}
	}
}

// take checks one line and adds it.
func (l *Log) take(n int, b []byte) error {
	if l.Seal != nil {
		return errors.New("stands after the seal: nothing may follow it")
	}
	const tail = len(sumTail) + 64 + 2
	if len(b) < tail || !bytes.Equal(b[len(b)-tail:len(b)-tail+len(sumTail)], []byte(sumTail)) || !bytes.HasSuffix(b, []byte(`"}`)) {
		return errors.New("does not end in its sum: this is no line of a run, or it was altered")
	}
	content, sum := b[:len(b)-tail], string(b[len(b)-66:len(b)-2])
	if sumOf(content) != sum {
		return errors.New("does not fit its own sum: it was altered")
	}
	var c line
	d := json.NewDecoder(bytes.NewReader(append(content[:len(content):len(content)], '}')))
	d.DisallowUnknownFields()
	if err := d.Decode(&c); err != nil {
		return fmt.Errorf("cannot be read: %w", err)
	}
	if c.Prev != l.last {
		return errors.New("does not follow the line before it: a line was left out, swapped or altered")
	}
	set := 0
	if c.Header != nil {
		set++
	}
	if c.Entry != nil {
		set++
	}
	if c.Seal != nil {
		set++
	}
	switch {
	case set != 1:
		return errors.New("is not one of header, entry and seal")
	case (n == 1) != (c.Header != nil):
		return errors.New("the header belongs on line 1, and there alone")
	case c.Header != nil:
		l.Header = *c.Header
	case c.Entry != nil:
		if c.Entry.N != len(l.Entries)+1 {
			return fmt.Errorf("is act %d where act %d should stand", c.Entry.N, len(l.Entries)+1)
		}
		l.Entries = append(l.Entries, *c.Entry)
	default:
		l.Seal = c.Seal
	}
	l.last = sum
	return nil
}

// ErrOtherPhysics says that a run was made under another physics version, so
// that it cannot be re-checked.
var ErrOtherPhysics = errors.New("not re-checked: the run was made under another physics version")

// Replay makes the run of a log again, act by act, calling after (when not nil)
// with the run before the first act and after each. It refuses a run of another
// physics version (ErrOtherPhysics), an act that comes out otherwise than
// recorded (*Differs) and a digest that does not fit.
func Replay(l *Log, after func(*Run, *Entry) error) (*Run, error) {
	if l.Header.Physics != Physics {
		return nil, ErrOtherPhysics
	}
	r, err := Begin(l.Header)
	if err != nil {
		return nil, err
	}
	r.closed = l.SignedOff()
	if after == nil {
		after = func(*Run, *Entry) error { return nil }
	}
	if err := after(r, nil); err != nil {
		return nil, err
	}
	for k := range l.Entries {
		if err := r.RepeatOne(l.Entries[k]); err != nil {
			return nil, err
		}
		if err := after(r, &l.Entries[k]); err != nil {
			return nil, err
		}
	}
	if s := l.Seal; s != nil {
		if s.Acts != len(l.Entries) || !r.signed {
			return nil, fmt.Errorf("the seal speaks of %d acts, signed off, and the run has %d", s.Acts, len(l.Entries))
		}
		if d := r.Digest(); d != s.Digest {
			return nil, &DigestDiffers{Want: s.Digest, Got: d}
		}
	}
	return r, nil
}

// DigestDiffers says that a run made again ends in other heights.
type DigestDiffers struct{ Want, Got string }

func (d *DigestDiffers) Error() string {
	return fmt.Sprintf("the heights at the end differ from the seal: digest %.12s, sealed %.12s", d.Got, d.Want)
}
