package decide

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/strata"
)

// changed judges a change on the missions of both designs.
func changed(t testing.TB, c Change, before, after []Member) *Changed {
	r, err := tryChange(t, c, before, after)
	require.NoError(t, err)
	return r
}

func tryChange(t testing.TB, c Change, before, after []Member) (*Changed, error) {
	b, err := c.Mission(background, before)
	require.NoError(t, err)
	a, err := c.Mission(background, after)
	require.NoError(t, err)
	return c.Judge(background, b, a)
}

func by(m Margin, seed uint64) Change { return Change{Setup: setup(0, seed), Margin: m} }

func only(s sim.Scenario) []Member { return []Member{{Scenario: s}} }

// anything says nothing of what exceeds after a change only.
var anything = sim.Estimate{Interval: sim.Interval{High: 1}}

func TestChange(t *testing.T) {
	const target = 0.01 // of exceeding 3; at 0 the probability is 1.4e-3
	margin := Margin{Kind: Absolute, Value: 5e-4}
	at := func(by ...float64) []Member {
		names := []string{"as written", "hot day"}
		var members []Member
		for i, b := range by {
			members = append(members, hotter(t, names[i], b, target))
		}
		return members
	}
	verdicts := func(r *Changed) []sim.Verdict { return []sim.Verdict{r.Difference, r.Target, r.Safe} }
	t.Run("nothing changes", func(t *testing.T) {
		r := changed(t, by(margin, 5), at(0, 0.2), at(0, 0.2))
		assert.Equal(t, sim.Met, r.Safe)
		assert.Equal(t, sim.Met, r.Before.Verdict)
		assert.True(t, r.Changes[0].Untouched)
		assert.Zero(t, r.Changes[1].High)
		assert.Zero(t, r.Judged)
	})
	t.Run("a failing base against its copy", func(t *testing.T) {
		r := changed(t, by(margin, 5), at(0, 1.5), at(0, 1.5))
		assert.Equal(t, sim.NotMet, r.Before.Verdict)
		assert.Equal(t, []sim.Verdict{sim.Met, sim.NotMet, sim.NotMet}, verdicts(r), "the difference is none, the target is missed after it as before")
	})
	t.Run("a failing base against a slightly better failing one", func(t *testing.T) {
		r := changed(t, by(margin, 5), at(0, 1.5), at(0, 1.4))
		assert.Equal(t, sim.NotMet, r.Before.Verdict)
		assert.Equal(t, []sim.Verdict{sim.Met, sim.NotMet, sim.NotMet}, verdicts(r))
		assert.Negative(t, r.Changes[1].High)
	})
	t.Run("a failing base against one that meets its target", func(t *testing.T) {
		r := changed(t, by(margin, 5), at(0, 1.5), at(0, 0.2))
		assert.Equal(t, sim.NotMet, r.Before.Verdict)
		assert.Equal(t, []sim.Verdict{sim.Met, sim.Met, sim.Met}, verdicts(r))
	})
	t.Run("safe as written, not safe on the hot day", func(t *testing.T) {
		r := changed(t, by(margin, 5), at(0, 0.3), at(0.02, 0.38))
		assert.Equal(t, []sim.Verdict{sim.NotMet, sim.Met, sim.NotMet}, verdicts(r), "the difference alone decides, and the first look leaves both open")
		worst := r.Changes[r.Deciding]
		assert.Equal(t, "hot day", worst.Condition)
		assert.Equal(t, sim.Met, r.Changes[0].Verdict)
		assert.Greater(t, worst.LowTogether, margin.Value)
		assert.Less(t, worst.LowTogether, worst.Low, "two are judged together")
	})
	t.Run("a condition that is only shown", func(t *testing.T) {
		before, after := at(0, 0.3), at(0.02, 0.45)
		before[1].Informative, after[1].Informative = true, true
		assert.Equal(t, sim.Met, changed(t, by(margin, 5), before, after).Safe)
	})
	t.Run("a condition that one of them has", func(t *testing.T) {
		r := changed(t, by(margin, 5), at(0), at(0.02, 1.5))
		assert.Len(t, r.Changes, 1)
		assert.Equal(t, []sim.Verdict{sim.Met, sim.NotMet, sim.NotMet}, verdicts(r), "its target counts after the change")
	})
	t.Run("the targets alone", func(t *testing.T) {
		r := changed(t, by(Margin{Kind: TargetMet}, 5), at(0), at(0.3))
		assert.Equal(t, []sim.Verdict{sim.NoTarget, sim.Met, sim.Met}, verdicts(r))
		withMargin := changed(t, by(Margin{Absolute, 1e-4}, 5), at(0), at(0.3))
		assert.Equal(t, withMargin.Changes[withMargin.Deciding].Difference, r.Changes[r.Deciding].Difference, "the same number")
	})
	t.Run("an improvement of one limit, another left alone", func(t *testing.T) {
		two := func(hotter float64) []Member {
			return only(sim.Scenario{Inputs: normals(t, 0, 1, 0, 1), Model: linear{names: []string{"hot", "tight"}, offset: []float64{hotter, 0}, weight: [][]float64{{1, 0}, {0, 1}}},
				Requirements: []sim.Requirement{{Name: "tight", Output: "tight", Limit: 2}, {Name: "hot", Output: "hot", Limit: 2}}})
		}
		r := changed(t, by(margin, 5), two(0.3), two(0))
		assert.Equal(t, sim.Met, r.Difference)
		assert.True(t, r.Changes[0].Untouched)
		assert.Equal(t, 1, r.Deciding, "the one that changes")
	})
	t.Run("an improvement on the hot day, nothing seen as written", func(t *testing.T) {
		r := changed(t, by(margin, 5), at(-3, 0.3), at(-3, 0)) // Φ(-6) = 1e-9, and 3.5e-3 before on the hot day
		assert.Equal(t, sim.Met, r.Safe)
		assert.Zero(t, r.Changes[0].Value)
		assert.Equal(t, 1, r.Deciding, "the one that is seen")
		r = changed(t, by(margin, 5), at(0.2, 0.3), at(0, 0)) // 1.2e-3 and 2.1e-3 less
		assert.Equal(t, 1, r.Deciding, "the one that changes most")
	})
	t.Run("an improvement", func(t *testing.T) {
		r := changed(t, by(Margin{Kind: Relative, Value: 0.1}, 5), at(0.3), at(0))
		assert.Equal(t, sim.Met, r.Safe)
		assert.Negative(t, r.Changes[0].High)
	})
}

