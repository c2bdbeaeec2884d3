package main

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// said is what a process of its own says: within one, missions are kept in memory.
func said(t *testing.T, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	p := program(args...)
	var out, errs strings.Builder
	p.Stdout, p.Stderr = &out, &errs
	_ = p.Run()
	return out.String(), errs.String(), p.ProcessState.ExitCode()
}

// Designs judged apart, each by a task of its own, are compared without being judged again, and
// the answer is that of one command.
func TestRecordsKeptByOthersAreUsed(t *testing.T) {
	long(t)
	folder := t.TempDir()
	first, second := shortClamp(t, frozen, "condition = []\n"), shortClamp(t, fourFace, "condition = []\n")
	records := filepath.Join(folder, "records")
	common := []string{"--quiet", "--samples", "2000"}
	compare := append([]string{"compare", first, second}, common...)
	want, _, code := said(t, compare...)
	for _, one := range []string{first, second} {
		said(t, append([]string{"run", one, "--records", records}, common...)...)
	}
	before := filesOf(t, records)
	assert.Len(t, before, 2, "one file for each mission")
	got, stderr, again := said(t, append(compare, "--records", records)...)
	assert.Equal(t, want, got, stderr)
	assert.Equal(t, code, again)
	assert.Equal(t, before, filesOf(t, records), "nothing was judged anew")

	// Another seed is another question.
	said(t, append([]string{"run", first, "--records", records, "--seed", "7"}, common...)...)
	assert.Len(t, filesOf(t, records), 3)

	// What was damaged is refused by name.
	for name, text := range before {
		middle := strings.Index(text, `"data": "`) + 100
		damaged := text[:middle] + "AAAA" + text[middle+4:]
		require.NoError(t, os.WriteFile(filepath.Join(records, name), []byte(damaged), 0o600))
	}
	_, stderr, code = said(t, append(compare, "--records", records)...)
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, stderr, "it is damaged")
	assert.Contains(t, stderr, records)
}

// A search that was killed goes on from what it has found: with files gone the answer is the same, and no more is
// found than they held.
func TestAKilledSearchGoesOn(t *testing.T) {
	long(t)
	for _, search := range [][]string{
		{"torque", coolStudy(t), "--from", "0.3 N*m"},
		{"loosen", fewInputs(t, "condition = []\n"), "--limit", "spot", "--input", "screw.torque"},
	} {
		records := filepath.Join(t.TempDir(), "records")
		search = append(search, "--quiet", "--format", "json")
		want, stderr, code := said(t, search...)
		require.Contains(t, []int{exitDone, exitUndecided, exitNotMet}, code, stderr)
		kept := func() []string { return slices.Sorted(maps.Keys(filesOf(t, records))) }
		first, stderr, _ := said(t, append(search, "--records", records)...)
		assert.Equal(t, want, first, stderr)
		found := kept()
		assert.Greater(t, len(found), 4, "steps on the way to the ends, and missions")

		// Every second file, whichever they are, is more than a kill takes.
		for i := 0; i < len(found); i += 2 {
			require.NoError(t, os.Remove(filepath.Join(records, found[i])))
		}
		for range 2 {
			again, stderr, _ := said(t, append(search, "--records", records)...)
			assert.Equal(t, want, again, stderr)
			assert.Equal(t, found, kept())
		}
		// With another seed it is another search.
		said(t, append(search, "--records", records, "--seed", "5")...)
		assert.Greater(t, len(kept()), len(found))
	}
}

// A folder that cannot be written, and one that is none.
func TestRecordsThatCannotBeKept(t *testing.T) {
	study := fewInputs(t, "condition = []\n")
	file := write(t, "file", "")
	for _, folder := range []string{"/dev/full", file, filepath.Join(file, "inside")} {
		_, stderr, code := said(t, "run", study, "--quiet", "--no-knowledge", "--samples", "500", "--records", folder)
		assert.Equal(t, exitFailure, code, folder)
		assert.Contains(t, stderr, folder)
	}
}
