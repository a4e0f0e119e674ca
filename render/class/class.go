// Package class is the scene for a teacher: the runs of a class in a folder, made
// again and marked; what can be said of all without saying it of one; what they
// lost marks by; which runs are worth showing; and the gradebook.
package class

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/lessons/class"
	"github.com/before-iron/beforeiron/lessons/page"
	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/render/folders"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// ownFolder is that of the data folder in which runs of a class may be put.
const ownFolder = "class"

// Scene is the scene.
type Scene struct {
	desk    *scene.Desk
	folder  string // of the machine; empty for that of the data folder
	entries []folders.Entry
	trouble string

	marking *work.Aside[*marked]
	wrote   string
}

// New is the scene with the folder of the data folder.
func New(desk *scene.Desk) *Scene {
	s := &Scene{desk: desk}
	s.open("")
	return s
}

// Leave ends what is made beside the window.
func (s *Scene) Leave() { s.marking.Leave() }

// open lists a folder.
func (s *Scene) open(folder string) {
	s.marking.Leave()
	s.folder, s.trouble, s.marking, s.wrote, s.entries = folder, "", nil, "", nil
	if folder != "" {
		var err error
		if s.entries, err = folders.List(folder, ".run"); err != nil {
			s.trouble = err.Error()
		}
		return
	}
	files, err := s.desk.Store.List(ownFolder)
	if err != nil {
		s.trouble = err.Error()
	}
	for _, f := range files {
		if strings.EqualFold(path.Ext(f.Name), ".run") {
			s.entries = append(s.entries, folders.Entry{Name: f.Name, Time: f.Time})
		}
	}
	slices.SortFunc(s.entries, func(a, b folders.Entry) int { return strings.Compare(a.Name, b.Name) })
}

// file is one run of the folder.
type file struct {
	name    string
	time    time.Time
	content []byte
	err     error // why it cannot be read
}

// files are the runs of the folder, read.
func (s *Scene) files() (out []file) {
	for _, e := range s.entries {
		if e.Folder {
			continue
		}
		f := file{name: e.Name, time: e.Time}
		if s.folder == "" {
			f.content, f.err = s.desk.Store.Read(path.Join(ownFolder, e.Name))
		} else {
			f.content, f.err = files.Read(filepath.Join(s.folder, e.Name))
		}
		out = append(out, f)
	}
	return out
}

// marked is what came of the runs of a folder.
type marked struct {
	attempts  []class.Attempt
	summaries []class.Summary
	titles    []string // of each
	refused   []string // each with the reason
	remarks   []string // of those that were not
	twins     [][]string
	logs      map[string]*run.Log
}

// mark makes the runs again and marks them, on all processors.
func mark(files []file, by *score.Rubric, tell func(done, total int) error) (*marked, error) {
	type answer struct {
		attempt class.Attempt
		log     *run.Log
		err     error
	}
	answers := make([]answer, len(files))
	jobs := make([]func(), len(files))
	for k, f := range files {
		jobs[k] = func() {
			a := &answers[k]
			if a.err = f.err; a.err != nil {
				return
			}
			if a.log, a.err = run.Read(bytes.NewReader(f.content)); a.err == nil {
				a.attempt, a.err = class.Mark(f.name, a.log, f.time, by)
			}
		}
	}
	var done atomic.Int64
	if err := work.Spread(jobs, func() error { return tell(int(done.Add(1)), len(jobs)) }); err != nil {
		return nil, err
	}
	m := &marked{logs: map[string]*run.Log{}}
	for k, a := range answers {
		if a.err != nil {
			m.refused = append(m.refused, fmt.Sprintf("%s: %v", files[k].name, a.err))
			continue
		}
		if a.log.Torn > 0 {
			m.remarks = append(m.remarks, words.Say("classroom.torn", "file", files[k].name, "line", a.log.Torn))
		}
		if a.log.SignedOff() && a.log.Seal == nil {
			m.remarks = append(m.remarks, words.Say("classroom.unsealed", "file", files[k].name))
		}
		m.attempts = append(m.attempts, a.attempt)
		m.logs[files[k].name] = a.log
	}
	class.Sort(m.attempts)
	m.twins, m.summaries = class.Twins(m.attempts), class.Summaries(m.attempts)
	for i := range m.summaries {
		title := m.summaries[i].Lesson
		if l, err := lessons.Load(title); err == nil {
			title = l.Title
		} else if title == "" {
			title = words.Say("classroom.free")
		}
		m.titles = append(m.titles, title)
	}
	return m, nil
}

const gap = 10.0

// Tick does one tick of the scene.
func (s *Scene) Tick(u *kit.UI) (next scene.Next) {
	all := u.Size().Inset(gap)
	left, right := all.Left(math.Round((all.W - gap) * .36))
	_, right = right.Left(gap)
	next = s.choose(u, left)
	if n := s.told(u, right); n.To != scene.Stay {
		next = n
	}
	if u.Back() {
		next = scene.Next{To: scene.Back}
	}
	return next
}

