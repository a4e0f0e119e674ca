// Package store keeps settings and runs in one folder. A file is written whole
// beside its place, synced and renamed; a run in progress is added to line by
// line, each line synced. The folder itself is behind an interface, so that a
// browser can stand in for a disk.
package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/before-iron/beforeiron/sim/run"
)

// Folder is where files are kept. Names are slash-separated.
type Folder interface {
	// Read is a file's content; fs.ErrNotExist when there is none.
	Read(name string) ([]byte, error)
	// Write replaces a file, wholly or not at all.
	Write(name string, content []byte) error
	// Append adds to a file that is so many bytes long, and returns once that is
	// safe; one of none is begun. A file that has gone since is fs.ErrNotExist, one of
	// another length ErrChanged, and nothing is added.
	Append(name string, length int64, content []byte) error
	// List names the files directly in a folder, with their times; an absent
	// folder is empty.
	List(folder string) ([]File, error)
	// Where says where the folder is, for people.
	Where() string
	// Give puts a file where a person finds it, and says where that is; one of the
	// same name is replaced.
	Give(name string, content []byte) (where string, err error)
}

// ErrChanged says that a file is not as it was left: somebody else writes it too.
var ErrChanged = errors.New("something else has written to it, as another window on the same run does")

// after reports what keeps a file from being added to that was left so many bytes long.
func after(name string, length, now int64) error {
	if now != length {
		return fmt.Errorf("%s was not added to: %w", name, ErrChanged)
	}
	return nil
}

// File is a file of a folder.
type File struct {
	Name string
	Time time.Time
}

// Store is the data folder of the program.
type Store struct{ Folder }

const (
	settingsFile = "settings.json"
	runFolder    = "runs"
)

// RunEnding is how the name of a run's file ends.
const RunEnding = ".run"

// Settings reads what the learner has set; the defaults when nothing is set yet.
// A file that cannot be read is said and answered with the defaults.
func (s Store) Settings() (Settings, error) {
	set := Defaults()
	b, err := s.Read(settingsFile)
	if errors.Is(err, fs.ErrNotExist) {
		return set, nil
	}
	if err == nil {
		err = json.Unmarshal(b, &set)
	}
	if err != nil {
		return Defaults(), fmt.Errorf("the settings in %s cannot be read, so the usual ones are used: %w", s.Where(), err)
	}
	return set.mended(), nil
}

// Keep writes the settings.
func (s Store) Keep(set Settings) error {
	b, err := json.MarshalIndent(set, "", "  ")
	if err != nil {
		return err
	}
	return s.Write(settingsFile, append(b, '\n'))
}

// Saved is a run in the folder.
type Saved struct {
	Name string
	Time time.Time
	Log  *run.Log
	Err  error // why it cannot be read, Log being nil
}

// RunFiles are the files of runs, the newest first; Load reads one of them.
func (s Store) RunFiles() ([]File, error) {
	files, err := s.List(runFolder)
	if err != nil {
		return nil, err
	}
	files = slices.DeleteFunc(files, func(f File) bool { return !strings.HasSuffix(f.Name, RunEnding) })
	slices.SortStableFunc(files, func(a, b File) int {
		if c := b.Time.Compare(a.Time); c != 0 {
			return c
		}
		return strings.Compare(a.Name, b.Name)
	})
	return files, nil
}

// Load reads the run in a file.
func (s Store) Load(f File) Saved {
	saved := Saved{Name: strings.TrimSuffix(f.Name, RunEnding), Time: f.Time}
	saved.Log, saved.Err = s.Open(saved.Name)
	return saved
}

// Open reads a run.
func (s Store) Open(name string) (*run.Log, error) {
	b, err := s.Read(runPath(name))
	if err != nil {
		return nil, err
	}
	l, err := run.Read(bytes.NewReader(b))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return l, nil
}

// Begin begins the file of a run under a name that is free, made from base, and
// returns that name with what writes its lines.
func (s Store) Begin(base string) (name string, lines io.Writer, err error) {
	name = base
	for n := 2; ; n++ {
		_, err := s.Read(runPath(name))
		if errors.Is(err, fs.ErrNotExist) {
			break
		}
		if err != nil {
			return "", nil, err
		}
		name = fmt.Sprintf("%s-%d", base, n)
	}
	return name, &appender{s, runPath(name), 0}, nil
}

// Anew writes the file of a run that has gone, and returns what writes further lines.
func (s Store) Anew(name string, whole []byte) (io.Writer, error) {
	if err := s.Write(runPath(name), whole); err != nil {
		return nil, err
	}
	return &appender{s, runPath(name), int64(len(whole))}, nil
}

// GoOn is what writes further lines of a run that was read. A torn last line is
// taken off the file first, and one that lacks its end is ended; a file that has
// more whole lines than were read is left as it is, with an error.
func (s Store) GoOn(name string, l *run.Log) (io.Writer, error) {
	b, err := s.Read(runPath(name))
	if err != nil {
		return nil, err
	}
	good := min(l.Good, int64(len(b)))
	if bytes.IndexByte(b[good:], '\n') >= 0 {
		return nil, fmt.Errorf("%s was written to since it was read: open it again", name)
	}
	whole := append([]byte(nil), b[:good]...)
	if len(whole) > 0 && whole[len(whole)-1] != '\n' {
		whole = append(whole, '\n')
	}
	if !bytes.Equal(whole, b) {
		if err := s.Write(runPath(name), whole); err != nil {
			return nil, err
		}
	}
	// Nothing is added, so that a file which cannot be written is known before
	// anything is done that would have to be.
	if err := s.Append(runPath(name), int64(len(whole)), nil); err != nil {
		return nil, err
	}
	return &appender{s, runPath(name), int64(len(whole))}, nil
}

func runPath(name string) string { return path.Join(runFolder, name+RunEnding) }

type appender struct {
	Store
	name   string
	length int64
}

func (a *appender) Write(b []byte) (int, error) {
	if err := a.Append(a.name, a.length, b); err != nil {
		return 0, err
	}
	a.length += int64(len(b))
	return len(b), nil
}
