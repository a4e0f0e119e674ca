// Package ownpart is the scene in which somebody chooses a file of their own
// readings and sees, before it is accepted, how it was understood: axes, units,
// sign, size.
package ownpart

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/before-iron/beforeiron/assets/palette"
	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/render/folders"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/scene"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/run"
)

// Ask is how a file is to be read.
type Ask struct {
	Unit   string // um, mm, in, thou, tenth; empty for what the file says
	Finish string // milled, ground, worn, fine, or empty for none; Auto to choose
	Flip   bool   // heights are depths
}

// Auto lets the reader choose the finish.
const Auto = "auto"

// Part is a file as it was understood.
type Part struct {
	Setup  run.Setup
	NX, NY int     // of the readings; 0 when they form no grid
	Points int     // readings
	X, Y   float64 // mm
	Low    float64 // um
	High   float64
	Unit   string // in which the file's heights were taken
	Unsaid bool   // and neither the file nor anybody says so: it has to be asked
	Finish string
	Notes  []string

	// W, H and Z are a small map of the heights, um, NaN where there is none.
	W, H int
	Z    []float64
}

// Reader reads a file of that name and content.
type Reader func(name string, content []byte, ask Ask) (*Part, error)

// Scene is the scene.
type Scene struct {
	desk *scene.Desk
	read Reader

	folder  string
	entries []folders.Entry
	listed  error

	name    string // of the file that was chosen
	content []byte
	unread  bool // its content was not taken
	among   bool // it was dropped together with others
	ask     Ask
	reading *work.Aside[*Part] // of a long file, until it is read
	part    *Part
	unsaid  bool // the file says no unit, so there is no such choice
	image   *kit.Image
	trouble string
}

// New is the scene with the list of a folder.
func New(desk *scene.Desk, read Reader) *Scene {
	s := &Scene{desk: desk, read: read, ask: Ask{Finish: Auto}}
	s.open(folders.Here())
	return s
}

// File is the scene with a file chosen; an error says why it cannot be read.
func File(desk *scene.Desk, read Reader, name string) (*Scene, error) {
	content, err := files.Read(name)
	if err != nil {
		return nil, err
	}
	s := Content(desk, read, name, content)
	s.reading.Wait()
	if s.take(); s.part == nil {
		return nil, fmt.Errorf("%s: %s", name, s.trouble)
	}
	return s, nil
}

// Content is the scene with the content of a file chosen.
func Content(desk *scene.Desk, read Reader, name string, content []byte) *Scene {
	s := New(desk, read)
	s.choose(name, content)
	return s
}

// Dropped is the scene with a file chosen that was dropped on the window, alone or
// among others.
func Dropped(desk *scene.Desk, read Reader, name string, content []byte, among bool) *Scene {
	s := Content(desk, read, name, content)
	s.among = among
	return s
}

// Refused is the scene with what was dropped on the window and not taken, and why.
func Refused(desk *scene.Desk, read Reader, name, why string) *Scene {
	s := New(desk, read)
	s.refuse(name, why)
	return s
}

// Readings reports whether a file of that name can hold readings.
func Readings(name string) bool {
	return slices.Contains(endings, strings.ToLower(filepath.Ext(name)))
}

// endings of files that can hold readings.
var endings = []string{".csv", ".txt", ".sdf", ".x3p"}

// open lists a folder.
func (s *Scene) open(folder string) {
	s.folder = folder
	s.entries, s.listed = folders.List(folder, endings...)
}

// choose takes a file.
func (s *Scene) choose(name string, content []byte) {
	s.name, s.content, s.unread, s.among, s.unsaid, s.ask.Unit = name, content, false, false, false, ""
	s.again()
}

// refuse takes a file whose content is not there to be taken.
func (s *Scene) refuse(name, why string) {
	s.name, s.content, s.unread, s.among = name, nil, true, false
	s.part, s.image, s.reading, s.trouble = nil, nil, nil, why
}

// mostAtOnce is the longest file, bytes, that is read between two frames: a hand does
// not feel it. A longer one is read beside the window.
const mostAtOnce = 1 << 18

