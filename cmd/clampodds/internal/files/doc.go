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
	"errors"
	"fmt"
)

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
