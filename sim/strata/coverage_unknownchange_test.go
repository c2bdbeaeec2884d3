//go:build coverage

package strata

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// Both intervals of a change cover their exact values at their level, 95 %: 60
// repetitions have a standard error of 2.8 %, and three of them are allowed for.
func TestCoverageKnowledgeOfChange(t *testing.T) {
	const by, repetitions = 0.2, 60
	mean := dist.NormalSurvival((3-by)/math.Sqrt(1.25)) - dist.NormalSurvival(3/math.Sqrt(1.25))
	at := -3 + dist.NormalQuantile(0.95)/2
	upper := dist.NormalCDF(at+by) - dist.NormalCDF(at)
	var covered [2]int
	for seed := range uint64(repetitions) {
		u, err := KnowledgeOfChange(context.Background(), raised(t, by), 1, atThree, 0, KnowledgeOptions{Rows: 40_000, Confidence: 0.95, Seed: seed})
		require.NoError(t, err)
		if u.Mean.Low <= mean && mean <= u.Mean.High {
			covered[0]++
		}
		if u.Upper.Low <= upper && upper <= u.Upper.High {
			covered[1]++
		}
	}
	t.Logf("mean covered %d, upper quantile %d of %d", covered[0], covered[1], repetitions)
	for _, n := range covered {
		assert.GreaterOrEqual(t, float64(n)/repetitions, 0.95-0.084)
	}
}

// A change that lies off the direction, where most samples see nothing of it: the upper ends are above its exact values all the
// same. By what was seen alone, the upper quantile was below it in 39 of 40.
func TestCoverageUnseenChange(t *testing.T) {
	const repetitions, change = 40, 1.5e-5
	far := -dist.NormalQuantile(change)
	normal := must(dist.NewNormal(0, 1))
	var designs [2]sim.Scenario
	for d, by := range []float64{0, 100} {
		designs[d] = outer{value: func(x, a, b float64) float64 {
			if b > far {
				x += by
			}
			return x + a/2
		}}.scenario(t)
		list := slices.Clone(designs[d].Inputs.Variables())
		list[2] = sim.Variable{Name: "b", Level: sim.Card, Dist: normal}
		designs[d].Inputs = must(sim.NewInputs(list, nil, 1))
	}
	var below [2]int
	for seed := range uint64(repetitions) {
		u, err := KnowledgeOfChange(context.Background(), designs, 1, atThree, 0, KnowledgeOptions{Rows: 20_000, Confidence: 0.95, Seed: seed})
		require.NoError(t, err)
		for k, e := range []sim.Estimate{u.Mean, u.Upper} {
			if e.High < change {
				below[k]++
			}
		}
	}
	t.Logf("mean below in %d, upper quantile in %d of %d", below[0], below[1], repetitions)
	for _, n := range below {
		assert.LessOrEqual(t, float64(n)/repetitions, 0.025+0.074, "one end of 95 %, and three standard errors")
	}
}
