package drivers

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// Rows that an upper percentile does not rest on need not be evaluated: the same moves to the last bit as of
// all rows, of a straight model, one that bends, and one with two branches, where they are all taken.
func TestUpperPercentilesNeedFewRows(t *testing.T) {
	var variables []sim.Variable
	for _, name := range []string{"a", "b", "c", "d"} {
		d, err := dist.NewNormal(1, 0.5)
		require.NoError(t, err)
		variables = append(variables, sim.Variable{Name: name, Input: name, Level: sim.Card, Dist: d})
	}
	inputs, err := sim.NewInputs(variables, nil, 1)
	require.NoError(t, err)
	for _, model := range []struct {
		name   string
		of     func(x []float64) float64
		spares bool
	}{
		{"straight", func(x []float64) float64 { return 2*x[0] + x[1] + x[2] - x[3] }, true},
		{"bent", func(x []float64) float64 { return math.Exp(0.3*x[0]) + x[1] + 0.1*x[2]*x[3] }, true},
		{"two branches", func(x []float64) float64 { return math.Abs(x[0]-1)*5 + x[1] + x[2] }, false},
	} {
		a, err := New(sim.Scenario{Name: model.name, Inputs: inputs, Model: sim.Formula{Output: sim.Output{Name: "y"}, Of: model.of}}, Options{Output: "y", Rows: 2000, Seed: 7, Level: 0.95})
		require.NoError(t, err)
		got, err := a.Percentiles(0.99)
		require.NoError(t, err)
		u := batch.Columns(4, 2000)
		for s := range sections {
			a.cube(batch.Rows(u, s*200, (s+1)*200), a.names(), s)
		}
		before, after := make([]float64, 2000), make([]float64, 2000)
		a.evaluate(a.scenario.Inputs, (*sim.Inputs).Transform, u, before)
		for k, in := range a.inputs {
			for c, change := range Changes() {
				changed, err := a.with(in, change)
				require.NoError(t, err)
				a.evaluate(changed, (*sim.Inputs).Transform, u, after)
				assert.Equal(t, a.compare(before, after, 0.99), got.Moved[k][c], "%s, %s %s", model.name, in.Name, change)
			}
		}
		all := int64(2000 * (1 + len(a.inputs)*len(Changes())))
		if model.spares {
			assert.Less(t, got.Evaluations, all/2, model.name)
		} else {
			assert.Greater(t, got.Evaluations, all/2, model.name)
		}
	}
}
