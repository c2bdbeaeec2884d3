package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/reports/outside"
	"clampodds/reports/validation"
	"clampodds/testdata"
)

// TestValidationIsPrinted compares what the command prints with the table of the
// tests (JSON) and with its page (Markdown), which -update rewrites from what was
// built in: `make validation` writes the table first.
func TestValidationIsPrinted(t *testing.T) {
	page := filepath.Join(root, "testdata", "VALIDATION.md")
	got := map[string]string{}
	for _, form := range []string{"table", "json", "csv", "markdown"} {
		answer := invoke("check", "--validation", "--format", form)
		require.Equal(t, exitDone, answer.code, answer.stderr)
		assert.Empty(t, answer.stderr)
		got[form] = answer.stdout
	}
	assert.Equal(t, string(testdata.Validation), got["json"], "the JSON is the table")
	if validation.Updating() {
		require.NoError(t, os.WriteFile(page, []byte(got["markdown"]), 0o644))
	}
	want, err := os.ReadFile(page)
	require.NoError(t, err)
	if string(want) != got["markdown"] { // half a megabyte: no diff on the screen
		t.Error("testdata/VALIDATION.md is not what check --validation --format markdown prints: run make validation and look at the change")
	}
	checks, err := question.OutsideChecks()
	require.NoError(t, err)
	obtained := 0
	for _, s := range checks.Sections {
		for _, c := range s.Checks {
			if c.Obtained != nil {
				obtained++
			}
		}
		assert.Contains(t, got["table"], s.Name)
	}
	assert.Equal(t, obtained, strings.Count(got["csv"], ",obtained,"))
	assert.Contains(t, got["csv"], fmt.Sprint(",", outside.Differs, ","))
}

func TestValidationTakesNoStudy(t *testing.T) {
	for _, args := range [][]string{{"check", "--validation", demo}, {"check", "--validation", "--condition", "hot"}, {"check"}} {
		got := invoke(args...)
		assert.Equal(t, exitUsage, got.code, args)
		assert.Contains(t, got.stderr, "usage: clampodds check STUDY | check --validation", args)
	}
}

// TestValidationIsWhole holds that every check says where it is from and why, that
// no part is left of a test that is gone, and that `make validation`, which runs
// TestOutside..., reaches every part.
func TestValidationIsWhole(t *testing.T) {
	tested := map[string]bool{}
	call := regexp.MustCompile(`(?s)\nfunc (Test\w+)|validation\.Check\(t, "([^"]+)"`)
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		name := ""
		for _, m := range call.FindAllStringSubmatch(string(text), -1) {
			if m[1] != "" {
				name = m[1]
				continue
			}
			assert.True(t, strings.HasPrefix(name, "TestOutside"), "%s: %s holds outside checks, so its name starts with TestOutside", path, name)
			tested[m[2]] = true
		}
		return err
	})
	require.NoError(t, err)
	checks, err := question.OutsideChecks()
	require.NoError(t, err)
	shown := map[string]bool{}
	for _, s := range checks.Sections {
		shown[s.Name] = true
		for _, c := range s.Checks {
			assert.NotEmpty(t, c.Source, c.Name)
			assert.NotEmpty(t, c.Why, "%s (%s)", c.Name, c.Source)
			assert.Contains(t, []outside.Standing{outside.Published, outside.Computed, outside.FromMemory, outside.Practice}, c.Standing, c.Name)
			assert.Equal(t, c.Agreement == outside.Differs, c.NoWorse > 0, "%s: a miss, and only a miss, is held to a factor", c.Name)
		}
	}
	assert.Equal(t, tested, shown, "parts in the tests and in testdata/validation.json")
}
