package words

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// inCode calls see with every node of the window's code.
func inCode(t *testing.T, see func(at string, n ast.Node)) {
	t.Helper()
	err := filepath.WalkDir("../../render", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files := token.NewFileSet()
		f, err := parser.ParseFile(files, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if n != nil {
				see(files.Position(n.Pos()).String(), n)
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// literal is the string that a literal stands for.
func literal(n ast.Node) (string, bool) {
	l, ok := n.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(l.Value)
	return s, err == nil
}

// literals are the string literals of the window's code.
func literals(t *testing.T) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	inCode(t, func(_ string, n ast.Node) {
		if s, ok := literal(n); ok {
			out[s] = true
		}
	})
	return out
}

// Where a sentence is said by its key, all its blanks are filled, and nothing else
// is given.
func TestBlanksAreFilled(t *testing.T) {
	blank := regexp.MustCompile(`\{(\w+)\}`)
	calls := 0
	inCode(t, func(at string, n ast.Node) {
		c, ok := n.(*ast.CallExpr)
		if !ok {
			return
		}
		f, ok := c.Fun.(*ast.SelectorExpr)
		if !ok || !slices.Contains([]string{"words.Say", "words.Count"}, fmt.Sprint(f.X)+"."+f.Sel.Name) || c.Ellipsis.IsValid() {
			return
		}
		key, ok := literal(c.Args[0])
		if !ok {
			return
		}
		keys, given := []string{key}, []string{}
		rest := c.Args[1:]
		if f.Sel.Name == "Count" {
			keys, given, rest = []string{key + ".one", key + ".many"}, []string{"n"}, rest[1:]
		}
		for i := 0; i < len(rest); i += 2 {
			name, _ := literal(rest[i])
			given = append(given, name)
		}
		calls++
		for _, k := range keys {
			for _, b := range blank.FindAllStringSubmatch(said[k], -1) {
				if !slices.Contains(given, b[1]) {
					t.Errorf("%s: %q is said without its %s", at, k, b[0])
				}
			}
		}
		for _, name := range given {
			if !strings.Contains(said[keys[len(keys)-1]], "{"+name+"}") {
				t.Errorf("%s: %q has no place for %q", at, key, name)
			}
		}
	})
	if calls < 100 {
		t.Errorf("only %d calls were found", calls)
	}
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
