package ownpart

import "testing"

// The map is grey, brighter where the part is higher, with dark lines between bands
// of height: blue is kept for what touches a master.
func TestTheMapIsGreyWithLines(t *testing.T) {
	p := &Part{W: 64, H: 4, Low: -10, High: 30}
	for k := range p.W * p.H {
		p.Z = append(p.Z, -10+40*float64(k%64)/63)
	}
	m := draw(p)
	lines, last := 0, uint8(0)
	for k := range m.W {
		r, g, b := m.Pix[4*k], m.Pix[4*k+1], m.Pix[4*k+2]
		if r != g || g != b {
			t.Fatalf("place %d has the colour %d %d %d", k, r, g, b)
		}
		if r < 40 {
			lines++
			continue
		}
		if r < last {
			t.Errorf("place %d is higher than the one before, and darker", k)
		}
		last = r
	}
	if lines != bands-1 {
		t.Errorf("%d lines part %d bands", lines, bands)
	}
}
