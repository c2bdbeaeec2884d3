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
		Name: name, Plan: normals(t, 0, 1, 0, 1),
		Model:        linear{names: []string{"y"}, offset: []float64{shift}, weight: [][]float64{{1, weight}}},
		Requirements: []sim.Requirement{{Name: "limit", Output: "y", Limit: limit, Target: target}},
	}
}

// exact is the probability of exceeding the one requirement of shifted.
func exact(s sim.Scenario) float64 {
	return s.Model.(linear).exceeds(s.Plan, 0, s.Requirements[0].Limit)
}

func judge(t testing.TB, c *Change) *Changed {
	r, err := c.Judge(background)
	require.NoError(t, err)
	return r
}

// With the change exactly at the margin, safe is wrong, and so is not safe. Each
// comes out in at most 5 % of 1000 seeds, for every kind of margin; 3 standard
// errors are 2.1 % (a false alarm of 1.3e-3 for each check were the rate 5 %
// itself).
func TestVerdictsAtTheMargin(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions")
	}
	before := shifted(t, "before", 0, 0.1, 2, 0)
	after := shifted(t, "after", 0.2, 0.3, 2, 0)
	p, q := exact(before), exact(after)
	both := func(target float64) (sim.Scenario, sim.Scenario) {
		return shifted(t, "before", 0, 0.1, 2, target), shifted(t, "after", 0.2, 0.3, 2, target)
	}
	for _, c := range []struct {
		margin Margin
		target float64
	}{{Margin{Absolute, q - p}, 0}, {Margin{Relative, q/p - 1}, 0.03}, {Margin{Kind: TargetMet}, q}} {
		verdicts := map[sim.Verdict]int{}
		for seed := range uint64(repetitions) {
			change := &Change{Setup: setup(1000, seed), Margin: c.margin}
			change.Before, change.After = both(c.target)
			r := judge(t, change)
			v := r.Requirements[0].WithinMargin
			if c.margin.Kind == TargetMet {
				v = r.Requirements[0].TargetMet
			}
			verdicts[v]++
		}
		t.Logf("%+v %v", c.margin, verdicts)
		allowed := 0.05*repetitions + 3*math.Sqrt(0.05*0.95*repetitions)
		assert.LessOrEqual(t, float64(verdicts[Yes]), allowed, "false safe %+v", c)
		assert.LessOrEqual(t, float64(verdicts[No]), allowed, "false not safe %+v", c)
	}
}

// Far from the margin the verdict is always right: ten standard errors away.
func TestVerdictsFarFromTheMargin(t *testing.T) {
	for seed := range uint64(100) {
		change := &Change{Setup: setup(4000, seed), Margin: Margin{Absolute, 0.01}}
		change.Before, change.After = shifted(t, "before", 0, 0, 2, 0), shifted(t, "after", 0.01, 0, 2, 0)
		assert.Equal(t, sim.Met, judge(t, change).Safe, "seed %d", seed)
		change.After = shifted(t, "after", 0.7, 0, 2, 0)
		assert.Equal(t, sim.NotMet, judge(t, change).Safe, "seed %d", seed)
	}
}

// Every stated interval covers the closed form: probability, its difference, and
// the differences of mean and percentiles. 6 x 100 intervals of 95 % (the one of
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
		r := judge(t, &Change{Setup: setup(8000, seed), Margin: Margin{Absolute, 0.01}, Before: before, After: after})
		q := r.Requirements[0]
		count("before", exact(before), q.Before.Low, q.Before.High)
		count("after", exact(after), q.After.Low, q.After.High)
		count("difference", exact(after)-exact(before), q.Low, q.High)
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

func TestNoChangeIsExactlyNothing(t *testing.T) {
	one := shifted(t, "one", 0, 1, 2, 0.1)
	r := judge(t, &Change{Setup: setup(3000, 1), Margin: Margin{Absolute, 1e-3}, Before: one, After: one, Same: true})
	assert.Equal(t, sim.Met, r.Safe)
	q := r.Requirements[0]
	assert.Equal(t, Difference{Level: 0.95}, q.Difference)
	assert.True(t, q.Untouched)
	assert.Equal(t, q.Before, q.After)
	for _, o := range r.Outputs {
		assert.Zero(t, o.Difference.Low)
		assert.Zero(t, o.Difference.High)
		assert.True(t, math.IsInf(o.Narrower, 1))
	}
	// Not known to be the same, equal rows still leave a chance.
	r = judge(t, &Change{Setup: setup(3000, 1), Margin: Margin{Absolute, 1e-3}, Before: one, After: one})
	assert.Equal(t, sim.Met, r.Safe)
	assert.Greater(t, r.Requirements[0].High, 0.0)
}

// A small change of a wide output is known far better on common draws: the
// closed forms are sqrt((s0² + s1²)/var(difference)) for the mean.
func TestPairedIsNarrower(t *testing.T) {
	before, after := shifted(t, "before", 0, 0, 2, 0), shifted(t, "after", 0.05, 0.1, 2, 0)
	r := judge(t, &Change{Setup: setup(200_000, 2), Margin: Margin{Absolute, 0.01}, Before: before, After: after})
	want := math.Sqrt((1 + 1.01) / 0.01)
	// 19 replicates give the logarithm of the ratio a standard deviation of 0.23;
	// a factor of 2 is three of them, a false alarm of 3e-3.
	assert.Greater(t, r.Outputs[0].Narrower, want/2)
	assert.Less(t, r.Outputs[0].Narrower, want*2)
	assert.Greater(t, r.Requirements[0].Narrower, 2.0)
}

