package score

// Recorded is what the seal of a run keeps of its report, for a program of
// another physics version, which cannot check it again, to show.
type Recorded struct {
	Final  *Figures `json:"final"`
	Marks  *Marks   `json:"marks"`
	Losses []Loss   `json:"losses"`
}

// Recorded is what a seal keeps of the report.
func (r *Report) Recorded() Recorded { return Recorded{&r.Final, &r.Marks, r.Losses} }
