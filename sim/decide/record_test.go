package decide

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// partlyKnown is x ~ N(m, 1) with m ~ N(0, sd) not known: the probability of x > limit
// averaged over m is Φ(-limit/sqrt(1+sd²)), and given m it is Φ(m-limit).
func partlyKnown(t testing.TB, sd, limit, target float64) sim.Scenario {
	one, err := dist.NewNormal(0, 1)
	require.NoError(t, err)
	unknown, err := dist.NewNormal(0, sd)
	require.NoError(t, err)
	inputs, err := sim.NewInputs([]sim.Variable{
		{Name: "x", Input: "x", Level: sim.Card, Dist: one},
		{Name: "m", Input: "m", Level: sim.Design, Dist: unknown, Knowledge: true},
	}, nil, 1)
	require.NoError(t, err)
	return sim.Scenario{
		Name: "partly known", Inputs: inputs, Model: linear{names: []string{"y"}, offset: []float64{0}, weight: [][]float64{{1, 1}}},
		Requirements: []sim.Requirement{{Name: "y", Output: "y", Limit: limit, Target: target}},
	}
}

func recordOf(t testing.TB, s Setup, scenario sim.Scenario) Record {
	return recordsOf(t, s, scenario)[0][0]
}

func recordsOf(t testing.TB, s Setup, scenarios ...sim.Scenario) [][]Record {
	var members []Member
	for _, scenario := range scenarios {
		members = append(members, Member{Scenario: scenario})
	}
	m, err := s.Mission(background, members)
	require.NoError(t, err)
	return m.Records
}

// The closed form of variability inside uncertainty: mean 3.645e-3, 95 % quantile over
// what is not known 1.4719e-2 (computed).
func TestRecordKeepsBothKindsOfNotKnowingApart(t *testing.T) {
	const mean, quantile = 3.6451790458e-3, 1.4718913802e-2
	for _, c := range []struct {
		target  float64
		policy  Policy
		verdict sim.Verdict
		want    Want
	}{
		{0.03, Confident, sim.Met, Nothing},
		{0.008, Confident, sim.Undecided, Knowledge},
		{0.008, Predictive, sim.Met, Nothing},
		{0.002, Confident, sim.NotMet, Nothing},
		{0.002, Predictive, sim.NotMet, Nothing},
		{mean, Predictive, sim.Undecided, Cards},
		{quantile, Confident, sim.Undecided, Cards},
		{0, Confident, sim.NoTarget, Nothing},
	} {
		s := setup(0, 1)
		s.Policy = c.policy
		r := recordOf(t, s, partlyKnown(t, 0.5, 3, c.target))
		assert.Equal(t, c.verdict, r.Verdict, "target %v, policy %v: %v, %v", c.target, c.policy, r.Mean, r.Bound)
		assert.Equal(t, c.want, r.Want, "target %v", c.target)
		assert.LessOrEqual(t, r.Mean.Low, mean, "target %v", c.target) // one seed of 40 misses on either side, and this one is fixed
		assert.GreaterOrEqual(t, r.Mean.High, mean, "target %v", c.target)
		if r.Unknown != nil {
			assert.InEpsilon(t, quantile, r.Bound.Value, 0.05, "three times the half-width of the interval of the quantile")
		}
	}
}

// The number of record is the same whatever else is asked along with it.
func TestRecordDependsOnItsOwnQuestionAlone(t *testing.T) {
	s := setup(0, 7)
	alone := recordOf(t, s, partlyKnown(t, 0.5, 3, 0.008))
	s.Run.Workers = 1
	s.Run.Samples = 1000
	other := partlyKnown(t, 0.2, 2, 1e-4)
	other.Name = "other"
	records := recordsOf(t, s, other, partlyKnown(t, 0.5, 3, 0.008))
	assert.Equal(t, alone, records[1][0])
	both := partlyKnown(t, 0.5, 3, 0.008) // a limit that takes more cards beside it
	both.Requirements = append(both.Requirements, sim.Requirement{Name: "far", Output: "y", Limit: 9, Target: 1e-4})
	records = recordsOf(t, s, both)
	assert.Equal(t, alone, records[0][0])
	assert.Equal(t, sim.Met, records[0][1].Verdict)
}

// A mean far below its target, of which the first cards see some, is shown by itself with fewer
// rows than what is not known would take.
func TestRecordFarBelowItsTarget(t *testing.T) {
	const limit, target = 4.4, 1e-3
	mean := dist.NormalSurvival(limit / math.Sqrt(1.25)) // 4.2e-5, closed form
	for seed := range uint64(5) {
		r := recordOf(t, setup(0, seed), partlyKnown(t, 0.5, limit, target))
		assert.Equal(t, sim.Met, r.Verdict)
		assert.Nil(t, r.Unknown)
		assert.LessOrEqual(t, r.Mean.Low, mean, "one seed of 80 misses on either side, and these are fixed")
		assert.GreaterOrEqual(t, r.Mean.High, mean)
		assert.LessOrEqual(t, r.Bound.High, target)
		// The truth over what is not known is below the bound.
		assert.Less(t, dist.NormalSurvival(limit-0.5*dist.NormalQuantile(0.95)), r.Bound.High)
		assert.Less(t, r.Mean.N, int64(fewestApart+manyUnknownRows))
	}
}

