// Package score turns a run into marks: what the face came to, how the metal was
// cut, what it cost, and for each loss the place, the cycle, the reason and the
// next thing to try. MARKS.md beside it gives the formula and what it rests on.
package score

import "encoding/json"

// Report is a run made again and marked. Its JSON is that of the replay command.
type Report struct {
	OK            bool    `json:"ok"`
	Digest        string  `json:"digest"`
	Lesson        *string `json:"lesson"` // null for somebody's own part
	Seed          uint64  `json:"seed"`
	Hand          *string `json:"hand"` // null for a person
	Cycles        int     `json:"cycles"`
	Strokes       int     `json:"strokes"`
	SecondsOnIron float64 `json:"seconds_on_iron"`

	Final    Figures   `json:"final"`
	PerCycle []Figures `json:"per_cycle"`
	Marks    Marks     `json:"marks"`
	Losses   []Loss    `json:"losses"`

	Least       Least        `json:"-"` // what no hand could have stayed below
	Predictions []Prediction `json:"-"` // in the order in which they were made
}

// Figures are the geometry of the face at one moment, at the score film on the
// bed against a true plane under the part's own weight. Null where a figure has
// no meaning.
type Figures struct {
	FilmUM        float64  `json:"film_um"`
	PointsPerIn2  *float64 `json:"points_per_in2"`
	FrameMin      *int     `json:"frame_min"`
	FrameMax      *int     `json:"frame_max"`
	AreaPct       *float64 `json:"area_pct"`
	BareRangeUM   *float64 `json:"bare_range_um"`
	BridgedUM     *float64 `json:"bridged_range_um"`
	MinimumZoneUM *float64 `json:"minimum_zone_um"`
	LSTotalUM     *float64 `json:"ls_total_um"`
	NewLows       int      `json:"new_lows"`
}

// Marks are the total, from -100 to 100, whether the target was met, and one
// number for each family.
type Marks struct {
	Total   float64
	Passed  bool
	Outcome float64 // of 60: how near the face came to the target; below 0 when it was left worse
	Process float64 // of 25: how it was made
	Economy float64 // of 15, behind the gate: what it took
	Errors  float64 // 0 or less: harm done
	Insight float64 // of 10, beside the total: what was foreseen and known
}

// MarshalJSON writes the families beside total and passed.
func (m Marks) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Total   float64 `json:"total"`
		Passed  bool    `json:"passed"`
		Outcome float64 `json:"outcome"`
		Process float64 `json:"process"`
		Economy float64 `json:"economy"`
		Errors  float64 `json:"errors"`
		Insight float64 `json:"insight"`
	}(m))
}

// Loss is one way in which marks were lost.
type Loss struct {
	Rule  string   `json:"rule"`
	Cycle int      `json:"cycle"`
	XMM   *float64 `json:"x_mm"` // null where it has no one place
	YMM   *float64 `json:"y_mm"`
	Cost  float64  `json:"cost"` // marks
	What  string   `json:"what"`
	Why   string   `json:"why"`
	Next  string   `json:"next"`
}
