package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	_ "clampodds/testdata/fixedseed"
)

func TestRankAndNormalCorrelation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rank := rapid.Float64Range(-1, 1).Draw(t, "rank")
		// asin near ±1 magnifies rounding by the inverse root of the distance.
		require.InDelta(t, rank, rankCorrelation(normalCorrelation(rank)), 1e-14)
	})
}

func TestComponentsAreFoundWhateverTheOrder(t *testing.T) {
	corr := []Correlation{{"d", "e", 0.1}, {"b", "a", 0.5}, {"c", "b", 0.3}}
	components := connect(corr)
	require.Len(t, components, 2)
	assert.Equal(t, []string{"a", "b", "c"}, components[0].names)
	assert.Equal(t, []string{"d", "e"}, components[1].names)
	assert.Zero(t, components[0].normal.At(0, 2), "a pair without a statement")
	assert.Equal(t, normalCorrelation(0.5), components[0].normal.At(0, 1))

	swapped := []Correlation{{"b", "c", 0.3}, {"a", "b", 0.5}, {"e", "d", 0.1}}
	for range 10 { // map order changes from call to call
		assert.Equal(t, components, connect(swapped))
	}
}

func TestImpossibleCorrelationsNameThePair(t *testing.T) {
	vars := []Variable{variable("flange", uniform(0, 1)), variable("slot", uniform(0, 1)), variable("wedge", uniform(0, 1))}
	corr := []Correlation{{"flange", "slot", 0.7}, {"slot", "wedge", 0.7}, {"flange", "wedge", -0.9}}
	_, err := NewInputs(vars, corr, 1)
	assert.ErrorContains(t, err, `["flange" "slot" "wedge"] cannot all hold together`)
	assert.ErrorContains(t, err, `the pair "flange", "wedge" furthest: from -0.9 to `)

	_, change, err := RepairCorrelations(corr)
	assert.ErrorContains(t, err, "more than the 0.05 that a repair may change")
	assert.Greater(t, change, 0.3)
}

func TestSmallRepair(t *testing.T) {
	possible := Correlation{"x", "y", 0.4}
	corr := []Correlation{{"a", "b", 0.8}, {"b", "c", 0.8}, {"a", "c", 0.25}, possible}
	_, err := NewInputs([]Variable{
		variable("a", uniform(0, 1)), variable("b", uniform(0, 1)), variable("c", uniform(0, 1)),
		variable("x", uniform(0, 1)), variable("y", uniform(0, 1)),
	}, corr, 1)
	require.ErrorContains(t, err, "cannot all hold together")

	repaired, change, err := RepairCorrelations(corr)
	require.NoError(t, err)
	assert.Greater(t, change, 0.001)
	assert.Less(t, change, LargestRepair)
	require.Len(t, repaired, 4)
	assert.Contains(t, repaired, possible, "what can hold together stays")
	for i := range 3 {
		largest := 0.0
		for _, stated := range corr {
			if stated.A == repaired[i].A && stated.B == repaired[i].B {
				largest = math.Max(largest, math.Abs(stated.Rank-repaired[i].Rank))
			}
		}
		assert.LessOrEqual(t, largest, change+1e-14, "ranks go through a sine and back")
	}
	_, err = NewInputs([]Variable{
		variable("a", uniform(0, 1)), variable("b", uniform(0, 1)), variable("c", uniform(0, 1)),
		variable("x", uniform(0, 1)), variable("y", uniform(0, 1)),
	}, repaired, 1)
	assert.NoError(t, err, "the repaired set can be used")

	again, change, err := RepairCorrelations(repaired)
	require.NoError(t, err)
	assert.Zero(t, change)
	assert.ElementsMatch(t, repaired, again, "a possible set is left alone")
}

// The nearest correlation matrix is one, and keeps what already is one.
func TestNearestCorrelationProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 4
		a := mat.NewSymDense(n, nil)
		for i := range n {
			a.SetSym(i, i, 1)
			for j := range i {
				a.SetSym(i, j, rapid.Float64Range(-1, 1).Draw(t, "entry"))
			}
		}
		nearest := nearestCorrelation(a, smallestEigenvalue)
		var eigen mat.EigenSym
		require.True(t, eigen.Factorize(nearest, false))
		require.Greater(t, eigen.Values(nil)[0], 0.5*smallestEigenvalue)
		again := nearestCorrelation(nearest, smallestEigenvalue)
		for i := range n {
			require.Equal(t, 1.0, nearest.At(i, i))
			for j := range n {
				require.InDelta(t, nearest.At(i, j), again.At(i, j), 1e-9, "the stopping rule of the iteration")
			}
		}
	})
}
