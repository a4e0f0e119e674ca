package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/lessons/free"
	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
	"github.com/before-iron/beforeiron/sim/surface"
)

type practiseCommand struct {
	Lesson  string   `placeholder:"ID" help:"Lesson to work; see beforeiron lessons. A lesson file (.yaml) will do as well."`
	Part    string   `placeholder:"FILE" help:"Somebody's own part: heights in .csv, .sdf or .x3p. A coarse grid of readings gives its form."`
	Finish  string   `placeholder:"FINISH" help:"Texture of --part: milled, ground, worn or fine. By default milled on a coarse grid, none on a fine one."`
	Texture string   `placeholder:"FILE" help:"Measured heights (.csv, .sdf, .x3p) whose texture the part takes, in the place of a finish."`
	Cutoff  *float64 `placeholder:"MM" help:"Waves longer than this are form and are left out of --texture (8)."`
	Unit    string   `placeholder:"UNIT" help:"Unit of the heights of --part and --texture: um, mm, in, thou or tenth."`
	Effects string   `placeholder:"NAMES" help:"Ways in which iron is unkind to switch on besides those of the lesson, with commas, or all: ${effects}."`
	Hand    string   `default:"careful" placeholder:"NAME" help:"Synthetic hand that works it (${default})."`
	Seed    *uint64  `placeholder:"N" help:"Surface of the part and of the master (the lesson's first, or 1)."`
	Scatter *uint64  `placeholder:"N" help:"Scatter of the hand (that of --seed)."`
	Cycles  int      `default:"45" placeholder:"N" help:"Prints after which it signs off at the latest (${default})."`
	Out     string   `short:"o" required:"" placeholder:"RUN" help:"Run to write."`
	Force   bool     `help:"Replace an existing file."`
	JSON    bool     `name:"json" help:"Print JSON, as replay does."`
}

func (c *practiseCommand) Validate() error {
	switch {
	case (c.Lesson == "") == (c.Part == ""):
		return errors.New("give one of --lesson and --part")
	case c.Part == "" && c.Finish != "":
		return errors.New("--finish goes with --part")
	case c.Part == "" && c.Texture == "" && c.Unit != "":
		return errors.New("--unit goes with --part or --texture")
	case c.Finish != "" && c.Texture != "":
		return errors.New("give one of --finish and --texture")
	case c.Texture == "" && c.Cutoff != nil:
		return errors.New("--cutoff goes with --texture")
	case c.Cycles < 1 || c.Cycles > 10000:
		return fmt.Errorf("--cycles is %d: give 1 to 10000", c.Cycles)
	}
	return nil
}

func (c *practiseCommand) Run(s streams) error {
	h, err := hand.Named(c.Hand)
	if err != nil {
		return err
	}
	if _, err := place(c.Out, c.Force, c.Lesson, c.Part, c.Texture); err != nil {
		return err
	}
	r, err := c.begin(s)
	if err != nil {
		return err
	}
	cycles := c.Cycles
	if n := r.Header().Setup.Limits.Prints; n > 0 {
		cycles = min(cycles, n)
	}
	report, err := work(r, h, cycles, c.Out, c.Force)
	if err != nil {
		return err
	}
	if err := tell(s, report, c.JSON); err != nil {
		return err
	}
	if !report.Marks.Passed {
		return &no{fmt.Sprintf("the attempt failed: the part does not meet its target; the run is in %s", c.Out)}
	}
	return nil
}

// begin begins the run of the lesson or the part.
func (c *practiseCommand) begin(s streams) (*run.Run, error) {
	seedOr := func(seed *uint64, otherwise uint64) uint64 {
		if seed != nil {
			return *seed
		}
		return otherwise
	}
	if c.Lesson != "" {
		l, err := findLesson(c.Lesson)
		if err != nil {
			return nil, err
		}
		seed := seedOr(c.Seed, l.FirstSeed())
		if c.Texture == "" && c.Effects == "" {
			return l.Begin(seed, seedOr(c.Scatter, seed), c.Hand, version)
		}
		// On another surface, or with other effects, it is another job: its run names
		// no lesson, so that nobody is held beside those who worked that one.
		if c.Texture != "" {
			recipe := *l.Setup.Part.Recipe
			recipe.Finish, recipe.Adjust = "", nil
			if recipe.Texture, err = c.texture(s, recipe.PitchMM, recipe.PitchMM); err != nil {
				return nil, err
			}
			l.Setup.Part.Recipe = &recipe
		}
		if err := c.unkind(&l.Setup); err != nil {
			return nil, err
		}
		return run.New(l.Setup, "", seed, seedOr(c.Scatter, seed), c.Hand, version)
	}
	d, err := readHeights(s, c.Part, c.Unit)
	if err != nil {
		return nil, err
	}
	var texture *surface.Texture
	if c.Texture != "" {
		dx, dy := d.FacePitch()
		if texture, err = c.texture(s, dx, dy); err != nil {
			return nil, err
		}
	}
	setup, err := partSetup(d, c.Finish, texture)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.Part, err)
	}
	if err := c.unkind(&setup); err != nil {
		return nil, err
	}
	seed := seedOr(c.Seed, 1)
	r, err := run.New(setup, "", seed, seedOr(c.Scatter, seed), c.Hand, version)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.Part, err)
	}
	return r, nil
}

