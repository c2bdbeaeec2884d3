//go:build coverage

package strata

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
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
