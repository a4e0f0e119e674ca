// Package shaders holds the Kage sources that draw iron, stone, pigment and what
// is drawn over them. package render/iron compiles and feeds them; the head of
// each source says what it takes and what it gives.
package shaders

import "embed"

// Files are the sources, by file name.
//
//go:embed *.kage
var Files embed.FS

// Source is the text of one shader, named without its ending. It panics for a
// name that is not embedded: names are constants of the program.
func Source(name string) []byte {
	b, err := Files.ReadFile(name + ".kage")
	if err != nil {
		panic(err)
	}
	return b
}
