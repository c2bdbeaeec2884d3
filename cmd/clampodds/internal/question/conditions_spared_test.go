package question

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
)

// under are three members whose cards have an output of x, a little more for each by as much as their own y makes it, the
// last one informative.
func under(t *testing.T, cards int64, by func(member int, x, y float64) float64) *Conditions {
	normal, err := dist.NewNormal(0, 1)
	require.NoError(t, err)
	inputs, err := sim.NewInputs([]sim.Variable{{Name: "x", Dist: normal, Level: sim.Card}, {Name: "y", Dist: normal, Level: sim.Card}}, nil, 1)
	require.NoError(t, err)
	c := &Conditions{run: sim.Run{Sampler: sim.Random{}, Seed: 5, Samples: cards, Confidence: 0.95, LimitsOnly: true}}
	for i, name := range []string{"first", "judged", "shown"} {
		c.members = append(c.members, reports.MissionMember{Name: name, Informative: i == 2})
		c.run.Scenarios = append(c.run.Scenarios, sim.Scenario{
			Name: name, Inputs: inputs, Model: sim.Formula{Output: sim.Output{Name: "z"}, Of: func(x []float64) float64 { return by(i, x[0], x[1]) }},
			Requirements: []sim.Requirement{{Name: "most", Output: "z", Limit: 3, Target: 1e-2}, {Name: "least", Output: "z", Limit: -3, Below: true, Target: 1e-2}},
		})
	}
	return c
}

// Of cards that are spared under the conditions nothing is counted that all of them would not show.
func TestCardsClearOfEveryLimitAreSpared(t *testing.T) {
	for _, c := range []*Conditions{
		under(t, 20_000, func(member int, x, y float64) float64 { return x + 0.1*float64(member)*(1+y) }),
		under(t, 20_000, func(member int, x, y float64) float64 { return x * (1 + 0.1*float64(member)) }), // further apart near the limit
	} {
		want, err := c.run.Execute(t.Context())
		require.NoError(t, err)
		require.NoError(t, c.spare())
		require.Equal(t, [][]int{nil, {0}, nil}, c.run.Spares, "what is shown only has no number of record")
		got, err := c.run.Execute(t.Context())
		require.NoError(t, err)
		for k := range want.InAny {
			assert.Equal(t, want.InAny[k], got.InAny[k])
			for i := range c.members {
				assert.Equal(t, want.Scenarios[i].Requirements[k].Exceeded, got.Scenarios[i].Requirements[k].Exceeded)
			}
		}
		near := got.Scenarios[0].Requirements[2:]
		assert.Less(t, near[0].Exceeded.Rows()+near[1].Exceeded.Rows(), int64(10_000), "most cards are spared")
	}
}

func TestNoCardIsSparedWhereThatCouldHideOne(t *testing.T) {
	for name, c := range map[string]*Conditions{
		"few cards": under(t, fewestSpared-1, func(_ int, x, _ float64) float64 { return x }),
		"cards that hold in the first only": under(t, 20_000, func(member int, x, y float64) float64 {
			if member == 1 && y > 2 {
				return math.Inf(1)
			}
			return x
		}),
	} {
		all := slices.Clone(c.run.Scenarios[0].Requirements)
		require.NoError(t, c.spare(), name)
		assert.Nil(t, c.run.Spares, name)
		assert.Equal(t, all, c.run.Scenarios[0].Requirements, name)
	}
	c := under(t, 20_000, func(_ int, x, _ float64) float64 { return x })
	c.run.Scenarios[0].Requirements[1].Target = 0
	require.NoError(t, c.spare())
	assert.Nil(t, c.run.Spares, "a limit without a target is counted")
}
