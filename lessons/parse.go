package lessons

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"reflect"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Bounds of a lesson file.
const (
	maxBytes   = 1 << 16
	maxDepth   = 20
	maxHeading = 80   // characters of title
	maxProse   = 6000 // characters of each of the longer texts
)

// Parse reads a lesson file. Errors are one line: name:line:column: what is
// wrong. It refuses what it does not know; whether the job makes sense is for
// Check to say.
func Parse(name string, content []byte) (*Lesson, error) {
	l := &Lesson{}
	if err := decode(content, l); err != nil {
		return nil, located(name, err)
	}
	if err := l.checkWords(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return l, nil
}

func decode(content []byte, into *Lesson) (err error) {
	// The YAML package panics on some of what is no YAML: a lesson is somebody's
	// file, and a bad one must not end the program.
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("this cannot be read as YAML (%v)", p)
		}
	}()
	if len(content) > maxBytes {
		return fmt.Errorf("%d bytes are too many for a lesson: at most %d", len(content), maxBytes)
	}
	if line := badText(content); line > 0 {
		return fmt.Errorf("line %d is not plain text in UTF-8: save the lesson as UTF-8", line)
	}
	if line := deeperThan(content, maxDepth); line > 0 {
		return fmt.Errorf("line %d opens more than %d brackets: a lesson has no such depth", line, maxDepth)
	}
	file, err := parser.ParseBytes(content, 0)
	if err != nil {
		return err
	}
	if len(file.Docs) != 1 || file.Docs[0].Body == nil {
		return errors.New("give one lesson: the file holds none, or more than one")
	}
	var plain onlyPlain
	ast.Walk(&plain, file.Docs[0].Body)
	if plain.err != nil {
		return plain.err
	}
	err = yaml.NewDecoder(bytes.NewReader(content), yaml.Strict()).Decode(into)
	if errors.Is(err, io.EOF) {
		return errors.New("give one lesson: the file is empty")
	}
	return err
}

// badText is the first line that holds bytes that are no text, or 0.
func badText(content []byte) int {
	line := 1
	for len(content) > 0 {
		r, n := utf8.DecodeRune(content)
		switch {
		case r == '\n':
			line++
		case r == utf8.RuneError && n <= 1, unicode.IsControl(r) && r != '\r' && r != '\t':
			return line
		}
		content = content[n:]
	}
	return 0
}

// deeperThan is the first line on which more than n brackets stand open, or 0.
// Brackets in prose count too, so n leaves room.
func deeperThan(content []byte, n int) int {
	line, open := 1, 0
	for _, b := range content {
		switch b {
		case '\n':
			line++
		case '[', '{':
			if open++; open > n {
				return line
			}
		case ']', '}':
			open = max(0, open-1)
		}
	}
	return 0
}

// onlyPlain refuses the parts of YAML that a lesson has no use for: one figure
// stands in one place.
type onlyPlain struct{ err error }

func (p *onlyPlain) Visit(n ast.Node) ast.Visitor {
	if p.err != nil {
		return nil
	}
	switch n := n.(type) {
	case *ast.AnchorNode, *ast.AliasNode, *ast.MergeKeyNode:
		p.err = &misplaced{n.GetToken(), "anchors and aliases are not read in lessons: write the value out"}
	case *ast.TagNode:
		p.err = &misplaced{n.GetToken(), "tags are not read in lessons: write the value plainly"}
	case *ast.MappingValueNode:
		list, ok := n.Value.(*ast.SequenceNode)
		if pairs[n.Key.String()] && (!ok || len(list.Values) != 2) {
			p.err = &misplaced{n.Value.GetToken(), n.Key.String() + ": give the least and the most, such as [30, 50]"}
		}
	}
	return p
}

// pairs are the fields that hold two figures, which the YAML package neither
// demands nor bounds.
var pairs = map[string]bool{"area_pct": true, "bare_um": true}

type misplaced struct {
	at   *token.Token
	what string
}

func (m *misplaced) Error() string { return m.what }

// located puts name, line and column before what the reader said.
func located(name string, err error) error {
	var at *token.Token
	message := err.Error()
	var m *misplaced
	var y yaml.Error
	switch {
	case errors.As(err, &m):
		at = m.at
	case errors.As(err, &y):
		at, message = y.GetToken(), y.GetMessage()
	}
	var wrong *yaml.TypeError
	if errors.As(err, &wrong) {
		message = kindOf(wrong.DstType) + " is wanted here"
	}
	message = strings.Join(strings.Fields(message), " ")
	if at == nil || at.Position == nil {
		return fmt.Errorf("%s: %s", name, message)
	}
	return fmt.Errorf("%s:%d:%d: %s", name, at.Position.Line, at.Position.Column, message)
}

// kindOf says in plain words what a field holds.
func kindOf(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Int, reflect.Int64:
		return "a whole number"
	case reflect.Uint64:
		return "a whole number from 0"
	case reflect.Float64:
		return "a number"
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	case reflect.Slice, reflect.Array:
		return "a list"
	}
	return "a group of fields"
}

var idRule = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)

// reservedIDs are words that the lessons command takes for something else.
var reservedIDs = map[string]bool{"check": true, "print": true, "show": true}

// checkWords reports the first thing that is wrong with the lesson's words.
func (l *Lesson) checkWords() error {
	if !idRule.MatchString(l.ID) || len(l.ID) > 40 {
		return fmt.Errorf("id is %q: give small letters and digits, joined by hyphens, such as flat-foot", l.ID)
	}
	if reservedIDs[l.ID] {
		return fmt.Errorf("id is %q, which is a command: choose another", l.ID)
	}
	if l.Order < 1 || l.Order > 9999 {
		return fmt.Errorf("order is %d: give the place in the course, 1 to 9999", l.Order)
	}
	for _, w := range []struct {
		field, text string
		most        int
		line        bool
	}{
		{"title", l.Title, maxHeading, true}, {"aim", l.Aim, 2 * maxHeading, true},
		{"brief", l.Brief, maxProse, false}, {"guidance", l.Guidance, maxProse, false}, {"debrief", l.Debrief, maxProse, false},
	} {
		switch n := utf8.RuneCountInString(w.text); {
		case strings.TrimSpace(w.text) == "":
			return fmt.Errorf("%s is missing: a lesson needs id, order, title, aim, brief, guidance, debrief and setup", w.field)
		case n > w.most:
			return fmt.Errorf("%s has %d characters: at most %d", w.field, n, w.most)
		case w.line && strings.Contains(strings.TrimSpace(w.text), "\n"):
			return fmt.Errorf("%s must stand on one line", w.field)
		}
	}
	return nil
}
