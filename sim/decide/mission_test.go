package decide

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
)

// hotter is the design of partlyKnown with its output raised.
func hotter(t testing.TB, name string, by, target float64) Member {
	s := partlyKnown(t, 0.1, 3, target)
	s.Name, s.Model = name, linear{names: []string{"y"}, offset: []float64{by}, weight: [][]float64{{1, 1}}}
	return Member{Scenario: s}
}

// All conditions met but one: that one decides, unless it is only shown.
func TestMissionIsDecidedByItsWorstCondition(t *testing.T) {
	members := []Member{hotter(t, "as written", 0, 0.01), hotter(t, "hot day", 1.5, 0.01), hotter(t, "cold day", -1, 0.01)}
	s := setup(0, 3)
	m, err := s.Mission(background, members)
	require.NoError(t, err)
	assert.Equal(t, sim.NotMet, m.Verdict)
	assert.Equal(t, "hot day", m.Members[m.Worst.Member].Name)

	members[1].Informative = true
	m, err = s.Mission(background, members)
	require.NoError(t, err)
	assert.Equal(t, sim.Met, m.Verdict)
	assert.Equal(t, "as written", m.Members[m.Worst.Member].Name, "of those met, the one nearest to its target")
	assert.Equal(t, sim.NotMet, m.Records[1][0].Verdict, "shown all the same")

	for i := range members {
		members[i].Requirements[0].Target = 0
	}
	m, err = s.Mission(background, members)
	require.NoError(t, err)
	assert.Equal(t, sim.NoTarget, m.Verdict)
	assert.Equal(t, -1, m.Worst.Member)
}

// Of two that are not met the average tells, though the bounds over what is not known say nothing of either.
func TestWorseIsTheFurtherAboveItsTarget(t *testing.T) {
	notMet := func(p float64) Record {
		r := Record{Verdict: sim.NotMet}
		r.Requirement.Target = 0.01
		r.Mean, r.Bound = sim.Estimate{Value: p, Interval: sim.Interval{High: p + 0.01}}, sim.Estimate{Value: 1, Interval: sim.Interval{High: 1}}
		return r
	}
	m := Mission{Records: [][]Record{{notMet(0.9), notMet(0.6)}}}
	assert.True(t, m.worse(Place{0, 0}, Place{0, 1}))
	assert.False(t, m.worse(Place{0, 1}, Place{0, 0}))
}

// tallied is a model that tells how many rows it evaluates.
type tallied struct {
	sim.Model
	rows *atomic.Int64
}

func (c tallied) Evaluate(x, y [][]float64) {
	c.rows.Add(int64(len(y[0])))
	c.Model.Evaluate(x, y)
}

// A condition that does not touch an output has the other's record, to the last bit, for the rows of its screen alone; one that
// touches it has a record of its own, and so has a requirement of its own.
func TestConditionsThatDoNotTouchAnOutputShareItsRecord(t *testing.T) {
	s := setup(0, 3)
	var rows [4]atomic.Int64
	members := []Member{hotter(t, "as written", 0.3, 0.01), hotter(t, "at night", 0.3, 0.01), hotter(t, "cold day", 0.2, 0.01), hotter(t, "lenient", 0.3, 0.011)}
	for i := range members {
		members[i].Model = tallied{members[i].Model, &rows[i]}
	}
	for name, judge := range map[string]func(context.Context, []Member) (*Mission, error){"mission": s.Mission, "shortfall": s.Shortfall} {
		for i := range rows {
			rows[i].Store(0)
		}
		m, err := judge(background, members)
		require.NoError(t, err)
		assert.Equal(t, m.Records[0], m.Records[1], name)
		assert.Equal(t, s.screenRows(members[1].Scenario), rows[1].Load(), "%s: rows of the screen", name)
		for _, own := range []int{0, 2, 3} {
			assert.Greater(t, rows[own].Load(), rows[1].Load(), "%s: %s", name, members[own].Name)
		}
		alone, err := judge(background, members[1:2])
		require.NoError(t, err)
		assert.Equal(t, alone.Records[0], m.Records[1], name)
	}
}
