package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

// Positions a step apart that binary cannot hold, tenths of an inch and fifths of a
// millimetre: the answer shows the step and not what was lost.
func TestAnswersShowTheirFigures(t *testing.T) {
	for head, pitch := range map[string]string{"x_in,y_in,z_um\n": "2.54", "x,y,z_um\n": "0.1"} {
		var text strings.Builder
		text.WriteString(head)
		for k := range 40 * 30 {
			json.NewEncoder(&text).Encode([3]float64{float64(k%40) / 10, float64(k/40) / 10, float64(k * k % 7)})
		}
		file := write(t, "a.csv", strings.NewReplacer("[", "", "]", "").Replace(text.String()))
		if out, want := good(t, "measure", file), "pitch "+pitch+" x "+pitch+" mm\n"; !strings.Contains(out, want) {
			t.Errorf("%q: want %q in %s", head, want, out)
		}
		out := good(t, "measure", file, "--json")
		var compact bytes.Buffer
		if err := json.Compact(&compact, []byte(out)); err != nil {
			t.Fatal(err)
		}
		if want := `"pitch_mm":[` + pitch + "," + pitch + "]"; !strings.Contains(compact.String(), want) {
			t.Errorf("%q: want %s in %s", head, want, out)
		}
	}
}

func TestJSONIsRoundedInItsFiguresAlone(t *testing.T) {
	for _, c := range []struct {
		v    any
		want string
	}{
		{25.399999999999995, "25.4"}, {-0.19999999999999998, "-0.2"}, {1.2345678901234567e-9, "1.23456789012e-9"}, {0.30000000000000004e30, "3e+29"},
		{123456.7890128, "123456.789013"}, {0.1, "0.1"}, {0.0, "0"}, {1e21, "1e+21"},
		{uint64(18446744073709551615), "18446744073709551615"}, {1234567890123456.0, "1234567890123456"},
		{`0.12345678901234 "0.12345678901234" \`, `"0.12345678901234 \"0.12345678901234\" \\"`},
	} {
		var out bytes.Buffer
		if err := printJSON(&out, c.v); err != nil || out.String() != c.want+"\n" {
			t.Errorf("%v: %q, %v; want %s", c.v, out.String(), err, c.want)
		}
	}
}

// A face that no inch frame lies on has a density of points and no count.
func TestFramesInWords(t *testing.T) {
	small := "# pitch_mm: 0.5\n# unit: um\n" + strings.Repeat(strings.Repeat("0,", 19)+"0\n", 20)
	wide := "# pitch_mm: 0.5\n# unit: um\n" + strings.Repeat(strings.Repeat("0,", 59)+"0\n", 60)
	for text, want := range map[string]string{small: "a density: no inch frame lies whole on the face\n", wide: " in an inch frame\n"} {
		if out := good(t, "measure", write(t, "a.csv", text)); !strings.Contains(out, want) {
			t.Errorf("no %q in %s", want, out)
		}
	}
}
