package main

import (
	"encoding/json"
	"fmt"
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

// What a change does difference by difference, and a ranking, are of the condition that decides, where their numbers are
// those of record; its rows are as many as the accuracy asks for.
func TestChangeAndCompareAreOfTheConditionThatDecides(t *testing.T) {
	long(t)
	base := fewInputs(t, `condition = [{ name = "hot bay", replace = { "wall.temperature" = "66 degC" } }]
verdict = { policy = "predictive", accuracy = 0.08 }
`)
	other := write(t, "other.toml", fmt.Sprintf("extends = '%s'\nface.ramp.crown = '5 um'\nface.direct = { bow = '10 um', crown = '3.5 um', taper = '3 um' }\n", base))
	args := []string{base, other, "--samples", "6000", "--quiet", "--format", "json"}
	var c reports.Change
	got := invoke(append([]string{"change"}, append(args, "--margin", "5e-3")...)...)
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &c), got.stderr)
	require.Equal(t, "hot bay", c.Requirements[c.Deciding].Condition)
	assert.Equal(t, "hot bay", c.Condition)
	require.Len(t, c.Steps, 3)
	hot := c.Steps[2].Shifts[0]
	assert.Equal(t, "edge.spot", hot.Name)
	var r reports.Compare
	got = invoke(append([]string{"compare"}, args...)...)
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r), got.stderr)
	assert.Equal(t, "hot bay", r.Condition)
	for _, rank := range r.Ranking {
		decision := r.Designs[rank.Design].Results.Decision
		require.Equal(t, []string{"spot", "hot bay"}, []string{decision.Requirement, decision.Condition})
		assert.Equal(t, decision.PerCard.Interval, rank.Probability.Interval)
	}
	assert.GreaterOrEqual(t, float64(r.Ranking[1].Over.Rows), 60_000/(0.8*0.8)-1)
	for _, w := range r.Warnings {
		assert.NotRegexp(t, `^\d `, w.Text)
	}
	// The same shift of the mean as the condition by itself shows.
	var alone reports.Change
	got = invoke(append([]string{"change", "--condition", "hot bay"}, append(args, "--margin", "5e-3")...)...)
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &alone), got.stderr)
	assert.Equal(t, alone.Steps, c.Steps)
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
