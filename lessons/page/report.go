// Package page writes what is to be printed or kept: the debrief of a run and the
// page of a class. A page is one HTML file that needs nothing else: pictures are in
// it, and there is no script. It reads in grey, and every picture is told in words.
package page

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"math"
	"regexp"
	"sort"
	"strings"
	"time"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/sim/review"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// Report is what a debrief is written from.
type Report struct {
	Program   string // version that writes it
	Lesson    *lessons.Lesson
	Rubric    *score.Rubric // by which it was marked
	Review    *review.Review
	Par       *review.Par       // nil where the careful hand could not work the part
	Decisions []review.Decision // the dearest first
	Whole     bool              // the search for them came to its end
	Other     *Other            // nil when the run stands alone
}

// Other is a run of the same surface to hold the first beside.
type Other struct {
	Review *review.Review
	Apart  review.Apart
}

//go:embed report.html
var reportText string

//go:embed style.css
var style string

var reportPage = template.Must(template.New("report").Parse(reportText))

// HTML is the page. The same run gives the same bytes.
func (r *Report) HTML() ([]byte, error) {
	var b bytes.Buffer
	if err := reportPage.Execute(&b, r.fill()); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

type (
	section struct{ ID, Name string }
	drawn   struct {
		URI     template.URL
		W, H    int
		Alt     string
		Caption string
		Empty   string // said where there is no picture
	}
	resultRow struct{ Name, Asked, Began, Mine, Met, Par string }
	tried     struct {
		What, Marks, Prints string
		Best                bool
	}
	decision struct {
		Cycle                           int
		Lost, Did, Came, Best, BestCame string
		Picture                         *drawn
		Tried                           []tried
	}
	loss struct {
		Numbers, Cost, What, More, Why, Next, Places string
		total                                        float64
	}
	cycle struct {
		N          int
		Film, Time string
		Panes      []drawn
		Words      []string
	}
	sheetRow struct{ What, Wrote, Seen, Is, So string }
	sheet    struct {
		Rows    []sheetRow
		Remarks []string
	}
	key   struct{ Class, Name string }
	other struct {
		About, Parted string
		Map           template.HTML
		MapCaption    string
		Rows          []resultRow
		Charts        []template.HTML
	}
)

// filled is what the page is made of.
type filled struct {
	Program, Title, About      string
	Style                      template.CSS
	Contents                   []section
	Verdict, Families, ParNote string
	Film                       string
	HasPar                     bool
	Parted                     string
	Result                     []resultRow
	Decisions                  []decision
	NoDecisions                string
	Hurried                    bool
	Next                       []loss
	Afterwards                 string
	Map                        template.HTML
	MapCaption                 string
	Losses                     []loss
	Key                        []key
	Charts                     []template.HTML
	Sheet                      *sheet
	Other                      *other
	Legend                     []drawn
	Cycles                     []cycle
	Table                      [][]string
	RubricName, Formula        string
	Footer, Safety             string
}

func (r *Report) fill() *filled {
	v, rep := r.Review, r.Review.Report
	t := v.Log.Header.Setup.Target
	f := &filled{
		Program: r.Program, Title: r.title(), About: about(v), Style: template.CSS(style),
		Film: short(t.FilmUM), HasPar: r.Par != nil, Hurried: !r.Whole,
	}
	f.Verdict, f.Families = verdict(v), families(rep.Marks)
	f.ParNote = "The careful hand worked the same surface from the start, from readings and instruments alone."
	if v.Log.Header.Setup.Effects != (run.Effects{}) {
		f.ParNote = "The careful hand worked the same surface from the start, from readings and instruments; but it was told beforehand what goes wrong on this job, which you had to find out."
	}
	var careful *score.Report
	if r.Par == nil {
		f.ParNote = "The careful hand could not work this part, so there is nothing to hold the run beside."
	} else {
		careful = r.Par.Report
		if r.Par.Parted {
			f.Parted = parting(r.Par.Parting, "you", "the careful hand")
		}
	}
	f.Result = result(v, careful)
	f.Decisions, f.NoDecisions = r.decisions()
	var rings []ring
	f.Losses, rings = losses(v)
	f.Next = f.Losses[:min(3, len(f.Losses))]
	if r.Lesson != nil && v.Log.SignedOff() {
		f.Afterwards = strings.TrimSpace(r.Lesson.Debrief)
	}
	form := smooth(v.Ended)
	step := isoStep(reach(form))
	f.Map = face(v, form, lowsPicture(form, v.Lows, step), labels(form, step), rings,
		fmt.Sprintf("Map of the face as it ended: form over %s, %d new lows", um(reach(form)), rep.Final.NewLows))
	f.MapCaption = fmt.Sprintf("The form of the face as it ended, marks smoothed out, µm from its mean plane: dark is low, bright is high, a line every %s. %s", um(step), lowsWords(rep.Final.NewLows))
	reports := []*score.Report{rep}
	f.Key = []key{{"mine", "You"}}
	if r.Par != nil {
		reports = append(reports, careful)
		f.Key = append(f.Key, key{"par", "The careful hand on the same surface"})
	}
	for _, c := range charts(t, []string{"You", "The careful hand"}, []string{"mine", "par"}, reports) {
		f.Charts = append(f.Charts, c.svg())
	}
	f.Sheet = inspection(v)
	f.Other = r.other()
	f.Legend = legend()
	for n := range v.Cycles {
		f.Cycles = append(f.Cycles, cycleOf(v, n))
		f.Table = append(f.Table, tableRow(&v.Cycles[n]))
	}
	f.Contents = []section{{"result", "Result"}, {"decisions", "Dearest decisions"}, {"next", "What to try next"}, {"losses", "Losses"}, {"curves", "Curves"}}
	if f.Sheet != nil {
		f.Contents = append(f.Contents, section{"sheet", "Inspection sheet"})
	}
	if f.Other != nil {
		f.Contents = append(f.Contents, section{"beside", "Beside another run"})
	}
	f.Contents = append(f.Contents, section{"cycles", "Cycle by cycle"}, section{"table", "All figures"}, section{"marks", "How marks are given"})
	f.RubricName, f.Formula = r.Rubric.Name, typeset(r.Rubric.Formula())
	h := v.Log.Header
	f.Safety = words.Say("lesson.safety.text")
	f.Footer = fmt.Sprintf("Run %.16s, begun with Before Iron %s, physics %d; heights %.16s at the end. Written by Before Iron %s. Made again from its acts: the record holds.",
		h.Sum(), h.Program, h.Physics, rep.Digest, r.Program)
	return f
}

func (r *Report) title() string {
	h := r.Review.Log.Header
	switch {
	case r.Lesson != nil:
		return fmt.Sprintf("%s, surface %d", r.Lesson.Title, h.PartSeed)
	case h.Lesson != "":
		return fmt.Sprintf("%s, surface %d", h.Lesson, h.PartSeed)
	}
	return "Own part"
}

// about says what the run is in a line.
func about(v *review.Review) string {
	rep := v.Report
	who := "Worked by a learner"
	if rep.Hand != nil {
		who = "Worked by the synthetic hand “" + *rep.Hand + "”"
	}
	return fmt.Sprintf("%s: %d prints, %d strokes, %s on iron. The face is %.4g by %.4g mm.", who, rep.Cycles, rep.Strokes, hours(int(1000*rep.SecondsOnIron)), v.X1-v.X0, v.Y1-v.Y0)
}

func hours(ms int) string {
	d := (time.Duration(ms) * time.Millisecond).Round(time.Minute)
	return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
}

func verdict(v *review.Review) string {
	m := v.Report.Marks
	key := "debrief.total.failed"
	switch {
	case !v.Log.SignedOff():
		key = "debrief.total.open"
	case m.Passed:
		key = "debrief.total.passed"
	}
	return words.Say(key, "total", fmt.Sprintf("%.0f", m.Total))
}

func families(m score.Marks) string {
	return fmt.Sprintf("Outcome %.1f, process %.1f, economy %.1f, errors %.1f; insight, beside them, %.1f.", m.Outcome, m.Process, m.Economy, m.Errors, m.Insight)
}

// um is a height for people.
func um(v float64) string { return short(v) + " µm" }

func reach(f *review.Field) float64 {
	low, high := f.Range()
	return high - low
}

func dash(v float64, unit string) string {
	if v != v {
		return "–"
	}
	return short(v) + unit
}

// result holds the face as it ended beside what was asked for and the careful
// hand's.
func result(v *review.Review, par *score.Report) []resultRow {
	rep, t := v.Report, v.Log.Header.Setup.Target
	began := score.Figures{}
	if len(rep.PerCycle) > 0 {
		began = rep.PerCycle[0]
	}
	type line struct {
		name, unit string
		asked      string
		of         func(f *score.Figures) float64
		low, high  float64
	}
	inf := math.Inf(1)
	lines := []line{
		{"Points per square inch", "", fmt.Sprintf("at least %s", short(t.PointsPerIn2)), figures[0].of, t.PointsPerIn2, inf},
		{"Points in the worst inch frame", "", fmt.Sprintf("at least %d", t.FrameMin), figures[1].of, float64(t.FrameMin), inf},
		{"Bearing", " %", fmt.Sprintf("%s to %s %%", short(t.AreaPct[0]), short(t.AreaPct[1])), figures[2].of, t.AreaPct[0], t.AreaPct[1]},
		{"Range over the gauge block", " µm", "at most " + um(t.BridgedUM), figures[4].of, 0, t.BridgedUM},
		{"Range under a bare tip", " µm", fmt.Sprintf("%s to %s", short(t.BareUM[0]), um(t.BareUM[1])), func(f *score.Figures) float64 { return or(f.BareRangeUM) }, t.BareUM[0], t.BareUM[1]},
		{"Flatness, minimum zone", " µm", "", figures[3].of, -inf, inf},
		{"New lows", "", "", figures[5].of, 0, inf},
	}
	var out []resultRow
	for _, l := range lines {
		mine := l.of(&rep.Final)
		row := resultRow{Name: l.name, Asked: l.asked, Mine: dash(mine, l.unit), Began: "–"}
		if len(rep.PerCycle) > 0 {
			row.Began = dash(l.of(&began), l.unit)
		}
		if l.asked != "" && mine == mine {
			row.Met = "✓ met"
			if mine < l.low || mine > l.high {
				row.Met = "✗ not met"
			}
		}
		if par != nil {
			row.Par = dash(l.of(&par.Final), l.unit)
		}
		out = append(out, row)
	}
	effort := resultRow{Name: "Prints, strokes", Began: "–", Mine: fmt.Sprintf("%d, %d", rep.Cycles, rep.Strokes)}
	iron := resultRow{Name: "Time on iron", Began: "–", Mine: hours(int(1000 * rep.SecondsOnIron))}
	marks := resultRow{Name: "Marks", Asked: "of 100", Began: "–", Mine: fmt.Sprintf("%.1f", rep.Marks.Total)}
	if par != nil {
		effort.Par = fmt.Sprintf("%d, %d", par.Cycles, par.Strokes)
		iron.Par = hours(int(1000 * par.SecondsOnIron))
		marks.Par = fmt.Sprintf("%.1f", par.Marks.Total)
	}
	return append(out, effort, iron, marks)
}

func came(v review.Value) string {
	how := "not accepted"
	if v.Passed {
		how = "accepted"
	}
	return fmt.Sprintf("%.1f marks after %d prints and %s, %s", v.Marks, v.Prints, hours(v.MS), how)
}

func (r *Report) decisions() ([]decision, string) {
	var out []decision
	for _, d := range r.Decisions {
		best := d.Tried[d.Best]
		e := decision{
			Cycle: d.Cycle, Lost: fmt.Sprintf("%.1f", d.Lost), Did: typeset(d.Did), Came: came(d.Came),
			Best: upper(typeset(best.What)), BestCame: came(best.Came),
		}
		for n := range r.Review.Cycles {
			if c := &r.Review.Cycles[n]; c.Print.N == d.Cycle {
				p := readingOf(c)
				e.Picture = &p
			}
		}
		e.Tried = append(e.Tried, tried{What: "What you did", Marks: fmt.Sprintf("%.1f", d.Came.Marks), Prints: fmt.Sprint(d.Came.Prints)})
		for k, t := range d.Tried {
			e.Tried = append(e.Tried, tried{upper(typeset(t.What)), fmt.Sprintf("%.1f", t.Came.Marks), fmt.Sprint(t.Came.Prints), k == d.Best})
		}
		out = append(out, e)
	}
	switch {
	case len(r.Review.Cycles) == 0:
		return out, "Nothing was printed, so there was nothing to decide by."
	case !r.Whole:
		return out, "None was found before the time for the search ended."
	}
	return out, "No decision cost more than the scatter of a hand: whatever was tried in its place came to as much or less."
}

// ringsPerRule is how many losses of one rule are numbered on the map.
const ringsPerRule = 6

// ring is a number on the map, at a place in mm.
type ring struct {
	x, y float64
	n    string
}

// losses are the losses by rule, the dearest first, and the rings that show where
// they were made; one of the whole face, which stands at its middle, has none.
func losses(v *review.Review) ([]loss, []ring) {
	all := v.Report.Losses
	everywhere := func(l score.Loss) bool {
		return l.XMM == nil || l.YMM == nil || *l.XMM == (v.X0+v.X1)/2 && *l.YMM == (v.Y0+v.Y1)/2
	}
	rules := map[string][]score.Loss{}
	var order []string
	for _, l := range all {
		if rules[l.Rule] == nil {
			order = append(order, l.Rule)
		}
		rules[l.Rule] = append(rules[l.Rule], l)
	}
	total := func(rule string) float64 {
		sum := 0.0
		for _, l := range rules[rule] {
			sum += l.Cost
		}
		return sum
	}
	sort.SliceStable(order, func(a, b int) bool { return total(order[a]) > total(order[b]) })
	var out []loss
	var rings []ring
	n := 0
	for _, rule := range order {
		list := rules[rule]
		worst := list[0]
		var places []string
		var numbers []string
		for _, l := range list {
			if l.Cost > worst.Cost {
				worst = l
			}
			if everywhere(l) {
				places = append(places, fmt.Sprintf("cycle %d, −%.1f", l.Cycle, l.Cost))
				continue
			}
			if len(numbers) == ringsPerRule {
				places = append(places, fmt.Sprintf("cycle %d at %.0f, %.0f mm, −%.1f", l.Cycle, *l.XMM, *l.YMM, l.Cost))
				continue
			}
			n++
			rings = append(rings, ring{*l.XMM, *l.YMM, fmt.Sprint(n)})
			numbers = append(numbers, fmt.Sprint(n))
			places = append(places, fmt.Sprintf("(%d) cycle %d at %.0f, %.0f mm, −%.1f", n, l.Cycle, *l.XMM, *l.YMM, l.Cost))
		}
		e := loss{
			Cost: fmt.Sprintf("%.1f", total(rule)), What: typeset(worst.What), Why: typeset(worst.Why), Next: typeset(worst.Next),
			Places: sentence(strings.Join(places, "; ")), Numbers: span(numbers), total: total(rule),
		}
		if e.total < .05 {
			continue
		}
		if len(list) > 1 {
			e.More = fmt.Sprintf("And %d more of the kind.", len(list)-1)
		}
		out = append(out, e)
	}
	return out, rings
}

// span is a run of numbers in short.
func span(numbers []string) string {
	switch len(numbers) {
	case 0:
		return "–"
	case 1:
		return numbers[0]
	}
	return numbers[0] + "–" + numbers[len(numbers)-1]
}

func sentence(s string) string {
	if s == "" {
		return ""
	}
	return upper(s) + "."
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

var plainUM = regexp.MustCompile(`\bum\b`)

// typeset spells units as a page can.
func typeset(text string) string {
	return strings.ReplaceAll(plainUM.ReplaceAllString(text, "µm"), "m^2", "m²")
}

func lowsWords(n int) string {
	switch n {
	case 0:
		return "No bare place ends deeper than twice the marks of the last stage: no low is counted."
	case 1:
		return "The black patch edged in white is the low that was dug."
	}
	return fmt.Sprintf("Black patches edged in white are the %d lows that were dug.", n)
}

// face is a map with its numbers and rings, y = 0 at the top as in the window.
func face(v *review.Review, f *review.Field, p picture, numbers []label, rings []ring, told string) template.HTML {
	w, h := float64(f.W), float64(f.H)
	var b strings.Builder
	fmt.Fprintf(&b, `<svg viewBox="0 0 %g %g" role="img" aria-label="%s"><image href="%s" width="%g" height="%g"/>`, w, h, esc(told), p.uri(), w, h)
	for _, l := range numbers {
		fmt.Fprintf(&b, `<text class="label" x="%g" y="%g">%s</text>`, l.X, l.Y+2, l.Text)
	}
	// Rings at one place stand beside each other.
	at := map[[2]int]int{}
	for _, r := range rings {
		x := w * (r.x - v.X0) / (v.X1 - v.X0)
		y := h * (r.y - v.Y0) / (v.Y1 - v.Y0)
		cell := [2]int{int(x / 10), int(y / 10)}
		x += 11 * float64(at[cell])
		at[cell]++
		x, y = math.Max(6, math.Min(w-6, x)), math.Max(6, math.Min(h-6, y))
		fmt.Fprintf(&b, `<circle class="ring" cx="%.1f" cy="%.1f" r="5.2"/><text class="number" x="%.1f" y="%.1f">%s</text>`, x, y, x, y+2.3, r.n)
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

func drawing(p picture, alt, caption string) drawn {
	r := p.img.Bounds()
	return drawn{URI: p.uri(), W: r.Dx(), H: r.Dy(), Alt: alt, Caption: caption}
}

func readingOf(c *review.Cycle) drawn {
	told := fmt.Sprintf("%.1f %% coloured, %d spots, %d points", float64(c.Print.Permille)/10, c.Print.Spots, c.Print.Points)
	return drawing(readingPicture(c.Colour, c.Shine), fmt.Sprintf("Print %d at a %s film: %s", c.Print.N, um(c.FilmUM), told), "The print: "+told+".")
}

// cycleOf is one row of the timeline.
func cycleOf(v *review.Review, n int) cycle {
	c := &v.Cycles[n]
	out := cycle{N: c.Print.N, Film: short(c.FilmUM), Time: hours(c.MS)}
	step := isoStep(reach(smooth(c.Truth)))
	height := um(reach(c.Truth))
	out.Panes = []drawn{
		readingOf(c),
		drawing(truthPicture(c.Truth, step), fmt.Sprintf("The face at print %d: heights over %s", c.Print.N, height), fmt.Sprintf("The face as it was: %s from lowest, dark, to highest; a line every %s.", height, um(step))),
	}
	if c.Removed == nil {
		out.Panes = append(out.Panes, drawn{Caption: "What was cut.", Empty: "Nothing was cut before the next print."}, drawn{Caption: "What it did.", Empty: "Nothing was cut."})
	} else {
		_, deepest := c.Removed.Range()
		onBlue, bare := shares(c)
		out.Panes = append(out.Panes,
			drawing(cutPicture(c.Removed, c.Bare), fmt.Sprintf("What was cut after print %d: up to %s, %.0f %% of the cut area where there was colour, %.0f %% where there was none", c.Print.N, um(deepest), 100*onBlue, 100*bare),
				fmt.Sprintf("What was cut, up to %s deep: %.0f %% of it where there was colour.", um(deepest), 100*onBlue)),
			drawing(didPicture(c.Did), didWords(c), didWords(c)+"."))
	}
	if c.PressN > 0 {
		out.Words = append(out.Words, fmt.Sprintf("The part was pressed with %d N while it was rubbed: such a print shows the hand as well as the face.", c.PressN))
	}
	if c.Guess != nil {
		out.Words = append(out.Words, words.Say("debrief.guess", "share", fmt.Sprintf("%.0f", 100*c.Met), "sure", c.Guess.Sure))
	}
	out.Words = append(out.Words, "Then: "+lower(typeset(c.Done.Words())))
	return out
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// shares are the shares of the cut area that carried colour and that did not.
func shares(c *review.Cycle) (onBlue, bare float64) {
	cut, off := 0.0, 0.0
	for k, v := range c.Removed.V {
		if v > .2 {
			cut++
			off += math.Min(1, float64(c.Bare.V[k]))
		}
	}
	if cut == 0 {
		return 0, 0
	}
	return 1 - off/cut, off / cut
}

// didWords say what a cut did, at the score film.
func didWords(c *review.Cycle) string {
	a, b := &c.At, &c.After
	return fmt.Sprintf("What it did: bearing %s to %s %%, points %s to %s, zone %s to %s, new lows %d to %d",
		dash(or(a.AreaPct), ""), dash(or(b.AreaPct), ""), dash(or(a.PointsPerIn2), ""), dash(or(b.PointsPerIn2), ""),
		dash(or(a.MinimumZoneUM), ""), dash(or(b.MinimumZoneUM), " µm"), a.NewLows, b.NewLows)
}

func tableRow(c *review.Cycle) []string {
	f := &c.At
	return []string{fmt.Sprint(c.Print.N), dash(or(f.PointsPerIn2), ""), dash(orInt(f.FrameMin), ""), dash(or(f.AreaPct), ""), dash(or(f.MinimumZoneUM), ""),
		dash(or(f.BridgedUM), ""), dash(or(f.BareRangeUM), ""), fmt.Sprint(f.NewLows), short(float64(c.Print.PerIn2) / 100), short(float64(c.Print.Permille) / 10)}
}

// legend shows what the small pictures are made of.
func legend() []drawn {
	const w, h = 26, 18
	field := func(v func(i int) float32) *review.Field {
		f := &review.Field{W: w, H: h}
		for k := range w * h {
			f.V = append(f.V, v(k%w))
		}
		return f
	}
	flat := func(v float32) *review.Field { return field(func(int) float32 { return v }) }
	return []drawn{
		drawing(readingPicture(field(func(i int) float32 { return float32(i) / w }), flat(0)), "Print: colour, the darker the stronger", ""),
		drawing(readingPicture(flat(.2), flat(1)), "Print: metal rubbed bare, a pale summit", ""),
		drawing(truthPicture(field(func(i int) float32 { return float32(i) }), 100), "Heights: dark is low, bright is high; lines are isolines", ""),
		drawing(cutPicture(field(func(i int) float32 { return float32(i) / 4 }), flat(0)), "Cut where there was colour, the darker the deeper", ""),
		drawing(cutPicture(flat(6), flat(1)), "Cut where there was none: chequered", ""),
		drawing(didPicture(flat(float32(review.StaysOn))), "Bears before and after", ""),
		drawing(didPicture(flat(float32(review.CameOn))), "Came to bear", ""),
		drawing(didPicture(flat(float32(review.WentOff))), "Stopped bearing: striped", ""),
		drawing(didPicture(flat(float32(review.Dug))), "A new low: meshed", ""),
	}
}
