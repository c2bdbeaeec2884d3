package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim/batch"
)

// total adds up the inputs of each row.
type total struct{}

func (total) Outputs() []Output { return []Output{{Name: "total", Unit: "1", Bin: 1e-3}} }

func (total) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = 0
		for i := range x {
			y[0][r] += x[i][r]
		}
	}
}

func TestEvaluateGivesTheSameForAnyNumberOfWorkers(t *testing.T) {
	inputs := derivable(t) // c per card; a and b per lot, correlated; two rows in a group
	z := batch.Columns(3, 10)
	stream := NewStream(1, "test", 0, "")
	for _, column := range z {
		stream.Fill(column)
	}
	want, x := batch.Columns(1, 10), batch.Columns(3, 10)
	inputs.FromNormal(z, x)
	total{}.Evaluate(x, want)
	for _, workers := range []int{0, 1, 2, 3, 50} {
		y := batch.Columns(1, 10)
		Evaluate(inputs, total{}, (*Inputs).FromNormal, z, y, workers)
		assert.Equal(t, want, y, "%d workers", workers)
	}
	cube := batch.Columns(1, 10)
	Evaluate(inputs, total{}, (*Inputs).Transform, z, cube, 2)
	assert.NotEqual(t, want, cube)
	require.NotPanics(t, func() { Evaluate(inputs, total{}, (*Inputs).Transform, z, nil, 2) })
}
