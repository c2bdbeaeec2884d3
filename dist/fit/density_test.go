package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/dist"
	_ "clampodds/testdata/fixedseed"
)

// The densities without tables are those of dist.
func TestDensitiesAreThoseOfDist(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := math.Exp(rapid.Float64Range(math.Log(0.3), math.Log(900)).Draw(t, "a"))
		b := math.Exp(rapid.Float64Range(math.Log(0.3), math.Log(900)).Draw(t, "b"))
		z := rapid.Float64Range(-4, 4).Draw(t, "z")
		gamma, err := dist.NewGamma(a, 3)
		require.NoError(t, err)
		beta, err := dist.NewBeta(a, b, 1, 4)
		require.NoError(t, err)
		for _, c := range []struct {
			ours   density
			theirs dist.Distribution
		}{
			{gammaModel().density([]float64{a, 3}), gamma},
			{betaModel(Range{Low: 1, High: 4}).density([]float64{a, b}), beta},
		} {
			x := dist.FromNormalScore(c.theirs, z)
			if low, high := c.theirs.Support(); x-low < 1e-4 || high-x < 1e-4 {
				continue // the distance from an end has few digits
			}
			// ln Gamma(1800) is 12 000: 1e-12 of it cancels in theirs.
			assert.InDelta(t, c.theirs.LogDensity(x), c.ours.LogDensity(x), 3e-11)
			assert.InEpsilon(t, c.theirs.CDF(x), c.ours.CDF(x), 1e-11)
			assert.InEpsilon(t, c.theirs.Survival(x), c.ours.Survival(x), 1e-11)
		}
	})
	for _, d := range []density{gammaModel().density([]float64{2, 1}), betaModel(Range{Low: 0, High: 1}).density([]float64{2, 2}), nothing{}} {
		assert.Equal(t, math.Inf(-1), d.LogDensity(-1))
		assert.Zero(t, d.CDF(-1))
	}
}

// Many readings of a narrow distribution leave the search its digits.
func TestNarrowDistributionOfManyReadings(t *testing.T) {
	values := draw(mustDist(t, "normal", map[string]float64{"mean": 2.5, "sd": 0.05}), 120_000, rand.New(rand.NewPCG(19, 20)))
	d := Data{Values: values, BetaLimits: Range{Low: 1, High: 4}}
	for _, family := range []Family{Gamma, Beta, Weibull, Lognormal} {
		f := fitted(t, d, family)
		assert.InDelta(t, 2.5, f.Distribution().Mean(), 0.01, family)
	}
	gamma := fitted(t, d, Gamma)
	// A gamma distribution that narrow has shape (mean/sd)^2, but for its skewness.
	assert.InEpsilon(t, 2500, gamma.Parameters[0].Value, 0.02)
}

// The parameters that are refused are those that dist refuses.
func TestParametersTaken(t *testing.T) {
	for _, m := range []model{gammaModel(), betaModel(Range{Low: 1, High: 4})} {
		for i, r := range m.taken {
			for _, end := range []float64{r.Low, r.High} {
				if end == 0 || math.IsInf(end, 0) {
					continue
				}
				inside, outside := []float64{5, 5}, []float64{5, 5}
				inside[i] = end
				outside[i] = end * (1 + math.Copysign(1e-9, math.Log(end)))
				_, err := dist.FromSpec(m.spec(inside))
				require.NoError(t, err)
				require.NoError(t, m.check(inside))
				_, err = dist.FromSpec(m.spec(outside))
				require.Error(t, err)
				require.Error(t, m.check(outside))
			}
		}
	}
	_, err := sample(t, Data{Values: []float64{100, 100.1, 99.9, 100.05}}).Fit(Gamma, Options{Level: 0.95})
	assert.ErrorContains(t, err, "must be from 0.1 to 10000; the readings call for another family")
}

// Twelve readings of a small spread leave open more than dist takes.
func TestNarrowGammaIsBounded(t *testing.T) {
	f := fitted(t, Data{Values: audit}, Gamma)
	assert.False(t, math.IsInf(f.Parameters[0].Interval.High, 1))
	e, err := f.Exceedance(2.25, false, 0.95)
	require.NoError(t, err)
	normal, err := fitted(t, Data{Values: audit}, Normal).Exceedance(2.25, false, 0.95)
	require.NoError(t, err)
	assert.InEpsilon(t, normal.Predictive, e.Predictive, 0.3) // skewness 0.04 is all that differs
	_, err = f.Predictive()
	require.NoError(t, err)
}
