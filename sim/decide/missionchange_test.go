package decide

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
	"clampodds/sim/strata"
)

func judged(t testing.TB, before, after []Member, m Margin) *ChangedMission {
	c := MissionChange{Setup: setup(0, 5), Before: before, After: after, Margin: m}
	r, err := c.Judge(background)
	require.NoError(t, err)
	return r
}

func TestMissionChange(t *testing.T) {
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
	t.Run("nothing changes", func(t *testing.T) {
		r := judged(t, at(0, 0.2), at(0, 0.2), margin)
		assert.Equal(t, Yes, r.Safe)
		assert.False(t, r.BaseMisses)
		assert.True(t, r.Changes[0][0].Untouched)
		assert.Zero(t, r.Changes[1][0].High)
	})
	t.Run("a failing base against its copy", func(t *testing.T) {
		r := judged(t, at(0, 1.5), at(0, 1.5), margin)
		assert.True(t, r.BaseMisses)
		assert.Equal(t, 1, r.Base.Member)
		one := r.Changes[1][0]
		assert.Equal(t, []Answer{Yes, No, No}, []Answer{one.WithinMargin, one.AfterMet, one.Safe}, "the difference is none, the target is missed after it as before")
		assert.Equal(t, No, r.Safe)
	})
	t.Run("a failing base against a slightly better failing one", func(t *testing.T) {
		r := judged(t, at(0, 1.5), at(0, 1.4), margin)
		one := r.Changes[1][0]
		assert.True(t, r.BaseMisses)
		assert.Equal(t, []Answer{Yes, No}, []Answer{one.WithinMargin, one.AfterMet})
		assert.Negative(t, one.High)
	})
	t.Run("safe as written, not safe on the hot day", func(t *testing.T) {
		r := judged(t, at(0, 0.5), at(0.02, 0.7), margin)
		assert.Equal(t, No, r.Safe)
		assert.Equal(t, Place{1, 0}, r.Worst)
		assert.Equal(t, Yes, r.Changes[0][0].Safe)
		assert.Greater(t, r.Changes[1][0].Low, margin.Value)
	})
	t.Run("a condition that is only shown", func(t *testing.T) {
		before, after := at(0, 0.5), at(0.02, 0.7)
		before[1].Informative, after[1].Informative = true, true
		assert.Equal(t, Yes, judged(t, before, after, margin).Safe)
	})
	t.Run("the targets alone", func(t *testing.T) {
		r := judged(t, at(0), at(0.3), Margin{Kind: TargetMet})
		assert.Equal(t, Yes, r.Safe)
		assert.Zero(t, r.Changes[0][0].WithinMargin)
	})
	t.Run("the base of a change is the number of record", func(t *testing.T) {
		r := judged(t, at(0), at(0.02), margin)
		s := setup(0, 5)
		records, err := s.Records(background, []sim.Scenario{at(0)[0].Scenario})
		require.NoError(t, err)
		assert.Equal(t, records[0][0].Mean, r.Before.Records[0][0].Mean)
	})
}

// Small on average, large for what is not known: not safe to call.
func TestMissionChangeKeepsApartWhatIsNotKnown(t *testing.T) {
	before, after := Member{Scenario: partlyKnown(t, 0.5, 3, 0)}, Member{Scenario: partlyKnown(t, 0.5, 3, 0)}
	after.Model = linear{names: []string{"y"}, offset: []float64{0.2}, weight: [][]float64{{1, 1}}}
	// On average the change is 2.5e-3, its upper quantile 8.7e-3 (closed forms).
	r := judged(t, []Member{before}, []Member{after}, Margin{Kind: Absolute, Value: 5e-3})
	one := r.Changes[0][0]
	assert.Equal(t, Undecided, one.WithinMargin)
	assert.Equal(t, Knowledge, one.Want)
	assert.Equal(t, Yes, judged(t, []Member{before}, []Member{after}, Margin{Kind: Absolute, Value: 0.012}).Safe)

	moved := after
	moved.Scenario = partlyKnown(t, 0.4, 3, 0)
	c := MissionChange{Setup: setup(0, 5), Before: []Member{before}, After: []Member{moved}, Margin: Margin{Kind: Absolute, Value: 0.012}}
	_, err := c.Judge(background)
	assert.ErrorIs(t, err, strata.ErrMovedKnowledge)

	moved.Name = "another"
	c.After = []Member{moved}
	_, err = c.Judge(background)
	assert.ErrorIs(t, err, ErrNotAlike)
}
