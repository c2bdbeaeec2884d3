package sensitivity

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"

	"clampodds/dist"
	"clampodds/reports/validation"
)

func normal(t testing.TB, mean, sd float64) dist.Normal {
	d, err := dist.NewNormal(mean, sd)
	require.NoError(t, err)
	return d
}

func phi(z float64) float64 { return math.Exp(dist.NormalLogDensity(z)) }

// resistance samples R ~ N(4, 1) and S ~ N(2, 1) and returns shift and stretch
// scores of R in the rows with R < S.
func resistance(score *Score, rows int, random *rand.Rand) (shift, stretch []float64) {
	for range rows {
		r, s := 4+random.NormFloat64(), 2+random.NormFloat64()
		if r < s {
			shift, stretch = append(shift, score.Shift(r)), append(stretch, score.Stretch(r))
		}
	}
	return shift, stretch
}

func derivativeCases(t *testing.T) []validation.Case {
	score, err := NewCutScore(normal(t, 4, 1), math.Inf(-1), math.Inf(1), nil)
	require.NoError(t, err)
	const rows = 400_000
	shift, stretch := resistance(score, rows, rand.New(rand.NewPCG(31, 0)))
	mean, err := Derivative(shift, nil, rows, 0.95)
	require.NoError(t, err)
	spread, err := Derivative(stretch, nil, rows, 0.95)
	require.NoError(t, err)
	add := func(name string, want float64, got Estimate) validation.Case {
		return validation.Case{
			Name: name, Source: "R - S, R ~ N(4, 1), S ~ N(2, 1): ∓φ(√2)/√2", Standing: validation.Computed,
			Expected: want, Obtained: got.Value, Absolute: 4 * got.StandardError, Reason: "4 standard errors, false alarm 6e-5",
		}
	}
	return []validation.Case{
		add("dP/dmean of the resistance by the score function", -.10377687, mean),
		add("dP/dsd of the resistance by the score function", .10377687, spread),
	}
}

func TestOutsideSensitivity(t *testing.T) {
	cases := append(sobolCases(t), shapleyCases(t)...)
	validation.Check(t, "Sensitivity", append(cases, derivativeCases(t)...))
}

func TestNormalScore(t *testing.T) {
	score, err := NewCutScore(normal(t, 3, 2), math.Inf(-1), math.Inf(1), nil)
	require.NoError(t, err)
	exact, err := NewCutScore(normal(t, 3, 2), math.Inf(-1), math.Inf(1), func(x float64) float64 { return -(x - 3) / 4 })
	require.NoError(t, err)
	for _, x := range []float64{-20, -1, 3, 3.5, 9, 40} {
		shift, stretch := (x-3)/4, ((x-3)*(x-3)-4)/8
		assert.InDelta(t, shift, exact.Shift(x), 1e-13)
		assert.InDelta(t, stretch, exact.Stretch(x), 1e-12*(1+math.Abs(stretch)))
		// 1e-9 of the log-density, a sum of some 100, over the step of 2e-3: the
		// difference is exact for a parabola but for rounding.
		assert.InDelta(t, shift, score.Shift(x), 1e-10)
		assert.InDelta(t, stretch, score.Stretch(x), 1e-9)
	}
}

// A score has mean 0 and no jump may be hidden: refused where density jumps.
func TestScoreRefuses(t *testing.T) {
	uniform, err := dist.NewUniform(0, 1)
	require.NoError(t, err)
	_, err = NewCutScore(uniform, math.Inf(-1), math.Inf(1), nil)
	assert.ErrorContains(t, err, "jumps at the end 0")
	half, err := dist.NewHalfNormal(1)
	require.NoError(t, err)
	_, err = NewCutScore(half, math.Inf(-1), math.Inf(1), nil)
	assert.ErrorContains(t, err, "jumps at the end 0")
	_, err = NewCutScore(half, 0.5, 2, nil)
	assert.NoError(t, err, "the jump is outside the cut")
	fixed, err := dist.NewFixed(1)
	require.NoError(t, err)
	_, err = NewCutScore(fixed, math.Inf(-1), math.Inf(1), nil)
	assert.ErrorContains(t, err, "standard deviation 0")
	_, err = NewCutScore(normal(t, 0, 1), 2, 1, nil)
	assert.ErrorContains(t, err, "nothing between")
	_, err = NewCutScore(normal(t, 0, 1), 1, math.NaN(), nil)
	assert.ErrorContains(t, err, "nothing between")
}