// again reads the chosen file as it is asked for now.
func (s *Scene) again() {
	name, content, ask := filepath.Base(s.name), s.content, s.ask
	s.part, s.image, s.trouble = nil, nil, ""
	s.reading = work.StartAside(func(func(int, int) error) (*Part, error) { return s.read(name, content, ask) })
	if len(content) <= mostAtOnce {
		s.reading.Wait()
		s.take()
	}
}

// take takes in what was read, once it is.
func (s *Scene) take() {
	part, over, err := s.reading.Get()
	if !over {
		return
	}
	s.reading = nil
	if err != nil {
		s.trouble = err.Error()
		return
	}
	s.part, s.image = part, draw(part)
}

// bands is how many steps of height the lines of the map part.
const bands = 8

// finest is about how many places the map is broad, so that its lines are thin.
const finest = 480

// draw is the map of heights, from dark grey for low to white for high, with a line
// where one band of height meets the next. Blue is kept for what touches a master.
func draw(p *Part) *kit.Image {
	times := max(1, finest/p.W)
	m := &kit.Image{W: p.W * times, H: p.H * times}
	m.Pix = make([]byte, 4*m.W*m.H)
	shares := make([]float64, m.W*m.H)
	for k := range shares {
		shares[k] = (between(p, (float64(k%m.W)+.5)/float64(times)-.5, (float64(k/m.W)+.5)/float64(times)-.5) - p.Low) / math.Max(1e-9, p.High-p.Low)
	}
	band := func(k int) float64 { return math.Min(bands-1, math.Floor(bands*shares[k])) }
	parts := func(k, other int) bool { return shares[other] == shares[other] && band(k) != band(other) }
	for k, s := range shares {
		if s != s {
			continue
		}
		const lowest, highest, line = 70, 255, 20
		grey := uint8(lowest + (highest-lowest)*math.Max(0, math.Min(1, s)))
		if (k+1)%m.W != 0 && parts(k, k+1) || k+m.W < len(shares) && parts(k, k+m.W) {
			grey = line
		}
		m.Pix[4*k], m.Pix[4*k+1], m.Pix[4*k+2], m.Pix[4*k+3] = grey, grey, grey, 255
	}
	return m
}

// between is the height at a place of the small map, in its steps, on straight lines
// between its readings; where one of those is missing, the nearest.
func between(p *Part, x, y float64) float64 {
	x, y = math.Max(0, math.Min(float64(p.W-1), x)), math.Max(0, math.Min(float64(p.H-1), y))
	i, j := min(int(x), max(0, p.W-2)), min(int(y), max(0, p.H-2))
	u, v := x-float64(i), y-float64(j)
	at := func(i, j int) float64 { return p.Z[min(j, p.H-1)*p.W+min(i, p.W-1)] }
	z := (1-v)*((1-u)*at(i, j)+u*at(i+1, j)) + v*((1-u)*at(i, j+1)+u*at(i+1, j+1))
	if z != z {
		return at(int(math.Round(x)), int(math.Round(y)))
	}
	return z
}

const gap = 10.0

// Tick does one tick of the scene.
func (s *Scene) Tick(u *kit.UI) (next scene.Next) {
	s.take()
	all := u.Size().Inset(gap)
	left, right := all.Left(math.Round((all.W - gap) * .42))
	_, right = right.Left(gap)
	next = s.files(u, left)
	if n := s.preview(u, right); n.To != scene.Stay {
		next = n
	}
	if u.Back() {
		next = scene.Next{To: scene.Back}
	}
	return next
}

