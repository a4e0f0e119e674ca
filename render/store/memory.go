package store

import (
	"io/fs"
	"path"
	"time"
)

// Memory is a folder that is gone with the program: for tests, and for a place
// where nothing can be kept.
type Memory struct {
	files map[string][]byte
	times map[string]time.Time
	clock int
}

// NewMemory is an empty folder.
func NewMemory() *Memory {
	return &Memory{files: map[string][]byte{}, times: map[string]time.Time{}}
}

// Read implements Folder.
func (m *Memory) Read(name string) ([]byte, error) {
	b, ok := m.files[name]
	if !ok {
		return nil, &fs.PathError{Op: "read", Path: name, Err: fs.ErrNotExist}
	}
	return b, nil
}

// Write implements Folder.
func (m *Memory) Write(name string, content []byte) error {
	m.clock++
	m.files[name] = append([]byte(nil), content...)
	m.times[name] = time.Unix(int64(m.clock), 0)
	return nil
}

// Append implements Folder.
func (m *Memory) Append(name string, length int64, content []byte) error {
	if _, ok := m.files[name]; !ok && length > 0 {
		return &fs.PathError{Op: "append", Path: name, Err: fs.ErrNotExist}
	}
	if err := after(name, length, int64(len(m.files[name]))); err != nil {
		return err
	}
	return m.Write(name, append(append([]byte(nil), m.files[name]...), content...))
}

// List implements Folder.
func (m *Memory) List(folder string) ([]File, error) {
	var out []File
	for name := range m.files {
		if path.Dir(name) == folder {
			out = append(out, File{path.Base(name), m.times[name]})
		}
	}
	return out, nil
}

// Where implements Folder.
func (m *Memory) Where() string { return "memory" }

// Give implements Folder.
func (m *Memory) Give(name string, content []byte) (string, error) {
	return name, m.Write(name, content)
}
