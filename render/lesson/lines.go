package lesson

import "strings"

// lines are the lines of a text, without blanks at their ends.
func lines(text string) []string {
	out := strings.Split(strings.TrimSpace(text), "\n")
	for i := range out {
		out[i] = strings.TrimSpace(out[i])
	}
	return out
}
