package files

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// Write writes a file. One that is there is replaced only with force, and keeps its mode. Of any
// number of processes that write one name at the same time without force, one does and the
// others are refused; with force the last one's file stays. An error of write is wrapped.
func (in *Inputs) Write(name string, force bool, write func(io.Writer) error) error {
	old, err := in.replaceable(name, force)
	if err != nil {
		return err
	}
	t, err := create(name)
	if err != nil {
		return cannotWrite(name, err)
	}
	defer t.discard() // gone already when all went well
	text := &file{Writer: t.file}
	if err := write(text); text.failed != nil {
		return cannotWrite(name, text.failed)
	} else if err != nil {
		return err
	}
	if old != nil {
		err = t.file.Chmod(old.Mode().Perm())
	}
	if err == nil {
		err = t.file.Sync()
	}
	if err == nil {
		err = t.become(name, force)
	}
	return cannotWrite(name, err)
}

// WriteText is Write of a text.
func (in *Inputs) WriteText(name string, force bool, text []byte) error {
	return in.Write(name, force, func(w io.Writer) error { _, err := w.Write(text); return err })
}

func (t *temporary) become(name string, force bool) error {
	if !force {
		err := os.Link(t.name, name)
		if err == nil || errors.Is(err, fs.ErrExist) {
			t.discard()
			return errors.Join(refusedIf(err, name), syncFolder(name))
		}
		// A file system without links: take the name, then replace what took it.
		taken, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err != nil {
			return refusedIf(err, name)
		}
		_ = taken.Close()
	}
	if err := os.Rename(t.name, name); err != nil {
		return err
	}
	return syncFolder(name)
}

// refusedIf says that a name was taken meanwhile, if that is the error.
func refusedIf(err error, name string) error {
	if errors.Is(err, fs.ErrExist) {
		return exists(name)
	}
	return err
}

// file remembers that something was not written.
type file struct {
	io.Writer
	failed error
}

func (f *file) Write(p []byte) (int, error) {
	n, err := f.Writer.Write(p)
	if err != nil && f.failed == nil {
		f.failed = err
	}
	return n, err
}

// cannotWrite names the file that was asked for in an error of the operating system, which knows
// it by its temporary name.
func cannotWrite(name string, err error) error {
	if refused := (Refused{}); err == nil || errors.As(err, &refused) {
		return err
	}
	path, link := (*fs.PathError)(nil), (*os.LinkError)(nil)
	switch {
	case errors.As(err, &path):
		err = path.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return Failed{fmt.Errorf("cannot write %s: %w", name, err)}
}
