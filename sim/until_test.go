package sim

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

const unlimited = 1 << 40

func until(t testing.TB, r Run, g Goal, most int64) *Result {
	t.Helper()
	result, err := r.ExecuteUntil(context.Background(), g, most)
	require.NoError(t, err)
	return result
}

// goals are of the chassis runs.
var goals = []Goal{
	KnownProbability{"edge limit", 0.05},
	KnownPercentile{"edge", 0.9, 0.03},
	StableDigits{"edge", 2, 0.95},
}

func TestUntilIsTheDirectRunOfThatSize(t *testing.T) {
	for _, sampler := range []Sampler{Random{}, LatinHypercube{}, Halton{}} {
		for _, goal := range goals {
			r := chassisRun(t, sampler, 3)
			r.BlockRows = 128
			got := until(t, r, goal, unlimited)
			assert.True(t, got.Reached.Reached)
			assert.LessOrEqual(t, got.Reached.Width, got.Reached.Wanted)
			assert.Greater(t, got.Reached.Looks, 1, "a test of more than one stage")
			assert.Zero(t, got.Reached.Needed)
			got.Reached = nil
			r.Samples, r.Workers = got.Rows, 1
			assert.Equal(t, stripScratch(execute(t, r)), stripScratch(got), "%s, %v", sampler.Name(), goal)
		}
	}
}

func TestUntilKeepsTheCap(t *testing.T) {
	for _, goal := range goals {
		r := chassisRun(t, Random{}, 2)
		r.BlockRows = 512
		enough := until(t, r, goal, unlimited)
		got := until(t, r, goal, enough.Rows/2)
		assert.False(t, got.Reached.Reached)
		assert.LessOrEqual(t, got.Rows, enough.Rows/2)
		assert.Greater(t, got.Rows, enough.Rows/2-512)
		assert.Greater(t, got.Reached.Width, got.Reached.Wanted)
		// Half the rows predict the rest well, except where luck decides.
		assert.InEpsilon(t, enough.Rows, got.Reached.Needed, 0.5, "%v", goal)
	}
}

func TestUntilOfSomethingNeverSeen(t *testing.T) {
	r := chassisRun(t, Random{}, 2)
	r.Scenarios[0].Requirements[0].Limit = 1e6
	r.Scenarios[0].Model = formulaNamed("edge")
	r.Scenarios = r.Scenarios[:1]
	got := until(t, r, KnownProbability{"edge limit", 0.1}, 100_000)
	assert.False(t, got.Reached.Reached)
	assert.True(t, math.IsInf(got.Reached.Width, 1))
	assert.Equal(t, int64(math.MaxInt64), got.Reached.Needed)
	assert.Equal(t, NeverSeen, got.Scenarios[0].Requirements[0].Exceeded.PerRow().Warnings[0].Code)
}

type formulaNamed string

func (n formulaNamed) Outputs() []Output { return []Output{{Name: string(n), Unit: "K", Bin: 0.01}} }

func (formulaNamed) Evaluate(x, y [][]float64) { copy(y[0], x[0]) }

func TestUntilOfAConstantOutput(t *testing.T) {
	constant := formula{1e-3, func([]float64) float64 { return 4 }}
	r := Run{
		Scenarios: []Scenario{{Inputs: newInputs(t, 1, variable("a", normal(0, 1))), Model: constant, Requirements: []Requirement{{Name: "q", Output: "y"}}}},
		Sampler:   Random{}, Confidence: 0.95,
	}
	for _, goal := range []Goal{KnownProbability{"q", 0.1}, KnownPercentile{"y", 0.5, 0.1}, StableDigits{"y", 2, 0.95}} {
		got := until(t, r, goal, unlimited)
		assert.True(t, got.Reached.Reached, "%v", goal)
		assert.LessOrEqual(t, got.Reached.Looks, 2)
	}
}

func TestWrongGoalsAreRefused(t *testing.T) {
	for want, goal := range map[string]Goal{
		"relative half-width: 1, must be above 0 and below 1":               KnownProbability{"edge limit", 1},
		"relative half-width: NaN, must be above 0 and below 1":             KnownProbability{"edge limit", math.NaN()},
		`no requirement "other" to be known`:                                KnownProbability{"other", 0.1},
		`no quantity "other" to be known`:                                   KnownPercentile{"other", 0.5, 1},
		`no quantity "misfit" to be known`:                                  KnownPercentile{"misfit", 0.5, 1},
		"percentile: 1, must be above 0 and below 1":                        KnownPercentile{"edge", 1, 1},
		"half-width: 0.01, must be above 0.01, which values are counted in": KnownPercentile{"edge", 0.5, 0.01},
		"significant digits: 3, must be 1 or 2":                             StableDigits{"edge", 3, 0.95},
		`no quantity "misfit" to be stable`:                                 StableDigits{"misfit", 1, 0.95},
		"coverage: 0, must be above 0 and below 1":                          StableDigits{"edge", 1, 0},
	} {
		r := chassisRun(t, Random{}, 1)
		_, err := r.ExecuteUntil(context.Background(), goal, unlimited)
		assert.EqualError(t, err, want)
	}
	r := chassisRun(t, Halton{}, 1)
	_, err := r.ExecuteUntil(context.Background(), goals[0], 5000)
	assert.ErrorContains(t, err, "too few of them for an interval")
	r.Sampler = nil
	_, err = r.ExecuteUntil(context.Background(), goals[0], 5000)
	assert.EqualError(t, err, "no sampling plan")
}

