// Package files is the program's one way to the file system.
//
// It reads regular files only, up to a size, and until its context is done. What it writes
// appears under its name whole or not at all, is on the disk by then, and never takes the
// place of a file that was read, of a link or of a device.
//
// Until a file is whole it has a name of its own beside the one asked for, ".NAME.*.clampodds",
// and is locked. One that nobody has locked is of a process that was killed: the next that
// writes NAME removes it.
//
// An error is a Refused where the user asked for what is not done, else a Failed; but for a file to be read that is not
// there, and for what the writer of a file's text returns: they come as they are.
package files

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"
)

// The largest files that are read, bytes.
const (
	MostOfStudy = 1 << 18
	MostOfData  = 64 << 20 // read whole
	MostOfTable = 4 << 30  // read as it comes
)

// Open opens a regular file for reading; one of more than most bytes is refused. Reading ends
// with the context's error once that is done.
func Open(ctx context.Context, name string, most int64) (io.ReadCloser, error) {
	info, err := os.Stat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if err != nil {
		return nil, Failed{err}
	}
	if err := regular(name, info); err != nil {
		return nil, err
	}
	// It may have become a FIFO since: opening one waits for a writer, unless told not to.
	file, err := os.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, Failed{err}
	}
	if info, err = file.Stat(); err == nil {
		err = regular(name, info)
	}
	if err == nil && info.Size() > most {
		err = refuse("%s has %d bytes: at most %d are read", name, info.Size(), most)
	}
	if err != nil {
		_ = file.Close()
		return nil, failed(err)
	}
	return &bounded{ctx, file, most}, nil
}

// Read returns what a file holds, within the bounds of Open.
func Read(ctx context.Context, name string, most int64) ([]byte, error) {
	file, err := Open(ctx, name, most)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(file)
}

// bounded is a file of which so many bytes may still be read.
type bounded struct {
	ctx context.Context
	*os.File
	left int64
}

// Read is that of the file; one that grew beyond its bound is refused.
func (b *bounded) Read(p []byte) (int, error) {
	if err := b.ctx.Err(); err != nil {
		return 0, Failed{err}
	}
	n, err := b.File.Read(p)
	if b.left -= int64(n); b.left < 0 {
		return 0, refuse("%s grows while it is read", b.Name())
	}
	if err != nil && err != io.EOF {
		err = Failed{err}
	}
	return n, err
}

// regular refuses what is no file in words.
func regular(name string, info fs.FileInfo) error {
	if info.Mode().IsRegular() {
		return nil
	}
	return refuse("%s is %s, no file", name, kind(info.Mode()))
}

func kind(mode fs.FileMode) string {
	switch {
	case mode.IsDir():
		return "a folder"
	case mode&fs.ModeNamedPipe != 0:
		return "a pipe"
	case mode&fs.ModeSocket != 0:
		return "a socket"
	case mode&fs.ModeDevice != 0:
		return "a device"
	case mode&fs.ModeSymlink != 0:
		return "a link"
	}
	return "something else"
}

// Refused says why a file is not read or not written, though it could be.
type Refused struct{ text string }

func (r Refused) Error() string { return r.text }

func refuse(format string, values ...any) error { return Refused{fmt.Sprintf(format, values...)} }

// Failed is what the operating system would not do.
type Failed struct{ Err error }

func (f Failed) Error() string { return f.Err.Error() }

// Unwrap returns the error of the operating system.
func (f Failed) Unwrap() error { return f.Err }

// failed marks an error; what was refused stays so.
func failed(err error) error {
	if err == nil || errors.As(err, new(Refused)) {
		return err
	}
	return Failed{err}
}

// Inputs are the files that a command has read. None of them is written over, whatever is
// forced. The zero value has none.
type Inputs struct{ names []string }

// Add adds files.
func (in *Inputs) Add(names ...string) { in.names = append(in.names, names...) }

// Spare refuses an output that is an input. Files are told by what they are, so that links and
// other spellings count.
func (in *Inputs) Spare(output string) error {
	target, err := os.Stat(output)
	if err != nil {
		return nil // nothing there yet, or a link to nothing
	}
	for _, name := range in.names {
		if own, err := os.Stat(name); err == nil && os.SameFile(target, own) {
			return refuse("%s is read by this command (as %s) and is not written over", output, name)
		}
	}
	return nil
}

// MayWrite says whether Write would write a file, as far as can be seen beforehand, for who
// computes long before it.
func (in *Inputs) MayWrite(name string, force bool) error {
	if _, err := in.replaceable(name, force); err != nil {
		return err
	}
	t, err := create(name)
	if err != nil {
		return cannotWrite(name, err)
	}
	t.discard()
	return nil
}

// replaceable refuses what Write may not replace, and returns what is there: nil for nothing.
func (in *Inputs) replaceable(name string, force bool) (fs.FileInfo, error) {
	if err := in.Spare(name); err != nil {
		return nil, err
	}
	info, err := os.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, cannotWrite(name, err)
	case !info.Mode().IsRegular():
		return nil, refuse("%s is %s and is not replaced", name, kind(info.Mode()))
	case !force:
		return nil, exists(name)
	}
	return info, nil
}

func exists(name string) error { return refuse("%s exists already; give --force to replace it", name) }