// A small target that is missed far more rarely is shown met by the tail methods, where rows that bound what
// none of them shows would be more than half a million, and what is not known is seen in too few.
func TestRecordFarBelowASmallTarget(t *testing.T) {
	const limit, target = 4.94, 1e-4
	mean := dist.NormalSurvival(limit / math.Sqrt(1.25)) // 5.0e-6, closed form
	misses := 0
	for seed := range uint64(5) {
		s, r := setup(0, seed), Record{}
		scenario := partlyKnown(t, 0.5, limit, target)
		r.Requirement = scenario.Requirements[0]
		shown, err := s.shownByTail(scenario, &r)
		require.NoError(t, err)
		assert.True(t, shown)
		assert.Equal(t, sim.Met, r.Verdict)
		if mean < r.Mean.Low || mean > r.Mean.High {
			misses++
		}
		assert.LessOrEqual(t, r.Bound.High, target)
		assert.InEpsilon(t, r.Mean.High*overMean(target, 0.95), r.Bound.High, 1e-12, "not the mean itself")
		r = recordOf(t, s, scenario)
		assert.Equal(t, sim.Met, r.Verdict)
		assert.Less(t, r.Mean.N, int64(mostScreened+manyUnknownRows)*11/10, "the screen, and what is not known kept apart")
		// Not where rows showed more than the tail methods find, nor where it is not far below.
		r = Record{Requirement: scenario.Requirements[0]}
		r.Mean.Low = 9e-6
		shown, err = s.shownByTail(scenario, &r)
		require.NoError(t, err)
		assert.False(t, shown)
		r.Mean.Low = 0.2 * target
		shown, err = s.shownByTail(scenario, &r)
		require.NoError(t, err)
		assert.False(t, shown)
	}
	assert.LessOrEqual(t, misses, 1, "intervals of 97.5 %: two of five have a chance of 0.6 %")
}

// Far from the limit nothing is seen; the bound on the mean serves for what is not known
// too.
func TestRecordOfWhatIsNeverSeen(t *testing.T) {
	r := recordOf(t, setup(0, 1), partlyKnown(t, 0.5, 9, 1e-3))
	assert.Equal(t, sim.Met, r.Verdict)
	assert.Zero(t, r.Mean.Count)
	assert.LessOrEqual(t, r.Bound.High, 1e-3)
	assert.InEpsilon(t, r.Mean.High*overMean(1e-3, 0.95), r.Bound.High, 1e-12)
	small := recordOf(t, setup(0, 1), partlyKnown(t, 0.5, 6.5, 1e-6))
	assert.Equal(t, sim.Met, small.Verdict, "by the tail methods: %v", small.Mean)
	truth := dist.NormalSurvival(6.5 / math.Sqrt(1.25))
	assert.Less(t, truth, 1e-6)
}

// The quantile over the mean of Φ(-b' + s z), z standard normal, at its largest over s,
// for the quantile 1e-3: the closed form is half of what is allowed for.
func TestOverMeanIsTwiceTheLargestOfANormalScore(t *testing.T) {
	z, largest := dist.NormalQuantile(0.95), 0.0
	for spread := 0.01; spread < 3; spread += 0.01 {
		mean := dist.NormalSurvival((-dist.NormalQuantile(1e-3) + spread*z) / math.Hypot(1, spread))
		largest = max(largest, 1e-3/mean)
	}
	assert.InEpsilon(t, 2*largest, overMean(1e-3, 0.95), 1e-4, "steps of 0.01 miss the top by less")
	assert.InEpsilon(t, 20, overMean(0.9, 0.95), 1e-12, "Markov's inequality")
}

// ball has failure all around: no search finds the ways to it.
type ball struct{ linear }

func (ball) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = 0
		for _, column := range x {
			y[0][r] += column[r] * column[r]
		}
	}
}

// What the tail methods do not establish is known no worse than by the cards of the screen, none of which exceeds.
func TestWhatIsNotEstablishedIsBoundedByTheScreen(t *testing.T) {
	s := sim.Scenario{Inputs: normals(t, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1), Model: ball{linear{names: []string{"y"}}},
		Requirements: []sim.Requirement{{Name: "y", Output: "y", Limit: 60, Target: 1e-6}}}
	r := recordOf(t, setup(0, 1), s)
	assert.Equal(t, sim.Undecided, r.Verdict)
	require.NotEmpty(t, r.Mean.Warnings)
	assert.Equal(t, NotEstablished, r.Mean.Warnings[0].Code)
	assert.InEpsilon(t, 1-math.Pow(0.025, 1.0/mostScreened), r.Mean.High, 1e-9, "the bound of none in as many: rounding")
}

// Of 100 coats 6 are of the kind that exceeds: with 95 % confidence the probability is that of those, 17 times the mean. A mean far below
// the target does not show that met. What is not known of the demos, lognormal and uniform, does not leap.
func TestKnowledgeThatLeapsIsNotMetByItsMean(t *testing.T) {
	one, err := dist.NewNormal(0, 0.01)
	require.NoError(t, err)
	other, err := dist.NewNormal(1.5, 0.01)
	require.NoError(t, err)
	either, err := dist.NewMixture([]float64{94, 6}, []dist.Distribution{one, other})
	require.NoError(t, err)
	given := dist.NormalSurvival(4.5 - 1.5) // 1.35e-3, and 8.4e-5 on average
	s := partlyKnown(t, 1, 4.5, given/1.1)
	variables := slices.Clone(s.Inputs.Variables())
	variables[1].Dist = either
	s.Inputs, err = sim.NewInputs(variables, nil, 1)
	require.NoError(t, err)
	assert.True(t, leaps(s))
	for seed := range uint64(4) {
		assert.NotEqual(t, sim.Met, recordOf(t, setup(0, seed), s).Verdict, "seed %d", seed)
	}

	wide, err := dist.NewLognormal(1, 1)
	require.NoError(t, err)
	for name, d := range map[string]dist.Distribution{"normal": one, "lognormal, a deviation of 1": wide} {
		variables[1].Dist = d
		s.Inputs, err = sim.NewInputs(variables, nil, 1)
		require.NoError(t, err)
		assert.False(t, leaps(s), name)
	}
}
