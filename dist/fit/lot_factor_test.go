package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// lots are readings of units whose own draw has a distribution, each lot with its factor.
func lots(of dist.Distribution, between float64, count, perLot int, random *rand.Rand) [][]float64 {
	groups := make([][]float64, count)
	for i := range groups {
		factor := math.Exp(between * random.NormFloat64())
		for _, x := range draw(of, perLot, random) {
			groups[i] = append(groups[i], factor*x)
		}
	}
	return groups
}

// Of 60 lots of 25 the family within a lot is found, and both spreads: the standard error of that between lots is at most 11 %, of
// the scale 7 % (both nearly all from the lots), of a shape 5 %; three of them each, 1 false alarm in 370 rows.
func TestLotFactorFindsBothParts(t *testing.T) {
	for _, c := range []struct {
		family Family
		values map[string]float64
	}{
		{Lognormal, map[string]float64{"median": 12, "sigma_ln": 0.3}},
		{HalfNormal, map[string]float64{"scale": 12}},
		{Weibull, map[string]float64{"shape": 2.5, "scale": 12}},
		{Gamma, map[string]float64{"shape": 4, "scale": 3}},
		{Rayleigh, map[string]float64{"scale": 12}},
	} {
		f, err := NewLotFactor(lots(mustDist(t, string(c.family), c.values), 0.4, 60, 25, rand.New(rand.NewPCG(4, 2))), 0.95)
		require.NoError(t, err)
		assert.Equal(t, c.family, f.Within)
		assert.InEpsilon(t, 0.4, f.Between, 0.33, string(c.family))
		e := f.Entry()
		assert.Equal(t, 60, e.Lots)
		assert.Equal(t, 60*24+1, e.Readings)
		for _, v := range e.Values[:len(e.Values)-1] {
			assert.InEpsilon(t, c.values[v.Key], v.Value, 0.21, "%s, %s", c.family, v.Key)
		}
		assert.Equal(t, "lot_sigma_ln", e.Values[len(e.Values)-1].Key)
	}
}

// The mean and the variance of the logarithm that the parameters come from, against a million quantiles; their ends leave 1e-4.
func TestParametersByLogarithms(t *testing.T) {
	for _, w := range ofLogarithms(1.5, 0.7) {
		d, err := dist.FromSpec(Entry{Shape: string(w.family), Values: w.values}.Spec())
		require.NoError(t, err)
		mean, square := 0.0, 0.0
		const n = 1_000_000
		for i := range n {
			y := math.Log(d.Quantile((float64(i) + 0.5) / n))
			mean, square = mean+y/n, square+y*y/n
		}
		assert.InDelta(t, 1.5, mean, 1e-4, string(w.family))
		if len(w.values) == 2 {
			assert.InDelta(t, 0.7, square-mean*mean, 5e-4, string(w.family))
		}
	}
}

// Lots that do not differ have no part of their own, or hardly any; what has no logarithm is refused.
func TestLotsThatDoNotDiffer(t *testing.T) {
	f, err := NewLotFactor([][]float64{{9, 12, 5}, {9, 13, 6}, {5, 10, 12}}, 0.95)
	require.NoError(t, err)
	assert.Zero(t, f.Between)
	assert.Zero(t, f.Entry().Lots)
	_, err = NewLotFactor([][]float64{{0, 1}, {1, 2}}, 0.95)
	assert.ErrorContains(t, err, "above 0")
}
