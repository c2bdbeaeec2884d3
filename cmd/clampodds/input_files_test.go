package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
)

// inputsOfAll is a folder with a study of every kind of input: a base, measured
// data, readings of a rig and a baseline.
func inputsOfAll(t *testing.T) (folder string, contents map[string]string) {
	t.Helper()
	folder, contents = t.TempDir(), map[string]string{}
	for _, name := range []string{"two-face.toml", "flatness-change.toml", "audit.toml", "audit.csv", "rig.csv"} {
		text, err := os.ReadFile(filepath.Join("../../testdata/studies", name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), text, 0o644))
		contents[name] = string(text)
	}
	return folder, contents
}

// Every command that writes, over every file that it reads, in every spelling,
// forced: refused with one plain line, and the file is as it was.
func TestNoCommandWritesOverAnInput(t *testing.T) {
	folder, contents := inputsOfAll(t)
	at := func(name string) string { return filepath.Join(folder, name) }
	require.NoError(t, os.Mkdir(at("links"), 0o755))
	for name := range contents {
		require.NoError(t, os.Symlink(at(name), at("links/soft-"+name)))
		require.NoError(t, os.Link(at(name), at("links/hard-"+name)))
	}
	for _, c := range []struct {
		command []string
		output  string
		read    []string
	}{
		{[]string{"run", at("audit.toml"), "--samples", "600"}, "--draws", []string{"audit.toml", "two-face.toml", "audit.csv"}},
		{[]string{"calibrate", at("audit.toml"), at("rig.csv"), "--noise", "0.2 K"}, "-o", []string{"audit.toml", "two-face.toml", "audit.csv", "rig.csv"}},
		{[]string{"report", at("audit.toml"), at("flatness-change.toml"), "--baseline", at("two-face.toml")}, "-o",
			[]string{"audit.toml", "two-face.toml", "audit.csv", "flatness-change.toml"}},
		{[]string{"change", at("two-face.toml"), at("audit.toml")}, "--record", []string{"two-face.toml", "audit.toml", "audit.csv"}},
	} {
		for _, name := range c.read {
			for _, spelling := range []string{at(name), folder + "/links/../" + name, at("links/soft-" + name), at("links/hard-" + name)} {
				got := invoke(append(c.command, "--quiet", "--force", c.output, spelling)...)
				assert.Equal(t, exitUsage, got.code, "%s over %s: %s", c.command[0], spelling, got.stderr)
				assert.Contains(t, got.stderr, "is not written over", "%s over %s", c.command[0], spelling)
				assert.Empty(t, got.stdout)
			}
		}
	}
	for name, want := range contents {
		for _, file := range []string{name, "links/soft-" + name, "links/hard-" + name} {
			text, err := os.ReadFile(at(file))
			require.NoError(t, err)
			assert.Equal(t, want, string(text), file)
		}
	}
}

// A report that replaces its folder spares what is read from it: a table of the
// last report may be the readings of the next study.
func TestReportSparesAnInputInItsFolder(t *testing.T) {
	folder, contents := inputsOfAll(t)
	old := filepath.Join(folder, "report")
	report := reportFolder
	report.Files = map[string][]byte{"audit.csv": []byte(contents["audit.csv"]), reports.FolderPage: []byte(reports.FolderSign)}
	require.NoError(t, new(files.Inputs).WriteFolder(old, report, false))
	input := filepath.Join(old, "audit.csv")
	read := new(files.Inputs)
	read.Add(input)
	var err error
	report.Files, err = reports.FolderFiles(reports.Document{Title: "x"}, nil)
	require.NoError(t, err)
	err = read.WriteFolder(old, report, true)
	require.ErrorContains(t, err, "is not written over")
	assert.ErrorAs(t, err, new(files.Refused))
	text, err := os.ReadFile(input)
	require.NoError(t, err)
	assert.Equal(t, contents["audit.csv"], string(text))
	require.NoError(t, new(files.Inputs).WriteFolder(old, report, true), "only what is read is spared")
}

// The commands above are all that write: a new one has to be added to them.
func TestCommandsThatWriteAreKnown(t *testing.T) {
	var writing []string
	for _, command := range newRoot().Commands() {
		command.Flags().VisitAll(func(f *pflag.Flag) {
			if f.Name == "force" {
				writing = append(writing, command.Name())
			}
		})
	}
	// example and new read what is built in, no file.
	assert.ElementsMatch(t, []string{"example", "new", "run", "calibrate", "change", "report"}, writing)
}

// A study may extend one of any other folder; what both name is found from where it is named, and the digest covers all.
func TestStudiesExtendAcrossFolders(t *testing.T) {
	folder := t.TempDir()
	put := func(name, text string) string {
		path := filepath.Join(folder, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	base, err := filepath.Abs(shortClamp(t, frozen, ""))
	require.NoError(t, err)
	put("shared/base.toml", "extends = '"+base+"'\nscrew.torque = { shape = \"measured\", file = \"torque.csv\", column = \"torque\", unit = \"N*m\" }\n")
	readings := put("shared/torque.csv", "torque\n0.70\n0.71\n0.69\n0.72\n0.70\n0.68\n0.71\n0.70\n")
	own := put("designs/here/own.toml", "extends = \"../../shared/base.toml\"\ntitle = \"own\"\n")
	s, err := study.Load(own)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(s.Files, " "), "torque.csv")
	require.NoError(t, os.WriteFile(readings, []byte("torque\n0.70\n0.71\n0.69\n0.72\n0.70\n0.68\n0.71\n0.74\n"), 0o600))
	changed, err := study.Load(own)
	require.NoError(t, err)
	assert.NotEqual(t, s.Digest, changed.Digest)
}
