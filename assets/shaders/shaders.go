// Package shaders holds the Kage sources that draw iron, stone, pigment and what
// is drawn over them. package render/iron compiles and feeds them; the head of
// each source says what it takes and what it gives.
package shaders

import (
	"embed"
	"strings"
)

//go:embed *.kage *.part
var files embed.FS

// Names are the shaders there are: those that stand alone, and those that need a
// part behind them, with each of the parts that go with them.
var Names = []string{
	"relief+near", "relief+close", "film+near", "film+close", "light+plain", "light+hatch",
	"ground+outline", "shape+outline", "around", "back", "master",
	"line", "ghost", "region", "map",
}

// Source is the text of one shader. It panics for a name that is not among
// Names: names are constants of the program.
func Source(name string) []byte {
	main, part, joined := strings.Cut(name, "+")
	out := read(main + ".kage")
	if joined {
		out = append(out, read(part+".part")...)
	}
	return out
}

func read(file string) []byte {
	b, err := files.ReadFile(file)
	if err != nil {
		panic(err)
	}
	return b
}
