package files

import (
	"context"
	"errors"
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
