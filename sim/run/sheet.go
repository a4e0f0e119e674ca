package run

// SheetEntry is one number of the inspection sheet that Declare holds.
type SheetEntry struct {
	ID     string // as the format spells it
	Unit   string // in which it is read and shown: "", "%", "um", "mm" or "K"
	Per    int    // of the act's units in one of Unit
	Lo, Hi int    // bounds, in the act's units
	each   string // the act's unit
	of     func(d *Declare) **int
}

// Of is where d holds the entry: nil there while it is blank.
func (e SheetEntry) Of(d *Declare) **int { return e.of(d) }

// Sheet lists the numbers of the inspection sheet, in the order in which a face is
// inspected: the print and its film, the frame, the instruments, the hinge, the
// thermometer. The class that the face would be given stands beside them.
var Sheet = []SheetEntry{
	{"film", "um", 100, 0, 5000, "10 nm", func(d *Declare) **int { return &d.Film }},
	{"points_per_in2", "", 1, 0, 200, "points", func(d *Declare) **int { return &d.PointsPerIn2 }},
	{"frame_min", "", 1, 0, 200, "points", func(d *Declare) **int { return &d.FrameMin }},
	{"frame_max", "", 1, 0, 500, "points", func(d *Declare) **int { return &d.FrameMax }},
	{"area_pct", "%", 1, 0, 100, "per cent", func(d *Declare) **int { return &d.AreaPct }},
	{"block", "um", 100, 0, 50000, "10 nm", func(d *Declare) **int { return &d.Block }},
	{"bare", "um", 100, 0, 50000, "10 nm", func(d *Declare) **int { return &d.Bare }},
	{"hinge", "mm", 100, 0, farPlace, "10 um", func(d *Declare) **int { return &d.Hinge }},
	{"warmer", "K", 1000, -100000, 100000, "mK", func(d *Declare) **int { return &d.Warmer }},
}
