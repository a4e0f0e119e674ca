package validity

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s: %g, want %g", what, got, want)
	}
}

// By hand: of the four pairs three agree; both groups' placements vary by 1/8.
func TestAUC(t *testing.T) {
	a := AUC([]float64{3, 5}, []float64{1, 4})
	near(t, "AUC", a.Value, .75, 1e-12)
	near(t, "lower", a.Lower, .75-1.959964*math.Sqrt(.125), 1e-9)
	near(t, "ties", AUC([]float64{1, 1}, []float64{1, 1}).Value, .5, 1e-12)
	// Wilson's interval of n of n begins at n/(n + z^2).
	v := make([]float64, 60)
	w := make([]float64, 60)
	for k := range v {
		v[k], w[k] = 1+float64(k), -float64(k)
	}
	near(t, "all of 60", AUC(v, w).Lower, 60/(60+1.959964*1.959964), 1e-9)
	near(t, "none of 60", AUC(w, v).Upper, 1-60/(60+1.959964*1.959964), 1e-9)
}

// The example in SciPy's documentation of kendalltau.
func TestTauB(t *testing.T) {
	near(t, "tau-b", TauB([]float64{12, 2, 1, 12, 2}, []float64{1, 4, 7, 1, 0}).Value, -.4714045, 1e-6)
	x := []float64{1, 2, 3, 4, 5, 6}
	near(t, "same order", TauB(x, x).Value, 1, 1e-12)
}

// Six subjects and four judges, table 2 of Shrout and Fleiss (1979), who give
// ICC(1,1) = .17 and ICC(2,1) = .29.
func TestShroutAndFleiss(t *testing.T) {
	subjects := [][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}}
	icc := ICC(subjects)
	near(t, "ICC(1,1)", icc.Value, .17, .005)
	if !(icc.Lower < icc.Value && icc.Value < icc.Upper) {
		t.Errorf("interval %+v", icc)
	}
	var layout [][][]float64
	for _, s := range subjects {
		var row [][]float64
		for _, v := range s {
			row = append(row, []float64{v})
		}
		layout = append(layout, row)
	}
	c := components(layout)
	near(t, "ICC(2,1)", c.SinglePart, .29, .005)
	near(t, "shares", c.Hand+c.Seed+c.HandSeed+c.Scatter, 1, 1e-9)
}

func TestSmallFigures(t *testing.T) {
	near(t, "d", CohenD([]float64{1, 2, 3}, []float64{0, 1, 2}), 1, 1e-12)
	near(t, "r", Pearson([]float64{1, 2, 3}, []float64{6, 4, 2}), -1, 1e-12)
	near(t, "median", quantile([]float64{4, 1, 3, 2}, .5), 2.5, 1e-12)
}