// choose is the folder and its runs.
func (s *Scene) choose(u *kit.UI, r kit.Rect) (next scene.Next) {
	u.Panel(r, "runs", words.Say("classroom.runs"))
	c := u.ScrollColumn("runs.column", r.Inset(gap), 4)
	defer c.Close()
	c.Heading("title", words.Say("classroom.title"))
	c.Text("how", words.Say("classroom.how"), kit.Small, kit.Quiet)
	if c.Button("back", words.Say("classroom.back"), kit.Opts{Tone: kit.Quiet}) {
		next = scene.Next{To: scene.Back}
	}
	n := 0
	for _, e := range s.entries {
		if !e.Folder {
			n++
		}
	}
	m, over, _ := s.marking.Get()
	tone := kit.Go
	if m != nil {
		tone = kit.Plain // the gradebook is what goes on from there
	}
	if c.Button("mark", words.Count("classroom.mark", n), kit.Opts{Tone: tone, Disabled: n == 0 || s.marking != nil && !over, Tip: words.Say("classroom.tip.mark")}) {
		s.start()
	}
	where := words.Say("classroom.folder.own", "where", folders.Ending(filepath.Join(s.desk.Store.Where(), ownFolder)))
	if s.folder != "" {
		where = folders.Ending(s.folder)
	}
	c.Text("folder", where, kit.Small, kit.Quiet)
	if s.trouble != "" {
		c.Text("trouble", s.trouble, kit.Body, kit.Caution)
	}
	if here := folders.Here(); s.folder == "" && here != "" {
		if c.Button("other", words.Say("classroom.folder.other"), kit.Opts{}) {
			s.open(here)
			return next
		}
	} else if s.folder != "" && c.Button("own", words.Say("classroom.folder.back"), kit.Opts{}) {
		s.open("")
		return next
	}
	if n == 0 {
		c.Text("empty", words.Say("classroom.empty"), kit.Body, kit.Quiet)
	}
	u.TypeAhead("entries")
	for i, e := range s.entries {
		if !e.Folder {
			c.Text(kit.ItemID("run", i), e.Name, kit.Small, kit.Plain)
			continue
		}
		if c.Option("entries", i, e.Name+"/", "", kit.Opts{}) {
			s.open(filepath.Join(s.folder, e.Name))
			u.FocusOn(kit.ItemID("entries", 0))
			break
		}
	}
	return next
}

// start begins to mark the folder.
func (s *Scene) start() {
	rubric, err := s.desk.Rubric()
	if err != nil {
		s.trouble = err.Error()
	}
	if s.desk.Set.Rubric == "" {
		rubric = nil // each run by that of its job
	}
	files := s.files()
	s.wrote = ""
	s.marking = work.StartAside(func(tell func(int, int) error) (*marked, error) { return mark(files, rubric, tell) })
}

// told is what came of it.
func (s *Scene) told(u *kit.UI, r kit.Rect) (next scene.Next) {
	u.Panel(r, "told", words.Say("classroom.told"))
	c := u.ScrollColumn("told.column", r.Inset(gap), gap-2)
	defer c.Close()
	m, over, err := s.marking.Get()
	switch {
	case s.marking == nil:
		c.Text("none", words.Say("classroom.none"), kit.Body, kit.Quiet)
		return next
	case err != nil:
		c.Text("failed", err.Error(), kit.Body, kit.Caution)
		return next
	case !over:
		u.Progress(c.Take(u.ControlHeight()), "marking", words.Say("classroom.marking"), s.marking.Share())
		return next
	}
	if c.Button("write", words.Say("classroom.write"), kit.Opts{Tone: kit.Go, Tip: words.Say("classroom.tip.write")}) {
		if err := s.write(m); err != nil {
			s.trouble = err.Error()
		}
	}
	if s.wrote != "" {
		u.Status(c.Take(u.TextHeight(kit.Body, s.wrote, c.Width())), "wrote", s.wrote, kit.Body, kit.Lit)
	}
	for i, text := range m.refused {
		c.Text(kit.ItemID("refused", i), words.Say("classroom.refused", "why", text), kit.Body, kit.Caution)
	}
	for i, text := range m.remarks {
		c.Text(kit.ItemID("remark", i), text, kit.Body, kit.Caution)
	}
	for i, twins := range m.twins {
		c.Text(kit.ItemID("twins", i), words.Say("classroom.twins", "files", strings.Join(twins, ", ")), kit.Body, kit.Caution)
	}
	for i := range m.summaries {
		if n := s.summary(u, c, m, i); n.To != scene.Stay {
			next = n
		}
	}
	c.PageKeys()
	return next
}

