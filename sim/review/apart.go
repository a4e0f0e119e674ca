package review

// Apart is how two runs of one surface part.
type Apart struct{}
