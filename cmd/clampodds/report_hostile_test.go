package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestReportOfAHostileStudy: what a study's free texts hold does nothing in any
// file of a report. How each format escapes is tested in package reports.
func TestReportOfAHostileStudy(t *testing.T) {
	long(t)
	texts := ""
	for key, hostile := range map[string]string{
		"title": "<script>alert(1)</script> | =cmd \u202eright\u200f to left " + strings.Repeat("x", 10000), "project": "=cmd()|x", "document": `\input{/etc/passwd} $x$`,
		"revision": "@SUM(A1)", "author": "a\u202eb </w:t><img src=http://example.org/x onerror=alert(1)>",
	} {
		texts += fmt.Sprintf("%s = %q\n", key, hostile)
	}
	folder := filepath.Join(t.TempDir(), "report")
	got := invoke(reportOf(fewInputs(t, texts), folder, "--prefix", "<script>|=x")...)
	require.Contains(t, []int{exitDone, exitNotMet, exitUndecided}, got.code, got.stderr)
	files := filesOf(t, folder)
	assertTablesAgree(t, files)
	for name, text := range files {
		assert.Regexp(t, `^[A-Za-z0-9_./-]+$`, name)
		switch filepath.Ext(name) {
		case ".json", ".png", ".docx", ".sha256": // data, or compressed: read by assertTablesAgree
			continue
		case ".csv":
			assert.NotRegexp(t, `(?m)(^|,)"?[=@]`, text, name)
		case ".tex":
			assert.NotRegexp(t, `\\input\{[^l]`, text, name) // but our own, latex/...
		}
		if ext := filepath.Ext(name); ext != ".tex" && ext != ".csv" { // where a tag is text
			assert.NotContains(t, strings.Replace(text, "<script>// Reads the tables", "", 1), "<script", name) // but our own
			assert.NotContains(t, text, "<img", name)
		}
		for _, sign := range []string{"\u202e", "\u200f", strings.Repeat("x", 401)} {
			assert.NotContains(t, text, sign, name)
		}
	}
	assert.Contains(t, files["index.html"], "&lt;script&gt;alert(1)")
}