// summary is what can be said of the class at one lesson.
func (s *Scene) summary(u *kit.UI, c *kit.Column, m *marked, i int) (next scene.Next) {
	x := &m.summaries[i]
	id := func(part string) string { return fmt.Sprintf("lesson.%d.%s", i, part) }
	c.Heading(id("title"), m.titles[i])
	if x.Few {
		c.Text(id("few"), words.Say("classroom.few"), kit.Body, kit.Quiet)
	} else {
		text := words.Say("classroom.people", "people", x.People, "runs", x.Runs)
		if x.Passed != nil {
			text += " " + words.Count("classroom.passed", *x.Passed)
		}
		if x.Median != nil {
			text += " " + words.Say("classroom.median", "marks", fmt.Sprintf("%.0f", *x.Median))
		}
		c.Text(id("people"), text, kit.Body, kit.Plain)
		s.bars(u, c, id("bins"), x.Bins)
		if slices.ContainsFunc(x.Bins, func(b class.Bin) bool { return b.Hidden }) {
			c.Text(id("hidden"), words.Say("classroom.bin.why"), kit.Small, kit.Quiet)
		}
		if len(x.Errors) > 0 {
			c.Name(id("errors"), words.Say("classroom.errors"))
		}
		told := s.desk.Told
		for k, e := range x.Errors {
			c.Text(id(fmt.Sprint("error.", k)), words.Say("classroom.error", "people", e.People, "rule", e.Name(), "why", told(e.Why), "next", told(e.Next)), kit.Body, kit.Plain)
		}
	}
	if len(x.Showing) > 0 {
		c.Name(id("showing"), words.Say("classroom.showing"))
	}
	for k, w := range x.Showing {
		if c.Option(id("show"), k, w.File, w.Why, kit.Opts{Tip: words.Say("classroom.tip.show")}) {
			next = scene.Next{To: scene.Debrief, Name: strings.TrimSuffix(w.File, filepath.Ext(w.File)), Log: m.logs[w.File]}
		}
	}
	return next
}

// bars are how many people's first attempts came to which marks; a bin that would
// speak of fewer than three is hatched and has no height.
func (s *Scene) bars(u *kit.UI, c *kit.Column, id string, bins []class.Bin) {
	line := u.Line(kit.Small)
	most := 1
	for _, b := range bins {
		most = max(most, b.People)
	}
	const height = 90.0
	r := c.Take(math.Ceil(height + 2*line + 16))
	w := r.W / float64(max(1, len(bins)))
	base := r.Y + 6 + line + height
	var art []kit.Mark
	var said []string
	for k, b := range bins {
		x := r.X + w*(float64(k)+.5)
		name := words.Say("classroom.bin", "low", b.Low, "high", min(100, b.High))
		people := fmt.Sprint(b.People)
		if b.Low < 0 {
			name = words.Say("classroom.bin.below")
		}
		if b.Hidden {
			people = words.Say("classroom.bin.hidden")
		}
		said = append(said, name+": "+people)
		if !b.Hidden && b.People > 0 {
			h := height * float64(b.People) / float64(most)
			art = append(art, kit.Mark{Shape: kit.Fill, Ink: palette.Mine, Points: []kit.Point{{X: x - w*.35, Y: base - h}, {X: x + w*.35, Y: base - h}, {X: x + w*.35, Y: base}, {X: x - w*.35, Y: base}}})
			art = append(art, inBar(u, people, x, base-h-line, w))
		} else {
			art = append(art, inBar(u, people, x, base-line, w))
		}
		art = append(art, inBar(u, name, x, base+4, w))
	}
	art = append(art, kit.Mark{Shape: kit.Line, Width: 1.5, Ink: palette.Edge, Points: []kit.Point{{X: r.X + 4, Y: base}, {X: r.X + r.W - 4, Y: base}}})
	u.Picture(r, id, words.Say("classroom.bins"), strings.Join(said, "; "), art)
}

// inBar are words in the middle of a bar, shortened to it.
func inBar(u *kit.UI, text string, x, y, w float64) kit.Mark {
	return kit.Mark{Shape: kit.Words, Text: u.Shorten(kit.Small, text, w-4), Type: kit.Small, Align: kit.Middle, Ink: palette.Text, Ground: palette.Field, Points: []kit.Point{{X: x, Y: y}}}
}

// write puts gradebook, page and statements into the data folder.
func (s *Scene) write(m *marked) error {
	p := page.Class{Program: work.Program, Refused: len(m.refused), Summaries: m.summaries}
	html, err := p.HTML()
	if err != nil {
		return err
	}
	statements, err := class.Statements(m.attempts)
	if err != nil {
		return err
	}
	folder := "class-results"
	if s.folder != "" {
		folder = path.Join(folder, filepath.Base(s.folder))
	}
	var all []error
	where := ""
	for name, content := range map[string][]byte{"gradebook.csv": class.Gradebook(m.attempts), "class.html": html, "statements.json": statements} {
		at, err := s.desk.Store.Give(path.Join(folder, name), content)
		all = append(all, err)
		where = at
	}
	if err := errors.Join(all...); err != nil {
		return err
	}
	s.wrote = words.Say("classroom.wrote", "where", path.Dir(filepath.ToSlash(where)))
	return nil
}
