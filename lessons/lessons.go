// Package lessons holds the lessons as data: a job, the words around it, what it
// asks for and what it allows. A lesson is one YAML file; WRITING.md beside this
// file tells how to write one.
package lessons

import (
	"embed"
	"errors"
	"fmt"
	"path"
	"sort"
	"strings"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
	"github.com/before-iron/beforeiron/sim/surface"
)

// Lesson is one job with one thing to learn from it.
type Lesson struct {
	ID    string `yaml:"id" json:"id"`       // file name without its ending
	Order int    `yaml:"order" json:"order"` // place in the course, from 1
	Title string `yaml:"title" json:"title"`
	Aim   string `yaml:"aim" json:"aim"` // the one thing to learn, in a sentence

	// Brief is the job as a foreman would give it; Guidance helps while it is
	// done; Debrief is read after it.
	Brief    string `yaml:"brief" json:"brief"`
	Guidance string `yaml:"guidance" json:"guidance"`
	Debrief  string `yaml:"debrief" json:"debrief"`

	// Seeds are the only surfaces that the lesson is worked on; none: any.
	Seeds []uint64  `yaml:"seeds" json:"seeds,omitempty"`
	Setup run.Setup `yaml:"setup" json:"setup"`
	// Rubric is what its runs are marked by; nil is the standard one. Each run carries
	// it in its setup.
	Rubric *score.Rubric `yaml:"rubric" json:"-"`
}

//go:embed *.yaml
var files embed.FS

// Load is the lesson of that id; an error lists the ids there are.
func Load(id string) (*Lesson, error) {
	name := id + ".yaml"
	b, err := files.ReadFile(name)
	if err != nil || strings.ContainsAny(id, "/\\") {
		return nil, fmt.Errorf("no lesson is called %q: take one of %s", id, strings.Join(IDs(), ", "))
	}
	return parseWith(name, b, files.ReadFile)
}

// parseWith reads a lesson and the texture that it names, by read.
func parseWith(name string, content []byte, read func(string) ([]byte, error)) (*Lesson, error) {
	l, err := Parse(name, content)
	if err == nil {
		err = l.TakeTexture(read)
	}
	if err != nil {
		return nil, err
	}
	return l, nil
}

// TakeTexture takes the measured texture that the lesson's recipe names, if it names
// one, from the file of that name; read gives its content.
func (l *Lesson) TakeTexture(read func(file string) ([]byte, error)) error {
	recipe := l.Setup.Part.Recipe
	if recipe == nil || recipe.Texture == nil {
		return nil
	}
	t := recipe.Texture
	wrong := func(err error) error { return fmt.Errorf("lesson %s: texture %q: %w", l.ID, t.File, err) }
	if t.File == "" || t.File != path.Base(t.File) || strings.ContainsAny(t.File, "/\\:") {
		return wrong(errors.New("give the name of a file that lies beside the lesson, such as file: scan.x3p"))
	}
	if !(recipe.PitchMM > 0 && recipe.PitchMM <= surface.FinePitchMM) {
		return nil // Check says what is wrong with the pitch
	}
	content, err := read(t.File)
	if err != nil {
		return wrong(err)
	}
	d, err := surface.Decode(t.File, content, surface.ReadOptions{})
	if err != nil {
		return wrong(err)
	}
	cutoff := t.CutoffMM
	if cutoff == 0 {
		cutoff = gauge.RoughnessCutoffMM
	}
	if recipe.Texture, err = gauge.MeasuredTexture(d, t.File, cutoff, recipe.PitchMM, recipe.PitchMM); err != nil {
		return wrong(err)
	}
	return nil
}

// All lessons in the order of the course.
func All() ([]*Lesson, error) {
	entries, err := files.ReadDir(".")
	if err != nil {
		return nil, err
	}
	var all []*Lesson
	for _, e := range entries {
		b, err := files.ReadFile(e.Name())
		if err != nil {
			return nil, err
		}
		l, err := parseWith(e.Name(), b, files.ReadFile)
		if err != nil {
			return nil, err
		}
		all = append(all, l)
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].Order < all[b].Order })
	return all, nil
}

// IDs of all lessons, sorted.
func IDs() []string {
	entries, err := files.ReadDir(".")
	if err != nil {
		return nil
	}
	var ids []string
	for _, e := range entries {
		ids = append(ids, strings.TrimSuffix(e.Name(), ".yaml"))
	}
	return ids
}

// Begin begins a run of the lesson on the surface of a seed: scatter is the seed
// of the hand, hand names a synthetic one, program the version that begins it.
func (l *Lesson) Begin(seed, scatter uint64, hand, program string) (*run.Run, error) {
	if err := l.allows(seed); err != nil {
		return nil, err
	}
	return run.New(l.Setup, l.ID, seed, scatter, hand, program)
}

// FirstSeed is the seed to take when none was asked for.
func (l *Lesson) FirstSeed() uint64 {
	if len(l.Seeds) > 0 {
		return l.Seeds[0]
	}
	return 1
}

func (l *Lesson) allows(seed uint64) error {
	if len(l.Seeds) == 0 {
		return nil
	}
	var words []string
	for _, s := range l.Seeds {
		if s == seed {
			return nil
		}
		words = append(words, fmt.Sprint(s))
	}
	return fmt.Errorf("lesson %s has no surface of seed %d: take %s", l.ID, seed, strings.Join(words, ", "))
}
