package reports

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// folderBytes reads every file below dir.
func folderBytes(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := os.ReadFile(name)
		relative, _ := filepath.Rel(dir, name)
		files[filepath.ToSlash(relative)] = string(text)
		return err
	}))
	return files
}

func TestFolderHasEverythingAndTheSameBytesEachTime(t *testing.T) {
	first, second := filepath.Join(t.TempDir(), "a"), filepath.Join(t.TempDir(), "b")
	numbers := map[string]any{"schema": "x/1", "title": "<b>"}
	require.NoError(t, WriteFolder(first, shortReport(), FolderOptions{JSON: numbers}))
	require.NoError(t, WriteFolder(second, shortReport(), FolderOptions{JSON: numbers}))
	files := folderBytes(t, first)
	assert.Equal(t, files, folderBytes(t, second))
	var names []string
	for name := range files {
		names = append(names, name)
	}
	assert.ElementsMatch(t, []string{
		"index.html", "report.md", "report.docx", "report.json", "files.sha256",
		"figures/hotter_edge.svg", "figures/hotter_edge.png", "figures/drivers.svg", "figures/drivers.png",
		"tables/requirements.csv", "tables/inputs.csv",
		"latex/table-requirements.tex", "latex/table-inputs.tex", "latex/figure-hotter_edge.tex", "latex/figure-drivers.tex",
	}, names)
	assert.Equal(t, "{\n  \"schema\": \"x/1\",\n  \"title\": \"<b>\"\n}\n", files["report.json"])
	assert.Contains(t, files["report.md"], "](figures/hotter_edge.svg)")
	assert.Contains(t, files["latex/figure-drivers.tex"], "{figures/drivers.png}")
	listed := strings.Split(strings.TrimSpace(files["files.sha256"]), "\n")
	assert.Len(t, listed, len(files)-1)
	for _, line := range listed {
		sum, name, _ := strings.Cut(line, "  ")
		assert.Equal(t, fmt.Sprintf("%x", sha256.Sum256([]byte(files[name]))), sum, name)
	}
}

// onlyIn checks that nothing temporary is left beside the report.
func onlyIn(t *testing.T, parent string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(parent)
	require.NoError(t, err)
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	assert.ElementsMatch(t, names, got)
}

// tinyReport is a document whose report is made quickly.
func tinyReport(text string) Document {
	d := Document{Title: "Tiny"}
	d.Add(Paragraph(text))
	return d
}

func TestFolderIsReplacedOnlyWithForceAndAsAWhole(t *testing.T) {
	parent := t.TempDir()
	dir := filepath.Join(parent, "report")
	require.NoError(t, WriteFolder(dir, shortReport(), FolderOptions{}))

	assert.ErrorIs(t, WriteFolder(dir, tinyReport("new"), FolderOptions{}), ErrFolder)
	assert.Contains(t, folderBytes(t, dir)["index.html"], "hotter edge")

	require.NoError(t, WriteFolder(dir, tinyReport("new"), FolderOptions{Force: true}))
	files := folderBytes(t, dir)
	assert.Contains(t, files["index.html"], "new")
	assert.Len(t, files, 4, "nothing of the old report is left")
	onlyIn(t, parent, "report")
}

func TestForeignFilesAreNeverLost(t *testing.T) {
	force := FolderOptions{Force: true}
	for what, prepare := range map[string]func(dir string) error{
		"a folder of the user": func(dir string) error {
			return os.WriteFile(filepath.Join(dir, "thesis.txt"), []byte("mine"), 0o644)
		},
		"an empty folder": func(string) error { return nil },
		"a page of someone else": func(dir string) error {
			return os.WriteFile(filepath.Join(dir, "index.html"), []byte("<p>mine"), 0o644)
		},
		"a report with a note of the user": func(dir string) error {
			return firstOf(os.Remove(dir), WriteFolder(dir, tinyReport("old"), FolderOptions{}), os.WriteFile(filepath.Join(dir, "notes.txt"), []byte("mine"), 0o644))
		},
		"a report without its list": func(dir string) error {
			return firstOf(os.Remove(dir), WriteFolder(dir, tinyReport("old"), FolderOptions{}), os.Remove(filepath.Join(dir, "files.sha256")))
		},
		"a file linked to elsewhere": func(dir string) error {
			return firstOf(os.Remove(dir), WriteFolder(dir, tinyReport("old"), FolderOptions{}), os.Remove(filepath.Join(dir, "report.md")), os.Symlink("/dev/null", filepath.Join(dir, "report.md")))
		},
	} {
		parent := t.TempDir()
		dir := filepath.Join(parent, "report")
		require.NoError(t, os.Mkdir(dir, 0o755))
		require.NoError(t, prepare(dir), what)
		before := folderBytes(t, dir)
		assert.ErrorIs(t, WriteFolder(dir, tinyReport("new"), force), ErrFolder, what)
		assert.Equal(t, before, folderBytes(t, dir), what)
		onlyIn(t, parent, "report")
	}

	parent := t.TempDir()
	file, link := filepath.Join(parent, "file"), filepath.Join(parent, "link")
	require.NoError(t, os.WriteFile(file, []byte("mine"), 0o644))
	require.NoError(t, os.Symlink(parent, link))
	assert.ErrorIs(t, WriteFolder(file, tinyReport("new"), force), ErrFolder)
	assert.ErrorIs(t, WriteFolder(link, tinyReport("new"), force), ErrFolder)
	onlyIn(t, parent, "file", "link")
}

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func TestFailureLeavesNothing(t *testing.T) {
	parent := t.TempDir()
	assert.Error(t, WriteFolder(filepath.Join(parent, "report"), tinyReport(""), FolderOptions{JSON: func() {}}), "JSON that cannot be written")
	assert.Error(t, WriteFolder(filepath.Join(parent, "missing", "report"), tinyReport(""), FolderOptions{}), "no such parent")
	onlyIn(t, parent)

	// The second step of the swap fails: what was there comes back.
	dir := filepath.Join(parent, "dir")
	require.NoError(t, os.Mkdir(dir, 0o755))
	assert.Error(t, swap(filepath.Join(parent, "no such"), dir, filepath.Join(parent, "old")))
	onlyIn(t, parent, "dir")
}

func BenchmarkFolder(b *testing.B) {
	b.Run("document=appendix", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if err := WriteFolder(b.TempDir()+"/report", appendix(), FolderOptions{}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
