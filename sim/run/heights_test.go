package run_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/run"
)

// Heights are written byte for byte as encoding/json writes numbers and nulls, and
// read as it reads them.
func TestHeightsAsJSONWritesThem(t *testing.T) {
	values := []float64{0, math.Copysign(0, -1), 1, -1.5, 1e-6, 9.99e-7, -1e-9, 1.25e-10, 5e-324, 1e20, 1e21, -1e22, math.MaxFloat64, math.NaN()}
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		if z := math.Float64frombits(r.Uint64()); !math.IsInf(z, 0) {
			values = append(values, z)
		}
	}
	var plain []*float64
	for k, z := range values {
		if z == z {
			plain = append(plain, &values[k])
		} else {
			plain = append(plain, nil)
		}
	}
	want, err := json.Marshal(plain)
	if err != nil {
		t.Fatal(err)
	}
	got, err := json.Marshal(run.Heights(values))
	if err != nil || string(got) != string(want) {
		t.Errorf("they are written otherwise, %v", err)
	}
	var back run.Heights
	if err := json.Unmarshal([]byte(" [ "+strings.ReplaceAll(string(want[1:]), ",", " ,\n")), &back); err != nil || len(back) != len(values) {
		t.Fatalf("%d come back, %v, want %d", len(back), err, len(values))
	}
	for k, z := range values {
		if math.Float64bits(z) != math.Float64bits(back[k]) && z == z || z != z && back[k] == back[k] {
			t.Errorf("%g comes back as %g", z, back[k])
		}
	}
	for text, n := range map[string]int{"[]": 0, " [ ] ": 0, "[1]": 1, "null": 0} {
		if err := json.Unmarshal([]byte(text), &back); err != nil || len(back) != n {
			t.Errorf("%s: %v, %v", text, back, err)
		}
	}
	for _, text := range []string{`1`, `"12"`, `{"a":1}`, `[[1]]`, `["1"]`, `[true]`, `[1e999]`, `[{"a":1,"b":2}]`, `[Inf]`, `[1,]`} {
		if err := json.Unmarshal([]byte(text), &back); err == nil {
			t.Errorf("%s is taken for %v", text, back)
		}
	}
	if _, err := json.Marshal(run.Heights{math.Inf(1)}); err == nil {
		t.Error("an infinite height is written")
	}
}
