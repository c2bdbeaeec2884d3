package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
)

// Limits with their targets and conditions with what they change are printed in every
// form; a condition looked at by itself has none of its own.
func TestCheckListsLimitsAndConditions(t *testing.T) {
	for _, form := range []string{"table", "markdown", "csv"} {
		got := invoke("check", demo, "--quiet", "--format", form)
		require.Equal(t, exitDone, got.code, form)
		for _, want := range []string{"two-face.toml:137", "2e-3", "hot day", "gas.altitude", "9 km", "0 km", "13.33 %"} {
			assert.Contains(t, got.stdout, want, form)
		}
	}
	got := invoke("check", demo, "--quiet", "--format", "json")
	require.Equal(t, exitDone, got.code)
	var checked reports.Inputs
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &checked))
	require.Len(t, checked.Limits, 7)
	assert.Equal(t, 358.15, checked.Limits[0].Limit)
	assert.Equal(t, 2e-3, *checked.Limits[0].Target)
	require.Len(t, checked.Conditions, 6)
	assert.Nil(t, checked.Conditions[3].Share)
	assert.Equal(t, reports.InputChange{Key: "gas.altitude", Before: "9 km", After: "0 km"}, checked.Conditions[2].Changes[0])

	assert.Equal(t, reports.Rule{Confidence: 0.95, Policy: "confident", Accuracy: 0.1}, checked.Rule)

	got = invoke("check", changed(t, "[change]", "[verdict]\naccuracy = 0.03\nassumed = [\"contact.factor\"]\n[change]"), "--quiet")
	require.Equal(t, exitDone, got.code)
	assert.Contains(t, strings.Join(strings.Fields(got.stdout), " "), "at or below it, if contact.factor is as assumed. Cards are drawn until that is clear, or the probability is known to 3 % of itself.")
	got = invoke("check", changed(t, "[change]", "[verdict]\naccuracy = 0.001\n[change]"), "--quiet")
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "verdict.accuracy = 0.001: a number from 0.02 to 0.5 expected")

	got = invoke("check", demo, "--quiet", "--condition", "aged")
	require.Equal(t, exitDone, got.code)
	assert.NotContains(t, got.stdout, "Conditions of the mission")
}