// files is the list of the folder.
func (s *Scene) files(u *kit.UI, r kit.Rect) (next scene.Next) {
	u.Panel(r, "files", words.Say("own.files"))
	c := u.ScrollColumn("files.column", r.Inset(gap), 4)
	defer c.Close()
	c.Heading("title", words.Say("own.title"))
	c.Text("how", words.Say("own.how"), kit.Body, kit.Plain)
	if c.Button("back", words.Say("own.back"), kit.Opts{Tone: kit.Quiet}) {
		next = scene.Next{To: scene.Back}
	}
	c.Text("folder", folders.Ending(s.folder), kit.Small, kit.Quiet)
	switch {
	case s.listed != nil:
		c.Text("listed", s.listed.Error(), kit.Body, kit.Caution)
	case len(s.entries) == 0:
		c.Text("empty", words.Say("own.empty"), kit.Body, kit.Quiet)
	}
	u.TypeAhead("entries")
	for i, e := range s.entries {
		label := e.Name
		if e.Folder {
			label += "/"
		}
		if !c.Option("entries", i, label, "", kit.Opts{Checked: !e.Folder && filepath.Join(s.folder, e.Name) == s.name}) {
			continue
		}
		path := filepath.Join(s.folder, e.Name)
		if e.Folder {
			s.open(path)
			u.FocusOn(kit.ItemID("entries", 0))
			break
		}
		content, err := files.Read(path)
		if err != nil {
			s.refuse(path, err.Error())
			break
		}
		s.choose(path, content)
	}
	return next
}

// The choices, in the order in which they are shown.
var (
	unitKeys   = []string{"", "um", "mm", "in", "thou", "tenth"}
	finishKeys = []string{Auto, "milled", "ground", "worn", "fine"}
)

// preview is the file as it was understood, and what can be changed of that.
func (s *Scene) preview(u *kit.UI, r kit.Rect) (next scene.Next) {
	u.Panel(r, "preview", words.Say("own.preview"))
	if s.name == "" {
		c := u.ScrollColumn("preview.column", r.Inset(gap), gap-2)
		c.Text("none", words.Say("own.none"), kit.Body, kit.Quiet)
		c.Close()
		return next
	}
	// The way on is always in sight, however long what is understood.
	foot, body := r.Inset(gap).Bottom(u.HeightIn(r.W-2*gap, words.Say("own.accept"), "", false))
	_, body = body.Bottom(gap)
	c := u.ScrollColumn("preview.column", body, gap-2)
	c.Heading("name", filepath.Base(s.name))
	if s.among {
		c.Text("among", words.Say("own.among"), kit.Body, kit.Caution)
	}
	if s.trouble != "" {
		c.Text("trouble", s.trouble, kit.Body, kit.Caution)
	}
	if p := s.part; p != nil {
		s.shown(u, c, p)
	}
	if s.reading != nil {
		c.Text("reading", words.Say("own.reading"), kit.Body, kit.Quiet)
	}
	if s.unread || s.reading != nil {
		c.Close()
		return next
	}
	before := s.ask
	c.Name("unit.name", words.Say("own.unit"))
	unsaid := s.part != nil && s.part.Unsaid
	units := unitKeys
	if unsaid || s.unsaid {
		units, s.unsaid = unitKeys[1:], true
		// Answered, the question keeps its place: what stands below it is pressed next.
		ask := words.Say("own.unit.ask")
		box := c.Take(math.Ceil(u.TextHeight(kit.Body, ask, c.Width())))
		if unsaid {
			u.Text(box, "unit.ask", ask, kit.Body, kit.Caution, kit.Start)
		} else {
			u.Text(box, "unit.told", words.Say("own.unit.told"), kit.Body, kit.Quiet, kit.Start)
		}
	}
	s.ask.Unit = pick(c, "unit", units, s.ask.Unit)
	s.ask.Flip, _ = c.Toggle("flip", words.Say("own.flip"), s.ask.Flip, kit.Opts{})
	if s.part != nil {
		// Below the choices, which bring some of them.
		for i, n := range s.part.Notes {
			c.Text(fmt.Sprint("note.", i), n, kit.Small, kit.Caution)
		}
	}
	c.Name("finish.name", words.Say("own.finish"))
	s.ask.Finish = pick(c, "finish", finishKeys, s.ask.Finish)
	if s.ask != before {
		s.again()
	}
	tip := "own.tip.accept"
	if unsaid {
		tip = "own.unit.ask"
	}
	c.Close()
	if u.Button(foot, "accept", words.Say("own.accept"), kit.Opts{Tone: kit.Go, Disabled: s.part == nil || unsaid, Tip: words.Say(tip)}) {
		base := filepath.Base(s.name)
		next = scene.Next{To: scene.Bench, Setup: &s.part.Setup, PartName: strings.TrimSuffix(base, filepath.Ext(base)), Seed: 1}
	}
	return next
}

