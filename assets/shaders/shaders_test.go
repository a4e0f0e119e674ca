package shaders

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"
)

// Compiling Kage needs no display; what a graphics driver makes of the result is
// tested where there is one.
func TestEveryShaderCompiles(t *testing.T) {
	for _, name := range Names {
		if _, err := ebiten.NewShader(Source(name)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestEverySourceHasAName(t *testing.T) {
	sources, err := fs.Glob(files, "*.kage")
	if err != nil || len(sources) == 0 {
		t.Fatalf("no shaders embedded: %v", err)
	}
	for _, file := range sources {
		named := false
		for _, name := range Names {
			main, _, _ := strings.Cut(name, "+")
			named = named || main+".kage" == file
		}
		if !named {
			t.Errorf("%s is embedded and has no name", file)
		}
	}
}