// unkind switches on the effects that were asked for.
func (c *practiseCommand) unkind(s *run.Setup) error {
	if c.Effects == "" {
		return nil
	}
	if err := s.Effects.Add(c.Effects); err != nil {
		return fmt.Errorf("--effects: %w", err)
	}
	return nil
}

// texture is the measured texture for a part of that pitch, mm.
func (c *practiseCommand) texture(s streams, dx, dy float64) (*surface.Texture, error) {
	d, err := readHeights(s, c.Texture, c.Unit)
	if err != nil {
		return nil, err
	}
	cutoff := float64(gauge.RoughnessCutoffMM)
	if c.Cutoff != nil {
		cutoff = *c.Cutoff
	}
	t, err := gauge.MeasuredTexture(d, filepath.Base(c.Texture), cutoff, dx, dy)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.Texture, err)
	}
	s.remark("%s: the texture of %.4g x %.4g mm, waves of up to %g mm, is laid over the part, mirrored at its edges", c.Texture, float64(t.NX)*t.DX, float64(t.NY)*t.DY, cutoff)
	return t, nil
}

// partSetup is the free job of the coupon, done on heights that were read; without
// a finish or a texture a coarse grid is taken as milled.
func partSetup(d *surface.Data, finish string, texture *surface.Texture) (run.Setup, error) {
	coarse := d.Map == nil || max(d.Map.DX, d.Map.DY) > surface.FinePitchMM
	if finish == "" && texture == nil && coarse {
		finish = surface.Milled
	}
	if err := surface.CheckFinish(finish, nil); err != nil {
		return run.Setup{}, err
	}
	coupon, err := lessons.Load("coupon")
	if err != nil {
		return run.Setup{}, err
	}
	setup := coupon.Setup
	setup.Part = run.Part{Readings: run.ReadingsOf(d), Finish: finish, Texture: texture}
	x, y := size(d)
	if setup.Master.LengthMM, setup.Master.WidthMM, err = free.PlateFor(x, y); err != nil {
		return run.Setup{}, err
	}
	return setup, nil
}

// size is the reach of the face that measured heights make, mm: of cells to their
// edges, of coarse readings from the outermost to the outermost.
func size(d *surface.Data) (x, y float64) {
	if m := d.Map; m != nil {
		if max(m.DX, m.DY) > surface.FinePitchMM {
			return float64(m.NX-1) * m.DX, float64(m.NY-1) * m.DY
		}
		return float64(m.NX) * m.DX, float64(m.NY) * m.DY
	}
	x0, y0, x1, y1 := d.Cloud.Reach()
	return x1 - x0, y1 - y0
}

// errStopped ends a run that somebody stopped.
var errStopped = errors.New("stopped")

// work lets a hand work a run and writes it down act by act: each line is on the
// disk before the next act is done, in a file beside the one asked for, which
// takes its name when the run is sealed.
func work(r *run.Run, h hand.Hand, cycles int, out string, force bool) (*score.Report, error) {
	d, err := newDraft(out, "part", force)
	if err != nil {
		return nil, err
	}
	report, err := workInto(d, r, h, cycles)
	if err == nil {
		err = d.keep()
	}
	if err != nil {
		if len(r.Entries()) == 0 {
			d.drop()
			return nil, err
		}
		d.Close()
		err = fmt.Errorf("%w; the %d acts until then are in %s", err, len(r.Entries()), d.File.Name())
		if errors.Is(err, errStopped) {
			err = &no{err.Error()}
		}
		return nil, err
	}
	return report, nil
}

func workInto(d *draft, r *run.Run, h hand.Hand, cycles int) (*score.Report, error) {
	w, err := run.NewWriter(synced{d.File}, r.Header())
	if err != nil {
		return nil, files.Plain(err)
	}
	stop := make(chan os.Signal, 1)
	signal.Notify(stop, os.Interrupt)
	defer signal.Stop(stop)
	r.Record = func(e run.Entry) error {
		if err := w.Entry(e); err != nil {
			return files.Plain(err)
		}
		select {
		case <-stop:
			return errStopped
		default:
			return nil
		}
	}
	if err := h.Work(r, cycles, nil); err != nil {
		return nil, err
	}
	report, err := score.Mark(&run.Log{Header: r.Header(), Entries: r.Entries()}, nil)
	if err != nil {
		return nil, err
	}
	marks, err := json.Marshal(report.Recorded())
	if err != nil {
		return nil, err
	}
	return report, files.Plain(w.Seal(run.Seal{Digest: r.Digest(), Acts: len(r.Entries()), Marks: marks}))
}

// synced is a file of which every line is on the disk before the call returns.
type synced struct{ *os.File }

func (s synced) Write(b []byte) (int, error) {
	n, err := s.File.Write(b)
	if err == nil {
		err = s.Sync()
	}
	return n, err
}
