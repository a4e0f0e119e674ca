package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/render/files"
)

type lessonsCommands struct {
	Show  lessonsShowCommand  `cmd:"" default:"withargs" help:"List the lessons, or show one: the word show may be left out."`
	Check lessonsCheckCommand `cmd:"" help:"Say whether lesson files make sense."`
}

type lessonsShowCommand struct {
	ID   string `arg:"" optional:"" help:"Lesson to show; without it all are listed."`
	JSON bool   `name:"json" help:"Print JSON."`
}

func (c *lessonsShowCommand) Run(s streams) error {
	if c.ID != "" {
		l, err := lessons.Load(c.ID)
		if err != nil {
			return err
		}
		if c.JSON {
			return printJSON(s.out, l)
		}
		printLesson(s.out, l)
		return nil
	}
	all, err := lessons.All()
	if err != nil {
		return err
	}
	if c.JSON {
		return printJSON(s.out, all)
	}
	t := newTable(s.out)
	for _, l := range all {
		t.row(l.ID, l.Title, l.Aim)
	}
	return t.end()
}

func printLesson(w io.Writer, l *lessons.Lesson) {
	for _, text := range []string{l.Title, "Aim: " + l.Aim, l.Brief, "While you work:\n" + l.Guidance, "Afterwards:\n" + l.Debrief} {
		fmt.Fprintf(w, "%s\n\n", strings.TrimSpace(text))
	}
	t := l.Setup.Target
	fmt.Fprintf(w, "Asked for at a %g um film: %g points per square inch, %d in the worst inch frame, %g to %g %% bearing, %g um under a block, %g to %g um under a bare tip.\n",
		t.FilmUM, t.PointsPerIn2, t.FrameMin, t.AreaPct[0], t.AreaPct[1], t.BridgedUM, t.BareUM[0], t.BareUM[1])
	if n := l.Setup.Limits.Prints; n > 0 {
		fmt.Fprintf(w, "Prints allowed: %d.\n", n)
	}
	fmt.Fprintf(w, "\n%s:\n%s\n", words.Say("lesson.safety"), words.Say("lesson.safety.text"))
}

type lessonsCheckCommand struct {
	Files []string `arg:"" name:"file" help:"Lesson files."`
	JSON  bool     `name:"json" help:"Print JSON."`
}

// verdict is what there is to say of one lesson file.
type verdict struct {
	File  string  `json:"file"`
	OK    bool    `json:"ok"`
	Error *string `json:"error"`
}

func (c *lessonsCheckCommand) Run(s streams) error {
	bad := 0
	verdicts := []verdict{}
	for _, name := range c.Files {
		content, err := files.Read(name)
		if err != nil {
			return err
		}
		v := verdict{File: name, OK: true}
		if err := checkLesson(name, content); err != nil {
			text := oneLine(err.Error())
			v.OK, v.Error = false, &text
			bad++
		}
		verdicts = append(verdicts, v)
	}
	if c.JSON {
		if err := printJSON(s.out, verdicts); err != nil {
			return err
		}
	} else {
		for _, v := range verdicts {
			if v.OK {
				fmt.Fprintf(s.out, "%s: good\n", v.File)
			} else {
				fmt.Fprintln(s.out, *v.Error)
			}
		}
	}
	if bad > 0 {
		return &no{fmt.Sprintf("%d of %d lesson files cannot be used", bad, len(c.Files))}
	}
	return nil
}

func checkLesson(name string, content []byte) error {
	l, err := parseLesson(name, content)
	if err != nil {
		return err
	}
	if err := l.Check(); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if want := strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)); l.ID != want {
		return fmt.Errorf("%s: id is %q where the file is called %q: give them one name", name, l.ID, want)
	}
	return nil
}

// findLesson is a lesson by its id, or in a file when the name is that of one.
func findLesson(name string) (*lessons.Lesson, error) {
	if ext := filepath.Ext(name); ext != ".yaml" && ext != ".yml" {
		return lessons.Load(name)
	}
	content, err := os.ReadFile(name)
	if err != nil {
		return nil, files.Plain(err)
	}
	if err := checkLesson(name, content); err != nil {
		return nil, err
	}
	return parseLesson(name, content)
}

// parseLesson reads a lesson and the texture that lies beside it.
func parseLesson(name string, content []byte) (*lessons.Lesson, error) {
	l, err := lessons.Parse(name, content)
	if err != nil {
		return nil, err
	}
	if err := l.TakeTexture(func(file string) ([]byte, error) {
		return files.Read(filepath.Join(filepath.Dir(name), file))
	}); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return l, nil
}
