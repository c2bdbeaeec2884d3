package sim

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim/batch"
)

func TestWithDistributionsKeepsDrawsAndCorrelations(t *testing.T) {
	inputs, err := NewInputs([]Variable{variable("a", normal(0, 1)), variable("b", normal(5, 2)), shared("c", normal(0, 1))},
		[]Correlation{{A: "a", B: "b", Rank: 0.6}}, 2)
	require.NoError(t, err)
	moved, err := inputs.WithDistributions(func(v Variable) (dist.Distribution, error) {
		if v.Name == "b" {
			return dist.Shifted(v.Dist, 10)
		}
		return v.Dist, nil
	})
	require.NoError(t, err)

	u := [][]float64{{0.1, 0.7, 0.4, 0.9}, {0.3, 0.2, 0.8, 0.6}, {0.5, 0.5, 0.1, 0.1}}
	before, after := batch.Columns(3, 4), batch.Columns(3, 4)
	inputs.Transform(u, before)
	moved.Transform(u, after)
	for r := range u[0] {
		assert.Equal(t, before[0][r], after[0][r])
		assert.InDelta(t, before[1][r]+10, after[1][r], 1e-14, "one rounding of the sum")
		assert.Equal(t, before[2][r], after[2][r])
	}
	assert.Equal(t, 5.0, inputs.Variables()[1].Dist.Mean(), "the inputs themselves do not change")

	failed := errors.New("refused")
	_, err = inputs.WithDistributions(func(Variable) (dist.Distribution, error) { return nil, failed })
	assert.ErrorIs(t, err, failed)
	assert.Panics(t, func() {
		_, _ = inputs.WithDistributions(func(Variable) (dist.Distribution, error) { return nil, nil })
	})
}
