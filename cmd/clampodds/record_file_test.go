package main

import (
	"archive/zip"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The record of a change says what the command says, in both forms.
func TestChangeOnOnePage(t *testing.T) {
	before := fewInputs(t, "condition = []\nverdict.policy = 'predictive'\n")
	after := write(t, "after.toml", "extends = '"+before+"'\nscrew.preload_loss = \"20 %\"\n")
	folder := t.TempDir()
	page, word := filepath.Join(folder, "record.html"), filepath.Join(folder, "record.docx")
	args := []string{"change", before, after, "--samples", "6000", "--evaluations", "5000", "--quiet", "--record"}
	got := invoke(append(args, page)...)
	require.Contains(t, []int{exitDone, exitNotMet, exitUndecided}, got.code, got.stderr)
	text, err := os.ReadFile(page)
	require.NoError(t, err)
	for _, words := range []string{"Record of a change", "screw.preload_loss", "approved by", "signature", "does not replace a test", "Each design against its targets"} {
		assert.Contains(t, breaksOf.ReplaceAllString(string(text), ""), words)
	}

	again := invoke(append(args, page)...)
	assert.Equal(t, exitUsage, again.code)
	assert.Contains(t, again.stderr, "give --force to replace it")

	require.Equal(t, got.code, invoke(append(args, word)...).code)
	z, err := zip.OpenReader(word)
	require.NoError(t, err)
	require.NoError(t, z.Close())

	wrong := invoke(append(args, "record.pdf")...)
	assert.Equal(t, exitUsage, wrong.code)
	assert.Contains(t, wrong.stderr, "must end in .html or .docx")
}
