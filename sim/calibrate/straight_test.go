package calibrate

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// largeRig has units that differ by so much in the logarithm of their conductance, each read in so many rows.
func largeRig(spread float64, units, rows int) rig {
	r := rig{unit: spread}
	loads, powers := []float64{0.3, 0.5, 0.7, 1}, []float64{40, 60, 80}
	for u := range units {
		for k := range rows {
			r.loads, r.powers = append(r.loads, loads[(k+u)%4]), append(r.powers, powers[(k+u)%3])
			r.units, r.setups = append(r.units, u), append(r.setups, len(r.setups))
		}
	}
	return r
}

// withoutLogarithm is the model of the rises themselves.
func withoutLogarithm(model func([][]float64) Response) func([][]float64) Response {
	return func(scores [][]float64) Response {
		response := model(scores)
		return func(parameters []float64, y [][]float64) {
			response(parameters, y)
			for o := range y {
				for k := range y[o] {
					y[o][k] = math.Exp(y[o][k])
				}
			}
		}
	}
}

// Where units differ much, it does not matter on which scale a reading is given: rises and their logarithms are the same readings.
func TestTheScaleOfTheReadingsDoesNotMatter(t *testing.T) {
	large := largeRig(0.5, 4, 3)
	logarithms := large.problem(t)
	large.read(logarithms, 0.8, rand.New(rand.NewPCG(5, 5)))
	rises := large.problem(t)
	rises.Model = withoutLogarithm(rises.Model)
	for o, q := range logarithms.Observations {
		rises.Observations[o] = q
		rises.Observations[o].Value, rises.Observations[o].Noise = math.Exp(q.Value), rigNoise
	}
	a, err := logarithms.Solve(context.Background())
	require.NoError(t, err)
	b, err := rises.Solve(context.Background())
	require.NoError(t, err)
	for _, p := range []float64{0.025, 0.5, 0.975} {
		assert.InEpsilon(t, a.Marginals[0].Quantile(p), b.Marginals[0].Quantile(p), 2e-3, "the curves are interpolated")
	}
	for o := range a.Comparisons {
		from, to := a.Comparisons[o].After, b.Comparisons[o].After
		assert.InEpsilon(t, math.Exp(from.Median), to.Median, 2e-3)
		assert.InEpsilon(t, math.Exp(from.Low), to.Low, 5e-3)
		assert.Less(t, to.Low, to.High)
	}
}

// A curve ends where its readings say nothing of the parameter, and goes on straight.
func TestCurves(t *testing.T) {
	score := []float64{-3, -2, -1, 0, 1, 2, 3}
	of := func(f func(z float64) float64) curve {
		var value []float64
		for _, z := range score {
			value = append(value, f(z))
		}
		return newCurve(score, value)
	}
	falling := of(func(z float64) float64 { return 3 - 2*z })
	for _, z := range []float64{-5, -0.3, 0, 2.5, 7} {
		assert.InDelta(t, z, falling.straight(3-2*z), 1e-12)
		assert.InDelta(t, 3-2*z, falling.back(z), 1e-12)
		assert.InDelta(t, 0.5, falling.slope(3-2*z), 1e-9)
	}
	flat := of(func(z float64) float64 { return math.Min(z, 2) })
	assert.Equal(t, 2.0, flat.score[len(flat.score)-1], "level from there on")
	assert.Zero(t, of(func(z float64) float64 { return z * z }).sign, "neither rises nor falls")
	assert.Zero(t, of(func(float64) float64 { return 1 }).sign)
	assert.Zero(t, of(func(float64) float64 { return math.NaN() }).sign)
}
