//go:build coverage

package main

import (
	"cmp"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// kills is how often each of the writers is killed: so often, or as CLAMPODDS_KILLS says.
func kills(often int) int { return cmp.Or(inEnvironment("CLAMPODDS_KILLS"), often) }

// As TestKilledRunsGoOn, more often.
func TestKilledRunsGoOnManyTimes(t *testing.T) { killed(t, kills(40)) }

// A command that writes and is killed at any moment leaves its output whole or not at all, and once it
// is started again the very output of a run that was not killed, and nothing besides.
func TestKilledWritersLeaveAllOrNothing(t *testing.T) {
	kills := kills(5)
	study := fewInputs(t, "condition = []\n")
	random := rand.New(rand.NewPCG(1, 2))
	for name, c := range map[string]struct {
		args   []string // the output follows
		output string
	}{
		"draws":     {[]string{"run", study, "--samples", "20000", "--no-knowledge", "--quiet", "--draws"}, "draws.csv"},
		"parquet":   {[]string{"run", study, "--samples", "20000", "--no-knowledge", "--quiet", "--draws"}, "draws.parquet"},
		"calibrate": {quick(t, "-o"), "calibrated.toml"},
		"report":    {[]string{"report", study, "--samples", "500", "--evaluations", "5000", "--quiet", "--records", filepath.Join(t.TempDir(), "records"), "-o"}, "report"},
	} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			whole := outputOf(t, c.args, filepath.Join(t.TempDir(), c.output), nil)
			begun := time.Now()
			require.Equal(t, whole, outputOf(t, c.args, filepath.Join(t.TempDir(), c.output), nil), "the same twice")
			takes := time.Since(begun)
			for range kills {
				output := filepath.Join(folder, c.output)
				after := time.Duration(float64(takes) * random.Float64())
				if got := outputOf(t, c.args, output, &after); len(got) > 0 {
					require.Equal(t, whole, got, "whole")
					require.NoError(t, os.RemoveAll(output))
				}
			}
			assert.Equal(t, whole, outputOf(t, c.args, filepath.Join(folder, c.output), nil))
			entries, err := os.ReadDir(folder)
			require.NoError(t, err)
			assert.Len(t, entries, 1, "a stray: %v", entries)
		})
	}
}

// outputOf runs a command, and kills it after a time if there is one, and returns the files
// of its output.
func outputOf(t *testing.T, args []string, output string, after *time.Duration) map[string]string {
	t.Helper()
	p := program(append(args, output)...)
	var stderr strings.Builder
	p.Stderr = &stderr
	require.NoError(t, p.Start())
	if after != nil {
		time.Sleep(*after)
		_ = p.Process.Kill()
	}
	_ = p.Wait()
	if after == nil {
		require.Contains(t, []int{exitDone, exitNotMet, exitUndecided}, p.ProcessState.ExitCode(), stderr.String())
	}
	if _, err := os.Stat(output); os.IsNotExist(err) {
		return nil
	}
	files := filesOf(t, output)
	for name, text := range files { // the commands that they say name their own output
		files[name] = strings.ReplaceAll(text, output, "OUTPUT")
	}
	return files
}
