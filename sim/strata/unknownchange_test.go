package strata

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// raised are two designs x + a/2 and x + a/2 + by, a not known.
func raised(t testing.TB, by float64) [2]sim.Scenario {
	design := func(by float64) sim.Scenario {
		return outer{value: func(x, a, b float64) float64 { return x + a/2 + by }}.scenario(t)
	}
	return [2]sim.Scenario{design(0), design(by)}
}

func TestKnowledgeOfChangeIsOfWhatMatters(t *testing.T) {
	designs := raised(t, 0.2)
	l, err := newLayers(context.Background(), designs[:], atThree, KnowledgeOptions{Rows: 60_000, Confidence: 0.95, Seed: 4})
	require.NoError(t, err)
	assert.Equal(t, []string{"a"}, l.inputs, "b does not matter")
}

// The change rises with a, so that its quantile is its value at the quantile of a.
func TestKnowledgeOfChangeAgainstClosedForm(t *testing.T) {
	const by = 0.2
	exactMean := dist.NormalSurvival((3-by)/math.Sqrt(1.25)) - dist.NormalSurvival(3/math.Sqrt(1.25))
	at := -3 + dist.NormalQuantile(0.95)/2
	exactUpper := dist.NormalCDF(at+by) - dist.NormalCDF(at)
	for lead := range 2 {
		u, err := KnowledgeOfChange(context.Background(), raised(t, by), lead, atThree, 0, KnowledgeOptions{Rows: 60_000, Confidence: 0.95, Seed: 4})
		require.NoError(t, err)
		// The half-widths are about 7 and 9 %; a wrong pairing of rows would be off by a third.
		assert.InEpsilon(t, exactMean, u.Mean.Value, 0.15)
		assert.InEpsilon(t, exactUpper, u.Upper.Value, 0.15)
		assert.Less(t, u.Upper.Low, exactUpper)
		assert.Greater(t, u.Upper.High, exactUpper)
		assert.Less(t, (u.Upper.High-u.Upper.Low)/exactUpper, 0.5)
	}
}

// What no row showed may still differ.
func TestKnowledgeOfChangeOfTheSameDesignIsZero(t *testing.T) {
	u, err := KnowledgeOfChange(context.Background(), raised(t, 0), 0, atThree, 0, KnowledgeOptions{Rows: 40_000, Confidence: 0.95, Seed: 4})
	require.NoError(t, err)
	for _, e := range []sim.Estimate{u.Mean, u.Upper} {
		assert.Zero(t, e.Value)
		assert.Less(t, e.High, 0.25*dist.NormalSurvival(3/math.Sqrt(1.25)), "3.7 rows of 0.045, of what a first look takes to be a fifth more")
	}
}

func TestMovedKnowledgeIsRefused(t *testing.T) {
	designs := raised(t, 0.2)
	variables := append([]sim.Variable(nil), designs[1].Inputs.Variables()...)
	variables[1].Dist = must(dist.NewNormal(0, 0.5))
	designs[1].Inputs = must(sim.NewInputs(variables, nil, 4))
	err := SameKnowledge(designs[0].Inputs, designs[1].Inputs)
	assert.ErrorIs(t, err, ErrMovedKnowledge)
	assert.ErrorContains(t, err, ": a")

	variables[1].Knowledge = false
	designs[1].Inputs = must(sim.NewInputs(variables, nil, 4))
	_, err = KnowledgeOfChange(context.Background(), designs, 0, atThree, 0, KnowledgeOptions{Rows: 40_000, Confidence: 0.95})
	assert.ErrorIs(t, err, ErrMovedKnowledge, "the same names are needed at least")
}
