// Package words holds every sentence of the window, apart from code, in
// english.txt: one a line, its key before the first '='. {name} stands for what
// is filled in.
package words

import (
	_ "embed"
	"fmt"
	"strings"
)

//go:embed english.txt
var english string

var said = read(english)

func read(text string) map[string]string {
	out := map[string]string{}
	for n, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		key, words, ok := strings.Cut(line, "=")
		key = strings.TrimSpace(key)
		if _, twice := out[key]; !ok || twice {
			panic(fmt.Sprintf("words: line %d: %q is no new key with words after '='", n+1, line))
		}
		out[key] = strings.ReplaceAll(strings.TrimSpace(words), `\n`, "\n")
	}
	return out
}

// Say is the sentence of a key with its blanks filled: name, value, name, value.
// It panics on a key that is not there: a test reads every key out of the code.
func Say(key string, blanks ...any) string {
	s, ok := said[key]
	if !ok {
		panic("words: no sentence " + key)
	}
	for i := 0; i+1 < len(blanks); i += 2 {
		s = strings.ReplaceAll(s, "{"+fmt.Sprint(blanks[i])+"}", fmt.Sprint(blanks[i+1]))
	}
	return s
}

// Has reports whether there is a sentence of a key.
func Has(key string) bool { return said[key] != "" }

// Count is Say of key.one or key.many, with n filled in.
func Count(key string, n int, blanks ...any) string {
	form := ".many"
	if n == 1 {
		form = ".one"
	}
	return Say(key+form, append(blanks, "n", n)...)
}

// Keys are all keys, in no order.
func Keys() []string {
	var out []string
	for k := range said {
		out = append(out, k)
	}
	return out
}
