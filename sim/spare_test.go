package sim_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// settings are scenarios of y = x + k/10, k from 0 to 5, the last of them second, with a most and a least value.
func settings(t testing.TB) (list []sim.Scenario) {
	normal, err := dist.NewNormal(0, 1)
	require.NoError(t, err)
	inputs, err := sim.NewInputs([]sim.Variable{{Name: "x", Dist: normal, Level: sim.Card}}, nil, 1)
	require.NoError(t, err)
	for _, k := range []int{0, 5, 1, 2, 3, 4} {
		list = append(list, sim.Scenario{
			Name: fmt.Sprint(k), Inputs: inputs, Model: sim.Formula{Output: sim.Output{Name: "y"}, Of: func(x []float64) float64 { return x[0] + float64(k)/10 }},
			Requirements: []sim.Requirement{{Name: "most", Output: "y", Limit: 2}, {Name: "least", Output: "y", Limit: -2, Below: true}},
		})
	}
	return list
}

// Rows that are spared change no count where every output moves one way from the first to the last setting.
func TestSparedRowsChangeNoCount(t *testing.T) {
	list := settings(t)
	run := sim.Run{Scenarios: list, Sampler: sim.Random{}, Seed: 3, Samples: 5000, Confidence: 0.95, LimitsOnly: true}
	want, err := run.Execute(t.Context())
	require.NoError(t, err)
	run.Spares = [][]int{nil, nil, {0, 1}, {1, 2}, {1, 3}, {1, 4}}
	got, err := run.Execute(t.Context())
	require.NoError(t, err)
	for i := range list {
		for q := range list[i].Requirements {
			assert.Equal(t, want.Scenarios[i].Requirements[q].Exceeded, got.Scenarios[i].Requirements[q].Exceeded, "%s %d", list[i].Name, q)
		}
	}
	assert.Equal(t, want.InAny, got.InAny)
	// What spares too much is seen: the first alone says nothing of what rises.
	run.Spares[2] = []int{0}
	got, err = run.Execute(t.Context())
	require.NoError(t, err)
	assert.Less(t, got.Scenarios[2].Requirements[0].Exceeded.Rows(), want.Scenarios[2].Requirements[0].Exceeded.Rows())
}

func TestSparedRowsAreRefusedWhereTheyWouldBeMissed(t *testing.T) {
	list := settings(t)
	for _, wrong := range []func(r *sim.Run){
		func(r *sim.Run) { r.Spares[0] = []int{1} }, // comes later
		func(r *sim.Run) { r.Spares = r.Spares[1:] },
		func(r *sim.Run) { r.LimitsOnly = false },
		func(r *sim.Run) { r.Draws = func(int64, int, [][]float64, [][]float64) error { return nil } },
	} {
		run := sim.Run{Scenarios: list, Sampler: sim.Random{}, Samples: 100, Confidence: 0.95, LimitsOnly: true, Spares: make([][]int, len(list))}
		wrong(&run)
		_, err := run.Execute(t.Context())
		assert.ErrorContains(t, err, "spare")
	}
}
