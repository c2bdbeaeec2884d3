package decide

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
)

func TestRankingHasItsClosedForm(t *testing.T) {
	designs := []sim.Scenario{
		shifted(t, "middle", 0.2, 0.1, 2, 0.1), shifted(t, "worst", 0.5, 0.1, 2, 0.1),
		shifted(t, "best", 0, 0.1, 2, 0.1), shifted(t, "like the best", 1e-4, 0.1, 2, 0.1),
	}
	r, err := (&Compare{Setup: setup(20_000, 1), Scenarios: designs, By: "limit"}).Rank(background)
	require.NoError(t, err)
	var order, places []int
	for _, rank := range r.Ranking {
		order, places = append(order, rank.Design), append(places, rank.Place)
		p := exact(designs[rank.Design])
		assert.LessOrEqual(t, rank.Low, p)
		assert.GreaterOrEqual(t, rank.High, p)
	}
	assert.Equal(t, []int{2, 3, 0, 1}, order)
	assert.Equal(t, []int{1, 1, 3, 4}, places, "two cannot be told apart")
	assert.InDelta(t, 1-0.05/2/6, r.Ranking[1].Over.Level, 1e-12, "two sides of six pairs")
	assert.Equal(t, []bool{false, false, true, true}, []bool{r.Ranking[0].Worse, r.Ranking[1].Worse, r.Ranking[2].Worse, r.Ranking[3].Worse})
	assert.Equal(t, "a", r.Inputs[0].Input)
	assert.InDelta(t, 1/1.01, r.Inputs[0].Value, 1e-6, "of the variance")
	require.Len(t, r.Others, 3)
	assert.InDelta(t, 0.3, r.Others[0].Outputs[0].Difference.Mean, 1e-12)
	for i, other := range r.Others {
		d := exact(designs[1+i]) - exact(designs[0])
		assert.LessOrEqual(t, other.Differences[0].Low, d)
		assert.GreaterOrEqual(t, other.Differences[0].High, d)
	}
}

// More cards narrow the differences, on rows drawn to the limit, of which there are as many as cards but never less
// than for a change: at 1e-3 those of 10 000 cards tell apart what 10 000 counted cannot.
func TestRankingGetsBetterWithMoreCards(t *testing.T) {
	limit := score(1e-3)
	at := func(samples int64, shift float64) Rank {
		designs := []sim.Scenario{shifted(t, "a", 0, 0.1, limit, 0.1), shifted(t, "b", shift, 0.1, limit, 0.1)}
		r, err := (&Compare{Setup: setup(samples, 1), Scenarios: designs, By: "limit"}).Rank(background)
		require.NoError(t, err)
		d := exact(designs[1]) - exact(designs[0])
		last := r.Ranking[1]
		assert.LessOrEqual(t, last.Over.Low, d)
		assert.GreaterOrEqual(t, last.Over.High, d)
		return last
	}
	few, many := at(10_000, 0.25), at(16*pairRows, 0.25)
	assert.Equal(t, []int{2, 2}, []int{few.Place, many.Place})
	assert.Less(t, 3*(many.Over.High-many.Over.Low), few.Over.High-few.Over.Low, "a quarter by the root of the number")
	assert.Equal(t, 1, at(10_000, 1e-4).Place, "no evidence, no place")
}

// By the tail methods where counting shows nothing.
func TestRankingInTheTail(t *testing.T) {
	limit := score(1e-6)
	designs := []sim.Scenario{shifted(t, "a", 0, 0.1, limit, 1e-5), shifted(t, "b", -0.2, 0.1, limit, 1e-5), shifted(t, "c", -0.2, 0.1, limit, 1e-5)}
	r, err := (&Compare{Setup: setup(10_000, 1), Scenarios: designs, By: "limit"}).Rank(background)
	require.NoError(t, err)
	assert.Equal(t, []int{1, 1, 3}, []int{r.Ranking[0].Place, r.Ranking[1].Place, r.Ranking[2].Place})
	assert.Equal(t, 0, r.Ranking[2].Design)
	for _, rank := range r.Ranking {
		assert.True(t, rank.Tail)
		assert.LessOrEqual(t, rank.Low, exact(designs[rank.Design]))
		assert.GreaterOrEqual(t, rank.High, exact(designs[rank.Design]))
	}
}

func TestWhatCannotBeRanked(t *testing.T) {
	one := shifted(t, "one", 0, 0, 2, 0.1)
	for want, c := range map[string]*Compare{
		"1 designs, must be 2 to 8":   {Scenarios: []sim.Scenario{one}, By: "limit"},
		`no requirement "temp" that`:  {Scenarios: []sim.Scenario{one, one}, By: "temp"},
		`has no output "temperature"`: {Scenarios: []sim.Scenario{one, one}, By: "limit", Outputs: []string{"temperature"}},
		"not the same in one and two": {Scenarios: []sim.Scenario{one, shifted(t, "two", 0, 0, 3, 0.1)}, By: "limit"},
	} {
		c.Setup = setup(1000, 1)
		_, err := c.Rank(background)
		assert.ErrorContains(t, err, want)
	}
	ctx, cancel := context.WithCancel(background)
	cancel()
	_, err := (&Compare{Setup: setup(1000, 1), Scenarios: []sim.Scenario{one, one}, By: "limit"}).Rank(ctx)
	assert.ErrorIs(t, err, ErrStopped)
}
