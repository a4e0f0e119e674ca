// Package strict reads the files that people write, YAML of the plainest kind:
// what it does not know it refuses, in one line that says where.
package strict

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Bounds of a file.
const (
	maxBytes = 1 << 16
	maxDepth = 20
)

// YAML reads content into what into points at. A kind, such as "lesson", names it
// in errors, which are one line: name:line:column: what is wrong. Fields listed in
// pairs must hold exactly two figures, which the YAML package neither demands nor
// bounds.
func YAML(kind, name string, content []byte, pairs []string, into any) error {
	if err := decode(kind, content, pairs, into); err != nil {
		return located(name, err)
	}
	return nil
}

func decode(kind string, content []byte, pairs []string, into any) (err error) {
	// The YAML package panics on some of what is no YAML, and a bad file must not
	// end the program.
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("this cannot be read as YAML (%v)", p)
		}
	}()
	if len(content) > maxBytes {
		return fmt.Errorf("%d bytes are too many for a %s: at most %d", len(content), kind, maxBytes)
	}
	if line := badText(content); line > 0 {
		return fmt.Errorf("line %d is not plain text in UTF-8: save the %s as UTF-8", line, kind)
	}
	if line := deeperThan(content, maxDepth); line > 0 {
		return fmt.Errorf("line %d opens more than %d brackets: a %s has no such depth", line, maxDepth, kind)
	}
	file, err := parser.ParseBytes(content, 0)
	if err != nil {
		return err
	}
	if len(file.Docs) != 1 || file.Docs[0].Body == nil {
		return fmt.Errorf("give one %s: the file holds none, or more than one", kind)
	}
	plain := onlyPlain{kind: kind, pairs: map[string]bool{}}
	for _, p := range pairs {
		plain.pairs[p] = true
	}
	ast.Walk(&plain, file.Docs[0].Body)
	if plain.err != nil {
		return plain.err
	}
	err = yaml.NewDecoder(bytes.NewReader(content), yaml.Strict()).Decode(into)
	if errors.Is(err, io.EOF) {
		return fmt.Errorf("give one %s: the file is empty", kind)
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

// onlyPlain refuses the parts of YAML for which such a file has no use: one
// figure stands in one place.
type onlyPlain struct {
	kind  string
	pairs map[string]bool
	err   error
}

func (p *onlyPlain) Visit(n ast.Node) ast.Visitor {
	if p.err != nil {
		return nil
	}
	switch n := n.(type) {
	case *ast.AnchorNode, *ast.AliasNode, *ast.MergeKeyNode:
		p.err = &misplaced{n.GetToken(), fmt.Sprintf("anchors and aliases are not read in %ss: write the value out", p.kind)}
	case *ast.TagNode:
		p.err = &misplaced{n.GetToken(), fmt.Sprintf("tags are not read in %ss: write the value plainly", p.kind)}
	case *ast.MappingValueNode:
		list, ok := n.Value.(*ast.SequenceNode)
		if p.pairs[n.Key.String()] && (!ok || len(list.Values) != 2) {
			p.err = &misplaced{n.Value.GetToken(), n.Key.String() + ": give the least and the most, such as [30, 50]"}
		}
	}
	return p
}

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
