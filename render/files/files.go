// Package files reads files that somebody named, and says plainly why it cannot.
package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// most bounds what is read into memory, bytes: more than any map that is accepted
// takes as text.
const most = 2 << 30

// Read is the content of a file; an error is one line that names it.
func Read(name string) ([]byte, error) {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return nil, Plain(err)
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder: name a file", name)
	case info.Size() > most:
		return nil, fmt.Errorf("%s has %d MiB: at most %d are read", name, info.Size()>>20, most>>20)
	}
	b, err := os.ReadFile(name)
	return b, Plain(err)
}

// Plain is what the system said of a file, without the call that failed.
func Plain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return fmt.Errorf("%s: %w", p.Path, p.Err)
	}
	return err
}
