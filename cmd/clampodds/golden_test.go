package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
	"clampodds/testdata/studies"
)

// builtFrom is the one line that changes with the version of Go.
var builtFrom = regexp.MustCompile(`(?m)^ built from .*\n`)

// TestTablesAreTheSameOnEveryMachine compares printed tables with those in testdata:
// the card of every demo study without scatter, and a small run. Processors of 32
// bits, and those that fuse x*y + z, have to print the same (`make portable`).
// -update rewrites the files.
func TestTablesAreTheSameOnEveryMachine(t *testing.T) {
	commands := map[string][]string{
		"run-two-face": {"run", demo, "--samples", "2000", "--no-conditions", "--no-knowledge"},
		"run-chassis":  {"run", filepath.Join(root, "testdata/studies/chassis.toml"), "--samples", "1000", "--no-conditions", "--no-knowledge"},
	}
	for _, name := range studies.Names() {
		if study, isStudy := strings.CutSuffix(name, ".toml"); isStudy {
			commands["nominal-"+study] = []string{"nominal", filepath.Join(root, "testdata/studies", name)}
		}
	}
	for name, command := range commands {
		got := invoke(append(command, "--quiet")...)
		require.NotContains(t, []int{exitFailure, exitUsage}, got.code, "%s: %s", name, got.stderr)
		stdout := builtFrom.ReplaceAllString(got.stdout, "")
		file := filepath.Join("testdata", "golden", name+".txt")
		if validation.Updating() {
			require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
			require.NoError(t, os.WriteFile(file, []byte(stdout), 0o644))
			continue
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, string(want), stdout, "%s", name)
	}
}
