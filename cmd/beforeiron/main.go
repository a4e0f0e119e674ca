// Command beforeiron is a training simulator for hand scraping. By itself it
// opens the window; its commands measure faces, let synthetic hands practise,
// replay and mark runs, and convert heights between open files, all without one.
//
// It exits 0, 1 when the answer is no, and 2 on bad use or bad input, with one
// line on standard error.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/alecthomas/kong"

	"github.com/before-iron/beforeiron/sim/run"
)

// version of the program, written into the runs that it begins.
const version = "0.1.0"

type commands struct {
	Open     openCommand     `cmd:"" default:"withargs" help:"Open the window: this is what happens without a command."`
	Measure  measureCommand  `cmd:"" help:"Measure the heights in a file: flatness, texture, seat and bearing."`
	Practise practiseCommand `cmd:"" help:"Let a synthetic hand work a part, and write the run."`
	Replay   replayCommand   `cmd:"" help:"Make a run again, check it, and mark it."`
	Report   reportCommand   `cmd:"" help:"Write the debrief of a run as a page to print."`
	Class    classCommand    `cmd:"" help:"Mark the runs of a class: a gradebook, a page, statements for a record store."`
	Convert  convertCommand  `cmd:"" help:"Convert heights between CSV, SDF and X3P, or take them from a run."`
	Validity validityCommand `cmd:"" help:"Ask whether the marks mean what they say: synthetic hands on many parts, and statistics."`
	Rubric   rubricCommand   `cmd:"" help:"Check a rubric, and show how it makes marks."`
	Lessons  lessonsCommands `cmd:"" help:"List the lessons, show one, or check lesson files."`

	Version kong.VersionFlag `help:"Print the version and stop."`
}

// streams are where a command writes: results, and remarks for people.
type streams struct {
	out, err io.Writer
	remarks  *[]string
}

// remark tells people something beside the result, one line on standard error.
// Bad input has one line to itself: what was remarked on the way to it is left
// out.
func (s streams) remark(format string, args ...any) {
	*s.remarks = append(*s.remarks, oneLine(fmt.Sprintf(format, args...)))
}

// no is an answer of no: exit 1.
type no struct{ why string }

func (n *no) Error() string { return n.why }

func main() {
	s := streams{os.Stdout, os.Stderr, new([]string)}
	err := execute(os.Args[1:], s)
	var answer *no
	code := 0
	switch {
	case errors.As(err, &answer):
		code = 1
	case err != nil:
		code = 2
		*s.remarks = nil
	}
	if err != nil {
		s.remark("beforeiron: %s", err)
	}
	for _, r := range *s.remarks {
		fmt.Fprintln(s.err, r)
	}
	os.Exit(code)
}

// execute runs the command that the arguments name.
func execute(args []string, s streams) error {
	parser, err := kong.New(&commands{},
		kong.Name("beforeiron"),
		kong.Description("A training simulator for hand scraping."),
		kong.Vars{"version": version, "effects": strings.Join(run.EffectNames(), ", ")},
		kong.WithHyphenPrefixedParameters(true), // a load may lie at -3,5
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
	)
	if err != nil {
		return err
	}
	ctx, err := parser.Parse(args)
	if err != nil {
		return fmt.Errorf("%w (see beforeiron --help)", err)
	}
	ctx.Bind(s)
	return ctx.Run()
}

// oneLine folds what is said into one line.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }
