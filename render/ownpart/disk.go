//go:build !js

package ownpart

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
)

// here is the folder in which the program was started.
func here() string {
	dir, err := os.Getwd()
	if err != nil {
		return "."
	}
	return dir
}

// list is the folders and the readable files of a folder, the way up first.
func list(folder string) ([]entry, error) {
	found, err := os.ReadDir(folder)
	var out []entry
	if filepath.Dir(folder) != folder {
		out = append(out, entry{"..", true})
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
		if info.IsDir() || readable(e.Name()) {
			out = append(out, entry{e.Name(), info.IsDir()})
		}
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].folder && !out[k].folder })
	return out, nil
}

// mostBytes bounds what is read into memory.
const mostBytes = 1 << 30

func readFile(name string) ([]byte, error) {
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
