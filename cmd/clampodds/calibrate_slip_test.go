package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
)

// Two digits of the first reading of the demo swapped, 48.2 for 42.8 degC: the row is named first, what a trend and a misfit say hangs
// on it, the entry says what it holds, and the exit code is that of what is open. Without the swap nothing is named
// (TestCalibrateFindsTheFactorOfTheDemo).
func TestCalibrateNamesAMistypedReading(t *testing.T) {
	text, err := os.ReadFile(rigData)
	require.NoError(t, err)
	require.Contains(t, string(text), ",42.8,")
	data := write(t, "rig.csv", strings.Replace(string(text), ",42.8,", ",48.2,", 1))
	path := filepath.Join(t.TempDir(), "calibrated.toml")
	args := []string{"calibrate", demo, data, "--noise", "0.3 K", "--samples", "260"}

	got := invoke(append(args, "--format", "json", "-o", path)...)
	require.Equal(t, exitUndecided, got.code, got.stderr)
	assert.True(t, strings.HasPrefix(got.stderr, "warning: look first at line 4: left edge 48.2 °C, expected 4"), got.stderr)
	assert.Contains(t, got.stderr, "warning: only with line 4 (left edge): readings as far from what was expected")
	var c reports.Calibration
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &c))
	require.Len(t, c.Slips.Found, 1)
	slip := c.Slips.Found[0]
	assert.Equal(t, 4, slip.Line)
	require.Len(t, slip.Readings, 1)
	typed := 273.15 + 42.8
	assert.Equal(t, "left edge", slip.Readings[0].Column)
	assert.Less(t, slip.Readings[0].Expected.Low, typed)
	assert.Greater(t, slip.Readings[0].Expected.High, typed)
	assert.Greater(t, slip.Readings[0].Off, 8.)
	assert.Less(t, slip.P, 1e-6)
	order := c.Trends[len(c.Trends)-1]
	assert.True(t, order.Flagged, "a slip in the first row is a trend with the order")
	assert.False(t, order.FlaggedWithout)
	assert.Less(t, c.Surprise.Probability, 1e-6)
	assert.Greater(t, c.Slips.Surprise.Probability, 0.05)
	assert.Less(t, c.Slips.Without[0].After.Median, c.Parameters[0].After.Median)

	written, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, string(written), "# LOOK FIRST AT line 4: left edge 48.2 °C")
	assert.Contains(t, string(written), "\n# contact.factor = "+c.Slips.Without[0].Entry+"\n")
	s, err := study.Load(path)
	require.NoError(t, err)
	assert.Contains(t, s.Input("contact.factor").Source, "12 rows of rig.csv, line 4 (left edge) to be looked at first; before:")
}

// Half the power typed: both edges of the row are off alike, and what it was read at is asked for.
func TestCalibrateNamesAMistypedRow(t *testing.T) {
	long(t)
	text, err := os.ReadFile(rigData)
	require.NoError(t, err)
	require.Contains(t, string(text), "0.70,99.4,")
	data := write(t, "rig.csv", strings.Replace(string(text), "0.70,99.4,", "0.70,49.9,", 1))
	got := invoke("calibrate", demo, data, "--noise", "0.3 K", "--samples", "260", "--quiet")
	assert.Equal(t, exitUndecided, got.code, got.stderr)
	words := strings.Join(strings.Fields(got.stdout), " ")
	assert.True(t, strings.HasPrefix(words, "Correlator card, two-face clamp LOOK FIRST AT LINE 4: left edge 42.8 °C, expected 34"), words[:200])
	assert.Contains(t, words, "is one mistyped, or what the row was read at (torque 0.7 N·m, power 49.9 W, wall 25.4 °C, altitude 150 m, card A)?")
	assert.Contains(t, words, "open: no trend without line 4 (z")
	assert.NotContains(t, words, "TREND")
	assert.Contains(t, words, "Without line 4, to compare")
	got = invoke("calibrate", demo, data, "--noise", "0.3 K", "--samples", "260", "--quiet", "--format", "csv")
	assert.True(t, strings.HasPrefix(got.stdout, "slips,To be looked at first: mistyped?\nline,column,quantity,value,low,high,flag,unit\n4,left edge,read,42.8,,,,°C\n"), got.stdout[:300])
}