// Small on average, large for what is not known: not safe to call.
func TestChangeKeepsApartWhatIsNotKnown(t *testing.T) {
	before, after := only(partlyKnown(t, 0.5, 3, 0)), only(partlyKnown(t, 0.5, 3, 0))
	after[0].Model = linear{names: []string{"y"}, offset: []float64{0.2}, weight: [][]float64{{1, 1}}}
	// On average the change is 2.5e-3, its upper quantile 8.7e-3 (closed forms).
	r := changed(t, by(Margin{Kind: Absolute, Value: 5e-3}, 5), before, after)
	assert.Equal(t, sim.Undecided, r.Difference)
	assert.Equal(t, Knowledge, r.Changes[0].Want)
	assert.Equal(t, sim.Met, changed(t, by(Margin{Kind: Absolute, Value: 0.012}, 5), before, after).Safe)
	averaged := by(Margin{Kind: Absolute, Value: 5e-3}, 5)
	averaged.Policy = Predictive
	assert.Equal(t, sim.Met, changed(t, averaged, before, after).Safe, "averaged over what is not known")

	moved := only(partlyKnown(t, 0.4, 3, 0))
	_, err := tryChange(t, by(Margin{Kind: Absolute, Value: 0.012}, 5), before, moved)
	assert.ErrorIs(t, err, strata.ErrMovedKnowledge)
	parts := by(Margin{Kind: Absolute, Value: 0.012}, 5)
	parts.OfTheParts = true
	assert.Equal(t, sim.Met, changed(t, parts, before, moved).Safe, "what is of the part may go with it")
}

// What is hardly ever exceeded, and not known, is within the margin all the same.
func TestChangeFarFromTheLimit(t *testing.T) {
	before, after := only(partlyKnown(t, 0.3, 5, 0.01)), only(partlyKnown(t, 0.3, 5, 0.01))
	after[0].Model = linear{names: []string{"y"}, offset: []float64{0.1}, weight: [][]float64{{1, 1}}}
	assert.Equal(t, sim.Met, changed(t, by(Margin{Kind: Absolute, Value: 2e-4}, 5), before, after).Safe)
}

// cracked is linear but for a fault of one card in 200 000, which exceeds any limit whatever else it has.
type cracked struct{ linear }

func (c cracked) Evaluate(x, y [][]float64) {
	c.linear.Evaluate(x, y)
	for r, z := range x[len(x)-1] {
		if z > 4.417 {
			y[0][r] = 10
		}
	}
}

