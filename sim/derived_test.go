package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"clampodds/sim/batch"
)

func derivable(t *testing.T) *Inputs {
	vars := []Variable{
		{Name: "c", Level: Card, Dist: normal(0, 1)}, {Name: "a", Level: Lot, Dist: normal(0, 1)}, {Name: "b", Level: Lot, Dist: normal(0, 1)},
	}
	in, err := NewInputs(vars, []Correlation{{A: "a", B: "b", Rank: 0.6}}, 2)
	require.NoError(t, err)
	return in
}

func TestSingleRowsAreIndependent(t *testing.T) {
	in := derivable(t)
	single := in.Single()
	z := [][]float64{{1, 2}, {3, 4}, {0, 0}}
	x := batch.Columns(3, 2)
	in.FromNormal(z, x)
	assert.Equal(t, []float64{3, 3}, x[1])
	single.FromNormal(z, x)
	assert.Equal(t, []float64{3, 4}, x[1])
	assert.Equal(t, 2, in.RowsPerGroup())
}

func TestNormalCorrelationIsThatOfTheScores(t *testing.T) {
	m := derivable(t).NormalCorrelation()
	assert.InDelta(t, 2*math.Sin(math.Pi*0.1), m.At(1, 2), 1e-15)
	assert.InDelta(t, 1, m.At(2, 2), 1e-15)
	assert.Zero(t, m.At(0, 1))
}

// The scores are those that the inputs themselves make of u: all variables are
// standard normal.
func TestNormalFactorMakesTheScores(t *testing.T) {
	vars := []Variable{
		{Name: "d", Level: Card, Dist: normal(0, 1)}, {Name: "z", Level: Card, Dist: normal(0, 1)},
		{Name: "b", Level: Card, Dist: normal(0, 1)}, {Name: "a", Level: Card, Dist: normal(0, 1)},
	}
	in, err := NewInputs(vars, []Correlation{{A: "a", B: "d", Rank: 0.6}, {A: "a", B: "b", Rank: -0.3}}, 1)
	require.NoError(t, err)
	u := [][]float64{{1}, {-2}, {0.5}, {3}}
	x := batch.Columns(4, 1)
	in.FromNormal(u, x)
	factor := in.NormalFactor()
	for i := range x {
		score := 0.0
		for j := range u {
			score += factor.At(i, j) * u[j][0]
		}
		assert.InDelta(t, x[i][0], score, 1e-14, vars[i].Name)
	}
	var outer mat.Dense
	outer.Mul(factor, factor.T())
	assert.True(t, mat.EqualApprox(in.NormalCorrelation(), &outer, 1e-14))
}
