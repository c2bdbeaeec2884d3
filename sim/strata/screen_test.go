package strata

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
	"clampodds/sim"
)

// The scores that are drawn again are those that gave the outputs, and every row after
// the first is in the stratum of its own.
func TestScreenDrawsItsRowsAgain(t *testing.T) {
	const alpha, beta = 0.4, 0.2
	scenario := additive(alpha, beta).scenario(t)
	screen, err := screenOf(context.Background(), scenario, 5000, 3, 1)
	require.NoError(t, err)
	assert.Equal(t, 5000, screen.rows)
	d := direction{variable: []int{0, 1, 2}, weight: []float64{0.8, 0.6, 0}}
	low := sim.Requirement{Output: "y", Limit: 1}
	rows, all := screen.across(d, cells{}, slice([]float64{0, 1, 2}))
	kept := screen.placed(all.beyond(low), []int{0, 1, 2})
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
	on, y := screen.first()
	for r := range y {
		z := mat.Col(nil, r, on.design)[1:]
		assert.InDelta(t, z[0]+alpha*z[1]+beta*uniform.Quantile(dist.NormalCDF(z[2])), y[r], 1e-12, "the same")
	}
}

func TestScreenSameBitsForAnyNumberOfWorkers(t *testing.T) {
	scenario := additive(0.4, 0.2).scenario(t)
	one, err := screenOf(context.Background(), scenario, 4000, 3, 1)
	require.NoError(t, err)
	seven, err := screenOf(context.Background(), scenario, 4000, 3, 7)
	require.NoError(t, err)
	assert.Equal(t, one.outputs, seven.outputs)
}

func TestScreenExtended(t *testing.T) {
	scenario := additive(0.4, 0.2).scenario(t)
	once, err := screenOf(context.Background(), scenario, 6000, 3, 1)
	require.NoError(t, err)
	grown, err := screenOf(context.Background(), scenario, 2500, 3, 1) // ends within a piece
	require.NoError(t, err)
	for _, rows := range []int64{2000, 6000} {
		require.NoError(t, Extend(context.Background(), []*Screen{grown}, []int64{rows}, 1))
	}
	assert.Equal(t, once.outputs, grown.outputs)
	assert.Equal(t, once.rows, grown.rows)
}

// Screens together are what each is alone, of scenarios that share some variables only, some with another distribution,
// and with unlike numbers of rows.
func TestScreensTogetherAreScreensAlone(t *testing.T) {
	first, wide, rare := additive(0.4, 0.2).scenario(t), additive(0.4, 0.3).scenario(t), additive(0.4, 0.2).scenario(t)
	var err error
	wide.Inputs, err = wide.Inputs.WithDistributions(func(v sim.Variable) (dist.Distribution, error) {
		if v.Name == wide.Inputs.Variables()[0].Name {
			return dist.WithSpread(v.Dist, 2)
		}
		return v.Dist, nil
	})
	require.NoError(t, err)
	variables := slices.Clone(rare.Inputs.Variables())
	variables[1].Name = "another"
	rare.Inputs, err = sim.NewInputs(variables, nil, 1)
	require.NoError(t, err)
	scenarios, rows := []sim.Scenario{first, wide, rare}, []int64{2500, 6000, 4000}
	together, err := NewScreens(context.Background(), scenarios, []int64{2100, 2100, 2300}, 3, 2)
	require.NoError(t, err)
	require.NoError(t, Extend(context.Background(), together, rows, 2))
	for i, scenario := range scenarios {
		alone, err := screenOf(context.Background(), scenario, rows[i], 3, 1)
		require.NoError(t, err)
		assert.Equal(t, alone.outputs, together[i].outputs, "scenario %d", i)
	}
}

// screenOf is a screen alone.
func screenOf(ctx context.Context, scenario sim.Scenario, rows int64, seed uint64, workers int) (*Screen, error) {
	screens, err := NewScreens(ctx, []sim.Scenario{scenario}, []int64{rows}, seed, workers)
	if err != nil {
		return nil, err
	}
	return screens[0], nil
}

func TestScreenOfNothing(t *testing.T) {
	scenario := additive(0.4, 0.2).scenario(t)
	scenario.Requirements = []sim.Requirement{{Name: "other", Output: "z"}}
	_, err := screenOf(context.Background(), scenario, 100, 1, 1)
	assert.ErrorContains(t, err, `no output "z"`)
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = screenOf(stopped, additive(0.4, 0.2).scenario(t), 4000, 1, 1)
	assert.ErrorIs(t, err, context.Canceled)
}
