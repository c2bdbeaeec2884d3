package strata

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// The scores that are drawn again are those that gave the outputs, and every row after
// the first is in the stratum of its own.
func TestScreenDrawsItsRowsAgain(t *testing.T) {
	const alpha, beta = 0.4, 0.2
	scenario := additive(alpha, beta).scenario(t)
	screen, err := NewScreen(context.Background(), scenario, 5000, 3, 1)
	require.NoError(t, err)
	assert.Equal(t, int64(5000), screen.Rows())
	d := direction{variable: []int{0, 1, 2}, weight: []float64{0.8, 0.6, 0}}
	low := sim.Requirement{Output: "y", Limit: 1}
	rows, all := screen.across(d, cells{}, slice([]float64{0, 1, 2}), []int{0, 1, 2})
	kept := all.beyond(low)
	assert.Equal(t, int64(5000-screen.pilot), total(rows))
	uniform := scenario.Inputs.Variables()[2].Dist
	for r, z := range kept.places {
		x, b := []float64{z[0]}, uniform.Quantile(dist.NormalCDF(z[2]))
		assert.InDelta(t, x[0]+alpha*z[1]+beta*b, kept.value[r], 1e-12, "rounding of the quantile")
		assert.Equal(t, stratumOf(slice([]float64{0, 1, 2}), 0, 0.8*z[0]+0.6*z[1]), kept.stratum[r])
	}
	above := 0
	for r, yes := range screen.Exceeds(0) {
		assert.Equal(t, screen.outputs[0][r] > 3, yes)
		if r >= screen.pilot && screen.outputs[0][r] > 1 {
			above++
		}
	}
	assert.Len(t, kept.value, above)
	z, y := screen.first()
	for r := range y {
		assert.InDelta(t, z[0][r]+alpha*z[1][r]+beta*uniform.Quantile(dist.NormalCDF(z[2][r])), y[r], 1e-12, "the same")
	}
}

func TestScreenSameBitsForAnyNumberOfWorkers(t *testing.T) {
	scenario := additive(0.4, 0.2).scenario(t)
	one, err := NewScreen(context.Background(), scenario, 4000, 3, 1)
	require.NoError(t, err)
	seven, err := NewScreen(context.Background(), scenario, 4000, 3, 7)
	require.NoError(t, err)
	assert.Equal(t, one.outputs, seven.outputs)
}

func TestScreenExtended(t *testing.T) {
	scenario := additive(0.4, 0.2).scenario(t)
	once, err := NewScreen(context.Background(), scenario, 6000, 3, 1)
	require.NoError(t, err)
	grown, err := NewScreen(context.Background(), scenario, 2500, 3, 1) // ends within a piece
	require.NoError(t, err)
	for _, rows := range []int64{2000, 6000} {
		require.NoError(t, grown.Extend(context.Background(), rows, 1))
	}
	assert.Equal(t, once.outputs, grown.outputs)
	assert.Equal(t, once.Rows(), grown.Rows())
}

func TestScreenOfNothing(t *testing.T) {
	scenario := additive(0.4, 0.2).scenario(t)
	scenario.Requirements = []sim.Requirement{{Name: "other", Output: "z"}}
	_, err := NewScreen(context.Background(), scenario, 100, 1, 1)
	assert.ErrorContains(t, err, `no output "z"`)
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = NewScreen(stopped, additive(0.4, 0.2).scenario(t), 4000, 1, 1)
	assert.ErrorIs(t, err, context.Canceled)
}
