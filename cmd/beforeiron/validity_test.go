package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Bad use and bad files of rows have one line each; a study refuses to go on with
// another one's rows.
func TestValidityRefuses(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	head := `{"validity":2,"physics":1,"program":"0","rubric":"r","seeds":2,"changes":0,"shard":[1,2]}` + "\n"
	write("other.rows.part", head)
	for _, c := range []struct{ args, want string }{
		{"--seeds 1", "--seeds is 1"},
		{"--changes -1", "--changes is -1"},
		{"--shard 3/2", "--shard is \"3/2\""},
		{"--shard x", "--shard is \"x\""},
		{"--shard 1/2", "give -o FILE"},
		{"--rubric " + write("bad.yaml", "name: [\n"), "bad.yaml"},
		{write("empty.rows", ""), "the file is empty"},
		{write("noise.rows", "noise\n"), "noise.rows:1: this is no file of rows"},
		{write("cut.rows", head+`{"piece":0,"row":{"ha`+"\n"), "cut.rows:2: this is no row"},
		{write("short.rows", head), "piece 0 is in none of the files"},
		{write("strange.rows", head+`{"piece":0,"row":{"hand":"nobody","seed":1,"repeat":0,"total":9,"passed":true,"cycles":1,"lost":{}}}`+"\n"), "strange.rows:2: piece 0 does not belong"},
		{"--seeds 2 -o " + filepath.Join(folder, "other.rows"), "is of another study"},
		{filepath.Join(folder, "nosuch.rows"), "nosuch.rows"},
	} {
		var out, remarks strings.Builder
		err := execute(strings.Fields("validity "+c.args), streams{&out, &remarks, new([]string)})
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") || out.Len() > 0 {
			t.Errorf("%s: %v, %q: want %q", c.args, err, out.String(), c.want)
		}
	}
}
