//go:build js

package store

import (
	"encoding/base64"
	"errors"
	"io/fs"
	"path"
	"strings"
	"syscall/js"
	"time"
)

// browser keeps files in the page's local storage. The storage is written
// through at once, and holds a few megabytes.
type browser struct{ area js.Value }

const prefix = "beforeiron/"

// At is the page's storage; dir is not used. Where the browser allows none,
// files are kept as long as the page is open.
func At(string) (s Store, err error) {
	defer func() {
		if recover() != nil {
			s, err = Store{NewMemory()}, nil
		}
	}()
	area := js.Global().Get("localStorage")
	area.Call("setItem", prefix+".try", "")
	area.Call("removeItem", prefix+".try")
	return Store{browser{area}}, nil
}

// With answers that a page has no files beside its storage.
func (s Store) With(string) (Store, string, error) {
	return s, "", errors.New("a browser keeps runs in the page, not in files")
}

// Read implements Folder.
func (b browser) Read(name string) ([]byte, error) {
	v := b.area.Call("getItem", prefix+name)
	if v.IsNull() {
		return nil, &fs.PathError{Op: "read", Path: name, Err: fs.ErrNotExist}
	}
	_, content, _ := strings.Cut(v.String(), " ")
	return base64.StdEncoding.DecodeString(content)
}

// Write implements Folder.
func (b browser) Write(name string, content []byte) (err error) {
	defer func() {
		if recover() != nil {
			err = &fs.PathError{Op: "write", Path: name, Err: fs.ErrPermission}
		}
	}()
	stamp := time.Now().UTC().Format(time.RFC3339)
	b.area.Call("setItem", prefix+name, stamp+" "+base64.StdEncoding.EncodeToString(content))
	return nil
}

// Append implements Folder.
func (b browser) Append(name string, length int64, content []byte) error {
	old, err := b.Read(name)
	if err != nil && (length > 0 || !errors.Is(err, fs.ErrNotExist)) {
		return err
	}
	if err := after(name, length, int64(len(old))); err != nil {
		return err
	}
	return b.Write(name, append(old, content...))
}

// List implements Folder.
func (b browser) List(folder string) ([]File, error) {
	var out []File
	for i := range b.area.Get("length").Int() {
		name, ok := strings.CutPrefix(b.area.Call("key", i).String(), prefix)
		if !ok || path.Dir(name) != folder {
			continue
		}
		stamp, _, _ := strings.Cut(b.area.Call("getItem", prefix+name).String(), " ")
		when, _ := time.Parse(time.RFC3339, stamp)
		out = append(out, File{path.Base(name), when})
	}
	return out, nil
}

// Where implements Folder.
func (browser) Where() string { return "this browser" }

// Give implements Folder: the browser keeps the file as it keeps whatever a person
// downloads. Local storage is too small for pages.
func (browser) Give(name string, content []byte) (where string, err error) {
	defer func() {
		if recover() != nil {
			err = &fs.PathError{Op: "download", Path: name, Err: fs.ErrPermission}
		}
	}()
	bytes := js.Global().Get("Uint8Array").New(len(content))
	js.CopyBytesToJS(bytes, content)
	blob := js.Global().Get("Blob").New([]any{bytes})
	address := js.Global().Get("URL").Call("createObjectURL", blob)
	link := js.Global().Get("document").Call("createElement", "a")
	link.Set("href", address)
	link.Set("download", path.Base(name))
	link.Call("click")
	js.Global().Get("URL").Call("revokeObjectURL", address)
	return path.Base(name), nil
}
