package files

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Folder is a folder that is written as one.
type Folder struct {
	// Files are the texts by their names, with slashes.
	Files map[string][]byte
	// Page is the one that holds Sign, the words that tell such a folder.
	Page string
	Sign []byte
}

// listName is the list of a folder's files, as `sha256sum -c` reads it.
const listName = "files.sha256"

// Inside the temporary: what comes, and what was there.
const coming, replaced = "new", "old"

// WriteFolder writes a folder with its list. It appears whole or not at all. A folder that is
// there is replaced with force only, as a whole, and only if it was written so and all its
// files are as they were written; with force there is a moment without either: a process killed
// then leaves the old one to the next that writes there, which puts it back first.
func (in *Inputs) WriteFolder(name string, f Folder, force bool) error {
	t, err := createFolder(name)
	if err != nil {
		return cannotWrite(name, err)
	}
	defer t.discard() // holds what was replaced, or what was not finished
	if err := in.folderReplaceable(name, f, force); err != nil {
		return err
	}
	fresh := filepath.Join(t.name, coming)
	if err := f.write(fresh); err != nil {
		return cannotWrite(name, err)
	}
	if err := exchange(fresh, name, filepath.Join(t.name, replaced), force); err != nil {
		return cannotWrite(name, err)
	}
	return cannotWrite(name, syncFolder(name))
}

// write makes the folder and brings it to the disk.
func (f Folder) write(fresh string) error {
	var list bytes.Buffer
	for _, name := range slices.Sorted(maps.Keys(f.Files)) {
		fmt.Fprintf(&list, "%x  %s\n", sha256.Sum256(f.Files[name]), name)
		if err := writeBelow(fresh, name, f.Files[name]); err != nil {
			return err
		}
	}
	return writeBelow(fresh, listName, list.Bytes())
}

func writeBelow(folder, name string, text []byte) error {
	path := filepath.Join(folder, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return err
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = file.Write(text)
	return errors.Join(err, file.Sync(), file.Close(), syncFolder(path))
}

// exchange moves fresh to name and, with force, what was there to old; on failure all is as before.
func exchange(fresh, name, old string, force bool) error {
	moved := false
	if force {
		err := os.Rename(name, old)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		moved = err == nil
	}
	err := os.Rename(fresh, name)
	if _, there := os.Lstat(name); err != nil && !moved && there == nil {
		return folderExists(name) // another process was first
	}
	if err != nil && moved {
		return errors.Join(err, os.Rename(old, name))
	}
	return err
}

func folderExists(name string) error {
	return refuse("%s exists already; give --force to replace a report", name)
}

// MayWriteFolder says whether WriteFolder would write a folder, as far as can be seen beforehand.
func (in *Inputs) MayWriteFolder(name string, f Folder, force bool) error {
	t, err := createFolder(name)
	if err != nil {
		return cannotWrite(name, err)
	}
	t.discard()
	return in.folderReplaceable(name, f, force)
}

// folderReplaceable refuses what WriteFolder may not replace: with force everything in it has to be as
// it was written, so that nobody's work is lost, and no input.
func (in *Inputs) folderReplaceable(name string, f Folder, force bool) error {
	if err := in.Spare(name); err != nil {
		return err
	}
	info, err := os.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return cannotWrite(name, err)
	case !info.IsDir():
		return refuse("%s is no folder and is not replaced", name)
	case !force:
		return folderExists(name)
	}
	sums, err := f.sums(name)
	if err != nil {
		return err
	}
	return failed(filepath.WalkDir(name, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		if err := in.Spare(path); err != nil {
			return err
		}
		return unchanged(name, path, sums)
	}))
}

// unchanged refuses a file that nobody listed, or that is not as it was written.
func unchanged(folder, path string, sums map[string]string) error {
	relative, err := filepath.Rel(folder, path)
	if err != nil {
		return err
	}
	sum, ours := sums[filepath.ToSlash(relative)]
	if info, err := os.Lstat(path); err != nil || !ours || !info.Mode().IsRegular() {
		return refuse("%s holds %s, which no report wrote: it is not replaced", folder, relative)
	}
	if sum == "" {
		return nil // the list itself
	}
	text, err := Read(context.Background(), path, MostOfTable)
	if err == nil && fmt.Sprintf("%x", sha256.Sum256(text)) != sum {
		err = refuse("%s holds %s, which was edited since: move it elsewhere, the folder is not replaced", folder, relative)
	}
	return err
}

// sums reads the list of a folder: the sum of each file by its name. A folder that is none of
// these is refused.
func (f Folder) sums(name string) (map[string]string, error) {
	page, pageErr := Read(context.Background(), filepath.Join(name, f.Page), MostOfTable)
	list, listErr := Read(context.Background(), filepath.Join(name, listName), MostOfData)
	if pageErr != nil || listErr != nil || !bytes.Contains(page, f.Sign) {
		return nil, refuse("%s exists and is not a report: it is not replaced", name)
	}
	sums := map[string]string{listName: ""}
	for line := range strings.Lines(string(list)) {
		if sum, file, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  "); ok {
			sums[file] = sum
		}
	}
	return sums, nil
}