// A lognormal input: mean and spread of P(X > limit) against the distribution
// shifted and stretched itself. Weighted rows take the integral in place of
// samples: Σ w score over a fine grid of the tail.
func TestLognormalScoreIntegrates(t *testing.T) {
	d, err := dist.NewLognormal(1, 0.3)
	require.NoError(t, err)
	score, err := NewCutScore(d, math.Inf(-1), math.Inf(1), nil)
	require.NoError(t, err)
	const limit = 1.8
	integral := func(f func(x float64) float64) float64 {
		return quad.Fixed(func(x float64) float64 { return f(x) * math.Exp(d.LogDensity(x)) }, limit, 8, 400, quad.Legendre{}, 1)
	}
	density := math.Exp(d.LogDensity(limit))
	// P(X > L) under a shift grows by f(L), under a stretch by f(L)(L-m)/s.
	// 1e-7: the five-point slope of a density with curvature.
	assert.InEpsilon(t, density, integral(score.Shift), 1e-7)
	assert.InEpsilon(t, density*(limit-d.Mean())/d.StdDev(), integral(score.Stretch), 1e-7)
}

// The derivative at fixed copula, and with the input cut at fixed limits, as
// integrals over the joint density against differences of the exact probability.
func TestCutAndCorrelatedScores(t *testing.T) {
	const rho, limit, low, high, step = 0.6, 2.5, -1.0, 2.2, 1e-4
	correlation := pairCorrelation(2, 0, 1, rho)
	puller, err := NewPuller(correlation)
	require.NoError(t, err)
	for _, cut := range []bool{false, true} {
		lower, upper := math.Inf(-1), math.Inf(1)
		if cut {
			lower, upper = low, high
		}
		input := func(mean, sd float64) dist.Distribution {
			d := dist.Distribution(normal(t, mean, sd))
			if cut {
				d, err = dist.NewTruncated(d, low, high)
				require.NoError(t, err)
			}
			return d
		}
		score, err := NewCutScore(normal(t, 0.5, 1.2), lower, upper, nil)
		require.NoError(t, err)
		// P(X + Z2 > limit), Z2 standard normal, correlated with the score of X.
		given := func(x, z float64) float64 { // P(Z2 > limit - x | z)
			return dist.NormalSurvival((limit - x - rho*z) / math.Sqrt(1-rho*rho))
		}
		over := func(f func(z float64) float64) float64 {
			return quad.Fixed(func(z float64) float64 { return f(z) * phi(z) }, -9, 9, 400, quad.Legendre{}, 1)
		}
		probability := func(mean, sd float64) float64 {
			d := input(mean, sd)
			return over(func(z float64) float64 { return given(dist.FromNormalScore(d, z), z) })
		}
		// E[I score]: the inner integral over Z2 beyond the limit, where the pull is linear.
		d := input(0.5, 1.2)
		mean := func(of func(x, z, pull float64) float64) float64 {
			return over(func(z float64) float64 {
				x := dist.FromNormalScore(d, z)
				return quad.Fixed(func(z2 float64) float64 {
					conditional := phi((z2-rho*z)/math.Sqrt(1-rho*rho)) / math.Sqrt(1-rho*rho)
					return conditional * of(x, z, puller.Pull([]float64{z, z2}, 0))
				}, limit-x, math.Max(limit-x, rho*z)+8, 200, quad.Legendre{}, 1)
			})
		}
		// 1e-6: the central difference of step 1e-4 and the quadrature.
		wantShift := (probability(0.5+step, 1.2) - probability(0.5-step, 1.2)) / (2 * step)
		wantStretch := (probability(0.5, 1.2+step) - probability(0.5, 1.2-step)) / (2 * step)
		assert.InEpsilon(t, wantShift, mean(score.CorrelatedShift), 1e-6, "cut %v", cut)
		assert.InEpsilon(t, wantStretch, mean(score.CorrelatedStretch), 1e-6, "cut %v", cut)
	}
	_, err = NewPuller(pairCorrelation(2, 0, 1, 1))
	assert.Error(t, err)
}

