package files

import (
	"errors"
	"io/fs"
	"os"
)

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
