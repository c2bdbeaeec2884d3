package loosen

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
)

// offers are steps for the three inputs of the demo design.
func offers(random *rand.Rand) []Choice {
	var choices []Choice
	for _, input := range inputNames[:3] {
		c := Choice{Input: input}
		for factor := 0.4; factor < 1.7; factor += 0.6 {
			c.Steps = append(c.Steps, Step{Factor: factor, Cost: math.Round(20*(2-factor)*random.Float64()) / 2})
		}
		choices = append(choices, c)
	}
	return choices
}

// brute is what trying every combination gives, each in a run of its own: the
// first of lowest cost that is shown to meet the target, and the first below it
// that is not shown to miss.
func brute(t *testing.T, d design, choices []Choice, samples int64) (best, undecided []int) {
	bestCost, undecidedCost := math.Inf(1), math.Inf(1)
	for code := range 27 {
		steps := []int{code / 9, code / 3 % 3, code % 3}
		scaled, cost := d, 0.0
		scaled.sds = nil
		for i, step := range steps {
			scaled.sds = append(scaled.sds, d.sds[i]*choices[i].Steps[step].Factor)
			cost += choices[i].Steps[step].Cost
		}
		run := sim.Run{Scenarios: []sim.Scenario{scaled.scenario(t)}, Sampler: sim.Random{}, Samples: samples, Confidence: 0.95}
		result, err := run.Execute(context.Background())
		require.NoError(t, err)
		switch verdict := result.Scenarios[0].Requirements[1].Verdict(); {
		case verdict == sim.Met && cost < bestCost:
			best, bestCost = steps, cost
		case verdict == sim.Undecided && cost < undecidedCost:
			undecided, undecidedCost = steps, cost
		}
	}
	if undecidedCost > bestCost {
		undecided = nil
	}
	return best, undecided
}

func TestCheapestIsThatOfBruteForce(t *testing.T) {
	d := demo
	d.limit = 41
	d.means = []float64{10, 20, 5}
	skipped, without := 0, 0
	for seed := range uint64(20) {
		choices := offers(rand.New(rand.NewPCG(seed, 0)))
		s := d.search(t, 2000, 0)
		found, err := s.Cheapest(context.Background(), choices)
		require.NoError(t, err)
		best, undecided := brute(t, d, choices, 2000)
		if best == nil {
			without++
			assert.Nil(t, found.Best)
			continue
		}
		require.NotNil(t, found.Best)
		assert.Equal(t, best, found.Best.Steps, "seed %d", seed)
		if undecided != nil && costOf(choices, undecided) < found.Best.Cost {
			require.NotNil(t, found.Undecided, "seed %d", seed)
			assert.Equal(t, undecided, found.Undecided.Steps, "seed %d", seed)
		}
		assert.Equal(t, 27, found.Sets)
		skipped += found.Sets - found.Evaluated
	}
	assert.Positive(t, skipped, "dominated and dearer sets are left out")
	assert.Less(t, without, 20)
}

func costOf(choices []Choice, steps []int) (cost float64) {
	for i, c := range choices {
		cost += c.Steps[steps[i]].Cost
	}
	return cost
}

// With plenty of samples the cheapest set is the one that the closed form names.
func TestCheapestInClosedForm(t *testing.T) {
	d := demo
	choices := []Choice{
		{"a", []Step{{1.5, 0}, {1, 3}, {0.5, 8}}},
		{"b", []Step{{1.4, 0}, {1, 4}, {0.6, 10}}},
	}
	want, wantCost := []int(nil), math.Inf(1)
	for i, a := range choices[0].Steps {
		for j, b := range choices[1].Steps {
			scaled := d
			scaled.sds = []float64{d.sds[0] * a.Factor, d.sds[1] * b.Factor, d.sds[2]}
			p := scaled.probability()
			require.Greater(t, math.Abs(p/d.target-1), 0.1, "no combination is too close to call")
			if p < d.target && a.Cost+b.Cost < wantCost {
				want, wantCost = []int{i, j}, a.Cost+b.Cost
			}
		}
	}
	s := d.search(t, 60_000, 3)
	found, err := s.Cheapest(context.Background(), choices)
	require.NoError(t, err)
	assert.Equal(t, want, found.Best.Steps)
	assert.Equal(t, wantCost, found.Best.Cost)
	assert.Nil(t, found.Undecided)
	assert.Equal(t, sim.Met, found.Confirmed.Verdict())
	assert.Equal(t, uint64(4), found.FreshSeed)
	assert.NotEqual(t, found.Best.Point.Exceeded[0].Count, found.Confirmed.Exceeded[0].Count, "other draws")
}

func TestNothingIsGoodEnough(t *testing.T) {
	d := demo
	d.limit = d.mean()
	s := d.search(t, 2000, 1)
	found, err := s.Cheapest(context.Background(), []Choice{{"a", []Step{{1, 0}, {0.1, 5}}}})
	require.NoError(t, err)
	assert.Nil(t, found.Best)
	assert.Nil(t, found.Undecided)
}

func TestInvalidChoices(t *testing.T) {
	s := demo.search(t, 1000, 1)
	many := []Step{}
	for range 400 {
		many = append(many, Step{1, 0})
	}
	for _, c := range []struct {
		choices []Choice
		want    string
	}{
		{nil, "no steps"},
		{[]Choice{{"z", []Step{{1, 0}}}}, `"z"`},
		{[]Choice{{"a", nil}}, "no step"},
		{[]Choice{{"a", []Step{{1, 0}}}, {"a", []Step{{1, 0}}}}, "duplicate input"},
		{[]Choice{{"a", []Step{{-1, 0}}}}, "factor"},
		{[]Choice{{"a", []Step{{math.NaN(), 0}}}}, "factor"},
		{[]Choice{{"a", []Step{{1, math.Inf(1)}}}}, "cost"},
		{[]Choice{{"a", many}, {"b", many}}, "combinations"},
	} {
		_, err := s.Cheapest(context.Background(), c.choices)
		assert.ErrorContains(t, err, c.want)
	}
}

// Requirements of one point that need more samples.
func TestNeededOfAPoint(t *testing.T) {
	d := demo
	d.target, d.below = 0.003, d.mean()-0.98*(d.limit-d.mean())
	s := d.search(t, 2000, 1)
	assert.InEpsilon(t, 1-0.025/2, s.lowerLevel, 1e-15, "missing is shown for two requirements together")
	p := s.Base()
	require.Equal(t, sim.Undecided, p.Verdict())
	var needed []int64
	for q, e := range p.Exceeded {
		needed = append(needed, e.Needed(s.Requirements()[q].Target))
	}
	assert.Equal(t, max(needed[0], needed[1]), s.Needed(p), "both have to be shown")
	assert.Equal(t, "lower", s.Requirements()[p.First].Name)
}
