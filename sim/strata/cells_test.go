package strata

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// Four inputs that jump to their upper part with 0.1, or lower: the cells have the binomial
// probabilities of none, one and more, and a row moved into one lies in it; with one of four in the
// rarer part each is it as often, 20 000 rows: 5 standard errors of a share of a quarter, a false alarm
// in two million.
func TestCellsPartitionTheSpace(t *testing.T) {
	for _, jump := range []float64{0.1, 0.9} {
		var variables []sim.Variable
		for _, name := range []string{"a", "b", "c", "d"} {
			d, err := dist.NewApart(jump, dist.Must(dist.NewFixed(0)), dist.Must(dist.NewFixed(1)))
			require.NoError(t, err)
			variables = append(variables, sim.Variable{Name: name, Input: name, Level: sim.Card, Dist: d})
		}
		inputs, err := sim.NewInputs(variables, nil, 1)
		require.NoError(t, err)
		c := cellsOf(inputs)
		all := c.across(slice(nil))
		require.Len(t, all, 3)
		for cell, want := range []float64{0.6561, 0.2916, 0.0523} { // binomial, 4 and 0.1
			assert.InEpsilon(t, want, all[cell].probability, 1e-12)
			z := batch.Columns(4, 20_000)
			for i, name := range []string{"a", "b", "c", "d"} {
				stream := sim.NewStream(1, "test", 0, name)
				normal(&stream, z[i])
			}
			c.moveScores(cell, z, len(z[0]))
			first := 0
			for r := range z[0] {
				require.Equal(t, cell, c.of(z, r))
				if (dist.NormalCDF(z[0][r]) < jump) == (jump < 0.5) {
					first++
				}
			}
			if cell == 1 {
				assert.InDelta(t, 0.25, float64(first)/20_000, 5*0.0031)
			}
		}
	}
}

// Inputs that jump elsewhere, that are not known or that are correlated make no cells.
func TestNoCells(t *testing.T) {
	scenario, _ := curved.scenario(t)
	assert.Len(t, cellsOf(scenario.Inputs).ends, 1)
	assert.Equal(t, slice([]float64{0, 1}), cellsOf(scenario.Inputs).across(slice([]float64{0, 1})))
}

// A limit that is reached by rows that jump: the direction does not follow that, the cells do. Without
// them plain rows take (1.96/0.1)²/p, 530 000; seed fixed, 95 %.
func TestRowsThatJump(t *testing.T) {
	r := jumps.estimate(t, options(0.1))
	require.True(t, r.Reached)
	assert.LessOrEqual(t, r.Estimate.Low, jumps.probability)
	assert.GreaterOrEqual(t, r.Estimate.High, jumps.probability)
	assert.Less(t, r.Rows, int64(60_000))

	// With lack of knowledge kept apart, from a screen.
	scenario, q := jumps.scenario(t)
	variables := scenario.Inputs.Variables()
	variables[0].Knowledge, variables[0].Level = true, sim.Design
	var err error
	scenario.Inputs, err = sim.NewInputs(variables, nil, 1)
	require.NoError(t, err)
	scenario.Requirements = []sim.Requirement{q}
	screen, err := screenOf(context.Background(), scenario, 8000, 1, 1)
	require.NoError(t, err)
	look, err := NewKnowledgeLook(context.Background(), scenario, q, KnowledgeOptions{Screen: screen, Confidence: 0.95, Seed: 1, Workers: 1})
	require.NoError(t, err)
	mean, err := look.Mean(context.Background(), 1e-5)
	require.NoError(t, err)
	assert.LessOrEqual(t, mean.Low, jumps.probability)
	assert.GreaterOrEqual(t, mean.High, jumps.probability)
}
