package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/dist"
)

func newOpen(t require.TestingT, s dist.Spec, readings int) (Open, dist.Distribution) {
	o, known, ok, err := NewOpen(s, readings)
	require.NoError(t, err)
	require.True(t, ok)
	return o, known
}

func openSpecs() map[string]dist.Spec {
	return map[string]dist.Spec{
		"normal":      {Shape: "normal", Values: map[string]float64{"mean": 0.7, "sd": 0.03}},
		"lognormal":   {Shape: "lognormal", Values: map[string]float64{"median": 0.14, "sigma_ln": 0.2}},
		"half-normal": {Shape: "half-normal", Values: map[string]float64{"scale": 14}},
		"rayleigh":    {Shape: "rayleigh", Values: map[string]float64{"scale": 14}},
	}
}

// meanOf is the distribution of the true mean; of a shape with a scale alone one that is not looked at.
func meanOf(t require.TestingT, o Open) dist.Distribution {
	if o.OnlySpread() {
		return dist.Must(dist.NewNormal(0, 1))
	}
	mean, err := o.Mean()
	require.NoError(t, err)
	return mean
}

// Averaged over what the readings leave open a value is Student's t about the mean,
// of the logarithm for the lognormal shape, with n-1 degrees of freedom and the scale
// s sqrt(1 + 1/n) (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, sec. 3.2, from
// memory); of a half-normal shape half of Student's t with n degrees of freedom, of a Rayleigh shape the root of a ratio of
// chi-squares: what WithReadings gives. 200 000 draws; four standard errors, a false alarm
// once in 16 000 for each of 48.
func TestOpenAveragesToThePrediction(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for name, s := range openSpecs() {
		for _, n := range []int{5, 12} {
			o, known := newOpen(t, s, n)
			mean := meanOf(t, o)
			spread, err := o.Spread()
			require.NoError(t, err)
			predicted, err := WithReadings(s, n)
			require.NoError(t, err)
			const draws = 200_000
			values := make([]float64, draws)
			for i := range values {
				values[i] = o.Given(known.Quantile(random.Float64()), mean.Quantile(random.Float64()), spread.Quantile(random.Float64()))
			}
			for _, p := range []float64{1e-3, 0.01, 0.1, 0.5, 0.9, 0.999} {
				x, below := predicted.Quantile(p), 0.0
				for _, v := range values {
					if v <= x {
						below++
					}
				}
				assert.InDelta(t, p, below/draws, 4*math.Sqrt(p*(1-p)/draws), "%s, %d readings", name, n)
			}
		}
	}
}

// At the parameters of the readings nothing moves; a value rises with what it is as
// if they were known, and has the cut distribution of its parameters.
func TestOpenKeepsCutsAndOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		high := rapid.Float64Range(0.65, 0.9).Draw(t, "high")
		s := dist.Spec{Shape: "normal", Values: map[string]float64{"mean": 0.7, "sd": 0.03, "low": 0.6, "high": high}}
		o, known := newOpen(t, s, rapid.IntRange(3, 100).Draw(t, "n"))
		mean, spread := rapid.Float64Range(-1, 1).Draw(t, "mean"), rapid.Float64Range(0.5, 2).Draw(t, "spread")
		under, err := dist.NewNormal(0.7+0.03*spread*mean, 0.03*spread)
		require.NoError(t, err)
		cut, err := dist.NewTruncated(under, 0.6, high)
		require.NoError(t, err)
		ps := rapid.SliceOfN(rapid.Float64Range(1e-6, 1-1e-6), 2, 2).Draw(t, "p")
		slices.Sort(ps)
		var moved []float64
		for _, p := range ps {
			x := known.Quantile(p)
			assert.InDelta(t, x, o.Given(x, 0, 1), 1e-12, "the inverse of a share, at a million to one")
			moved = append(moved, o.Given(x, mean, spread))
			assert.InDelta(t, cut.Quantile(p), moved[len(moved)-1], 1e-9, "rounding of p = 1e-6 from above, on a spread of 0.03")
		}
		assert.LessOrEqual(t, moved[0], moved[1])
	})
}