// Down to 1e-6 by the tail methods: what is safe and what is not, with intervals
// around the closed forms.
func TestChangeInTheTail(t *testing.T) {
	const target = 1e-5
	limit := score(1e-6)
	before := shifted(t, "before", 0, 0, limit, target)
	after := shifted(t, "after", 0.1, 0.1, limit, target)
	d := exact(after) - exact(before)
	for _, c := range []struct {
		margin Margin
		want   sim.Verdict
	}{
		{Margin{Absolute, 2 * d}, sim.Met},
		{Margin{Absolute, d / 2}, sim.NotMet},
		{Margin{Absolute, d}, sim.Undecided},
		{Margin{Relative, 2 * d / exact(before)}, sim.Met},
		{Margin{Relative, d / exact(before) / 3}, sim.NotMet},
		{Margin{Kind: TargetMet}, sim.Met},
	} {
		r := judge(t, &Change{Setup: setup(10_000, 4), Margin: c.margin, Before: before, After: after})
		q := r.Requirements[0]
		assert.Equal(t, c.want, q.Safe, "%+v %+v", c, q)
		assert.Equal(t, c.want == sim.Undecided, q.NeededEvaluations > 0)
		if c.margin.Kind != TargetMet {
			assert.True(t, q.Tail)
			assert.Less(t, q.Low, d)
			assert.Greater(t, q.High, d)
			assert.InEpsilon(t, d, q.Value, 0.5, "about a tenth of standard error")
		}
		assert.Less(t, q.After.Low, exact(after))
		assert.Greater(t, q.After.High, exact(after))
	}
}

// A margin that is kept does not make a design safe that misses its target.
func TestTargetAndMargin(t *testing.T) {
	before, after := shifted(t, "before", 0, 0, 2, 0.01), shifted(t, "after", 0.01, 0, 2, 0.01)
	q := judge(t, &Change{Setup: setup(4000, 1), Margin: Margin{Absolute, 0.01}, Before: before, After: after}).Requirements[0]
	assert.Equal(t, sim.Met, q.WithinMargin)
	assert.Equal(t, sim.NotMet, q.TargetMet)
	assert.Equal(t, sim.NotMet, q.Safe)
}

func TestUndecidedSaysHowManyRows(t *testing.T) {
	change := &Change{Setup: setup(2000, 1), Margin: Margin{Absolute, 0.009}}
	change.Before, change.After = shifted(t, "before", 0, 0, 2, 0), shifted(t, "after", 0.1, 0, 2, 0)
	r := judge(t, change)
	require.Equal(t, sim.Undecided, r.Safe)
	needed := r.Requirements[0].NeededRows
	require.Greater(t, needed, int64(2000))
	change.Run.Samples = 20 * needed // what was observed need not stay
	assert.NotEqual(t, sim.Undecided, judge(t, change).Safe)
}

func TestStepsTakeTheDifferencesApart(t *testing.T) {
	change := &Change{Setup: setup(20_000, 1), Margin: Margin{Absolute, 0.01}}
	change.Before, change.After = shifted(t, "before", 0, 0, 2, 0), shifted(t, "after", 0.3, 0.2, 2, 0)
	change.Steps = []sim.Scenario{shifted(t, "shift", 0.3, 0, 2, 0), shifted(t, "spread", 0, 0.2, 2, 0)}
	r := judge(t, change)
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
	margin := Margin{Absolute, 0.01}
	for want, c := range map[string]*Change{
		"is not the same in one and moved": {Margin: margin, Before: one, After: moved},
		"no requirement in common":         {Margin: margin, Before: one, After: other},
		"no margin is set":                 {Before: one, After: one},
		"above 0 and below 1":              {Margin: Margin{Absolute, math.NaN()}, Before: one, After: one},
		"must be above 0":                  {Margin: Margin{Relative, -1}, Before: one, After: one},
		"no requirement has a target":      {Margin: Margin{Kind: TargetMet}, Before: shifted(t, "a", 0, 0, 2, 0), After: shifted(t, "b", 0, 0, 2, 0)},
	} {
		c.Setup = setup(1000, 1)
		_, err := c.Judge(background)
		assert.ErrorContains(t, err, want)
	}
}

// Further limits are compared as the requirement itself is, and leave the verdict
// alone.
func TestAlongIsCountedAndNotJudged(t *testing.T) {
	change := func(along ...sim.Requirement) *Changed {
		c := &Change{Setup: setup(4000, 1), Margin: Margin{Absolute, 0.1}, Along: along}
		c.Before, c.After = shifted(t, "before", 0, 0, 2, 0), shifted(t, "after", 0.1, 0, 2, 0)
		c.Steps = []sim.Scenario{c.After}
		return judge(t, c)
	}
	without := change()
	with := change(sim.Requirement{Name: "same", Output: "y", Limit: 2}, sim.Requirement{Name: "lower", Output: "y", Limit: 0})
	assert.Equal(t, without.Requirements, with.Requirements)
	assert.Equal(t, without.Requirements[0].Difference, with.Along[0])
	// The median moves by 0.1 of normal values: 0.0398, from the normal distribution
	// function; 3 standard errors of 4000 pairs are 0.009.
	assert.InDelta(t, 0.0398, with.Along[1].Value, 0.009)
	assert.Less(t, with.Along[1].Low, with.Along[1].Value)
	assert.Greater(t, with.Along[1].High, with.Along[1].Value)
}
