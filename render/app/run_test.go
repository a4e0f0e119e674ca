package app

import (
	"errors"
	"strings"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"
)

// What the window system says, as it was seen on machines without a display, a
// library or a driver, comes out as one line that helps.
func TestMissingSaysHowToMendIt(t *testing.T) {
	for said, want := range map[string]string{
		"ui: no window system is available: fbdev: failed to open /dev/fb0: no such file or directory": "no display",
		"glfw: The DISPLAY environment variable is missing: NotInitialized":                            "sudo apt install xvfb",
		"glfw: failed to load libX11.so.6: cannot open shared object file: No such file or directory":  "sudo apt install",
		"egl: library not found": "sudo apt install",
		"glfw: egl: failed to initialize EGL: EGL is not or could not be initialized":     "libgl1-mesa-dri",
		"glfw: egl: failed to get EGL display: Success: the requested API is unavailable": "libgl1-mesa-dri",
		"glfw: GLX: Failed to create context:\nGLXBadFBConfig":                            "libgl1-mesa-dri",
	} {
		got := missing(errors.New(said)).Error()
		if !strings.Contains(got, want) || strings.Contains(got, "\n") {
			t.Errorf("%q comes out as %q, want one line with %q", said, got, want)
		}
	}
	if missing(nil) != nil || missing(ebiten.Termination) != nil {
		t.Error("a window that was closed is no error")
	}
}