func pick(c *kit.Column, group string, keys []string, now string) string {
	labels := make([]string, len(keys))
	at := -1 // nothing is chosen yet
	for i, k := range keys {
		name := k
		if name == "" {
			name = "said"
		}
		labels[i] = words.Say("own." + group + "." + name)
		if k == now {
			at = i
		}
	}
	if at, _ = c.Choose(group, labels, at, nil); at < 0 {
		return now
	}
	return keys[at]
}

// shown is the picture with its axes, and what was understood in words.
func (s *Scene) shown(u *kit.UI, c *kit.Column, p *Part) {
	h := s.desk.Set.Units
	margin := math.Ceil(u.Line(kit.Small) + 6)
	height := math.Round(min(260*math.Max(1, u.TextScale*.8), (c.Width()-2*margin)*float64(p.H)/float64(p.W)+2*margin))
	box := c.Take(max(height, 3*margin))
	inner := kit.Rect{X: box.X + margin + 8, Y: box.Y + margin, W: box.W - 2*margin - 16, H: box.H - 2*margin}
	k := min(inner.W/float64(p.W), inner.H/float64(p.H))
	at := kit.Rect{X: inner.X, Y: inner.Y, W: float64(p.W) * k, H: float64(p.H) * k}
	arrow := func(x0, y0, x1, y1 float64) kit.Mark {
		dx, dy := x1-x0, y1-y0
		l := math.Hypot(dx, dy)
		dx, dy = dx/l*6, dy/l*6
		return kit.Mark{Shape: kit.Line, Width: 2, Ink: palette.Accent, Points: []kit.Point{
			{X: x0, Y: y0}, {X: x1, Y: y1}, {X: x1 - dx - dy, Y: y1 - dy + dx}, {X: x1, Y: y1}, {X: x1 - dx + dy, Y: y1 - dy - dx}}}
	}
	art := []kit.Mark{
		{Shape: kit.Pixels, Image: s.image, Points: []kit.Point{{X: at.X, Y: at.Y}, {X: at.X + at.W, Y: at.Y + at.H}}},
		arrow(at.X, at.Y-7, at.X+min(60, at.W), at.Y-7),
		arrow(at.X-7, at.Y, at.X-7, at.Y+min(60, at.H)),
		{Shape: kit.Words, Text: "x", Type: kit.Small, Ink: palette.Text, Ground: palette.Field, Points: []kit.Point{{X: at.X + min(60, at.W) + 6, Y: at.Y - 4 - u.Line(kit.Small)}}},
		{Shape: kit.Words, Text: "y", Type: kit.Small, Ink: palette.Text, Ground: palette.Field, Align: kit.Finish, Points: []kit.Point{{X: at.X - 10, Y: at.Y + min(60, at.H) - u.Line(kit.Small)/2}}},
	}
	say := words.Say("own.size", "x", h.Across(p.X), "y", h.Across(p.Y))
	u.Picture(box, "map", words.Say("own.map"), say, art)
	c.Text("size", say, kit.Body, kit.Plain)
	if p.NX > 0 {
		c.Text("grid", words.Say("own.grid", "nx", p.NX, "ny", p.NY, "points", p.Points), kit.Body, kit.Plain)
	} else {
		c.Text("grid", words.Say("own.scattered", "points", p.Points), kit.Body, kit.Plain)
	}
	if p.Unsaid {
		c.Text("heights", words.Say("own.heights.unsaid", "low", fmt.Sprintf("%.4g", p.Low), "high", fmt.Sprintf("%.4g", p.High)), kit.Body, kit.Plain)
	} else {
		c.Text("heights", words.Say("own.heights", "low", h.Height(p.Low), "high", h.Height(p.High), "reach", h.Height(p.High-p.Low), "unit", strings.Replace(p.Unit, "um", "µm", 1)), kit.Body, kit.Plain)
	}
	c.Text("sign", words.Say("own.sign"), kit.Body, kit.Plain)
}
