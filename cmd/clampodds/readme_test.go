package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
)

// cut ends the output of a command in the README: what follows is not shown.
const cut = "[...]"

// The commands of the README that decide on a demo in all its conditions take minutes: they
// belong to the coverage suite and to `make readme`, the others here. -update runs all and
// rewrites the README.
func TestReadmeCommandsDoWhatItShows(t *testing.T) {
	long(t)
	readme(t, func(command string) bool { return validation.Updating() || !decides(command) })
}

// decides says that a command judges the mission of a demo.
func decides(command string) bool {
	words := strings.Fields(strings.TrimPrefix(command, "go run ./cmd/"))
	return slices.Contains([]string{"run", "torque", "change", "compare", "report"}, words[1])
}

// readme runs commands of the README's console blocks, in a copy of testdata's studies,
// and compares what each prints with what the README shows.
func readme(t *testing.T, runs func(command string) bool) {
	readmeIn(t, ".", runs)
}

// readmeIn is readme for the README of a folder, whose commands run there.
func readmeIn(t *testing.T, folder string, runs func(command string) bool) {
	path, err := filepath.Abs(filepath.Join(root, folder, "README.md"))
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	t.Chdir(filepath.Join(workFolder(t), folder))

	var updated []string
	ran, stdout := 0, map[string]string{}
	lines := strings.Split(string(text), "\n")
	for i := 0; i < len(lines); i++ {
		updated = append(updated, lines[i])
		if lines[i] != "```console" {
			continue
		}
		for i++; lines[i] != "```"; {
			command, isCommand := strings.CutPrefix(lines[i], "$ ")
			require.True(t, isCommand, "README line %d: a console block starts with a command", i+1)
			updated = append(updated, lines[i])
			start := i + 1
			for i++; lines[i] != "```" && !strings.HasPrefix(lines[i], "$ "); i++ {
			}
			shown := lines[start:i]
			if !runs(command) {
				updated = append(updated, shown...)
				continue
			}
			got := printed(t, command, shown, stdout)
			if !validation.Updating() {
				assert.Equal(t, strings.Join(shown, "\n"), strings.Join(got, "\n"), "$ %s", command)
			}
			updated = append(updated, got...)
			ran++
		}
		updated = append(updated, lines[i])
	}
	assert.Greater(t, ran, 3, "the README has lost its commands")
	if validation.Updating() {
		require.NoError(t, os.WriteFile(path, []byte(strings.Join(updated, "\n")), 0o644))
	}
}

// printed runs a command and returns its output, cut where shown is cut. With and
// without --quiet stdout is the same: it is kept, and a command runs once.
func printed(t *testing.T, command string, shown []string, stdout map[string]string) []string {
	t.Helper()
	command, viaGo := strings.CutPrefix(command, "go run ./cmd/clampodds ")
	if !viaGo {
		var ours bool
		command, ours = strings.CutPrefix(command, "clampodds ")
		require.True(t, ours, "%s: the README shows commands of clampodds only", command)
	}
	key := strings.TrimSuffix(command, " --quiet")
	if _, known := stdout[key]; !known {
		got := invoke(words(command)...)
		require.NotContains(t, []int{exitFailure, exitUsage}, got.code, "$ %s: %s", command, got.stderr)
		stdout[key] = got.stdout
	}
	out := strings.Split(strings.TrimRight(stdout[key], "\n"), "\n")
	switch {
	case len(shown) == 0:
		return nil // only that it works
	case shown[len(shown)-1] == cut:
		return append(out[:min(len(shown)-1, len(out))], cut)
	}
	return out
}

// words are those of a command; quotes keep blanks together.
func words(command string) (list []string) {
	for i, part := range strings.Split(command, `"`) {
		if i%2 == 1 {
			list = append(list, part)
		} else {
			list = append(list, strings.Fields(part)...)
		}
	}
	return list
}

// workFolder is a folder with the example studies where the README has them.
func workFolder(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(folder, "testdata", "studies"), os.DirFS(filepath.Join(root, "testdata", "studies"))))
	return folder
}
