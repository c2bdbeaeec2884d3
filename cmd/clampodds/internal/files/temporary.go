package files

import (
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// temporary is a file that is being written, or a folder that holds one.
type temporary struct {
	name string
	file *os.File // open and locked
}

// suffix ends the names of what is not whole yet.
const suffix = ".clampodds"

// create makes a file beside name that nobody else has, and removes those of name that
// processes have left that were killed.
func create(name string) (*temporary, error) {
	removeStrays(name)
	return locked(name, func(temporary string) (*os.File, error) {
		return os.OpenFile(temporary, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	})
}

func createFolder(name string) (*temporary, error) {
	removeStrays(name)
	return locked(name, func(temporary string) (*os.File, error) {
		if err := os.Mkdir(temporary, 0o777); err != nil {
			return nil, err
		}
		file, err := os.Open(temporary)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, nil // taken for a stray already
		}
		return file, err
	})
}

// locked makes a temporary with a function and locks it. Another process may take it for a stray
// before that and remove it, which make may tell by nil: then another is made.
func locked(name string, make func(temporary string) (*os.File, error)) (*temporary, error) {
	for {
		t := temporary{name: prefix(name) + rand.Text() + suffix}
		var err error
		if t.file, err = make(t.name); err != nil {
			return nil, err
		}
		if t.file == nil {
			continue
		}
		lock(t.file)
		if t.there() {
			return &t, nil
		}
		_ = t.file.Close()
	}
}

// Hold takes a file, which need not be there, for a process that reads it and writes it again and again: until
// release is called a second one is refused. What says so is a file beside it, ".NAME.held.clampodds"; one that a
// killed process has left is taken over.
func Hold(name string) (release func(), err error) {
	t := temporary{name: prefix(name) + "held" + suffix}
	for {
		if t.file, err = os.OpenFile(t.name, os.O_RDWR|os.O_CREATE, 0o666); err != nil {
			return nil, cannotWrite(name, err)
		}
		if inUse(t.file) {
			_ = t.file.Close()
			return nil, refuse("%s is in use by another process", name)
		}
		if t.there() {
			return t.discard, nil
		}
		_ = t.file.Close() // released meanwhile
	}
}

// there says that the name still is that of the open file.
func (t *temporary) there() bool {
	named, err := os.Stat(t.name)
	if err != nil {
		return false
	}
	open, err := t.file.Stat()
	return err == nil && os.SameFile(named, open)
}

// discard removes what is still there; safe to call again.
func (t *temporary) discard() {
	_ = os.RemoveAll(t.name)
	_ = t.file.Close()
}

// prefix begins the names of the temporaries of a file. A long name is cut, so that theirs fit.
func prefix(name string) string {
	folder, base := filepath.Split(filepath.Clean(name))
	return folder + "." + base[:min(len(base), 150)] + "."
}

// removeStrays removes the temporaries of name that nobody holds.
func removeStrays(name string) {
	entries, err := os.ReadDir(filepath.Dir(name))
	if err != nil {
		return
	}
	begin := filepath.Base(prefix(name) + "x")
	begin = begin[:len(begin)-1]
	for _, e := range entries {
		middle, isOurs := strings.CutPrefix(e.Name(), begin)
		middle, ends := strings.CutSuffix(middle, suffix)
		if isOurs && ends && len(middle) == len(rand.Text()) {
			removeStray(filepath.Join(filepath.Dir(name), e.Name()), name)
		}
	}
}

// removeStray removes one, unless its process is alive. A folder that was on its way out when its
// successor was not yet in comes back.
func removeStray(stray, name string) {
	file, err := os.Open(stray)
	if err != nil {
		return
	}
	defer file.Close()
	if !tryLock(file) {
		return
	}
	if _, err := os.Lstat(name); err != nil {
		_ = os.Rename(filepath.Join(stray, replaced), name)
	}
	_ = os.RemoveAll(stray)
}
