package question

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

// The answer on designs whose probabilities are known.
func TestCompareAnswersTheClosedForm(t *testing.T) {
	s := loadDemo(t)
	asked := &Comparison{Studies: []*study.Study{s, s, s}}
	asked.Setup, asked.By = linearSetup(20_000), "spot"
	for i, shift := range []float64{0.5, 0, 0} {
		asked.Scenarios = append(asked.Scenarios, sim.Scenario{
			Name: string(rune('x' + i)), Inputs: normals(t, 0, 1, 0, 1),
			Model:        linear{outputs: []string{"edge.spot"}, offset: []float64{353 + shift}, weight: [][]float64{{2, 0.5}}},
			Requirements: []sim.Requirement{{Name: "spot", Output: "edge.spot", Limit: 358.15, Target: 0.1}},
		})
	}
	result, err := asked.ranked(t.Context())
	require.NoError(t, err)
	assert.Equal(t, "undecided", result.Verdict, "the two best are the same")
	var places []int
	for _, r := range result.Ranking {
		p := asked.Scenarios[r.Design].Model.(linear).exceeds(asked.Scenarios[r.Design].Inputs, 0, 358.15)
		assert.LessOrEqual(t, r.Probability.Low, p)
		assert.GreaterOrEqual(t, r.Probability.High, p)
		places = append(places, r.Place)
	}
	assert.Equal(t, []int{1, 1, 3}, places)
	assert.Contains(t, reportText(t, result.Document()), "cannot be told apart")
}

// Designs of which none is seen to exceed have no best one to be named: the two are the same.
func TestNoneIsBestWhereNothingIsSeen(t *testing.T) {
	s := loadDemo(t)
	asked := &Comparison{Studies: []*study.Study{s, s}}
	asked.Setup, asked.By = linearSetup(2000), "spot"
	for _, name := range []string{"x", "y"} {
		asked.Scenarios = append(asked.Scenarios, sim.Scenario{
			Name: name, Inputs: normals(t, 0, 1, 0, 1),
			Model:        linear{outputs: []string{"edge.spot"}, offset: []float64{300}, weight: [][]float64{{0.2, 0.05}}},
			Requirements: []sim.Requirement{{Name: "spot", Output: "edge.spot", Limit: 358.15, Target: 0.1}},
		})
	}
	result, err := asked.ranked(t.Context())
	require.NoError(t, err)
	text := reportText(t, result.Document())
	assert.Contains(t, text, "is not seen with any of A, B")
	assert.NotContains(t, text, "has the least probability")
}
