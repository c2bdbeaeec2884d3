package main

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
)

func TestCompareOnTheDemos(t *testing.T) {
	long(t)
	short := func(demo string) string { return shortClamp(t, demo, "condition = []\n") }
	args := []string{"compare", short(demo), short(fourFace), short(flatness), "--samples", "18000", "--evaluations", "10000", "--quiet"}
	got := invoke(append(args, "--format", "json")...)
	require.NotEqual(t, exitUsage, got.code, got.stderr)
	var r reports.Compare
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	assert.Equal(t, 1, r.Ranking[0].Design, "the four-face clamp")
	assert.Equal(t, 2, r.Ranking[2].Design, "the bowed flange")
	assert.Len(t, r.Designs, 3)
	assert.Len(t, r.Others, 2)
	warm := func(name string) string { // every limit but the screw's is far
		return shortClamp(t, name, `condition = []
limits.spot = { max = "95 degC", target = 0.5 }`)
	}
	screws := invoke("compare", warm(demo), warm(fourFace), "--by", "screw_stress", "--samples", "30000", "--evaluations", "10000", "--quiet")
	assert.Equal(t, exitUndecided, screws.code, "the same screws")
	assert.Contains(t, screws.stdout, "cannot be told apart")
}

func TestCompareRefuses(t *testing.T) {
	for want, args := range map[string][]string{
		"(1 given)":            {demo},
		"(9 given)":            {demo, demo, demo, demo, demo, demo, demo, demo, demo},
		`sets no limit "mass"`: {demo, fourFace, "--by", "mass"},
	} {
		got := invoke(append([]string{"compare", "--quiet"}, args...)...)
		assert.Equal(t, exitUsage, got.code)
		assert.Contains(t, got.stderr, want)
	}
}