// Where few rows weigh too much to see how the difference depends on what is not known, what exceeds after the change
// bounds it: 9e-5 on average before it, 3e-5 after it, 1.2e-4 there with 95 % confidence (closed forms).
func TestChangeOfWhatIsRare(t *testing.T) {
	at := func(offset float64) []Member {
		s := partlyKnown(t, 0.5, 4.2, 5e-4)
		standard, err := dist.NewNormal(0, 1)
		require.NoError(t, err)
		s.Inputs, err = sim.NewInputs(append(slices.Clone(s.Inputs.Variables()), sim.Variable{Name: "fault", Input: "fault", Level: sim.Card, Dist: standard}), nil, 1)
		require.NoError(t, err)
		s.Model = cracked{linear{names: []string{"y"}, offset: []float64{offset}, weight: [][]float64{{1, 1, 0}}}}
		return only(s)
	}
	for seed := range uint64(5) {
		r := changed(t, by(Margin{Kind: Absolute, Value: 2.5e-4}, seed), at(0), at(-0.3))
		assert.Equal(t, sim.Met, r.Difference, "better, seed %d", seed)
		r = changed(t, by(Margin{Kind: Absolute, Value: 1e-4}, seed), at(-0.3), at(0))
		assert.NotEqual(t, sim.Met, r.Difference, "with 95 %% confidence it rises by 2.4e-4, seed %d", seed)
	}
}

// plainRowsOf are those of a design after a change.
func (c *Change) plainRowsOf(after sim.Scenario) *plainRows {
	return &plainRows{designs: [2]sim.Scenario{1: after}, at: map[int]int{0: 0}, after: func() (*strata.Screen, error) {
		screens, err := c.screen(background, []sim.Scenario{after})
		return screens[0], err
	}}
}

// A difference that cannot be kept apart is within the margin where the bound after the change is, not where that is
// above it; where the design after it shows that, its mean bounds the difference too.
func TestWhatExceedsAfterAChangeBoundsIt(t *testing.T) {
	c := by(Margin{Kind: Absolute, Value: 1e-4}, 1)
	for high, want := range map[float64]sim.Verdict{9e-5: sim.Met, 3e-4: sim.Undecided} {
		one := ChangeRecord{Verdict: sim.Met}
		after := Record{Bound: sim.Estimate{Interval: sim.Interval{High: high}}}
		require.NoError(t, c.judgeApart(&one, anything, after, nil))
		assert.Equal(t, want, one.Verdict, "%g", high)
	}
	for only, want := range map[float64]sim.Verdict{1e-5: sim.Met, 1.5e-5: sim.Undecided} { // what exceeds after it only, on average: up to 9 times as much whatever is not known
		one := ChangeRecord{Verdict: sim.Met, Unknown: &strata.UnknownChange{Upper: sim.Estimate{Interval: sim.Interval{Low: -1e-4, High: 3e-4}}}}
		require.NoError(t, c.judgeApart(&one, c.atMost(sim.Estimate{Interval: sim.Interval{High: only}}, 1e-4), Record{}, nil))
		assert.Equal(t, want, one.Verdict, "%g", only)
	}
	relative := by(Margin{Kind: Relative, Value: 0.1}, 1)
	one := ChangeRecord{Verdict: sim.Met}
	within := func() (bool, error) { return true, nil }
	require.NoError(t, relative.judgeApart(&one, anything, Record{Bound: sim.Estimate{Interval: sim.Interval{High: 1e-4}}}, within))
	assert.Equal(t, sim.Undecided, one.Verdict, "a share of what is before has no amount that could bound it")
	for low, want := range map[float64]sim.Verdict{1e-5: sim.Met, 2e-4: sim.Undecided} { // a bound over what is not known that cards leave open, and one that they do not
		one, asked := ChangeRecord{Unknown: &strata.UnknownChange{Upper: sim.Estimate{Interval: sim.Interval{Low: low, High: 3e-4}}}}, false
		require.NoError(t, c.judgeApart(&one, anything, Record{}, func() (bool, error) {
			asked, one.Verdict = true, sim.Met
			return true, nil
		}))
		assert.Equal(t, want, one.Verdict)
		assert.Equal(t, want == sim.Met, asked)
	}

	after := partlyKnown(t, 0.5, 4.5, 5e-4) // 3e-5 on average
	one = ChangeRecord{Difference: Difference{Interval: sim.Interval{High: 1}}, Unknown: &strata.UnknownChange{}}
	shown, err := c.withinAfter(background, &one, c.plainRowsOf(after))
	require.NoError(t, err)
	assert.True(t, shown)
	assert.Equal(t, sim.Met, one.Verdict)
	assert.Nil(t, one.Unknown, "a bound that leaves it open is not shown beside that")
	assert.True(t, 2.8e-5 < one.High && one.High < 2e-4, "%g", one.High)
}