// Coverage by repetition, with plenty of failures (157 expected) and few (79).
func TestDerivativeCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions, single-threaded")
	}
	score, err := NewCutScore(normal(t, 4, 1), math.Inf(-1), math.Inf(1), func(x float64) float64 { return 4 - x })
	require.NoError(t, err)
	want := phi(math.Sqrt2) / math.Sqrt2
	for _, rows := range []int{2000, 1000} {
		meanHits, spreadHits := 0, 0
		for seed := range uint64(repetitions) {
			shift, stretch := resistance(score, rows, rand.New(rand.NewPCG(seed, 4)))
			mean, err := Derivative(shift, nil, int64(rows), 0.95)
			require.NoError(t, err)
			spread, err := Derivative(stretch, nil, int64(rows), 0.95)
			require.NoError(t, err)
			if mean.Low <= -want && -want <= mean.High {
				meanHits++
			}
			if spread.Low <= want && want <= spread.High {
				spreadHits++
			}
		}
		assertCovers(t, meanHits, "%d rows", rows)
		assertCovers(t, spreadHits, "%d rows", rows)
	}
}

// A probability of 1e-7 by importance sampling at the limit.
func TestDerivativeWithWeights(t *testing.T) {
	const limit, rows = 5.199337582192817, 20_000
	score, err := NewCutScore(normal(t, 0, 1), math.Inf(-1), math.Inf(1), nil)
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(5, 0))
	var scores, weights []float64
	for range rows {
		if x := limit + random.NormFloat64(); x > limit {
			scores = append(scores, score.Shift(x))
			weights = append(weights, math.Exp(limit*(limit/2-x)))
		}
	}
	got, err := Derivative(scores, weights, rows, 0.95)
	require.NoError(t, err)
	// dP/dmean = φ(limit); 4 standard errors, false alarm 6e-5.
	assert.InDelta(t, phi(limit), got.Value, 4*got.StandardError)
	assert.Less(t, got.StandardError, 0.03*got.Value)
	assert.Less(t, got.Effective, float64(len(weights)))
}

func TestDerivativeRefuses(t *testing.T) {
	scores := make([]float64, 49)
	var tooFew *TooFewError
	_, err := Derivative(scores, nil, 1000, 0.95)
	require.ErrorAs(t, err, &tooFew)
	assert.InDelta(t, 49, tooFew.Effective, 1e-12)
	assert.ErrorContains(t, err, "at least 50")
	_, err = Derivative(nil, nil, 1000, 0.95)
	assert.ErrorAs(t, err, &tooFew)
	assert.Panics(t, func() { _, _ = Derivative(scores, scores[:3], 1000, 0.95) })
	assert.Panics(t, func() { _, _ = Derivative(scores, nil, 48, 0.95) })
	assert.Panics(t, func() { _, _ = Derivative(scores, nil, 1000, math.NaN()) })
}

// Weight and value by hand: 100 failures of 200 rows, half of them of value 1.
func TestFailureMean(t *testing.T) {
	scores := make([]float64, 100)
	for i := range 50 {
		scores[i] = 1
	}
	got, err := Derivative(scores, nil, 200, 0.95)
	require.NoError(t, err)
	assert.InDelta(t, 0.25, got.Value, 1e-15)
	// 50 ones among 200: s² = 0.25 0.75 200/199.
	assert.InEpsilon(t, math.Sqrt(0.25*0.75/199), got.StandardError, 1e-13)
	assert.InEpsilon(t, got.Value+1.959963984540054*got.StandardError, got.High, 1e-13)
	assert.InDelta(t, 2*got.Value, got.Low+got.High, 1e-15)
}
