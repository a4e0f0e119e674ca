package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
)

// The sample of the softgauges goes through every format and comes back with its
// numbers, its maker, its dates and its trailer; what has no place on the way is
// told.
func TestConvertKeepsWhatTheFileSays(t *testing.T) {
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	sample := "../../testdata/samples/surftopo_sdf-1.sdf"
	good(t, "convert", sample, at("a.sdf"))
	good(t, "convert", at("a.sdf"), at("b.csv"))
	good(t, "convert", at("b.csv"), at("c.sdf"), "--text")
	text := string(content(t, at("c.sdf")))
	for _, want := range []string{"aISO-1.0\r\n", "ManufacID = ISOTC213\r\n", "CreateDate = 040120100853\r\n", "ModDate = 050320101353\r\n", "Zresolution = 1e-09\r\n", "\r\n*\r\n< OperatorName > Tom Jones"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %s", want, text)
		}
	}
	good(t, "convert", at("c.sdf"), at("d.sdf"))
	good(t, "convert", at("b.csv"), at("e.sdf"))
	if !bytes.Equal(content(t, at("d.sdf")), content(t, at("e.sdf"))) {
		t.Error("by way of text it is another file")
	}
	r := call(t, "convert", sample, at("f.x3p"))
	if r.code != 0 || !strings.Contains(r.err, "modified, resolution: that is left out") || strings.Count(r.err, "\n") != 1 {
		t.Errorf("exit %d: %s", r.code, r.err)
	}
	refused(t, 2, "--text is for .sdf files", "convert", sample, at("g.csv"), "--text")
}
