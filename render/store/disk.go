//go:build !js

package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// disk is a folder on a disk.
type disk struct{ root string }

// At is the folder at dir, or, when dir is empty, beforeiron under
// XDG_DATA_HOME, which is ~/.local/share unless set otherwise. It is made when it
// is not there, and an error says in one line when nothing can be kept in it.
func At(dir string) (Store, error) {
	if dir == "" {
		home := os.Getenv("XDG_DATA_HOME")
		if !filepath.IsAbs(home) {
			user, err := os.UserHomeDir()
			if err != nil {
				return Store{}, errors.New("there is no home folder to keep runs in: give one with --data DIR")
			}
			home = filepath.Join(user, ".local", "share")
		}
		dir = filepath.Join(home, "beforeiron")
	}
	d := disk{dir}
	err := os.MkdirAll(filepath.Join(dir, runFolder), 0o755)
	if err == nil {
		err = d.tryWriting()
	}
	if err != nil {
		return Store{}, fmt.Errorf("nothing can be kept in %s (%w): give another folder with --data DIR", dir, cause(err))
	}
	return Store{d}, nil
}

// cause is what the system says, without the path, which the line names already.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		return l.Err
	}
	return err
}

// unwritten is why a file could not be written, in one line.
func unwritten(file string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s cannot be written (%w): make room there or unlock it, and try again", file, cause(err))
}

func (d disk) tryWriting() error {
	f, err := os.CreateTemp(d.root, ".try-*")
	if err != nil {
		return err
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

func (d disk) path(name string) string { return filepath.Join(d.root, filepath.FromSlash(name)) }

// Read implements Folder.
func (d disk) Read(name string) ([]byte, error) { return os.ReadFile(d.path(name)) }

// Write implements Folder: a temporary file beside it, synced, renamed over it,
// and the folder synced, so that after a crash there is the old one or the new.
func (d disk) Write(name string, content []byte) error {
	to := d.path(name)
	return unwritten(to, replace(to, content))
}

func replace(to string, content []byte) (err error) {
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	f, err := newBeside(to)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(content); err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	if err = os.Rename(f.Name(), to); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(to))
}

// newBeside is a new file in the folder of another, to be read by whom the system
// lets read new files: a page is written to be handed on.
func newBeside(to string) (*os.File, error) {
	for n := 0; ; n++ {
		f, err := os.OpenFile(fmt.Sprintf("%s/.new-%d-%d", filepath.Dir(to), os.Getpid(), n), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}

// Append implements Folder.
func (d disk) Append(name string, length int64, content []byte) error {
	file := d.path(name)
	err := lengthen(file, length, content)
	if errors.Is(err, ErrChanged) {
		return err
	}
	return unwritten(file, err)
}

func lengthen(file string, length int64, content []byte) error {
	how := os.O_WRONLY | os.O_APPEND
	if length == 0 {
		how |= os.O_CREATE
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			return err
		}
	}
	f, err := os.OpenFile(file, how, 0o666)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err == nil {
		err = after(file, length, info.Size())
	}
	if err == nil {
		_, err = f.Write(content)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	return err
}

// With is the store with one more run in it, kept in a file that lies elsewhere and
// stays there, and the name by which that run goes. A file of the data folder is
// known by its own name. An error says in one line why it cannot be worked.
func (s Store) With(file string) (with Store, name string, err error) {
	file, err = filepath.Abs(file)
	if err != nil {
		return s, "", err
	}
	if _, err := os.ReadFile(file); err != nil {
		return s, "", fmt.Errorf("%s: %w: give the file of a run", file, cause(err))
	}
	base := strings.TrimSuffix(filepath.Base(file), RunEnding)
	own, err := os.Stat(file)
	if err != nil {
		return s, "", err
	}
	files, err := s.RunFiles()
	if err != nil {
		return s, "", err
	}
	taken := map[string]bool{}
	for _, f := range files {
		name := strings.TrimSuffix(f.Name, RunEnding)
		if other, err := os.Stat(filepath.Join(s.Where(), runFolder, f.Name)); err == nil && os.SameFile(own, other) {
			return s, name, nil
		}
		taken[name] = true
	}
	name = base
	for n := 2; taken[name]; n++ {
		name = fmt.Sprintf("%s-%d", base, n)
	}
	return Store{beside{s.Folder, disk{filepath.Dir(file)}, filepath.Base(file), runPath(name)}}, name, nil
}

// beside is a folder with one file in it that lies elsewhere.
type beside struct {
	Folder
	elsewhere disk
	file      string // there
	name      string // here
}

// Read implements Folder.
func (b beside) Read(name string) ([]byte, error) {
	if name == b.name {
		return b.elsewhere.Read(b.file)
	}
	return b.Folder.Read(name)
}

// Write implements Folder.
func (b beside) Write(name string, content []byte) error {
	if name == b.name {
		return b.elsewhere.Write(b.file, content)
	}
	return b.Folder.Write(name, content)
}

// Append implements Folder.
func (b beside) Append(name string, length int64, content []byte) error {
	if name == b.name {
		return b.elsewhere.Append(b.file, length, content)
	}
	return b.Folder.Append(name, length, content)
}

// List implements Folder.
func (b beside) List(folder string) ([]File, error) {
	files, err := b.Folder.List(folder)
	if err != nil || folder != path.Dir(b.name) {
		return files, err
	}
	info, err := os.Stat(b.elsewhere.path(b.file))
	if errors.Is(err, fs.ErrNotExist) {
		return files, nil
	}
	if err != nil {
		return nil, err
	}
	return append(files, File{path.Base(b.name), info.ModTime()}), nil
}

func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// List implements Folder.
func (d disk) List(folder string) ([]File, error) {
	entries, err := os.ReadDir(d.path(folder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []File
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || e.IsDir() {
			continue
		}
		out = append(out, File{e.Name(), info.ModTime()})
	}
	return out, nil
}

// Where implements Folder.
func (d disk) Where() string { return d.root }

// Give implements Folder.
func (d disk) Give(name string, content []byte) (string, error) {
	return d.path(name), d.Write(name, content)
}
