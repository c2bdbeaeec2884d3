package rare

import (
	"math"
	"slices"
	"testing"

	"clampodds/sim/interval"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSubsetIntervalCovers(t *testing.T) {
	all := states()
	for _, c := range []struct{ state, n int }{
		{0, 100},  // 0.08: runs of one and of two levels
		{2, 100},  // 2.9e-7, linear
		{4, 100},  // four branches
		{9, 100},  // narrow
		{12, 100}, // sphere in 10 variables, 6.8e-6
	} {
		s := all[c.state]
		got := coverage(1000, s.exact, func(seed uint64) Probability {
			m := &meter{Problem: s.problem, limit: math.MaxInt}
			return simulateSubsets(m, stream(seed), c.n, 0.95).Union
		})
		assert.GreaterOrEqual(t, got, lowestCoverage, "%s, %d per level", s.id, c.n)
	}
}

// The moves must leave the standard normal, cut at the threshold, as it is.
func TestWalkKeepsTheDistribution(t *testing.T) {
	const n = 20000
	m := &meter{Problem: problem(1, func(u []float64) float64 { return 1 - u[0] }), limit: math.MaxInt}
	s := m.newSubsetRun(stream(1)("test", 0), n)
	// A sample that is already right: normal beyond 0 by reflection.
	for _, u := range s.now.u {
		u[0] = math.Abs(s.random.NormFloat64())
	}
	m.evaluate(s.now)
	s.measure()
	s.unit[0] = 1
	for row := range s.depth {
		s.depth[row] = s.depthOf(s.now, row)
	}
	s.walk(1)
	beyond := 0.0
	for _, u := range s.now.u {
		require.GreaterOrEqual(t, u[0], 0.0)
		if u[0] > 1 {
			beyond++
		}
	}
	// P(|z| > 1); 2000 chains of 10: no fewer than 2000 draws' worth, 4 standard errors.
	want := 2 * tail(1)
	assert.InDelta(t, want, beyond/n, 4*math.Sqrt(want*(1-want)/2000))
}

func TestPlateauIsPassed(t *testing.T) {
	// 93 % of the draws sit on the same value: only those below lead on.
	p := problem(2, func(u []float64) float64 { return min(2.5, 4-u[0]) })
	m := &meter{Problem: p, limit: math.MaxInt}
	s := simulateSubsets(m, stream(1), 500, 0.99)
	assert.Zero(t, s.stuck)
	assert.True(t, s.sound())
	assert.LessOrEqual(t, s.Union.Low, tail(4))
	assert.GreaterOrEqual(t, s.Union.High, tail(4))
}

func TestIndicatorIsCountedOrStuck(t *testing.T) {
	step := func(edge float64) Problem {
		return problem(2, func(u []float64) float64 {
			if u[0] > edge {
				return math.Inf(-1)
			}
			return math.Inf(1)
		})
	}
	m := &meter{Problem: step(1), limit: math.MaxInt}
	s := simulateSubsets(m, stream(1), 200, 0.95)
	assert.Equal(t, CrudeSampling, s.Union.Method)
	assert.Equal(t, 2000, s.Evaluations)
	low, high := interval.ClopperPearson(math.Round(s.Union.Value*2000), 2000, 0.95)
	assert.Equal(t, []float64{low, high}, []float64{s.Union.Low, s.Union.High})
	assert.InDelta(t, tail(1), s.Union.Value, 4*s.Union.StandardError) // false alarm 6e-5

	m = &meter{Problem: step(6), limit: math.MaxInt}
	s = simulateSubsets(m, stream(1), 200, 0.95)
	assert.False(t, s.sound())
	assert.Equal(t, []Code{SubsetStuck}, codes(s.Warnings))
	assert.InEpsilon(t, 1-math.Pow(0.025, 1.0/2000), s.Union.High, 1e-9)
}

func TestRunsShareTheEvaluations(t *testing.T) {
	m := &meter{Problem: linear(5, 6), limit: 5000}
	s := simulateSubsets(m, stream(1), 100, 0.95)
	assert.LessOrEqual(t, m.used, 5000)
	assert.Equal(t, m.used, s.Evaluations)
	assert.Equal(t, 5000, m.limit)
	assert.Equal(t, subsetRuns, s.stuck) // 500 each reach 1e-5 at best
	assert.Len(t, s.Runs, subsetRuns)
}

func TestEventsOfASubsetRun(t *testing.T) {
	// The second event holds a tenth of the first one's failures, in other units.
	p := problem(2,
		func(u []float64) float64 { return 3 - u[0] },
		func(u []float64) float64 { return 1e-6 * math.Max(3-u[0], 1.2815515655-u[1]) })
	m := &meter{Problem: p, limit: math.MaxInt}
	s := simulateSubsets(m, stream(1), 1000, 0.99)
	assert.Equal(t, s.Union, s.Events[0])
	assert.LessOrEqual(t, s.Events[1].Low, tail(3)/10)
	assert.GreaterOrEqual(t, s.Events[1].High, tail(3)/10)
}

// In its own unit the second event is always the nearer one to failure, yet it
// hardly ever fails.
func TestEventsAreComparedInTheirOwnUnits(t *testing.T) {
	p := problem(2,
		func(u []float64) float64 { return 4 - u[0] },
		func(u []float64) float64 { return 1e-6 * (7 - u[1]) })
	m := &meter{Problem: p, limit: math.MaxInt}
	s := simulateSubsets(m, stream(1), 500, 0.99)
	assert.LessOrEqual(t, s.Union.Low, tail(4))
	assert.GreaterOrEqual(t, s.Union.High, tail(4))
	assert.Less(t, s.Union.RelativeError(), 0.3)
}

// An event whose limit state never varies, in a unit of its own, must not hide the
// way to the other: near its value every draw would be equally deep.
func TestWhatNeverVariesHidesNothing(t *testing.T) {
	const beta = 4
	both := Problem{Dim: 1, Events: 2, Evaluate: func(u, g [][]float64) {
		for r, row := range u {
			g[0][r], g[1][r] = beta-row[0], 1e-4
		}
	}}
	r, err := Estimate(both, usual(1))
	require.NoError(t, err)
	assert.Equal(t, Agree, r.Verdict, r.Reason)
	near(t, tail(beta), r.Probability)
	assert.Greater(t, slices.Min(r.Subset.Levels), 1, "the runs find the way down")
}