// With a pilot no more is drawn where that would not do by far, and what is within reach is drawn as without.
func TestUntilGivesUpWhatIsOutOfReach(t *testing.T) {
	for _, goal := range []Goal{KnownProbability{"edge limit", 1e-3}, KnownPercentile{"edge", 0.9, 0.0101}} {
		r := chassisRun(t, Random{}, 1)
		r.Pilot = 20_000
		got := until(t, r, goal, 30_000)
		assert.True(t, got.Reached.GaveUp, goal)
		assert.LessOrEqual(t, got.Rows, int64(21_000), goal)
		assert.Greater(t, got.Reached.Needed, int64(300_000), goal)
	}
	r := chassisRun(t, Random{}, 1)
	want := until(t, r, goals[0], unlimited)
	r.Pilot = 100
	assert.Equal(t, stripScratch(want), stripScratch(until(t, r, goals[0], unlimited)))
	r.Scenarios[0].Requirements = []Requirement{{Name: "never", Output: "misfit", Limit: 2}}
	r.Scenarios = r.Scenarios[:1]
	got := until(t, r, KnownProbability{"never", 0.05}, 10_000)
	assert.True(t, got.Reached.GaveUp, "none was seen")
	assert.InEpsilon(t, 400/got.Scenarios[0].Requirements[0].Exceeded.PerRow().High, float64(got.Reached.Needed), 1e-4)
}

func TestUntilStopsWhenCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	r := chassisRun(t, Random{}, 2)
	r.Progress = func(done, total int64) {
		if done > 20_000 {
			cancel()
		}
	}
	got, err := r.ExecuteUntil(ctx, KnownProbability{"edge limit", 0.01}, unlimited)
	require.NoError(t, err)
	assert.False(t, got.Complete)
	assert.False(t, got.Reached.Reached)
	assert.Positive(t, got.Reached.Needed)
}

// Coverage of the interval at the end of the whole procedure, pilot and looks
// included, by repetition; the bound as in TestCoverage.
func TestUntilCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("a thousand runs each")
	}
	for _, c := range []struct {
		coverageCase
		goal Goal
	}{
		{coverageCase{sampler: Random{}, cards: 1, block: 64}, KnownProbability{"0.1", 0.15}},
		{coverageCase{sampler: Random{}, cards: 1, block: 64}, KnownProbability{"0.01", 0.6}},
		{coverageCase{sampler: Random{}, cards: 4, common: 0.5, block: 64}, KnownProbability{"0.1", 0.2}},
		{coverageCase{sampler: Random{}, cards: 1, block: 16}, KnownPercentile{"y", 0.95, 0.2}},
		{coverageCase{sampler: Halton{}, cards: 1, common: 0.4, block: 128}, KnownPercentile{"y", 0.95, 0.1}},
	} {
		name := fmt.Sprintf("%s, %d cards, %T %v", c.sampler.Name(), c.cards, c.goal, c.goal)
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := c.run(t)
			covered, looks, rows := 0.0, 0.0, 0.0
			for seed := range repetitions {
				r.Seed = uint64(seed)
				result := until(t, r, c.goal, unlimited)
				e, truth := result.Scenarios[0].Quantities[0].Percentile(0.5), 0.0
				switch g := c.goal.(type) {
				case KnownProbability:
					for _, q := range result.Scenarios[0].Requirements {
						if q.Requirement.Name == g.Requirement {
							e, truth = q.Exceeded.PerRow(), dist.NormalSurvival(q.Requirement.Limit)
						}
					}
				case KnownPercentile:
					e, truth = result.Scenarios[0].Quantities[0].Percentile(g.Percentile), dist.NormalQuantile(g.Percentile)
				}
				if e.Low <= truth && truth <= e.High {
					covered += 1.0 / repetitions
				}
				looks, rows = looks+float64(result.Reached.Looks)/repetitions, rows+float64(result.Rows)/repetitions
			}
			assert.GreaterOrEqual(t, covered, 0.95-3*math.Sqrt(0.95*0.05/repetitions))
			t.Logf("coverage %.3f, %.1f looks, %.0f rows", covered, looks, rows)
		})
	}
}

// The adaptive procedure stops by luck: of runs to two digits of 2.4, where twice
// the standard error of the upper end comes down to the tolerance after seven
// blocks, many end after two or three.
func TestStableDigitsStopsByLuck(t *testing.T) {
	const runs = 50
	if testing.Short() {
		t.Skip("hundreds of runs")
	}
	r := Run{
		Scenarios: []Scenario{{Inputs: newInputs(t, 1, variable("y", normal(0, 2.4))), Model: formulaNamed("y")}},
		Sampler:   Random{}, Confidence: 0.95,
	}
	early, missed := 0.0, 0.0
	for seed := range runs {
		r.Seed = uint64(seed)
		result := until(t, r, StableDigits{"y", 2, 0.95}, unlimited)
		require.Equal(t, 0.05, result.Reached.Wanted, "half a unit of the second digit of 2.4")
		if result.Reached.Looks <= 3 {
			early += 1.0 / runs
		}
		if math.Abs(result.Scenarios[0].Quantities[0].Percentile(0.975).Value-2.4*1.959963985) > 0.05 {
			missed += 1.0 / runs
		}
	}
	assert.Greater(t, early, 0.1)
	t.Logf("%.3f stopped after two or three blocks, %.3f missed", early, missed)
}
