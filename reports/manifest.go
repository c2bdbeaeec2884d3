package reports

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// manifestName is the list of a report folder's files.
const manifestName = "files.sha256"

func manifestFile(files []folderFile) folderFile {
	var b bytes.Buffer
	for _, f := range files {
		fmt.Fprintf(&b, "%x  %s\n", sha256.Sum256(f.text), f.name)
	}
	return folderFile{manifestName, b.Bytes()}
}

// mayReplace reports whether dir may be written: it does not exist; or, with force,
// it is a folder of ours, nothing else is in it, so that nobody's file is lost, and no
// file of it is to be spared.
func mayReplace(dir string, o FolderOptions) error {
	info, err := os.Lstat(dir)
	switch {
	case os.IsNotExist(err):
		return nil
	case err != nil:
		return err
	case !o.Force:
		return fmt.Errorf("%w: %s exists already", ErrFolder, dir)
	case !info.IsDir():
		return fmt.Errorf("%w: %s is not a folder", ErrFolder, dir)
	}
	ours, err := listed(dir)
	if err != nil {
		return err
	}
	return filepath.WalkDir(dir, func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		relative, err := filepath.Rel(dir, name)
		if err == nil && !(ours[filepath.ToSlash(relative)] && entry.Type().IsRegular()) {
			err = fmt.Errorf("%w: %s holds %s, which no report wrote", ErrFolder, dir, relative)
		}
		if err == nil && o.Spare != nil {
			err = o.Spare(name)
		}
		return err
	})
}

// listed reads which files a report wrote into dir. It is an error when dir is
// not a report: its page does not say so or its list is missing.
func listed(dir string) (map[string]bool, error) {
	page, pageErr := os.ReadFile(filepath.Join(dir, "index.html"))
	list, listErr := os.ReadFile(filepath.Join(dir, manifestName))
	if pageErr != nil || listErr != nil || !bytes.Contains(page, []byte(`name="generator" content="`+generator+`"`)) {
		return nil, fmt.Errorf("%w: %s exists and is not a report", ErrFolder, dir)
	}
	ours := map[string]bool{manifestName: true}
	for _, line := range strings.Split(string(list), "\n") {
		if _, name, ok := strings.Cut(line, "  "); ok {
			ours[name] = true
		}
	}
	return ours, nil
}
