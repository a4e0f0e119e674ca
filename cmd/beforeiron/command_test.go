package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// command is the built program, which is what all tests here run.
var command string

func TestMain(m *testing.M) {
	if os.Getenv("PEAK") != "" { // TestPeakMemory, which is told where the program is
		os.Exit(m.Run())
	}
	folder, err := os.MkdirTemp("", "beforeiron")
	if err == nil {
		command = filepath.Join(folder, "beforeiron.exe")
		build := exec.Command("go", "build", "-o", command, ".")
		build.Stderr = os.Stderr
		err = build.Run()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	code := m.Run()
	os.RemoveAll(folder)
	os.Exit(code)
}

// result of one call.
type result struct {
	code     int
	out, err string
}

func call(t *testing.T, args ...string) result {
	t.Helper()
	var out, stderr bytes.Buffer
	c := exec.Command(command, args...)
	c.Stdout, c.Stderr = &out, &stderr
	err := c.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return result{c.ProcessState.ExitCode(), out.String(), stderr.String()}
}

// good calls the program and wants success.
func good(t *testing.T, args ...string) string {
	t.Helper()
	r := call(t, args...)
	if r.code != 0 {
		t.Fatalf("beforeiron %s: exit %d: %s", strings.Join(args, " "), r.code, r.err)
	}
	return r.out
}

// refused calls the program and wants an exit code with one line on standard
// error that holds a text, and nothing else.
func refused(t *testing.T, code int, want string, args ...string) {
	t.Helper()
	r := call(t, args...)
	if r.code != code || strings.Count(r.err, "\n") != 1 || !strings.Contains(r.err, want) || strings.Contains(r.err, "goroutine") {
		t.Errorf("beforeiron %s: exit %d, %q: want exit %d and one line with %q", strings.Join(args, " "), r.code, r.err, code, want)
	}
	if r.out != "" {
		t.Errorf("beforeiron %s: printed %q", strings.Join(args, " "), r.out)
	}
}

func write(t *testing.T, name, content string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(content), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

func decode[T any](t *testing.T, text string) T {
	t.Helper()
	var v T
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	return v
}

// keys of a JSON object in the order in which they stand.
func keys(t *testing.T, text string) []string {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	if tok, err := d.Token(); err != nil || tok != json.Delim('{') {
		t.Fatalf("no object: %s", text)
	}
	var out []string
	for d.More() {
		k, err := d.Token()
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, k.(string))
		var skip json.RawMessage
		if err := d.Decode(&skip); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

func sameKeys(t *testing.T, what, text, want string) {
	t.Helper()
	if got := keys(t, text); !slices.Equal(got, strings.Fields(want)) {
		t.Errorf("%s has the keys %v, want %v", what, got, want)
	}
}

func TestUse(t *testing.T) {
	if out := good(t, "--version"); out != version+"\n" {
		t.Errorf("version %q", out)
	}
	for _, c := range []string{"measure", "practise", "replay", "report", "class", "convert", "lessons"} {
		if out := good(t, c, "--help"); !strings.Contains(out, "Usage: beforeiron "+c) {
			t.Errorf("%s --help prints %q", c, out)
		}
	}
	for _, args := range [][]string{
		{"mesure"}, {"measure"}, {"measure", "a.csv", "b.csv"}, {"measure", "a.csv", "--flim", "2"},
		{"practise"}, {"practise", "--lesson", "coupon"}, {"replay"}, {"convert", "a.csv"}, {"lessons", "check"},
	} {
		refused(t, 2, "beforeiron: ", args...)
	}
}
