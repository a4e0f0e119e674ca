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
	if err := fits(name, info, err); err != nil {
		return nil, err
	}
	b, err := os.ReadFile(name)
	return b, Plain(err)
}

// ReadIn is the same of a file in a file system.
func ReadIn(in fs.FS, name string) ([]byte, error) {
	info, err := fs.Stat(in, name)
	if err := fits(name, info, err); err != nil {
		return nil, err
	}
	b, err := fs.ReadFile(in, name)
	return b, Plain(err)
}

// fits says what keeps a file from being read, by what is known of it.
func fits(name string, info fs.FileInfo, err error) error {
	switch {
	case err != nil:
		return Plain(err)
	case info.IsDir():
		return fmt.Errorf("%s is a folder: name a file", name)
	case info.Size() > most:
		return fmt.Errorf("%s has %d MiB: at most %d are read", name, info.Size()>>20, most>>20)
	}
	return nil
}

// Plain is what the system said of a file, without the call that failed.
func Plain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return fmt.Errorf("%s: %w", p.Path, p.Err)
	}
	return err
}
