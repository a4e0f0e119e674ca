package surface

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// About is what a file says of where its heights come from, by the names of
// aboutNames. Values are text without control characters; the comment alone may
// have several lines.
type About map[string]string

// Names of what a file can say, in the order in which it is written.
const (
	aboutMaker      = "maker"      // of the instrument
	aboutModel      = "model"      // of the instrument
	aboutSerial     = "serial"     // number of the instrument
	aboutVersion    = "version"    // of hardware and software
	aboutProbing    = "probing"    // contacting or not
	aboutProbe      = "probe"      // tip, lens or set-up
	aboutCalibrated = "calibrated" // date
	aboutCreator    = "creator"    // who measured
	aboutCreated    = "created"    // date
	aboutModified   = "modified"   // date
	aboutResolution = "resolution" // of heights, m
	aboutComment    = "comment"
)

var aboutNames = []string{
	aboutMaker, aboutModel, aboutSerial, aboutVersion, aboutProbing, aboutProbe,
	aboutCalibrated, aboutCreator, aboutCreated, aboutModified, aboutResolution, aboutComment,
}

// maxAbout bounds one value, bytes.
const maxAbout = 1 << 16

// say keeps a value. What is no text is left out, and what is longer than maxAbout
// is cut off, with a warning.
func (d *Data) say(name, value string) {
	clean := strings.ReplaceAll(value, "\r\n", "\n")
	if !utf8.ValidString(clean) { // Latin-1, then
		var out strings.Builder
		for k := range len(clean) {
			out.WriteRune(rune(clean[k]))
		}
		clean = out.String()
	}
	if name != aboutComment {
		clean = strings.ReplaceAll(clean, "\n", " ")
	}
	before := clean
	clean = strings.Map(func(r rune) rune {
		if r == '\t' || r == '\n' && name == aboutComment || unicode.IsPrint(r) {
			return r
		}
		return -1
	}, clean)
	if len(clean) > maxAbout {
		clean = strings.ToValidUTF8(clean[:maxAbout], "")
	}
	if clean != strings.TrimRight(before, "\x00") {
		d.Warnings = append(d.Warnings, fmt.Sprintf("what it says under %s holds what is no text, or more than %d bytes: that part is left out", name, maxAbout))
	}
	clean = strings.TrimRight(clean, " \t\n")
	if name != aboutComment {
		clean = strings.TrimSpace(clean)
	}
	if clean == "" {
		return
	}
	if d.About == nil {
		d.About = About{}
	}
	d.About[name] = clean
}

// dropped tells what of a is lost in a format that holds the names of kept alone.
func (a About) dropped(kept ...string) []string {
	var lost []string
	for _, name := range aboutNames {
		held := false
		for _, k := range kept {
			held = held || k == name
		}
		if !held && a[name] != "" {
			lost = append(lost, name)
		}
	}
	if len(lost) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("it has no place for what the file says of its %s: that is left out", strings.Join(lost, ", "))}
}

// A date in an SDF file is DDMMYYYYhhmm; everywhere else it is YYYY-MM-DDThh:mm,
// with seconds and a zone where there are any (xs:dateTime).
var (
	digitDate = regexp.MustCompile(`^(\d\d)(\d\d)(\d{4})(\d\d)(\d\d)$`)
	isoDate   = regexp.MustCompile(`^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d)((?::00(?:\.0*)?)?)(.*)$`)
)

const noDate = "000000000000"

// dateOf is a date of an SDF file as it is kept; empty where there is none.
func dateOf(digits string) string {
	digits = strings.TrimSpace(digits)
	if digits == noDate {
		return ""
	}
	return digitDate.ReplaceAllString(digits, "$3-$2-${1}T$4:$5:00")
}

// digits is a kept date for an SDF file; whole is false where seconds or a zone
// are lost, or the whole date.
func digits(date string) (text string, whole bool) {
	if m := isoDate.FindStringSubmatch(date); m != nil {
		return m[3] + m[2] + m[1] + m[4] + m[5], m[7] == ""
	}
	if date == "" {
		return noDate, true
	}
	return noDate, false
}
