//go:build !js

package folders

import (
	"os"
	"path/filepath"
	"sort"

	"github.com/before-iron/beforeiron/render/files"
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
		return out, files.Plain(err)
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