// elsewhere is x and what is not known, m, moved by an offset, or a function of m and another input where that is higher.
type elsewhere struct {
	linear
	offset float64
	other  func(m, v float64) float64
}

func (e elsewhere) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = max(x[0][r]+x[1][r]+e.offset, e.other(x[1][r], x[2][r]))
	}
}

// elsewhereToo has m of a standard deviation of 0.5.
func elsewhereToo(t testing.TB, limit, offset float64, other func(m, v float64) float64) sim.Scenario {
	s := partlyKnown(t, 0.5, limit, 0)
	standard, err := dist.NewNormal(0, 1)
	require.NoError(t, err)
	s.Inputs, err = sim.NewInputs(append(slices.Clone(s.Inputs.Variables()), sim.Variable{Name: "v", Input: "v", Level: sim.Card, Dist: standard}), nil, 1)
	require.NoError(t, err)
	s.Model = elsewhere{linear{names: []string{"y"}}, offset, other}
	return s
}

func nowhere(_, _ float64) float64 { return math.Inf(-1) }

// A change for the better in every card is safe whatever is not known, by plain rows of which none exceeds after it only, and so is one
// of which a card in 100 000 does; a difference of which cards would settle more is looked at closer.
func TestChangeForTheBetterIsSafe(t *testing.T) {
	before := elsewhereToo(t, 2.6, 0, nowhere) // Φ(-2.6/√1.25) = 1.0 %
	for offset, other := range map[float64]func(m, v float64) float64{
		-0.5: nowhere,
		-0.6: func(_, v float64) float64 { return v - 1.665 }, // Φ(-4.265) = 1.0e-5
	} {
		for seed := range uint64(3) {
			c := by(Margin{Kind: Absolute, Value: 5e-4}, 40+seed)
			r := changed(t, c, only(before), only(elsewhereToo(t, 2.6, offset, other)))
			one := r.Changes[0]
			assert.Equal(t, sim.Met, one.Verdict, "offset %g, seed %d", offset, seed)
			assert.Nil(t, one.Unknown, "not looked at by what is not known")
			want := dist.NormalSurvival((2.6-offset)/math.Sqrt(1.25)) - dist.NormalSurvival(2.6/math.Sqrt(1.25))
			assert.True(t, one.Low < want+1e-5 && want < one.High, "%v, %g; either end misses in 2.5 %% of seeds", one.Interval, want)
		}
	}
	newly := func(_, v float64) float64 { return v - 0.94 } // Φ(-3.54) = 2.0e-4
	one := changed(t, by(Margin{Kind: Absolute, Value: 5e-4}, 40), only(before), only(elsewhereToo(t, 2.6, -0.5, newly))).Changes[0]
	assert.NotNil(t, one.Unknown, "up to nine times as much whatever is not known: it is kept apart")
}

// Where the design after the change alone tells of what is not known, what would decide there decides the difference: here knowledge,
// since with 95 % confidence 1.8e-4 exceed after it, more than the margin, and 4.4e-5 on average.
func TestWhatLeavesOpenWhatExceedsAfterAChangeSaysWhatDecides(t *testing.T) {
	c := by(Margin{Kind: Absolute, Value: 1e-4}, 1)
	after := partlyKnown(t, 0.5, 4.386, 1e-4) // Φ(-4.386/√1.25) = 4.4e-5; Φ(-4.386 + 0.5 · 1.645) = 1.8e-4
	one := ChangeRecord{Verdict: sim.Met}
	require.NoError(t, c.judgeApart(&one, anything, Record{Bound: sim.Estimate{Interval: sim.Interval{High: 1}}}, func() (bool, error) {
		return c.withinAfter(background, &one, c.plainRowsOf(after))
	}))
	require.NotNil(t, one.AtMargin)
	assert.Equal(t, []any{sim.Undecided, Knowledge}, []any{one.Verdict, one.Want})
	exact := dist.NormalCDF(-4.386 + 0.5*1.6449)
	assert.True(t, one.AtMargin.Bound.Low <= exact && exact <= one.AtMargin.Bound.High, "%v", one.AtMargin.Bound)
	assert.Nil(t, one.SettledBy(c.Margin, DefaultAccuracy, 0.02), "no cards do")

	cards := Record{Requirement: one.AtMargin.Requirement, Mean: one.AtMargin.Mean, Unknown: one.AtMargin.Unknown, Want: Cards,
		Bound: sim.Estimate{Value: 0.9e-4, Interval: sim.Interval{Low: 0.8e-4, High: 1.01e-4}, Level: 0.95}}
	one.AtMargin, one.Want = &cards, Cards
	assert.Equal(t, cards.SettledBy(DefaultAccuracy, 0.02), one.SettledBy(c.Margin, DefaultAccuracy, 0.02))
	assert.NotNil(t, one.SettledBy(c.Margin, DefaultAccuracy, 0.02))
}

