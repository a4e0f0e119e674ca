package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// literals are the string literals of the window's code.
func literals(t *testing.T) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	err := filepath.WalkDir("../../render", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
				if s, err := strconv.Unquote(l.Value); err == nil {
					out[s] = true
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Every key in the code has its sentence. A key put together in the code shows
// there as its beginning, up to a dot.
func TestEveryKeyHasItsWords(t *testing.T) {
	scenes := map[string]bool{}
	for _, k := range Keys() {
		scenes[k[:strings.Index(k, ".")+1]] = true
	}
	for l := range literals(t) {
		dot := strings.Index(l, ".")
		if dot < 0 || !scenes[l[:dot+1]] || strings.ContainsAny(l, " /%\n") || strings.HasSuffix(l, ".json") {
			continue
		}
		found := false
		for _, k := range Keys() {
			found = found || k == l || k == l+".one" || strings.HasSuffix(l, ".") && strings.HasPrefix(k, l)
		}
		if !found {
			t.Errorf("the code says %q, and english.txt has no such key", l)
		}
	}
}

// Every sentence is said somewhere.
func TestNoWordsWithoutUse(t *testing.T) {
	used := literals(t)
	for _, k := range Keys() {
		found := used[k] || used[strings.TrimSuffix(strings.TrimSuffix(k, ".one"), ".many")]
		for cut := k; !found && strings.Contains(cut, "."); {
			cut = cut[:strings.LastIndex(strings.TrimSuffix(cut, "."), ".")+1]
			if cut == "" {
				break
			}
			found = used[cut]
		}
		if !found {
			t.Errorf("nothing says %q", k)
		}
	}
}

func TestSay(t *testing.T) {
	if got := Count("bench.cut.strokes", 1); got != "Cut, 1 stroke" {
		t.Errorf("one: %q", got)
	}
	if got := Count("bench.cut.strokes", 40); got != "Cut, 40 strokes" {
		t.Errorf("many: %q", got)
	}
	for _, k := range Keys() {
		if strings.Contains(said[k], "  ") || said[k] == "" {
			t.Errorf("%s: %q has a double space or nothing", k, said[k])
		}
	}
}
