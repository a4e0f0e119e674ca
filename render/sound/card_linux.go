package sound

import (
	"errors"
	"os"
	"path/filepath"
)

// card reports why there can be no sound, so that the system's library, which
// would fill the terminal with its complaints, is not even asked.
func card() error {
	if os.Getenv("PULSE_SERVER") != "" {
		return nil
	}
	for _, pattern := range []string{
		filepath.Join(os.Getenv("XDG_RUNTIME_DIR"), "pulse", "native"),
		filepath.Join("/run/user", "*", "pulse", "native"),
		"/dev/snd/pcm*p",
	} {
		if found, _ := filepath.Glob(pattern); len(found) > 0 {
			return nil
		}
	}
	return errors.New("no sound server and no sound card")
}
