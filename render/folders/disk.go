//go:build !js

package folders

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
)

// Here is the folder in which the program was started.
func Here() string {
	dir, err := os.Getwd()
	if err != nil {
		return "."
	}
	return dir
}

// List is the folders of a folder, the way up first, and then those of its files
// that have one of the endings.
func List(folder string, endings ...string) ([]Entry, error) {
	found, err := os.ReadDir(folder)
	var out []Entry
	if filepath.Dir(folder) != folder {
		out = append(out, Entry{Name: "..", Folder: true})
	}
	if err != nil {
		return out, plain(err)
	}
	for _, e := range found {
		if e.Name()[0] == '.' {
			continue
		}
		info, err := os.Stat(filepath.Join(folder, e.Name())) // through links
		if err != nil {
			continue
		}
		if info.IsDir() || has(e.Name(), endings) {
			out = append(out, Entry{e.Name(), info.IsDir(), info.ModTime()})
		}
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Folder && !out[k].Folder })
	return out, nil
}

// mostBytes bounds what is read into memory.
const mostBytes = 1 << 30

// ReadFile reads a file; an error is one line.
func ReadFile(name string) ([]byte, error) {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return nil, plain(err)
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder: name a file", name)
	case info.Size() > mostBytes:
		return nil, fmt.Errorf("%s has %d MiB: at most %d are read", name, info.Size()>>20, mostBytes>>20)
	}
	b, err := os.ReadFile(name)
	return b, plain(err)
}

// plain is what the system said of a file, without the call that failed.
func plain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return fmt.Errorf("%s: %w", p.Path, p.Err)
	}
	return err
}