// Too few cards exceed for the pair to be drawn to the limit, before the change more than would let
// what exceeds after it be looked at first: it is still looked at.
func TestChangeOfWhatHardlyExceeds(t *testing.T) {
	at := func(offset float64) []Member {
		s := partlyKnown(t, 0.5, 1.28, 1e-2)
		standard, err := dist.NewNormal(0, 1)
		require.NoError(t, err)
		variables := slices.Clone(s.Inputs.Variables())
		for _, name := range []string{"a", "b", "c", "d", "e", "f"} {
			variables = append(variables, sim.Variable{Name: name, Input: name, Level: sim.Card, Dist: standard})
		}
		s.Inputs, err = sim.NewInputs(variables, nil, 1)
		require.NoError(t, err)
		s.Model = corner(offset)
		return only(s)
	}
	for seed := range uint64(8) { // Φ(-1.09)⁵ = 5e-5 before, Φ(-1.28)⁵ = 1e-5 after
		assert.Equal(t, sim.Met, changed(t, by(Margin{Kind: Absolute, Value: 5e-4}, seed), at(0.19), at(0)).Difference, "seed %d", seed)
		assert.NotEqual(t, sim.Met, changed(t, by(Margin{Kind: Absolute, Value: 2e-5}, seed), at(0), at(0.19)).Difference, "it rises by 4e-5, seed %d", seed)
	}
}

// corner is the least of several inputs, and the unknown one: no direction leads to where it is large.
type corner float64

func (corner) Outputs() []sim.Output { return linear{names: []string{"y"}}.Outputs() }

func (c corner) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		least := x[0][r]
		for _, v := range x[2:6] {
			least = min(least, v[r])
		}
		y[0][r] = float64(c) + least + 0.05*x[1][r]
	}
}

// Far from the margin the verdict is right: ten standard errors of the screen away.
func TestChangeFarFromTheMargin(t *testing.T) {
	before := shifted(t, "", 0, 0, 2, 0)
	for seed := range uint64(20) {
		c := by(Margin{Absolute, 0.01}, seed)
		assert.Equal(t, sim.Met, changed(t, c, only(before), only(shifted(t, "", 0.01, 0, 2, 0))).Safe, "seed %d", seed)
		assert.Equal(t, sim.NotMet, changed(t, c, only(before), only(shifted(t, "", 0.7, 0, 2, 0))).Safe, "seed %d", seed)
	}
}

// Down to 1e-6 by the tail methods: what is safe and what is not, with intervals
// around the closed forms.
func TestChangeInTheTail(t *testing.T) {
	const target = 1e-5
	limit := score(1e-6)
	before := shifted(t, "", 0, 0, limit, target)
	after := shifted(t, "", 0.1, 0.1, limit, target)
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
	} {
		r := changed(t, by(c.margin, 4), only(before), only(after))
		q := r.Changes[0]
		assert.Equal(t, c.want, r.Safe, "%+v %+v", c, q)
		assert.Equal(t, c.want == sim.Undecided, q.Want == Cards)
		assert.True(t, q.Tail)
		assert.Less(t, q.Low, d)
		assert.Greater(t, q.High, d)
		assert.InEpsilon(t, d, q.Value, 0.5, "about a tenth of standard error")
	}
}

func TestWhatIsNoChange(t *testing.T) {
	one := shifted(t, "", 0, 0, 2, 0)
	named := shifted(t, "another", 0, 0, 2, 0)
	moved := shifted(t, "", 0, 0, 3, 0)
	margin := Margin{Absolute, 0.01}
	for want, c := range map[string]struct {
		Margin
		after sim.Scenario
	}{
		ErrNotAlike.Error():           {margin, named},
		"is not the same in":          {margin, moved},
		"no margin is set":            {Margin{}, one},
		"above 0 and below 1":         {Margin{Absolute, math.NaN()}, one},
		"must be above 0":             {Margin{Relative, -1}, one},
		"no requirement has a target": {Margin{Kind: TargetMet}, one},
	} {
		_, err := tryChange(t, by(c.Margin, 1), only(one), only(c.after))
		assert.ErrorContains(t, err, want)
	}
}
