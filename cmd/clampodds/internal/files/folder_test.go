package files

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// page is a folder of two files, whose page has a text.
func page(s string) Folder {
	return Folder{Files: map[string][]byte{"index.html": []byte("<sign>" + s), "tables/a.csv": []byte("a\n1\n")}, Page: "index.html", Sign: []byte("<sign>")}
}

func TestFolderIsReplacedOnlyWithForceAndAsAWhole(t *testing.T) {
	parent, none := t.TempDir(), new(Inputs)
	folder := filepath.Join(parent, "report")
	require.NoError(t, none.WriteFolder(folder, page("old"), false))
	holds(t, filepath.Join(folder, "tables", "a.csv"), "a\n1\n")
	holds(t, filepath.Join(folder, listName), fmt.Sprintf("%x  index.html\n%x  tables/a.csv\n", sha256.Sum256([]byte("<sign>old")), sha256.Sum256([]byte("a\n1\n"))))

	assertRefused(t, none.WriteFolder(folder, page("new"), false), "exists already")
	assertRefused(t, none.MayWriteFolder(folder, page(""), false), "exists already")
	holds(t, filepath.Join(folder, "index.html"), "<sign>old")

	fresh := page("new")
	delete(fresh.Files, "tables/a.csv")
	require.NoError(t, none.MayWriteFolder(folder, page(""), true))
	require.NoError(t, none.WriteFolder(folder, fresh, true))
	onlyIn(t, folder, "index.html", listName)
	holds(t, filepath.Join(folder, "index.html"), "<sign>new")
	onlyIn(t, parent, "report")
}

// What is not, or not any more, as a report wrote it is never lost.
func TestWorkOfOthersIsNeverLost(t *testing.T) {
	in := func(folder, name string) string { return filepath.Join(folder, filepath.FromSlash(name)) }
	report := func(folder string) error { return new(Inputs).WriteFolder(folder, page("old"), false) }
	for what, prepare := range map[string]func(folder string) error{
		"a folder of the user": func(f string) error { return mkdirAnd(f, "thesis.txt", "mine") },
		"an empty folder":      func(f string) error { return os.Mkdir(f, 0o755) },
		"a page of the user":   func(f string) error { return mkdirAnd(f, "index.html", "<p>mine") },
		"a note of the user": func(f string) error {
			return first(report(f), os.WriteFile(in(f, "notes.txt"), []byte("mine"), 0o644))
		},
		"a report without its list": func(f string) error { return first(report(f), os.Remove(in(f, listName))) },
		"an edited table": func(f string) error {
			return first(report(f), os.WriteFile(in(f, "tables/a.csv"), []byte("a\n2\n"), 0o644))
		},
		"a link": func(f string) error {
			return first(report(f), os.Remove(in(f, "tables/a.csv")), os.Symlink("/dev/null", in(f, "tables/a.csv")))
		},
		"a file":           func(f string) error { return os.WriteFile(f, []byte("mine"), 0o644) },
		"a link to folder": func(f string) error { return first(report(f+".real"), os.Symlink(f+".real", f)) },
	} {
		t.Run(what, func(t *testing.T) {
			parent := t.TempDir()
			folder := filepath.Join(parent, "report")
			require.NoError(t, prepare(folder))
			before := allOf(t, parent)
			assertRefused(t, new(Inputs).WriteFolder(folder, page("new"), true), "report")
			assertRefused(t, new(Inputs).MayWriteFolder(folder, page("new"), true), "report")
			assert.Equal(t, before, allOf(t, parent))
		})
	}
	parent := t.TempDir()
	folder := filepath.Join(parent, "report")
	require.NoError(t, report(folder))
	var read Inputs
	read.Add(in(folder, "tables/a.csv"))
	assertRefused(t, read.WriteFolder(folder, page("new"), true), "is not written over")
}

func mkdirAnd(folder, name, s string) error {
	return first(os.Mkdir(folder, 0o755), os.WriteFile(filepath.Join(folder, name), []byte(s), 0o644))
}

func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// allOf reads all below a folder.
func allOf(t *testing.T, folder string) map[string]string {
	t.Helper()
	all := map[string]string{}
	require.NoError(t, filepath.Walk(folder, func(name string, info os.FileInfo, err error) error {
		if err == nil && info.Mode().IsRegular() {
			var s []byte
			s, err = os.ReadFile(name)
			all[name] = string(s)
		} else {
			all[name] = info.Mode().String()
		}
		return err
	}))
	return all
}

// Ten at a time: without force one writes and nine are refused; the folder is one writer's.
func TestWritersOfFoldersDoNotRace(t *testing.T) {
	parent := t.TempDir()
	folder := filepath.Join(parent, "report")
	written := race(t, 10, func(int) error { return new(Inputs).WriteFolder(folder, page("x"), false) })
	assert.Equal(t, 1, written)
	assert.NoError(t, new(Inputs).MayWriteFolder(folder, page(""), true), "whole")
	onlyIn(t, parent, "report")
}

// A process killed between the two steps of an exchange leaves no folder under the name: the old one
// comes back at the next start.
func TestAnInterruptedExchangeIsUndone(t *testing.T) {
	parent := t.TempDir()
	folder := filepath.Join(parent, "report")
	require.NoError(t, new(Inputs).WriteFolder(folder, page("old"), false))
	stray, err := createFolder(folder)
	require.NoError(t, err)
	require.NoError(t, os.Rename(folder, filepath.Join(stray.name, replaced)))
	require.NoError(t, stray.file.Close()) // as the end of the process does
	assertRefused(t, new(Inputs).MayWriteFolder(folder, page(""), false), "exists already")
	holds(t, filepath.Join(folder, "index.html"), "<sign>old")
	onlyIn(t, parent, "report")

	// The second step fails: what was there is there again.
	assert.Error(t, exchange(filepath.Join(parent, "no such"), folder, filepath.Join(parent, "old"), true))
	onlyIn(t, parent, "report")
}