// The same of a shape with a scale alone.
func TestOpenKeepsCutsOfAScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		high := rapid.Float64Range(20, 60).Draw(t, "high")
		s := dist.Spec{Shape: "half-normal", Values: map[string]float64{"scale": 14, "high": high}}
		o, known := newOpen(t, s, rapid.IntRange(3, 100).Draw(t, "n"))
		spread := rapid.Float64Range(0.5, 2).Draw(t, "spread")
		under, err := dist.FromSpec(dist.Spec{Shape: "half-normal", Values: map[string]float64{"scale": 14 * spread}})
		require.NoError(t, err)
		cut, err := dist.NewTruncated(under, 0, high)
		require.NoError(t, err)
		p := rapid.Float64Range(1e-6, 1-1e-6).Draw(t, "p")
		assert.InDelta(t, known.Quantile(p), o.Given(known.Quantile(p), 0, 1), 1e-8, "the inverse of a share, at a million to one, on a scale of 14")
		assert.InDelta(t, cut.Quantile(p), o.Given(known.Quantile(p), 0, spread), 1e-6, "rounding of p = 1e-6 from above, on a scale of 28")
	})
}

func TestOpenMovesWithItsUnit(t *testing.T) {
	for name, s := range openSpecs() {
		o, known := newOpen(t, s, 12)
		x := known.Quantile(0.9)
		moved := o.Moved(2, 0.1)
		assert.InEpsilon(t, 2*o.Given(x, 0.2, 1.3)+0.1, moved.Given(2*x+0.1, 0.2, 1.3), 1e-14, "%s: roundings", name)
	}
}

// The spread's distribution against chi-square tables: the upper 5 % point for 11
// degrees of freedom is 19.675, the lower 4.575 (NIST/SEMATECH e-Handbook, section
// 1.3.6.7.4).
func TestOpenSpread(t *testing.T) {
	o, _ := newOpen(t, openSpecs()["normal"], 12)
	s, err := o.Spread()
	require.NoError(t, err)
	assert.InEpsilon(t, math.Sqrt(11/19.675), s.Quantile(0.05), 3e-5, "half the last digit")
	assert.InEpsilon(t, math.Sqrt(11/4.575), s.UpperQuantile(0.05), 1e-4, "half the last digit")
	for _, p := range []float64{1e-9, 0.3, 0.9} {
		assert.InEpsilon(t, p, s.CDF(s.Quantile(p)), 1e-7, "quantiles to 1e-9, 25 times steeper in the tail")
		assert.InEpsilon(t, p, s.Survival(s.UpperQuantile(p)), 1e-7)
	}
	const h = 1e-5
	assert.InEpsilon(t, (s.CDF(1+h)-s.CDF(1-h))/(2*h), math.Exp(s.LogDensity(1)), 1e-8, "a difference quotient")
	assert.InEpsilon(t, math.Sqrt(11./9), math.Hypot(s.Mean(), s.StdDev()), 1e-12, "the mean square is f/(f-2)")
	assert.Zero(t, s.CDF(0))
	assert.Equal(t, 1.0, s.Survival(-1))
}

func TestOpenIsForFewReadingsOfANormal(t *testing.T) {
	for _, c := range []struct {
		spec dist.Spec
		n    int
	}{{openSpecs()["normal"], 50_000}, {dist.Spec{Shape: "gumbel", Values: map[string]float64{"location": 1, "scale": 1}}, 12}} {
		_, _, ok, err := NewOpen(c.spec, c.n)
		require.NoError(t, err)
		assert.False(t, ok)
	}
	_, _, _, err := NewOpen(openSpecs()["normal"], 2)
	assert.ErrorContains(t, err, "readings")
}
