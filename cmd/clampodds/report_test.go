package main

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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

// fewInputs is a study whose report takes a third of the frozen one's time and has every
// table and figure: short clamps, seven inputs that scatter, one of them not known.
func fewInputs(t *testing.T, more string) string {
	t.Helper()
	return shortClamp(t, frozen, more+`
cost = []
clamp.height = "8 mm"
clamp.roughness = "1 um"
clamp.hardness = "3 GPa"
flange.thickness = "3 mm"
flange.roughness = "1 um"
flange.hardness = "3 GPa"
rail.roughness = "1 um"
rail.hardness = "3 GPa"
screw.prevailing_torque = "0.06 N*m"
screw.preload_loss = "10 %"
friction.wall = 0.17
friction.wall_share = 0.8
face.direct = { bow = "10 um", crown = "3 um", taper = "3 um" }
face.piece.crown = "2 um"
face.upper = { crown = "2 um", taper = "2 um" }
face.ramp.crown = "2 um"
card.power = "44 W"
contact.face_factor = 1
limits.spot = { max = "88.5 degC", target = 2e-3 }
limits.screw_stress = { max = 1, target = 5e-2 }
limits.stripping = { max = 1, target = 5e-2 }
limits.bearing = { max = 1, target = 5e-2 }
limits.holding = { max = 1, target = 5e-2 }
component = [{ name = "correlator", power = "34 W" }, { name = "converter", power = "22 W" }]
`)
}

// reportOf is the command for a report with the least flags.
func reportOf(study, folder string, more ...string) []string {
	return append([]string{"report", study, "-o", folder, "--samples", "1200", "--evaluations", "5000", "--quiet"}, more...)
}

func TestReportIsWholeAndTheSameTwice(t *testing.T) {
	long(t)
	folder := t.TempDir()
	path := fewInputs(t, "")
	first := invoke(reportOf(path, filepath.Join(folder, "one"), "--baseline", path)...)
	require.Contains(t, []int{exitDone, exitNotMet, exitUndecided}, first.code, first.stderr)
	second := invoke(reportOf(path, filepath.Join(folder, "two"), "--baseline", path)...)
	assert.Equal(t, first.code, second.code)
	one := filesOf(t, filepath.Join(folder, "one"))
	assert.Equal(t, one, filesOf(t, filepath.Join(folder, "two")), "same inputs, same bytes")

	for _, name := range []string{
		"index.html", "report.md", "report.json", "report.docx", "tables/requirements.csv", "tables/inputs.csv", "tables/knowledge.csv", "tables/slopes.csv",
		"figures/temperature.svg", "figures/temperature.png", "figures/exceedance.svg", "figures/heat_split.svg", "figures/drivers.svg",
		"figures/torque_window.svg", "figures/along_clamp.svg", "figures/base_and_new.svg", "figures/convergence.svg", "latex/table-requirements.tex",
	} {
		assert.NotEmpty(t, one[name], name)
	}
	for _, words := range []string{"Decision", "What must be true", "Table A-1", "Figure A-1", "does not replace a test", "How to reproduce this", "--baseline", "Torque window", "Outside checks", "Change from"} {
		assert.Contains(t, one["index.html"], words)
	}

	assert.Contains(t, one["index.html"], "script-src 'sha256-", "the page can be explored")
	assert.Greater(t, strings.Count(one["tables/by_torque.csv"], "\n"), 8)
	assert.Contains(t, one["tables/validation.csv"], "\nUnits,checks,9,,,,\nUnits,agrees,9,,,,\n", "as many as the table has rows")
	assert.Contains(t, one["tables/misses.csv"], "differs: ")

	// The run inside the report is the run of the command: same JSON.
	run := invoke("run", path, "--samples", "1200", "--quiet", "--format", "json")
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
