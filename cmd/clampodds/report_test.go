package main

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
)

// filesOf reads a folder whole.
func filesOf(t *testing.T, folder string) map[string]string {
	t.Helper()
	all := map[string]string{}
	require.NoError(t, filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(folder, path)
		all[name] = string(text)
		return err
	}))
	return all
}

func TestReportIsWholeAndTheSameTwice(t *testing.T) {
	long(t)
	folder := t.TempDir()
	args := func(name string) []string {
		return []string{"report", demo, "-o", filepath.Join(folder, name), "--samples", "12000", "--quiet", "--baseline", demo}
	}
	first := invoke(args("one")...)
	require.Contains(t, []int{exitDone, exitNotMet, exitUndecided}, first.code, first.stderr)
	second := invoke(args("two")...)
	assert.Equal(t, first.code, second.code)
	one := filesOf(t, filepath.Join(folder, "one"))
	assert.Equal(t, one, filesOf(t, filepath.Join(folder, "two")), "same inputs, same bytes")

	for _, name := range []string{
		"index.html", "report.md", "report.json", "report.docx", "tables/requirements.csv", "tables/inputs.csv",
		"figures/hotter_edge.svg", "figures/hotter_edge.png", "figures/exceedance.svg", "figures/heat_split.svg", "figures/drivers.svg",
		"figures/torque_window.svg", "figures/along_clamp.svg", "figures/base_and_new.svg", "figures/convergence.svg", "latex/table-requirements.tex",
	} {
		assert.NotEmpty(t, one[name], name)
	}
	for _, words := range []string{"Purpose and verdict", "Table A-1", "Figure A-1", "Cautions", "How to reproduce this", "--baseline", "Torque window", "Outside checks"} {
		assert.Contains(t, one["index.html"], words)
	}

	assert.Contains(t, one["tables/validation.csv"], "\nUnits,9\n", "as many as the table has rows")

	// The run inside the report is the run of the command: same JSON.
	run := invoke("run", demo, "--samples", "12000", "--quiet", "--format", "json")
	var alone, inside map[string]any
	require.NoError(t, json.Unmarshal([]byte(run.stdout), &alone))
	require.NoError(t, json.Unmarshal([]byte(one["report.json"]), &inside))
	assert.Equal(t, alone, inside["run"])

	assertTablesAgree(t, one)
	var numbers runNumbers
	require.NoError(t, json.Unmarshal([]byte(run.stdout), &numbers))
	assertNumbersAreOf(t, numbers, one)
}

func TestReportDoesNotClobber(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "mine.txt"), []byte("keep"), 0o644))
	for _, args := range [][]string{
		{"report", demo, "--quiet"},
		{"report", demo, "-o", folder, "--samples", "6000", "--quiet"},
	} {
		got := invoke(args...)
		assert.Equal(t, exitUsage, got.code, "%v: %s", args, got.stderr)
	}
	left := filesOf(t, folder)
	assert.Equal(t, map[string]string{"mine.txt": "keep"}, left)
}

// TestAVerdictIsNeverCut: a renderer bounds the length of a text, which must not
// take a requirement out of a verdict.
func TestAVerdictIsNeverCut(t *testing.T) {
	var a appendix
	a.Run.Mission = new(reports.Mission)
	for range 40 {
		a.Run.Requirements = append(a.Run.Requirements, reports.Requirement{Label: "thread force over stripping strength", Verdict: "undecided"})
		a.Run.Mission.Requirements = append(a.Run.Mission.Requirements, reports.MissionRequirement{Label: "inertia over holding friction", Verdict: "undecided"})
	}
	a.Run.Requirements = append(a.Run.Requirements, reports.Requirement{Label: "hotter edge", Verdict: "not met"})
	verdict := a.verdict()
	assert.Equal(t, "As written, 1 of 41 requirements is not met (hotter edge) and 40 are undecided (thread force over stripping strength, thread force over stripping strength and 38 more); over all conditions of the mission, all 40 requirements are undecided (inertia over holding friction, inertia over holding friction and 38 more).", verdict)
	var b bytes.Buffer
	d := reports.Document{Blocks: []reports.Block{reports.Paragraph(verdict)}}
	require.NoError(t, reports.WriteMarkdown(&b, d))
	assert.NotContains(t, b.String(), "…")
}
