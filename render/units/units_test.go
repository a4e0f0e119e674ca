package units

import "testing"

// An inch is 25.4 mm by definition; a thou is a thousandth of it, 25.4 um, and a
// tenth a ten-thousandth, 2.54 um.
func TestLengths(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Metric.Height(5), "5.0 µm"},
		{Tenths.Height(5.08), "2.0 tenths"},
		{Inch.Height(12.7), "0.50 thou"},
		{Metric.Across(25.4), "25.4 mm"},
		{Inch.Across(25.4), "1.00 in"},
		{Tenths.Place(25.4, 50.8), "1.00, 2.00 in"},
		{Time(90_000), "2 min"},
		{Time(3_900_000), "1 h 05 min"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
