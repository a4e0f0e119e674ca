package units

import "testing"

func TestTold(t *testing.T) {
	const text = "A low of 1059.5 mm^2, 66.7 um deep, 25.4 mm from the edge; 2.54 to 5.08 um were asked for, and 12 points."
	for s, want := range map[System]string{
		Metric: "A low of 1059.5 mm², 66.7 µm deep, 25.4 mm from the edge; 2.54 µm to 5.08 µm were asked for, and 12 points.",
		Inch:   "A low of 1.64 in², 2.63 thou deep, 1.00 in from the edge; 0.10 thou to 0.20 thou were asked for, and 12 points.",
		Tenths: "A low of 1.64 in², 26.3 tenths deep, 1.00 in from the edge; 1.0 tenths to 2.0 tenths were asked for, and 12 points.",
	} {
		if got := s.Told(text); got != want {
			t.Errorf("%s: %q, want %q", s, got, want)
		}
	}
}

// What is small in one system is not nothing in another.
func TestToldOfASmallLow(t *testing.T) {
	if got := Inch.Told("A low of 2.9 mm^2"); got != "A low of 0.0045 in²" {
		t.Error(got)
	}
}
