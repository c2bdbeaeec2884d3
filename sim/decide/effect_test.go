package decide

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// shifted is a design whose output is its input a, moved up by shift, plus
// weight times its input b: normal with variance 1 + weight².
func shifted(t testing.TB, name string, shift, weight, limit, target float64) sim.Scenario {
	return sim.Scenario{
		Name: name, Inputs: normals(t, 0, 1, 0, 1),
		Model:        linear{names: []string{"y"}, offset: []float64{shift}, weight: [][]float64{{1, weight}}},
		Requirements: []sim.Requirement{{Name: "limit", Output: "y", Limit: limit, Target: target}},
	}
}

// exact is the probability of exceeding the one requirement of shifted.
func exact(s sim.Scenario) float64 {
	return s.Model.(linear).exceeds(s.Inputs, 0, s.Requirements[0].Limit)
}

func show(t testing.TB, c *Effect) *EffectResult {
	r, err := c.Show(background)
	require.NoError(t, err)
	return r
}

// Every stated interval covers the closed form: that of the difference of the
// probabilities, and of mean and percentiles. 5 x 100 intervals of 95 % (the one of
// the difference of 90 %, two bounds); no more misses than 4 standard errors
// above what is expected, a false alarm of 3e-5 for each.
func TestIntervalsOfAChangeCover(t *testing.T) {
	const seeds = 100
	misses := map[string]int{}
	count := func(name string, want, low, high float64) {
		if !(low <= want && want <= high) {
			misses[name]++
		}
	}
	before, after := shifted(t, "before", 0, 0.1, 2, 0), shifted(t, "after", 0.2, 0.3, 2, 0)
	for seed := range uint64(seeds) {
		r := show(t, &Effect{Setup: setup(8000, seed), Before: before, After: after})
		count("difference", exact(after)-exact(before), r.Differences[0].Low, r.Differences[0].High)
		for _, o := range r.Outputs {
			want := 0.2
			if p := map[string]float64{"P95": 0.95, "P99": 0.99}[o.Statistic]; p > 0 {
				want += dist.NormalQuantile(p) * (math.Hypot(1, 0.3) - math.Hypot(1, 0.1))
			}
			count(o.Statistic, want, o.Difference.Low, o.Difference.High)
		}
	}
	t.Log(misses)
	for name, n := range misses {
		wrong := 0.05
		if name == "difference" {
			wrong = 0.1
		}
		assert.LessOrEqual(t, float64(n), seeds*wrong+4*math.Sqrt(seeds*wrong*(1-wrong)), name)
	}
}

func TestStatisticsOfAPart(t *testing.T) {
	var values []float64
	for i := range 99 {
		values = append(values, float64(i+1))
	}
	values = append(values, math.Inf(1))
	got := map[string]float64{}
	for _, s := range statistics {
		got[s.name] = s.of(values)
	}
	assert.Equal(t, map[string]float64{"mean": 50, "P50": 50, "P95": 95, "P99": 99}, got, "ranks ceil(p n), the mean of the finite")
}

// Of a design against itself no statistic differs; equal rows still leave a chance.
func TestEffectOfNothing(t *testing.T) {
	one := shifted(t, "one", 0, 1, 2, 0.1)
	r := show(t, &Effect{Setup: setup(3000, 1), Before: one, After: one})
	for _, o := range r.Outputs {
		assert.Zero(t, o.Difference.Low)
		assert.Zero(t, o.Difference.High)
		assert.True(t, math.IsInf(o.WidthRatio, 1))
	}
	assert.Zero(t, r.Differences[0].Value)
	assert.Greater(t, r.Differences[0].High, 0.0)
}

// A small change of a wide output is known far better on common draws: the
// closed forms are sqrt((s0² + s1²)/var(difference)) for the mean.
func TestPairedIsNarrower(t *testing.T) {
	before, after := shifted(t, "before", 0, 0, 2, 0), shifted(t, "after", 0.05, 0.1, 2, 0)
	r := show(t, &Effect{Setup: setup(200_000, 2), Before: before, After: after})
	want := math.Sqrt((1 + 1.01) / 0.01)
	// 19 replicates give the logarithm of the ratio a standard deviation of 0.23;
	// a factor of 2 is three of them, a false alarm of 3e-3.
	assert.Greater(t, r.Outputs[0].WidthRatio, want/2)
	assert.Less(t, r.Outputs[0].WidthRatio, want*2)
}

func TestStepsTakeTheDifferencesApart(t *testing.T) {
	change := &Effect{Setup: setup(20_000, 1)}
	change.Before, change.After = shifted(t, "before", 0, 0, 2, 0), shifted(t, "after", 0.3, 0.2, 2, 0)
	change.Steps = []sim.Scenario{shifted(t, "shift", 0.3, 0, 2, 0), shifted(t, "spread", 0, 0.2, 2, 0)}
	r := show(t, change)
	require.Len(t, r.Steps, 2)
	assert.Equal(t, "shift", r.Steps[0].Name)
	for i, s := range change.Steps {
		d := r.Steps[i].Differences[0]
		assert.LessOrEqual(t, d.Low, exact(s)-exact(change.Before))
		assert.GreaterOrEqual(t, d.High, exact(s)-exact(change.Before))
	}
	assert.InDelta(t, 0.3, r.Steps[0].Outputs[0].Difference.Mean, 1e-12, "the same shift in every row")
}

func TestWhatCannotBeCompared(t *testing.T) {
	one := shifted(t, "one", 0, 0, 2, 0.1)
	moved := shifted(t, "moved", 0, 0, 3, 0.1)
	other := shifted(t, "other", 0, 0, 2, 0.1)
	other.Requirements[0].Name = "another limit"
	for want, c := range map[string]*Effect{
		"is not the same in one and moved": {Before: one, After: moved},
		"no requirement in common":         {Before: one, After: other},
	} {
		c.Setup = setup(1000, 1)
		_, err := c.Show(background)
		assert.ErrorContains(t, err, want)
	}
}

// Further limits are compared as the requirement itself is.
func TestAlongIsCounted(t *testing.T) {
	change := func(along ...sim.Requirement) *EffectResult {
		c := &Effect{Setup: setup(4000, 1), Along: along}
		c.Before, c.After = shifted(t, "before", 0, 0, 2, 0), shifted(t, "after", 0.1, 0, 2, 0)
		c.Steps = []sim.Scenario{c.After}
		return show(t, c)
	}
	without := change()
	with := change(sim.Requirement{Name: "same", Output: "y", Limit: 2}, sim.Requirement{Name: "lower", Output: "y", Limit: 0})
	assert.Equal(t, without.Differences, with.Differences)
	assert.Equal(t, without.Differences[0], with.Along[0])
	// The median moves by 0.1 of normal values: 0.0398, from the normal distribution
	// function; 3 standard errors of 4000 pairs are 0.009.
	assert.InDelta(t, 0.0398, with.Along[1].Value, 0.009)
	assert.Less(t, with.Along[1].Low, with.Along[1].Value)
	assert.Greater(t, with.Along[1].High, with.Along[1].Value)
}
