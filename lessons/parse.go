package lessons

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/before-iron/beforeiron/sim/strict"
)

// Bounds of a lesson file.
const (
	maxHeading = 80   // characters of title
	maxProse   = 6000 // characters of each of the longer texts
)

// Parse reads a lesson file. Errors are one line: name:line:column: what is
// wrong. It refuses what it does not know; whether the job makes sense is for
// Check to say.
func Parse(name string, content []byte) (*Lesson, error) {
	l := &Lesson{}
	if err := strict.YAML("lesson", name, content, pairs, l); err != nil {
		return nil, err
	}
	if err := l.checkWords(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if l.Rubric != nil {
		if err := l.Rubric.Check(); err != nil {
			return nil, fmt.Errorf("%s: rubric: %w", name, err)
		}
		var err error
		if l.Setup.Rubric, err = l.Rubric.YAML(); err != nil {
			return nil, fmt.Errorf("%s: rubric: %w", name, err)
		}
	}
	return l, nil
}

// pairs are the fields that hold the least and the most.
var pairs = []string{"area_pct", "bare_um"}

var idRule = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)

// reservedIDs are words that the lessons command takes for something else.
var reservedIDs = map[string]bool{"check": true, "print": true, "show": true}

// checkWords reports the first thing that is wrong with the lesson's words.
func (l *Lesson) checkWords() error {
	if !idRule.MatchString(l.ID) || len(l.ID) > 40 {
		return fmt.Errorf("id is %q: give small letters and digits, joined by hyphens, such as flat-foot", l.ID)
	}
	if reservedIDs[l.ID] {
		return fmt.Errorf("id is %q, which is a command: choose another", l.ID)
	}
	if l.Order < 1 || l.Order > 9999 {
		return fmt.Errorf("order is %d: give the place in the course, 1 to 9999", l.Order)
	}
	for _, w := range []struct {
		field, text string
		most        int
		line        bool
	}{
		{"title", l.Title, maxHeading, true}, {"aim", l.Aim, 2 * maxHeading, true},
		{"brief", l.Brief, maxProse, false}, {"guidance", l.Guidance, maxProse, false}, {"debrief", l.Debrief, maxProse, false},
	} {
		switch n := utf8.RuneCountInString(w.text); {
		case strings.TrimSpace(w.text) == "":
			return fmt.Errorf("%s is missing: a lesson needs id, order, title, aim, brief, guidance, debrief and setup", w.field)
		case n > w.most:
			return fmt.Errorf("%s has %d characters: at most %d", w.field, n, w.most)
		case w.line && strings.Contains(strings.TrimSpace(w.text), "\n"):
			return fmt.Errorf("%s must stand on one line", w.field)
		}
	}
	return nil
}
