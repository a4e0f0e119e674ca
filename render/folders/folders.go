// Package folders lists the folders of the machine, for scenes in which a file or
// a folder is chosen that is not in the data folder.
package folders

import (
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Entry is a file or a folder of a list.
type Entry struct {
	Name   string
	Folder bool
	Time   time.Time
}

func has(name string, endings []string) bool {
	return slices.Contains(endings, strings.ToLower(filepath.Ext(name)))
}

// Ending is the end of a path, which says enough of where one is.
func Ending(path string) string {
	parent, name := filepath.Split(filepath.Clean(path))
	if parent == "" || parent == string(filepath.Separator) {
		return path
	}
	return filepath.Join("…", filepath.Base(parent), name)
}
