package main

import (
	"fmt"
	"os"
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
	path, flags := shortClamp(t)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	for key, hostile := range map[string]string{
		"title": "<script>alert(1)</script> | =cmd \u202eright\u200f to left " + strings.Repeat("x", 10000), "project": "=cmd()|x", "document": `\input{/etc/passwd} $x$`,
		"revision": "@SUM(A1)", "author": "a\u202eb </w:t><img src=http://example.org/x onerror=alert(1)>",
	} {
		lines := strings.Split(string(text), "\n")
		for i, line := range lines {
			if strings.HasPrefix(line, key+" ") {
				lines[i] = fmt.Sprintf("%s = %q", key, hostile)
			}
		}
		text = []byte(strings.Join(lines, "\n"))
	}
	folder := filepath.Join(t.TempDir(), "report")
	got := invoke(append([]string{"report", write(t, "hostile.toml", string(text)), "-o", folder, "--prefix", "<script>|=x"}, flags...)...)
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
			assert.NotContains(t, text, `\input`, name)
		}
		if ext := filepath.Ext(name); ext != ".tex" && ext != ".csv" { // where a tag is text
			assert.NotContains(t, text, "<script", name)
			assert.NotContains(t, text, "<img", name)
		}
		for _, sign := range []string{"\u202e", "\u200f", strings.Repeat("x", 401)} {
			assert.NotContains(t, text, sign, name)
		}
	}
	assert.Contains(t, files["index.html"], "&lt;script&gt;alert(1)")
}
