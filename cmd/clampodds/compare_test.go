package main

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
)

// The command's answer on designs whose probabilities are known.
func TestCompareAnswersTheClosedForm(t *testing.T) {
	s := loadDemo(t)
	asked := &question.Comparison{Studies: []*study.Study{s, s, s}}
	asked.Setup, asked.By = linearSetup(20_000), "spot"
	for i, shift := range []float64{0.5, 0, 0} {
		asked.Scenarios = append(asked.Scenarios, sim.Scenario{
			Name: string(rune('x' + i)), Plan: normals(t, 0, 1, 0, 1),
			Model:        linear{outputs: []string{"edge.spot"}, offset: []float64{353 + shift}, weight: [][]float64{{2, 0.5}}},
			Requirements: []sim.Requirement{{Name: "spot", Output: "edge.spot", Limit: 358.15, Target: 0.1}},
		})
	}
	result, err := asked.Ranked(t.Context())
	require.NoError(t, err)
	assert.Equal(t, "undecided", result.Verdict, "the two best are the same")
	var places []int
	for _, r := range result.Ranking {
		p := asked.Scenarios[r.Design].Model.(linear).exceeds(asked.Scenarios[r.Design].Plan, 0, 358.15)
		assert.LessOrEqual(t, r.Probability.Low, p)
		assert.GreaterOrEqual(t, r.Probability.High, p)
		places = append(places, r.Place)
	}
	assert.Equal(t, []int{1, 1, 3}, places)
	assert.Contains(t, everyForm(t, result), "cannot be told apart")
}

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
