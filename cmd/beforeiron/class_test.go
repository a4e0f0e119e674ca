package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/run"
)

// classroom is a folder with two good runs, one of them twice.
func classroom(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	for seat, file := range map[string]string{"c3-01.run": short(t, 1), "c3-02.run": short(t, 2)} {
		put(t, folder, seat, content(t, file))
	}
	put(t, folder, "c3-02_again.run", content(t, filepath.Join(folder, "c3-02.run")))
	put(t, folder, "notes.txt", []byte("no run"))
	return folder
}

func put(t *testing.T, folder, name string, b []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(folder, name), b, 0o666); err != nil {
		t.Fatal(err)
	}
}

func TestClass(t *testing.T) {
	folder, out := classroom(t), filepath.Join(t.TempDir(), "new", "results")
	r := call(t, "class", folder, "-o", out)
	if r.code != 0 || strings.Count(r.out, "\n") != 4 || !strings.Contains(r.err, "c3-02.run and c3-02_again.run hold the same acts") {
		t.Errorf("exit %d\n%s\n%s", r.code, r.out, r.err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(content(t, filepath.Join(out, "gradebook.csv"))))).ReadAll()
	if err != nil || len(rows) != 4 {
		t.Fatalf("%d rows: %v", len(rows), err)
	}
	for n, want := range [][2]string{{"c3-01", "1"}, {"c3-02", "1"}, {"c3-02", "2"}} {
		if row := rows[n+1]; row[0] != want[0] || row[1] != "" || row[3] != want[1] || row[6] != "false" || row[13] != "careful" {
			t.Errorf("row %q, want %q", row, want)
		}
	}
	var statements []map[string]any
	if err := json.Unmarshal(content(t, filepath.Join(out, "statements.json")), &statements); err != nil || len(statements) != 3 {
		t.Errorf("%d statements: %v", len(statements), err)
	}
	if html := string(content(t, filepath.Join(out, "class.html"))); !strings.Contains(html, "Fewer than three people") || strings.Contains(html, "c3-0") {
		t.Error("two people are spoken of")
	}
	refused(t, 2, "exists already", "class", folder, "-o", out)
	var told struct {
		Runs    []map[string]any `json:"runs"`
		Refused []string         `json:"refused"`
	}
	if err := json.Unmarshal([]byte(good(t, "class", folder, "-o", out, "--force", "--json")), &told); err != nil || len(told.Runs) != 3 || told.Refused == nil {
		t.Errorf("%+v: %v", told, err)
	}
}

func TestClassRefusesByName(t *testing.T) {
	folder := t.TempDir()
	file := short(t, 2)
	whole := content(t, file)
	put(t, folder, "good.run", whole)
	put(t, folder, "edited.run", []byte(strings.Replace(string(whole), `"laid":`, `"laid":1`, 1)))
	put(t, folder, "forged.run", content(t, forge(t, log(t, file), func(l *run.Log) { l.Seal.Digest = strings.Repeat("0", 64) })))
	put(t, folder, "open.run", content(t, forge(t, log(t, file), func(l *run.Log) {
		l.Header.Setup.Scored = true
		l.Entries = l.Entries[:len(l.Entries)-1]
		l.Seal = nil
	})))
	put(t, folder, "empty.run", nil)
	put(t, folder, "fork.run", content(t, forge(t, log(t, file), func(l *run.Log) { l.Header.Fork = &run.Fork{Acts: 6} })))
	// A run cut short is marked as far as it goes.
	put(t, folder, "torn.run", whole[:len(whole)*2/3])
	r := call(t, "class", folder)
	if r.code != 1 || strings.Contains(r.err, "goroutine") {
		t.Errorf("exit %d: %s", r.code, r.err)
	}
	for _, want := range []string{
		"edited.run: line ", "forged.run: line ", "open.run: the truth is locked", "empty.run: line 1", "fork.run: it goes another way on",
		"torn.run: line ", "5 of 7 runs were refused: edited.run, empty.run, forged.run, fork.run, open.run",
	} {
		if !strings.Contains(r.err, want) {
			t.Errorf("%q is not in %s", want, r.err)
		}
	}
	if book := string(content(t, filepath.Join(folder, "gradebook.csv"))); strings.Count(book, "\r\n") != 3 || !strings.Contains(book, "good,") || !strings.Contains(book, "torn,") {
		t.Errorf("the rest is not in the gradebook: %s", book)
	}
	refused(t, 2, "no such file", "class", filepath.Join(folder, "nowhere"))
	refused(t, 2, "holds no run", "class", t.TempDir())
}
